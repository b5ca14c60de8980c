"""Moving an item of a list to another number, with its comments."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import BadRequestError
from controller.core.phrases import counted
from controller.core.plan_edit.insert import comma_after
from controller.core.plan_text.place import dotted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.plan_edit.layout import Layout
    from controller.core.plan_text.place import Place
    from controller.core.plan_text.scan import Mark


class _Slot(NamedTuple):
    """Where an item's text stands: offsets of what moves with it before and after its comma."""

    start: int
    comma: int  # where the comma stands or would stand
    has_comma: bool
    end: int


def move(layout: Layout, place: Place, index: int, to: int) -> str:
    """The text with item `index` of a list taken to number `to`, the others in their order.

    What stands between the items (blank lines, commas) stays between them; comments right
    above an item or behind it on its line go with it.

    Raises:
        BadRequestError: there is no such list, or it has fewer items.
    """
    items = layout.items(place)
    if not items:
        raise BadRequestError(f"{dotted(place)} is no list of tables in the plan")
    for number in (index, to):
        if not 0 <= number < len(items):
            there = counted(len(items), "item")
            raise BadRequestError(f"{dotted(place)} has {there}: there is no number {number} in it")
    order = list(range(len(items)))
    order.insert(to, order.pop(index))
    listed = layout.find(place)
    if listed is None or listed.opens != "[":
        return _moved_blocks(layout, items, order)
    slots = _lines_of(layout, listed, items) or [
        _Slot(item.start, item.end, False, item.end) for item in items
    ]
    return _moved_slots(layout.text, slots, order)


def _moved_blocks(layout: Layout, items: Sequence[Mark], order: Sequence[int]) -> str:
    """Items under headers of their own: each goes with all tables that are inside of it."""
    ranges = [_ranges(layout, item.place) for item in items]
    texts = ["".join(_ended(layout, a, b) for a, b in of_item) for of_item in ranges]
    lines: list[str] = list(layout.lines)
    for slot, number in enumerate(order):
        if slot == number:
            continue
        (first, last), *others = ranges[slot]
        lines[first : last + 1] = [texts[number], *([""] * (last - first))]
        for begin, end in others:
            lines[begin : end + 1] = [""] * (end - begin + 1)
    text = "".join(lines)
    ends_open = bool(layout.lines) and not layout.lines[-1].endswith("\n")
    return text.removesuffix(layout.newline) if ends_open else text


def _ranges(layout: Layout, place: Place) -> list[tuple[int, int]]:
    """The lines of an item: with all that stands between them, unless that is another's."""
    ranges = layout.ranges(place)
    first, last = ranges[0][0], ranges[-1][1]
    within = [block for block in layout.blocks if first <= block.first <= last]
    if all(block.mark.place[: len(place)] == place for block in within):
        return [(first, last)]
    return ranges


def _ended(layout: Layout, first: int, last: int) -> str:
    text = "".join(layout.lines[first : last + 1])
    return text if text.endswith("\n") else text + layout.newline


def _lines_of(layout: Layout, listed: Mark, items: Sequence[Mark]) -> list[_Slot] | None:
    """The items' lines within brackets; None where not every item has lines of its own."""
    slots = []
    for item in items:
        comma = comma_after(layout.text, item, listed)
        end = layout.text.find("\n", item.end)
        rest = layout.text[item.end if comma is None else comma + 1 : max(end, 0)].strip()
        if (
            not layout.stands_alone(item)
            or not item.end <= end < listed.end
            or (comma is not None and comma > end)
            or (rest and rest[0] != "#")
        ):
            return None
        first = layout.comments_above(layout.line_of(item.start))
        at = item.end if comma is None else comma
        slots.append(_Slot(layout.start_of(first), at, comma is not None, end))
    return slots


def _moved_slots(text: str, slots: Sequence[_Slot], order: Sequence[int]) -> str:
    pieces = []
    done = 0
    for slot, number in zip(slots, order, strict=True):
        taken = slots[number]
        behind = taken.comma + taken.has_comma
        pieces += [text[done : slot.start], text[taken.start : taken.comma]]
        pieces += ["," if slot.has_comma else "", text[behind : taken.end]]
        done = slot.end
    return "".join([*pieces, text[done:]])
