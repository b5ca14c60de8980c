"""Days as rows tall enough for notes: for runs of up to a month."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import HOUR_MS
from controller.report.bar_paths import BarPaths
from controller.report.note_band import LEVEL, Note, draw_notes, notes_of
from controller.report.phrases import MONTHS, WEEKDAYS, counted, date_words, length_words, turn_words
from controller.report.picture_ground import Ground, draw_grid, draw_hours, hatch
from controller.report.picture_marks import MarkKind
from controller.report.picture_scene import Frame
from controller.report.recording import Blend
from controller.report.svg import add, box, number, path, tell
from controller.report.text_cells import shortened

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from controller.report.day_rows import DayRow
    from controller.report.picture_scene import Scene
    from controller.report.recording import Bars
    from controller.core.schedule import LoadSchedule

FRAME = Frame(left=46, width=336)
_LANES_HEIGHT = 1000.0  # shared by all lanes of all rows
_LANE_MIN, _LANE_MAX = 3.0, 20.0
_NAMED_LANE_MIN = 9.0  # a lane from which on it has room for its name
_HEAD = 12.0  # the date above named lanes
_NAME_LENGTH = 8
_TEXT_RISE = 3.4  # from the middle of a line of text to its baseline


class _Look(NamedTuple):
    lane: float
    gap: float  # between rows
    is_named: bool

    @property
    def slit(self) -> float:
        """Between lanes."""
        return 1.0 if self.lane >= 6 else 0.5


class _Box(NamedTuple):
    """Where a row stands: its notes end and its lanes begin at `top`."""

    row: DayRow
    notes: list[Note]
    crowded: int
    label_y: float
    top: float
    height: float


def draw_days(parent: Element, scene: Scene, top: float) -> float:
    """Draws all rows and the hours above and below them; returns where they end."""
    loads = len(scene.schedule.loads)
    lane = min(_LANE_MAX, max(_LANE_MIN, _LANES_HEIGHT / (len(scene.rows) * loads)))
    if loads > 1 and len(scene.rows) * loads <= 150:
        lane = max(lane, _NAMED_LANE_MIN)
    look = _Look(lane, 8.0 if len(scene.rows) <= 14 else 5.0, loads > 1 and lane >= _NAMED_LANE_MIN)
    draw_hours(parent, FRAME, top + 9)
    boxes, bottom = _boxes(scene, look, top + 14)
    ground = Ground(scene, FRAME)
    for row_box in boxes:
        ground.gather(row_box.row, row_box.top, row_box.height)
    ground.draw(parent)
    draw_grid(parent, FRAME, [(row_box.top, row_box.height) for row_box in boxes])
    for index, row_box in enumerate(boxes):
        _draw_row(parent, scene, look, row_box, index)
    draw_hours(parent, FRAME, bottom + 9)
    return bottom + 14


def _boxes(scene: Scene, look: _Look, top: float) -> tuple[list[_Box], float]:
    loads = len(scene.schedule.loads)
    height = loads * look.lane + (loads - 1) * look.slit
    boxes = []
    for row in scene.rows:
        notes, crowded = notes_of(scene, row, FRAME)
        levels = max((note.level + 1 for note in notes), default=0)
        band = max(levels * LEVEL, _HEAD if look.is_named else 0)
        lanes_top = top + band
        label_y = lanes_top - 3 if look.is_named else lanes_top + min(height / 2, 12) + _TEXT_RISE
        boxes.append(_Box(row, notes, crowded, label_y, lanes_top, height))
        top = lanes_top + height + look.gap
    return boxes, top - look.gap


def _draw_row(parent: Element, scene: Scene, look: _Look, row_box: _Box, index: int) -> None:
    row = row_box.row
    words = [
        f"{load.name}: {_done_words(load, scene.recording.lanes[place][index])}"
        for place, load in enumerate(scene.schedule.loads)
    ]
    group = add(parent, "g", role="graphics-object group")
    group.set("aria-label", f"{date_words(row.day)}. {'; '.join(words)}")
    _label(group, row_box, look, is_first=index == 0)
    lanes = add(group, "g", transform=FRAME.by_minutes)
    for place, load in enumerate(scene.schedule.loads):
        y = row_box.top + place * (look.lane + look.slit) + look.lane / 2
        lane = tell(add(lanes, "g"), f"{date_words(row.day)}, {words[place]}")
        paths = BarPaths()
        paths.gather(row, scene.recording.lanes[place][index], y, look.lane)
        paths.draw(lane, load.kind, look.lane)
        scene.note_paths(paths)
        if look.is_named:
            name = shortened(load.name, _NAME_LENGTH)
            add(group, "text", name, x=FRAME.left - 4, y=y + _TEXT_RISE - 0.4, class_="s f r")
    _draw_over(group, scene, look, row_box)
    draw_notes(group, scene.schedule, row_box.notes, row_box.top - 1)
    if row_box.crowded:
        more = f"+{row_box.crowded}"
        add(group, "text", more, x=FRAME.left - 4, y=row_box.top - 4, class_="s f r")


def _label(group: Element, row_box: _Box, look: _Look, *, is_first: bool) -> None:
    day = row_box.row.day
    month = f"{day.day} {MONTHS[day.month - 1]}"
    weekday = WEEKDAYS[day.weekday()]
    x = 2.0
    if look.is_named:
        add(group, "text", f"{weekday} {day.day}", x=x, y=row_box.label_y, class_="b")
    elif row_box.height >= 20:
        add(group, "text", weekday, x=x, y=row_box.label_y - 5.5, class_="b")
        add(group, "text", month, x=x, y=row_box.label_y + 5.5, class_="f")
    else:
        text = month if is_first or day.day == 1 else f"{weekday} {day.day}"
        add(group, "text", text, x=x, y=row_box.label_y, class_="b")
