"""Changes to a plan's text that leave all the rest of it as it was, comments and all.

Several changes make one edit: on the way the plan may break its own rules, at the end it is
read as a plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import BadRequestError, PlanRefusedError
from controller.core.plan_edit import steps
from controller.core.plan_edit.layout import Layout
from controller.core.plan_edit.move import move
from controller.core.plan_edit.rename import rename
from controller.core.plan_text.encoding import text_of
from controller.core.plan_text.place import parse_place
from controller.core.plan_text.reading import reading_of
from controller.core.plan_text.syntax import read_toml

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.plan_text.place import Place
    from controller.core.plan_text.reading import Reading

_SOURCE = "the edited plan"


@dataclass(frozen=True, slots=True)
class Change:
    """One change: `do` at a dotted place.

    `set` writes the `value` of a key; `add` puts in a table, as item `index` of a list where
    that is given; `remove` takes out whatever stands at the place; `move` takes the item
    `index` of the list at the place to where `to` is; `rename` gives a load, sensor,
    stand or reservoir, and all that refers to it, the name `value`.
    """

    do: str
    at: str
    value: object = None
    index: int | None = None
    to: int | None = None


class Edited(NamedTuple):
    """A text after changes, and its reading, which found it to be a plan."""

    text: str
    reading: Reading


def edited(text: str, changes: Sequence[Change], *, known: Reading | None = None) -> Edited:
    """The plan's text after changes, made one after the other.

    Args:
        text: of a plan, which may break its rules.
        changes: each is of the text that those before it have left.
        known: what reading the text came to, where somebody has read it before.

    Raises:
        BadRequestError: a change does not fit the text.
        PlanRefusedError: the text cannot be read, or is no plan after the changes.
    """
    if known is None or not known.document:
        _refuse_unreadable(text)
    for change in changes:
        text = _changed(Layout(text), change)
    reading = reading_of(_bytes_of(text))
    reading.plan_of(_SOURCE)  # or the refusal
    return Edited(text, reading)


def _refuse_unreadable(text: str) -> None:
    readable = text_of(_bytes_of(text))
    if not isinstance(readable, str):
        raise PlanRefusedError(_SOURCE, (readable,))
    draft = read_toml(readable)
    if draft.errors:
        raise PlanRefusedError(_SOURCE, draft.errors)


def _changed(layout: Layout, change: Change) -> str:
    place = _place(change.at)
    if change.do == "set":
        return steps.set_value(layout, place, change.value)
    if change.do == "remove":
        return steps.remove(layout, place)
    if change.do == "rename":
        return rename(layout, place, change.value)
    if change.do == "move":
        return move(layout, place, _number(change, "index"), _number(change, "to"))
    if change.do == "add" and change.index is None:
        return steps.add_table(layout, place, change.value)
    if change.do == "add":
        return steps.add_item(layout, place, _number(change, "index"), change.value)
    raise BadRequestError(f"{change.do} is no change: use set, add, remove, move or rename")


def _place(at: str) -> Place:
    place = parse_place(at)
    if not place:
        raise BadRequestError("name a place in the plan, such as loads.pump.line")
    return place


def _number(change: Change, key: str) -> int:
    number = getattr(change, key)
    if not isinstance(number, int):
        raise BadRequestError(f"{change.at}: say with `{key}` which item of the list, from 0")
    return number


def _bytes_of(text: str) -> bytes:
    # A lone surrogate has no UTF-8; passed on, the plan's reader tells of it.
    return text.encode("utf-8", "surrogatepass")
