"""The points of a curve, set so that what stands beside them stays, comments too."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Any

from controller.core.plan_edit.cut import without_element
from controller.core.plan_edit.insert import with_element
from controller.core.plan_edit.layout import Layout
from controller.core.plan_edit.write import inline

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.plan_edit.write import Value
    from controller.core.plan_text.place import Place
    from controller.core.plan_text.scan import Mark


def with_points(text: str, place: Place, points: Sequence[Value]) -> str:
    """The text in which the list in brackets at a place has these items.

    Items that are alike at both ends stay as they are written. Between those each gets its new
    value, and what is left over is taken out or put in, one after the other.
    """
    old = [_value_of(text, mark) for mark in Layout(text).items(place)]
    most = min(len(old), len(points))
    head = next((n for n in range(most) if old[n] != points[n]), most)
    tail = next((n for n in range(most - head) if old[-1 - n] != points[-1 - n]), most - head)
    end_old, end_new = len(old) - tail, len(points) - tail
    for number in range(head, min(end_old, end_new)):
        mark = Layout(text).items(place)[number]
        text = text[: mark.start] + inline(points[number]) + text[mark.end :]
    for _ in range(end_new, end_old):
        layout = Layout(text)
        text = without_element(layout, layout.items(place)[end_new])
    for number in range(end_old, end_new):
        layout = Layout(text)
        listed = layout.find(place)
        assert listed is not None, place  # it stands in brackets, whatever is in them
        text = with_element(layout, listed, layout.items(place), number, points[number])
    return text


def _value_of(text: str, mark: Mark) -> Any:
    """The item at a mark, as TOML reads it."""
    return tomllib.loads(f"item = {text[mark.start : mark.end]}")["item"]
