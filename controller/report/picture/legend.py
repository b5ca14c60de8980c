"""The legend of a picture: only what the picture has, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.phrases import (
    between_words,
    counted,
    gap_words,
    length_words,
    percent_words,
    rate_words,
    turn_words,
)
from controller.core.units import DAY_MS
from controller.report.picture.marks import MarkKind
from controller.report.picture.scene import WIDTH, lane_name
from controller.report.picture.shapes import add_shape
from controller.report.picture.svg import add, number, text_lines

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree.ElementTree import Element

    from controller.core.schedule import LoadSchedule
    from controller.report.picture.bar_paths import BarPaths
    from controller.report.picture.scene import Scene

_LEFT = 8.0
_TEXT_X = 34.0
_SIZE = 9.5
_LINE = 13.0
_FULL_MAX = 4  # loads that are told in full
_SHADES = (("day", "sun up"), ("twi", "civil twilight"), ("night", "night"))


class _Column:
    """Entries written one under the other."""

    def __init__(self, parent: Element, top: float) -> None:
        self._parent = parent
        self.y = top

    def entry(self, text: str) -> float:
        """Writes a text beside the place of its symbol; returns the middle of its first line."""
        middle = self.y + _LINE / 2
        for line in text_lines(text, size=_SIZE, width=WIDTH - _TEXT_X - 4):
            self.y += _LINE
            add(self._parent, "text", line, x=_TEXT_X, y=self.y - 3.3)
        return middle


def draw_legend(parent: Element, scene: Scene, lanes: Sequence[BarPaths], top: float) -> float:
    """Draws the legend below the rows; returns where it ends."""
    group = add(parent, "g", role="group", aria_label="Legend")
    column = _Column(group, top + _draw_shades(group, top))
    loads = scene.schedule.loads
    if len(loads) > 1:
        column.y += 2
        column.entry("The lanes of each day, from the top:")
    for place, load in enumerate(loads):
        name = lane_name(scene, place)
        words = load_words(scene, load, is_brief=len(loads) > _FULL_MAX)
        y = column.entry(words if name == load.name else f"{name}  {words}")
        sample = f"M{number(_LEFT)} {number(y)}h8m4 0h8"
        add(group, "path", d=sample, class_=f"bar {load.kind}", stroke_width="8")
    column.y += 2
    for kind in MarkKind:
        if kind in scene.kinds:
            add_shape(group, kind, _LEFT + 6, column.entry(kind.value) - 4)
    for text in _remarks(scene, lanes):
        column.entry(text)
    return column.y


def _draw_shades(group: Element, top: float) -> float:
    x = _LEFT
    for shade, words in _SHADES:
        add(group, "rect", x=x, y=top + 1, width=20, height=10, class_=shade)
        add(group, "rect", x=x, y=top + 1, width=20, height=10, class_="grid")
        add(group, "text", words, x=x + 25, y=top + 9.5)
        x += 25 + 8 * len(words)
    return _LINE + 2


def load_words(scene: Scene, load: LoadSchedule, *, is_brief: bool = False) -> str:
    """A load's figures over the whole run in one sentence."""
    account = scene.account
    done = account.loads[load.name]
    gap = done.longest_dry_gap
    turns = counted(done.starts, turn_words(load.kind, 1), turn_words(load.kind, 2))
    a_day = rate_words(done.starts * DAY_MS / account.run_ms)
    on = percent_words(done.on_ms / account.run_ms)
    count = f"{a_day} a day" if is_brief else f"{turns}, {a_day} a day"
    text = f"{load.name}: {count}, on {on}"
    if gap is None:
        return f"{text}, never off"
    text += f", longest {gap_words(load.kind)} {length_words(gap.length_ms)}"
    if load.waters and not is_brief:
        text += f" ({between_words(gap.start, gap.end, scene.schedule.calendar)})"
    return text


def _remarks(scene: Scene, lanes: Sequence[BarPaths]) -> list[str]:
    recording, remarks = scene.recording, []
    first, last = scene.rows[0], scene.rows[-1]
    if recording.start > first.begin or recording.end < last.end:
        remarks.append("Outlined: hours that do not belong to the run.")
    if any(row.skipped for row in scene.rows):
        remarks.append("Hatched without a ground: hours that the clocks skip.")
    if any(lane.is_stretched for lane in lanes):
        remarks.append("Times on of a few seconds are drawn longer, so that they are seen.")
    if any(lane.has_blends for lane in lanes):
        remarks.append("Paler bars: on and off too often to draw, the darker the longer on.")
    if recording.shown_end < recording.end:
        remarks.append(
            f"Only the first {counted(len(recording.days), 'day')} of the run are drawn."
        )
    if recording.left_out:
        remarks.append(f"{counted(recording.left_out, 'further mark')} found no place.")
    return remarks
