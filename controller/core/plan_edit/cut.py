"""Taking pairs out of braces and items out of brackets, with the commas that go with them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_edit.insert import comma_after
from controller.core.plan_text.scan import Shape

if TYPE_CHECKING:
    from controller.core.plan_edit.layout import Layout
    from controller.core.plan_text.scan import Mark


def without_inner(layout: Layout, mark: Mark) -> str:
    """The text without one pair between braces."""
    text, holder = layout.text, layout.holder(mark)
    beside = [m for m in layout.marks if m.shape is Shape.INNER and layout.holder(m) == holder]
    number = beside.index(mark)
    if number + 1 < len(beside):
        return text[: mark.start] + text[beside[number + 1].start :]
    if number:
        return text[: beside[number - 1].end] + text[mark.end :]
    return text[: mark.start].rstrip(" ") + text[mark.end :].lstrip(" ")


def without_element(layout: Layout, mark: Mark) -> str:
    """The text without one item between brackets; where it has lines of its own, without
    those and without the comment right above them."""
    text, listed = layout.text, layout.holder(mark)
    assert listed is not None, mark  # an element stands in brackets
    comma = comma_after(text, mark, listed)
    end = mark.end if comma is None else comma + 1
    line_end = text.find("\n", end)
    rest = text[end:line_end].strip()
    if layout.stands_alone(mark) and line_end < listed.end and (not rest or rest[0] == "#"):
        first, last = layout.line_of(mark.start), layout.line_of(end - 1)
        return layout.without_lines([(layout.comments_above(first), last)])
    elements = [m for m in layout.marks if m.place[:-1] == listed.place and m.shape is mark.shape]
    before = elements[elements.index(mark) - 1] if elements.index(mark) else None
    if comma is None and before is not None and not text[before.end : mark.start].strip(" ,"):
        return text[: before.end] + text[mark.end :]
    return text[: mark.start] + text[end:].lstrip(" ")
