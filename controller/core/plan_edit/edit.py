"""Changes to a plan's text that leave all the rest of it as it was, comments and all.

Each function takes the text of a plan and gives the text with one thing changed, or
refuses. Whatever it gives has been read as a plan.

tomlkit writes the values, but does not place them: it counts a comment above a table to
the table before, and so deletes the comments of one with the other and puts new keys
below the next table's heading. Places come from `plan_text.scan`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import BadRequestError, PlanRefusedError
from controller.core.plan_edit.cut import without_element, without_inner
from controller.core.plan_edit.insert import (
    with_element,
    with_first_item,
    with_item,
    with_pair,
    with_table,
)
from controller.core.plan_edit.layout import Layout
from controller.core.plan_edit.write import checked_table, scalar_in_toml
from controller.core.plan_text.encoding import text_of
from controller.core.plan_text.keys import key_at
from controller.core.plan_text.place import dotted, parse_place
from controller.core.plan_text.reading import read_plan
from controller.core.plan_text.scan import Shape
from controller.core.plan_text.syntax import read_toml

if TYPE_CHECKING:
    from controller.core.plan_edit.write import Scalar, Table
    from controller.core.plan_text.place import Place

_SOURCE = "the edited plan"


def set_value(text: str, where: str, value: Scalar) -> str:
    """The plan's text with the value of one key written or replaced.

    A table that only the plan's form knows (such as `guards`) is begun where it is missing.

    Raises:
        BadRequestError: the place is a table, or its table is not in the plan.
        PlanRefusedError: the text was no plan, or would be none after the change.
    """
    place, layout = _opened(text, where)
    written = scalar_in_toml(value)
    mark, (*table, key) = layout.find(place), place
    if mark is not None and not mark.opens and mark.shape in {Shape.PAIR, Shape.INNER}:
        return _checked(text[: mark.value] + written + text[mark.end :])
    if layout.within(place) or not isinstance(key, str):
        raise BadRequestError(f"{where} is a table or a list: set one of the keys in it")
    if not table or layout.within(tuple(table)):
        return _checked(with_pair(layout, tuple(table), (key,), value))
    known = key_at(tuple(table))
    if known is None or known.kind != "table":
        raise BadRequestError(f"the plan has no {dotted(tuple(table))} in which to set {key}")
    return _checked(with_table(layout, tuple(table), {key: value}))


def add_table(text: str, where: str, table: Table) -> str:
    """The plan's text with a new table, such as `loads.lamp`, below those of its kind.

    Raises:
        BadRequestError: there is one already, or the place cannot hold a table.
        PlanRefusedError: the text was no plan, or would be none after the change.
    """
    place, layout = _opened(text, where)
    if layout.within(place):
        raise BadRequestError(f"{where} is in the plan already: change its keys instead")
    if any(isinstance(part, int) for part in place):
        raise BadRequestError(f"{where} is an item of a list: add it with its number")
    return _checked(with_table(layout, place, checked_table(table)))


def add_item(text: str, where: str, index: int, item: Table) -> str:
    """The plan's text with a table put into a list, such as `loads.pump.spans`.

    Args:
        text: of the plan.
        where: the list, which may be missing still.
        index: the number, from 0, that the new item will have.
        item: the item's keys.

    Raises:
        BadRequestError: there is no such list, or it has fewer items.
        PlanRefusedError: the text was no plan, or would be none after the change.
    """
    place, layout = _opened(text, where)
    checked_table(item)
    items = [
        mark
        for mark in layout.within(place)
        if len(mark.place) == len(place) + 1 and isinstance(mark.place[-1], int)
    ]
    if not 0 <= index <= len(items):
        raise BadRequestError(f"{where} has {len(items)} items: there is no place {index} in it")
    listed = layout.find(place)
    if listed is not None and listed.opens == "[":
        return _checked(with_element(layout, listed, items, index, item))
    if items:
        return _checked(with_item(layout, place, items, index, item))
    if layout.within(place) or not layout.within(place[:-1]):
        raise BadRequestError(f"{where} is no list of tables in the plan")
    return _checked(with_first_item(layout, place, item))


def remove(text: str, where: str) -> str:
    """The plan's text without a key, a table or an item of a list, and without the comment
    right above a table or item.

    Raises:
        BadRequestError: there is nothing at that place.
        PlanRefusedError: the text was no plan, or would be none after the change.
    """
    place, layout = _opened(text, where)
    mark = layout.find(place)
    if mark is not None and mark.shape is Shape.INNER:
        return _checked(without_inner(layout, mark))
    if mark is not None and mark.shape is Shape.ELEMENT:
        return _checked(without_element(layout, mark))
    ranges = [
        (block.first, block.last)
        for block in layout.blocks
        if block.mark.place[: len(place)] == place
    ]
    for pair in layout.within(place):
        first, last = layout.line_of(pair.start), layout.line_of(pair.end - 1)
        if pair.shape is Shape.PAIR and not any(a <= first <= b for a, b in ranges):
            ranges.append((first, last))
    if not ranges:
        raise BadRequestError(f"there is no {where} in the plan")
    return _checked(layout.without_lines(sorted(ranges)))


def _opened(text: str, where: str) -> tuple[Place, Layout]:
    """The place, and the text taken apart.

    Raises:
        BadRequestError: the place is none, or is the whole plan.
        PlanRefusedError: the text is none that can be read, or not TOML.
    """
    place = parse_place(where)
    if not place:
        raise BadRequestError("name a place in the plan, such as loads.pump.line")
    readable = text_of(_bytes_of(text))
    if not isinstance(readable, str):
        raise PlanRefusedError(_SOURCE, (readable,))
    draft = read_toml(readable)
    if draft.errors:
        raise PlanRefusedError(_SOURCE, draft.errors)
    return place, Layout(text)


def _checked(text: str) -> str:
    read_plan(_bytes_of(text), _SOURCE)
    return text


def _bytes_of(text: str) -> bytes:
    # A lone surrogate has no UTF-8; passed on, the plan's reader tells of it.
    return text.encode("utf-8", "surrogatepass")
