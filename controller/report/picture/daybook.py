"""Days as rows tall enough for notes: for runs of up to a month."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import (
    MONTHS,
    WEEKDAYS,
    counted,
    date_words,
    length_words,
    turn_words,
)
from controller.report.picture.bar_paths import BarPaths
from controller.report.picture.ground import Ground, draw_grid, draw_hours, hatch
from controller.report.picture.marks import MarkKind
from controller.report.picture.note_band import LEVEL, Note, draw_notes, notes_of
from controller.report.picture.recording import Blend
from controller.report.picture.scene import Frame, lane_name
from controller.report.picture.shapes import SHAPES
from controller.report.picture.svg import add, box, label, number, path, tell

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from controller.core.schedule import LoadSchedule
    from controller.report.picture.day_rows import DayRow
    from controller.report.picture.recording import Bars
    from controller.report.picture.scene import Scene

FRAME = Frame(left=46, width=336)
_LANES_HEIGHT = 1000.0  # shared by all lanes of all rows
_LANE_MIN, _LANE_MAX = 3.0, 20.0
_NAMED_LANE_MIN = 9.0  # a lane from which on it has room for its name
_HEAD = 12.0  # the date above named lanes
_HATCHED = {MarkKind.POWER, MarkKind.STOPPED}
_TEXT_RISE = 3.4  # from the middle of a line of text to its baseline


class Drawn(NamedTuple):
    """Where the rows end, and what was drawn in their lanes."""

    bottom: float
    lanes: list[BarPaths]


class _Look(NamedTuple):
    lane: float
    gap: float  # between rows
    is_named: bool

    @property
    def slit(self) -> float:
        """Between lanes."""
        return 1.0 if self.lane >= 6 else 0.5

    @property
    def sky(self) -> float:
        """Above and below the lanes of a row, where its day and night show without bars."""
        return min(3.0, self.lane / 5)


class _Box(NamedTuple):
    """Where a row stands: its notes end and its sky begins at `top`."""

    row: DayRow
    notes: list[Note]
    crowded: int
    label_y: float
    top: float
    height: float

    def middle_of(self, place: int, look: _Look) -> float:
        """The height of the middle of a load's lane."""
        return self.top + look.sky + place * (look.lane + look.slit) + look.lane / 2


def draw_days(parent: Element, scene: Scene, top: float) -> Drawn:
    """Draws all rows and the hours above and below them."""
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
    lanes = [
        lane
        for index, row_box in enumerate(boxes)
        for lane in _draw_row(parent, scene, look, row_box, index)
    ]
    draw_hours(parent, FRAME, bottom + 11)
    return Drawn(bottom + 15, lanes)


def _boxes(scene: Scene, look: _Look, top: float) -> tuple[list[_Box], float]:
    loads = len(scene.schedule.loads)
    height = loads * look.lane + (loads - 1) * look.slit + 2 * look.sky
    boxes = []
    for row in scene.rows:
        notes, crowded = notes_of(scene, row, FRAME)
        levels = max((note.level + 1 for note in notes), default=0)
        band = max(levels * LEVEL, _HEAD if look.is_named else 0)
        lanes_top = top + band
        label_y = lanes_top - 3 if look.is_named else lanes_top + min(height / 2, 13) + _TEXT_RISE
        boxes.append(_Box(row, notes, crowded, label_y, lanes_top, height))
        top = lanes_top + height + look.gap
    return boxes, top - look.gap


