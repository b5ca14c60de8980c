"""The time of a run in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.phrases import clock_words, counted, date_words, length_words
from controller.core.units import DAY_MS
from controller.core.wall_clock import local_datetime
from controller.report.text_cells import printable

if TYPE_CHECKING:
    from controller.core.calendar import Calendar
    from controller.core.units import Instant


def from_to_words(calendar: Calendar, start: Instant, end: Instant) -> str:
    """From when to when, in local time with years."""
    return f"{_moment_words(calendar, start)} to {_moment_words(calendar, end)}"


def _moment_words(calendar: Calendar, instant: Instant) -> str:
    day = calendar.date_of(instant)
    return f"{date_words(day)} {day.year} {clock_words(instant, calendar)}"


def days_words(calendar: Calendar, start: Instant, end: Instant) -> str:
    """How long, in days of the calendar where they are whole ones, and by which clocks."""
    first, last = (
        local_datetime(calendar.zone, instant).replace(tzinfo=None) for instant in (start, end)
    )
    dial_days = (last - first).total_seconds() * 1000 / DAY_MS
    length = counted(int(dial_days), "day") if dial_days.is_integer() else length_words(end - start)
    return f"{length} in {printable(calendar.zone.key)} time"
