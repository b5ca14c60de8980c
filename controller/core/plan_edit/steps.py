"""Single changes to a plan's text, taken apart: each gives the text with one thing changed.

tomlkit writes the values, but does not place them: it counts a comment above a table to
the table before, and so deletes the comments of one with the other and puts new keys
below the next table's heading. Places come from `plan_text.scan`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import BadRequestError
from controller.core.phrases import counted
from controller.core.plan_edit.cut import without_element, without_inner
from controller.core.plan_edit.insert import (
    with_element,
    with_first_item,
    with_item,
    with_pair,
    with_table,
)
from controller.core.plan_edit.points import with_points
from controller.core.plan_edit.write import checked_table, value_in_toml
from controller.core.plan_text.keys import key_at
from controller.core.plan_text.place import dotted
from controller.core.plan_text.scan import Shape

if TYPE_CHECKING:
    from controller.core.plan_edit.layout import Layout
    from controller.core.plan_text.place import Place


def set_value(layout: Layout, place: Place, value: object) -> str:
    """The text with the value of one key written or replaced.

    A table that only the plan's form knows (such as `guards`) is begun where it is missing.

    Raises:
        BadRequestError: the place is a table, its table is not in the plan, or the value is
            none of a plan's.
    """
    written = value_in_toml(value)
    assert isinstance(value, str | int | float | list), value  # what can be written is one of these
    mark, (*table, key) = layout.find(place), place
    if mark is not None and mark.shape in {Shape.PAIR, Shape.INNER}:
        known = key_at(place)
        is_curve = known is not None and known.kind == "points" and mark.opens == "["
        if is_curve and isinstance(value, list):
            return with_points(layout.text, place, value)
        if is_curve or not mark.opens:
            return layout.text[: mark.value] + written + layout.text[mark.end :]
    if layout.within(place) or not isinstance(key, str):
        raise BadRequestError(f"{dotted(place)} is a table or a list: set one of the keys in it")
    if not table or layout.within(tuple(table)):
        return with_pair(layout, tuple(table), (key,), value)
    home = key_at(tuple(table))
    if home is None or home.kind != "table":
        raise BadRequestError(f"the plan has no {dotted(tuple(table))} in which to set {key}")
    return with_table(layout, tuple(table), {key: value})


def add_table(layout: Layout, place: Place, table: object) -> str:
    """The text with a new table, such as `loads.lamp`, below those of its kind.

    Raises:
        BadRequestError: there is one already, the place cannot hold a table, or it is none.
    """
    if layout.within(place):
        raise BadRequestError(f"{dotted(place)} is in the plan already: change its keys instead")
    if any(isinstance(part, int) for part in place):
        raise BadRequestError(f"{dotted(place)} is an item of a list: add it with its number")
    return with_table(layout, place, checked_table(table))


def add_item(layout: Layout, place: Place, index: int, item: object) -> str:
    """The text with a table put into a list, such as `loads.pump.spans`.

    Args:
        layout: of the text.
        place: the list, which may be missing still.
        index: the number, from 0, that the new item will have.
        item: the item's keys.

    Raises:
        BadRequestError: there is no such list, it has fewer items, or the item is no table.
    """
    made = checked_table(item)
    items = layout.items(place)
    if not 0 <= index <= len(items):
        raise BadRequestError(
            f"{dotted(place)} has {counted(len(items), 'item')}: there is no place {index} in it"
        )
    listed = layout.find(place)
    if listed is not None and listed.opens == "[":
        return with_element(layout, listed, items, index, made)
    if items:
        return with_item(layout, place, items, index, made)
    if layout.within(place) or not layout.within(place[:-1]):
        raise BadRequestError(f"{dotted(place)} is no list of tables in the plan")
    return with_first_item(layout, place, made)


def remove(layout: Layout, place: Place) -> str:
    """The text without a key, a table or an item of a list, and without the comment right
    above a table or item.

    Raises:
        BadRequestError: there is nothing at that place.
    """
    mark = layout.find(place)
    if mark is not None and mark.shape is Shape.INNER:
        return without_inner(layout, mark)
    if mark is not None and mark.shape is Shape.ELEMENT:
        return without_element(layout, mark)
    ranges = layout.ranges(place)
    if not ranges:
        raise BadRequestError(f"there is no {dotted(place)} in the plan")
    return layout.without_lines(ranges)
