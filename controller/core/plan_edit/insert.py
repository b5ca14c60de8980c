"""Putting keys, tables and list items into a plan's text, in the manner of what is there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import BadRequestError
from controller.core.plan_edit.write import block, inline, key_in_toml
from controller.core.plan_text.keys import key_at
from controller.core.plan_text.place import dotted
from controller.core.plan_text.scan import Shape
from controller.core.plan_text.tokens import tokens_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.plan_edit.layout import Layout
    from controller.core.plan_edit.write import Table, Value
    from controller.core.plan_text.place import Place
    from controller.core.plan_text.scan import Mark


def with_pair(layout: Layout, table: Place, keys: tuple[str, ...], value: Value) -> str:
    """The text with a pair put after the last one of a table that is there.

    Raises:
        BadRequestError: what stands at the place holds no keys.
    """
    mark = layout.find(table) if table else None
    pair = f"{key_in_toml(*keys)} = {inline(value)}"
    if not table:
        return _after_last(layout, layout.top_pairs(), None, pair)
    if mark is not None and mark.shape in {Shape.TABLE, Shape.ITEM}:
        under = layout.block_of(mark)
        return _after_last(layout, under.pairs if under is not None else (), mark, pair)
    if mark is not None and mark.opens == "{":
        inners = [m for m in layout.marks if m.shape is Shape.INNER and layout.holder(m) == mark]
        return _in_braces(layout.text, mark, inners, pair)
    if mark is None:
        return _beside_dotted(layout, table, keys, value)
    raise BadRequestError(f"{dotted(table)} holds no keys")


def _after_last(layout: Layout, pairs: Sequence[Mark], header: Mark | None, pair: str) -> str:
    """The pair on a line of its own, after the last pair or else the header of its table."""
    last = pairs[-1] if pairs else header
    if last is None:
        return layout.with_block(layout.blocks[0].first if layout.blocks else 0, [pair])
    line = layout.line_of(last.end - 1) + 1
    return layout.with_lines(line, [layout.indent_of(last.start) + pair])


def _in_braces(text: str, braces: Mark, inners: Sequence[Mark], pair: str) -> str:
    if inners:
        end = inners[-1].end
        return f"{text[:end]}, {pair}{text[end:]}"
    return f"{text[: braces.value]}{{ {pair} }}{text[braces.end :]}"


def _beside_dotted(layout: Layout, table: Place, keys: tuple[str, ...], value: Value) -> str:
    """The pair beside others that name the table in their own keys, as `site.latitude`."""
    for mark in reversed(layout.within(table)):
        if mark.shape not in {Shape.PAIR, Shape.INNER}:
            continue
        holder, under = layout.holder(mark), layout.block_of(mark)
        outer = holder if mark.shape is Shape.INNER else under.mark if under is not None else None
        base = outer.place if outer is not None else ()
        if len(base) >= len(table):
            continue  # the pair stands under a header or braces of its own
        names = tuple(part for part in table[len(base) :] if isinstance(part, str))
        pair = f"{key_in_toml(*names, *keys)} = {inline(value)}"
        if mark.shape is Shape.INNER:
            return f"{layout.text[: mark.end]}, {pair}{layout.text[mark.end :]}"
        return _after_last(layout, (mark,), None, pair)
    return with_table(layout, (*table, *keys[:-1]), {keys[-1]: value})


def with_table(layout: Layout, place: Place, table: Table) -> str:
    """The text with a table under a header of its own, below the last one of its kind.

    Where what it belongs to is written in braces or dotted keys, the table joins those.
    """
    home = place[:-1]
    while home and not layout.within(home):
        home = home[:-1]
    last = layout.last_line_within(home) if home else len(layout.lines) - 1
    if last is None:
        rest = tuple(part for part in place[len(home) :] if isinstance(part, str))
        return with_pair(layout, home, rest, table)
    return layout.with_block(last + 1, block(place, table, is_item=False))


def with_item(layout: Layout, place: Place, items: Sequence[Mark], index: int, item: Table) -> str:
    """The text with an item put into a list that is written with `[[headers]]`."""
    indent = layout.indent_of(items[0].start)
    lines = [indent + line if line else line for line in block(place, item, is_item=True)]
    if index < len(items):
        following = layout.block_of(items[index])
        line = following.first if following is not None else 0
    else:
        line = (layout.last_line_within(items[-1].place) or 0) + 1
    return layout.with_block(line, lines)


def with_first_item(layout: Layout, place: Place, item: Table) -> str:
    """The text with the first item of a list that is not there yet.

    Raises:
        BadRequestError: the plan's form has no list of tables at the place.
    """
    known, last = key_at(place), layout.last_line_within(place[:-1])
    if known is None or known.kind != "tables":
        raise BadRequestError(f"{dotted(place)} is no list of tables in a plan")
    if last is None:
        return with_pair(layout, place[:-1], (known.name,), [item])
    return layout.with_block(last + 1, block(place, item, is_item=True))


def with_element(
    layout: Layout, listed: Mark, items: Sequence[Mark], index: int, item: Value
) -> str:
    """The text with an item put into a list that is written in brackets."""
    text, written = layout.text, inline(item)
    if not items:
        return f"{text[: listed.value + 1]}{written}{text[listed.value + 1 :]}"
    if index == len(items):
        return _after_last_element(layout, listed, items[-1], written)
    following = items[index]
    if not layout.stands_alone(following):
        return f"{text[: following.start]}{written}, {text[following.start :]}"
    line = layout.comments_above(layout.line_of(following.start))
    return layout.with_lines(line, [f"{layout.indent_of(following.start)}{written},"])


def _after_last_element(layout: Layout, listed: Mark, last: Mark, written: str) -> str:
    text = layout.text
    comma = comma_after(text, last, listed)
    if comma is None:
        text = f"{text[: last.end]},{text[last.end :]}"
        end = last.end + 1
    else:
        end = comma + 1
    closing = listed.end - 1 + (comma is None)
    line_end = text.find("\n", end)
    if not layout.stands_alone(last) or not end <= line_end < closing:
        # Whatever stands between the comma and the bracket stays there.
        return f"{text[:end]} {written}{text[end:]}"
    comma_or_not = "," if comma is not None else ""
    new = f"{layout.indent_of(last.start)}{written}{comma_or_not}{layout.newline}"
    return text[: line_end + 1] + new + text[line_end + 1 :]


def comma_after(text: str, element: Mark, listed: Mark) -> int | None:
    """The offset of the comma that follows an element within its brackets, if one does."""
    kinds, starts, _ = tokens_of(text[element.end : listed.end])
    signs = (number for number, kind in enumerate(kinds) if kind != "newline")
    following = next(signs)  # the closing bracket, if nothing else
    return element.end + starts[following] if kinds[following] == "," else None
