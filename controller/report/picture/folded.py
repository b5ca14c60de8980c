"""Days as thin rows with notes beside them: for runs of more than a month."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import MONTHS, counted
from controller.report.picture.bar_paths import BarPaths
from controller.report.picture.daybook import Drawn
from controller.report.picture.ground import Ground, draw_grid, draw_hours, hatch
from controller.report.picture.marks import Mark, MarkKind
from controller.report.picture.note_band import mark_words
from controller.report.picture.scene import Frame
from controller.report.picture.shapes import SHAPES, SIZE, add_shape
from controller.report.picture.svg import add, box, label, number, path, tell
from controller.report.text_cells import shortened

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from controller.report.picture.scene import Scene

FRAME = Frame(left=40, width=240)
_LANES_HEIGHT = 1500.0
_LANE_MIN, _LANE_MAX = 0.8, 7.0
_LABELS_APART = 10.5
_NOTE_X = FRAME.left + FRAME.width + 8
_NOTE_LENGTH = 18  # characters beside the rows
_DAYS_APART_MAX = 4  # marks of one kind on days closer than this are told as one


class _Note(NamedTuple):
    mark: Mark
    first: int  # row
    last: int
    days: int


def draw_folded(parent: Element, scene: Scene, top: float) -> Drawn:
    """Draws all rows, their hours and the notes beside them."""
    loads = scene.schedule.loads
    lane = _LANES_HEIGHT / (len(scene.rows) * len(loads))
    lane = min(_LANE_MAX, max(_LANE_MIN, lane))
    height = lane * len(loads)
    pitch = height + (0.6 if height < 8 else 1.5)
    top += 16
    tops = [top + index * pitch for index in range(len(scene.rows))]
    bottom = tops[-1] + pitch
    draw_hours(parent, FRAME, top - 7)
    ground = Ground(scene, FRAME)
    for row, row_top in zip(scene.rows, tops, strict=True):
        ground.gather(row, row_top, pitch)
    ground.draw(parent)
    lanes = _draw_lanes(parent, scene, tops, lane)
    draw_grid(parent, FRAME, [(top, bottom - top)])
    _draw_dates(parent, scene, tops, height)
    _draw_marks(parent, scene, tops, height)
    _draw_notes(parent, scene, tops, bottom)
    draw_hours(parent, FRAME, bottom + 9)
    return Drawn(bottom + 14, lanes)


def _draw_lanes(parent: Element, scene: Scene, tops: list[float], lane: float) -> list[BarPaths]:
    group = add(parent, "g", transform=FRAME.by_minutes)
    lanes = []
    for place, load in enumerate(scene.schedule.loads):
        paths = BarPaths()
        for index, row in enumerate(scene.rows):
            y = tops[index] + (place + 0.5) * lane
            paths.gather(row, scene.recording.lanes[place][index], y, lane)
        of_load = tell(add(group, "g"), load.name)
        paths.draw(of_load, load.kind, lane * (0.88 if len(scene.schedule.loads) > 1 else 1))
        lanes.append(paths)
    return lanes


def _draw_dates(parent: Element, scene: Scene, tops: list[float], height: float) -> None:
    """The date of every first, and of other days where there is room."""
    group = add(parent, "g", aria_hidden="true")
    firsts = [i for i, row in enumerate(scene.rows) if row.day.day == 1]
    taken = [tops[index] for index in firsts]
    others = [i for i, row in enumerate(scene.rows) if row.day.day in {8, 15, 22}]
    for index in [*firsts, 0, *others]:
        y = tops[index]
        if index not in firsts and any(abs(y - other) < _LABELS_APART for other in taken):
            continue
        taken.append(y)
        day = scene.rows[index].day
        has_month = day.day == 1 or index == 0
        text = f"{day.day} {MONTHS[day.month - 1]}" if has_month else str(day.day)
        y = y + min(height / 2 + 3.4, 9)
        class_ = "b r" if day.day == 1 else "f s r"
        add(group, "text", text, x=FRAME.left - 4, y=y, class_=class_)


def _draw_marks(parent: Element, scene: Scene, tops: list[float], height: float) -> None:
    """Marks within their rows: hatched without power, else a line along the row's foot."""
    hatched: list[str] = []
    lines: dict[str, list[str]] = {}
    for mark, index in _touched(scene):
        row, y = scene.rows[index], tops[index]
        for low, high, _ in row.spans(mark.start, max(mark.end, mark.start + 1)):
            x, width = FRAME.x(low), max(0.8, FRAME.x(high) - FRAME.x(low))
            if mark.kind in {MarkKind.POWER, MarkKind.STOPPED}:
                hatched.append(box(x, y, width, height))
            else:
                parts = lines.setdefault(SHAPES[mark.kind].colour, [])
                parts.append(f"M{number(x)} {number(y + height)}h{number(width)}")
    if hatched:
        add(parent, "path", d=path(hatched), fill=hatch(scene))
    for colour, parts in sorted(lines.items()):
        add(parent, "path", d=path(parts), class_=f"line thin l-{colour}")


