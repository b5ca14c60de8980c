"""The marks of one row as notes above it: shape, label and a bracket over their time."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import between_words, moment_words
from controller.report.picture.marks import place_words
from controller.report.picture.scene import WIDTH
from controller.report.picture.shapes import SHAPES, SIZE, add_shape
from controller.report.picture.svg import add, label, number, tell, text_width

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree.ElementTree import Element

    from controller.core.schedule import Schedule
    from controller.report.picture.day_rows import DayRow
    from controller.report.picture.marks import Mark
    from controller.report.picture.scene import Frame, Scene

LEVEL = 15.0  # the height of one level of notes
_LEVELS_MAX = 6
_TEXT_SIZE = 9.5
_ICON = SIZE + 2.5
_SAME_MAX = 3  # more marks of one kind in a row are told as one


class Note(NamedTuple):
    """A mark's part in a row: its bracket from `x0` to `x1`, its shape and label from
    `label_x` on, on a level counted from the lanes upwards."""

    mark: Mark
    label: str
    x0: float
    x1: float
    label_x: float
    level: int


def notes_of(scene: Scene, row: DayRow, frame: Frame) -> tuple[list[Note], int]:
    """The notes of a row, each on a level where it has room, and how many found none."""
    placed: list[Note] = []
    crowded = 0
    ends: list[float] = []  # of what stands on each level, from the left
    for mark, text, x0, x1 in _parts(scene, row, frame):
        width = _ICON + text_width(text, _TEXT_SIZE)
        label_x = min(x0, WIDTH - 2 - width)
        begin, end = min(label_x, x0), max(label_x + width, x1)
        level = next((n for n, taken in enumerate(ends) if taken + 3 <= begin), len(ends))
        if level == _LEVELS_MAX:
            crowded += 1
            continue
        if level == len(ends):
            ends.append(end)
        ends[level] = end
        placed.append(Note(mark, text, x0, x1, label_x, level))
    return placed, crowded


def _parts(scene: Scene, row: DayRow, frame: Frame) -> list[tuple[Mark, str, float, float]]:
    """(mark, label, x0, x1) of the marks that touch a row, from the left."""
    start, end = scene.shown(row)
    groups: dict[tuple[str, str], list[Mark]] = {}
    for mark in scene.marks:
        if mark.start < end and (mark.end > start or start <= mark.start):
            groups.setdefault((mark.kind.name, mark.label), []).append(mark)
    parts = []
    for marks in groups.values():
        if len(marks) > _SAME_MAX:
            whole = marks[0]._replace(end=max(mark.end for mark in marks))
            parts.append((whole, f"{whole.label} ×{len(marks)}"))
        else:
            parts += [(mark, mark.label) for mark in marks]
    found = []
    for mark, text in parts:
        spans = list(row.spans(max(start, mark.start), min(end, max(mark.end, mark.start + 1))))
        x0 = frame.x(min(span.low_ms for span in spans))
        x1 = frame.x(max(span.high_ms for span in spans))
        found.append((mark, text, x0, x1))
    return sorted(found, key=lambda part: part[2])


def draw_notes(parent: Element, schedule: Schedule, notes: Sequence[Note], bottom: float) -> None:
    """Draws notes upwards from the top of a row's lanes."""
    for note in notes:
        words = mark_words(schedule, note.mark)
        group = label(tell(add(parent, "g", role="graphics-symbol img"), words), words)
        foot = bottom - note.level * LEVEL
        line = f"M{number(note.x0)} {number(foot)}v-3H{number(max(note.x1, note.x0 + 1))}v3"
        colour = SHAPES[note.mark.kind].colour
        add(group, "path", d=line, class_=f"line l-{colour}")
        add_shape(group, note.mark.kind, note.label_x, foot - 3 - SIZE - 1)
        add(group, "text", note.label, x=note.label_x + _ICON, y=foot - 5)


def mark_words(schedule: Schedule, mark: Mark) -> str:
    """A mark in full: what, about which loads, and when."""
    calendar = schedule.calendar
    when = (
        moment_words(mark.start, calendar)
        if mark.start == mark.end
        else between_words(mark.start, mark.end, calendar)
    )
    return f"{mark.label} ({place_words(schedule, mark)}): {when}"
