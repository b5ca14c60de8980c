"""A panel of a picture: a run's time across, a quantity from nothing up."""

from __future__ import annotations

from math import ceil, log10
from sys import float_info
from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import MONTHS
from controller.core.units import DAY_MS, Instant, day_number
from controller.report.picture.scene import WIDTH
from controller.report.picture.svg import add, number, path

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from controller.core.calendar import Calendar

LEFT, RIGHT = 36.0, 66.0  # for the numbers of the scale, and for the names of marks
_DATES_MAX = 7
_DATES_APART = (1, 2, 4, 7, 14, 28, 61, 122)  # days


class TimePanel(NamedTuple):
    """Where a run's time and a quantity from 0 to `most` lie in the picture."""

    start: Instant
    end: Instant
    top: float
    height: float
    most: float

    @property
    def bottom(self) -> float:
        """Where nothing lies."""
        return self.top + self.height

    def x(self, instant: Instant) -> float:
        """Where an instant lies across."""
        width = WIDTH - LEFT - RIGHT
        return LEFT + width * (instant - self.start) / (self.end - self.start)

    def y(self, value: float) -> float:
        """Where a value lies from the top."""
        return self.bottom - self.height * value / self.most


def round_up(value: float) -> float:
    """The top of a scale that has room for a value: the next of 1, 2, 2.5, 5 times a power of
    ten; 1 for nothing, or for less than a computer holds to all its digits."""
    if value < float_info.min:
        return 1.0
    power = 10.0 ** (ceil(log10(value)) - 1)
    return next(step * power for step in (1, 2, 2.5, 5, 10) if step * power >= value * (1 - 1e-12))


def draw_scale(group: Element, panel: TimePanel, most: str, unit: str = "") -> None:
    """Draws the panel's top and bottom with their values, and the unit beside them."""
    across = f"h{number(WIDTH - LEFT - RIGHT)}"
    lines = [f"M{number(LEFT)} {number(y)}{across}" for y in (panel.top, panel.bottom)]
    add(group, "path", d=path(lines), class_="grid noon")
    add(group, "text", most, x=LEFT - 4, y=panel.top + 8, class_="f s r")
    add(group, "text", "0", x=LEFT - 4, y=panel.bottom + 3, class_="f s r")
    if unit:
        add(group, "text", unit, x=WIDTH - RIGHT + 4, y=panel.top + 4, class_="f s")


def draw_days(
    group: Element, panel: TimePanel, calendar: Calendar, *, with_dates: bool = False
) -> None:
    """Draws thin lines at midnights, as many as there is room for dates; and these above."""
    ticks = _midnights(panel, calendar)
    lines = [f"M{number(panel.x(at))} {number(panel.top)}v{number(panel.height)}" for at in ticks]
    if lines:
        add(group, "path", d=path(lines), class_="grid")
    for at in ticks if with_dates else ():
        date = calendar.date_of(at)
        text = f"{date.day} {MONTHS[date.month - 1]}"
        add(group, "text", text, x=panel.x(at), y=panel.top - 3, class_="f s m")


def _midnights(panel: TimePanel, calendar: Calendar) -> list[Instant]:
    first, last = (day_number(calendar.date_of(at)) for at in (panel.start, panel.end))
    least = (panel.end - panel.start) / DAY_MS / _DATES_MAX
    apart = next((days for days in _DATES_APART if days >= least), ceil(least))
    midnights = [calendar.midnight(day) for day in range(first, last + 1, apart)]
    return [at for at in midnights if panel.start <= at <= panel.end]