def _touched(scene: Scene) -> list[tuple[Mark, int]]:
    """Each mark with each row that it touches."""
    touched = []
    for mark in scene.marks:
        for index, row in enumerate(scene.rows):
            if mark.start < row.end and max(mark.end, mark.start + 1) > row.begin:
                touched.append((mark, index))
    return touched


def _notes(scene: Scene) -> list[_Note]:
    """Marks of one kind and label on days close together, as one note."""
    notes: list[_Note] = []
    latest: dict[tuple[MarkKind, str], int] = {}
    for mark, index in sorted(_touched(scene), key=lambda touched: touched[1]):
        key = (mark.kind, mark.label)
        at = latest.get(key)
        if at is not None and index - notes[at].last < _DAYS_APART_MAX:
            days = notes[at].days + (index > notes[at].last)
            notes[at] = notes[at]._replace(last=index, days=days)
        else:
            latest[key] = len(notes)
            notes.append(_Note(mark, index, index, 1))
    return notes


def _draw_notes(parent: Element, scene: Scene, tops: list[float], bottom: float) -> None:
    """The notes beside their first rows; where they crowd, those that matter more."""
    kinds = list(MarkKind)
    room = int((bottom - tops[0]) / _LABELS_APART) - 1
    notes = sorted(_notes(scene), key=lambda note: (kinds.index(note.mark.kind), note.first))
    chosen = sorted(notes[:room], key=lambda note: note.first)
    y = tops[0] - _LABELS_APART
    placed = []
    for note in chosen:
        y = max(y + _LABELS_APART, tops[note.first])
        placed.append(y)
    last = bottom - (0 if len(notes) <= room else _LABELS_APART)
    for number_, note in reversed(list(enumerate(chosen))):
        last -= _LABELS_APART
        placed[number_] = min(placed[number_], last)
        last = placed[number_]
        _draw_note(parent, scene, note, placed[number_], tops)
    if len(notes) > room:
        add(parent, "text", f"and {len(notes) - room} more", x=_NOTE_X, y=bottom, class_="f s")


def _draw_note(parent: Element, scene: Scene, note: _Note, y: float, tops: list[float]) -> None:
    words = mark_words(scene.schedule, note.mark)
    if note.days > 1:
        words += f", and on {counted(note.days - 1, 'day')} after it"
    group = label(tell(add(parent, "g", role="graphics-symbol img"), words), words)
    x, row_y = FRAME.left + FRAME.width + 1, tops[note.first] + 0.5
    leader = f"M{number(x)} {number(row_y)}L{number(_NOTE_X - 1)} {number(y + 5)}"
    add(group, "path", d=leader, class_="grid")
    add_shape(group, note.mark.kind, _NOTE_X, y + 1)
    has_days = note.days > 1 and note.mark.kind is not MarkKind.DRIEST  # a gap has its length
    days = f", {note.days} d" if has_days else ""
    text = shortened(note.mark.label.removeprefix("longest "), _NOTE_LENGTH - len(days)) + days
    add(group, "text", text, x=_NOTE_X + SIZE + 2, y=y + 8.4, class_="s")