def _draw_row(
    parent: Element, scene: Scene, look: _Look, row_box: _Box, index: int
) -> list[BarPaths]:
    row = row_box.row
    words = [
        f"{load.name}: {_done_words(load, scene.recording.lanes[place][index])}"
        for place, load in enumerate(scene.schedule.loads)
    ]
    group = add(parent, "g", role="graphics-object group")
    label(group, f"{date_words(row.day)}. {'; '.join(words)}")
    _label(group, row_box, look)
    by_minutes = add(group, "g", transform=FRAME.by_minutes)
    lanes = []
    for place, load in enumerate(scene.schedule.loads):
        y = row_box.middle_of(place, look)
        lane = tell(add(by_minutes, "g"), f"{date_words(row.day)}, {words[place]}")
        paths = BarPaths()
        paths.gather(row, scene.recording.lanes[place][index], y, look.lane)
        paths.draw(lane, load.kind, look.lane)
        lanes.append(paths)
        if look.is_named:
            name = lane_name(scene, place)
            add(group, "text", name, x=FRAME.left - 4, y=y + _TEXT_RISE - 0.4, class_="s f r")
    _draw_over(group, scene, look, row_box)
    draw_notes(group, scene.schedule, row_box.notes, row_box.top - 1)
    if row_box.crowded:
        more = f"+{row_box.crowded}"
        add(group, "text", more, x=FRAME.left - 4, y=row_box.top - 4, class_="s f r")
    return lanes


def _label(group: Element, row_box: _Box, look: _Look) -> None:
    day = row_box.row.day
    month = f"{day.day} {MONTHS[day.month - 1]}"
    weekday = WEEKDAYS[day.weekday()]
    x = 2.0
    if look.is_named:
        add(group, "text", f"{weekday} {day.day}", x=x, y=row_box.label_y, class_="b")
    else:
        add(group, "text", weekday, x=x, y=row_box.label_y - 5.5, class_="b")
        add(group, "text", month, x=x, y=row_box.label_y + 5.5, class_="f")


def _done_words(load: LoadSchedule, bars: Bars) -> str:
    """What a load did in a day: how often and how long it was on."""
    on_ms = sum(b.on_ms if isinstance(b, Blend) else b.on_ms * b.times for b in bars)
    if any(isinstance(bar, Blend) for bar in bars):
        return f"on for {length_words(on_ms)} in all"
    times = sum(bar.times for bar in bars if not isinstance(bar, Blend))
    turns = counted(times, turn_words(load.kind, 1), turn_words(load.kind, 2))
    return f"{turns}, on for {length_words(on_ms)} in all"


def _draw_over(group: Element, scene: Scene, look: _Look, row_box: _Box) -> None:
    """What is laid over the lanes: hours without power, bars without water, dry gaps."""
    row = row_box.row
    dark = [
        box(FRAME.x(low), row_box.top, FRAME.x(high) - FRAME.x(low), row_box.height)
        for mark in scene.marks
        if mark.kind in _HATCHED
        for low, high, _ in row.spans(mark.start, mark.end)
    ]
    if dark:
        add(group, "path", d=path(dark), fill=hatch(scene))
    hollow = [
        f"M{number(FRAME.x(low) + 0.7)} {number(row_box.middle_of(episode.place, look))}"
        f"H{number(max(FRAME.x(low) + 0.9, FRAME.x(high) - 0.7))}"
        for episode in scene.recording.episodes
        if episode.why is None
        for low, high, _ in row.spans(episode.start, episode.end)
    ]
    if hollow:
        inside = max(look.lane - 2, look.lane / 2)
        add(group, "path", d=path(hollow), class_="hollow", stroke_width=inside)
    dry = [
        _dimension_line(low, high, row_box.middle_of(place, look), look.lane)
        for place, load in enumerate(scene.schedule.loads)
        for gap in [scene.account.loads[load.name].longest_dry_gap]
        if load.waters and gap is not None
        for low, high, _ in row.spans(gap.start, gap.end)
    ]
    if dry:
        add(group, "path", d=path(dry), class_=f"line l-{SHAPES[MarkKind.DRIEST].colour}")


def _dimension_line(low_ms: float, high_ms: float, y: float, lane: float) -> str:
    """A line with a stop at each end."""
    x0, x1, stop = FRAME.x(low_ms) + 0.6, FRAME.x(high_ms) - 0.6, min(3.5, lane / 2)
    stops = f"M{number(x0)} {number(y - stop)}v{number(2 * stop)}"
    stops += f"M{number(x1)} {number(y - stop)}v{number(2 * stop)}"
    return f"{stops}M{number(x0)} {number(y)}H{number(x1)}"
