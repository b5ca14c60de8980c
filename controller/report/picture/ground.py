"""The ground of a picture: night, twilight and day of each row, hours, and their numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core import daylight
from controller.core.units import HOUR_MS
from controller.report.picture.svg import add, box, number, path

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from xml.etree.ElementTree import Element

    from controller.core.units import Instant
    from controller.report.picture.day_rows import DayRow
    from controller.report.picture.scene import Frame, Scene

_HOURS = range(0, 25, 3)


class Ground:
    """The shades of rows, gathered so that each shade is one path."""

    def __init__(self, scene: Scene, frame: Frame) -> None:
        self._scene = scene
        self._frame = frame
        self._shades: dict[str, list[str]] = {"night": [], "twi": [], "day": []}
        self._outside: list[str] = []
        self._skipped: list[str] = []

    def gather(self, row: DayRow, top: float, height: float) -> None:
        """Takes in a row: shaded by the real times of the sun on its date, where it belongs
        to the run; its other hours are only outlined."""
        calendar = self._scene.schedule.calendar
        start, end = self._scene.shown(row)
        shades = {
            "night": [(start, end)],
            "twi": daylight.not_night(calendar, start, end),
            "day": daylight.sun_up(calendar, start, end),
        }
        for shade, times in shades.items():
            self._shades[shade] += self._boxes(row, times, top, height)
        outside = [(row.begin, start), (end, row.end)]
        self._outside += self._boxes(row, outside, top + 0.3, height - 0.6)
        for low, high in row.skipped:
            x, width = self._frame.x(low), self._frame.x(high) - self._frame.x(low)
            self._skipped.append(box(x, top, width, height))

    def _boxes(
        self, row: DayRow, times: Iterable[tuple[Instant, Instant]], top: float, height: float
    ) -> list[str]:
        boxes = []
        for begin, stop in times:
            for low, high, turn in row.spans(begin, stop):
                share = 0.5 if turn else 1.0
                y = top + height / 2 if turn == 2 else top
                x = self._frame.x(low)
                boxes.append(box(x, y, self._frame.x(high) - x, height * share))
        return boxes

    def draw(self, parent: Element) -> None:
        """Draws the shades of all rows."""
        for shade, boxes in self._shades.items():
            if boxes:
                add(parent, "path", d=path(boxes), class_=shade)
        if self._outside:
            add(parent, "path", d=path(self._outside), class_="edge")
        if self._skipped:
            add(parent, "path", d=path(self._skipped), fill=hatch(self._scene))


def hatch(scene: Scene) -> str:
    """The paint of what is not there: skipped hours, and hours without power."""
    return f"url(#{scene.id_prefix}hatch)"


def add_hatch(parent: Element, scene: Scene) -> None:
    """Defines that paint."""
    defs = add(parent, "defs")
    pattern = add(
        defs,
        "pattern",
        id=f"{scene.id_prefix}hatch",
        width="4",
        height="4",
        patternUnits="userSpaceOnUse",
        patternTransform="rotate(45)",
    )
    add(pattern, "path", d="M1 0V4", class_="hatch")


def draw_grid(parent: Element, frame: Frame, rows: Sequence[tuple[float, float]]) -> None:
    """Thin lines every three hours through rows of (top, height), a stronger one at noon."""
    for hour in _HOURS:
        x = number(frame.x(hour * HOUR_MS))
        parts = [f"M{x} {number(top)}v{number(height)}" for top, height in rows]
        add(parent, "path", d=path(parts), class_="grid noon" if hour == 12 else "grid")


def draw_hours(parent: Element, frame: Frame, baseline: float) -> None:
    """The hours of the dial, every third."""
    group = add(parent, "g", aria_hidden="true")
    add(group, "text", "hour", x=frame.left - 8, y=baseline, class_="f s r")
    for hour in _HOURS:
        place = "f s r" if hour == 24 else "f s m"
        x = frame.x(hour * HOUR_MS) + (5 if hour == 24 else 0)
        add(group, "text", str(hour), x=x, y=baseline, class_=place)
