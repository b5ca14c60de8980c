"""Figures of water as words: no more digits than models know, and ranges where there are any."""

from __future__ import annotations

from math import floor, log10
from typing import TYPE_CHECKING

from controller.core.phrases import clock_words, length_words, moment_words
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from controller.core.calendar import Calendar
    from controller.core.units import Instant
    from controller.core.water.bounds import Bounds

# Of any unit: what sums of floating-point numbers leave where nothing was.
_NOTHING = 1e-6


def two_figures(value: float) -> str:
    """A number of 0 or more to two figures, without an exponent: `340`, `8.4`, `0.071`; less
    than a millionth is nothing."""
    if value < _NOTHING:
        return "0"
    # Rounded first, so that 0.0996 is 0.10 and not 0.100.
    rounded = float(f"{value:.1e}")
    decimals = 1 - floor(log10(rounded))
    return f"{rounded:,.{max(0, decimals)}f}"


def ranged(bounds: Bounds, words: Callable[[float], str], *, after: str = "") -> str:
    """The likely value and its range, `44 L (40 to 48)`; once where all three read the same.

    Args:
        bounds: the values.
        words: of one value: a number, or a number, a space and its unit.
        after: words between the likely value and its range: `41 % left (18 to 63)`.
    """
    low, likely, high = (words(value) for value in bounds)
    if low == likely == high:
        return f"{likely}{after}"
    low, high = (text.partition(" ")[0] for text in (low, high))
    return f"{likely}{after} ({low} to {high})"


def range_words(bounds: Bounds, unit: str, *, after: str = "") -> str:
    """A range to two figures: `340 L/h (250 to 410)`; one number where it is no range."""
    return ranged(bounds, lambda value: f"{two_figures(value)} {unit}", after=after)


def share_words(bounds: Bounds, *, after: str = "") -> str:
    """Shares of a whole as percentages without decimals: `41 % left (18 to 63)`."""
    return ranged(bounds, percent_text, after=after)


def percent_text(share: float) -> str:
    """A share as a percentage without decimals: `41 %`."""
    return f"{100 * share:.0f} %"


def rough_length_words(length_ms: float) -> str:
    """A length that a model tells: to the minute within ten hours, else to the hour."""
    pitch_ms = MINUTE_MS if length_ms < 10 * HOUR_MS else HOUR_MS
    rounded_ms = round(length_ms / pitch_ms) * pitch_ms
    if rounded_ms == 0 and length_ms > 0:
        return "under a minute"
    return length_words(rounded_ms)


def around_words(instant: Instant, calendar: Calendar) -> str:
    """A moment that a model tells, to the minute before it: `Wed 1 Jul 14:32`."""
    return moment_words(_minute_of(instant), calendar)


def around_clock_words(instant: Instant, calendar: Calendar) -> str:
    """Its time of day alone: `14:32`."""
    return clock_words(_minute_of(instant), calendar)


def around_on_words(instant: Instant, day: date, calendar: Calendar) -> str:
    """The same where a date is told already: its date again only where that is another."""
    if calendar.date_of(instant) == day:
        return around_clock_words(instant, calendar)
    return around_words(instant, calendar)


def a_day(bounds: Bounds, length_ms: int) -> Bounds:
    """Amounts of so long a time, by day; `length_ms` above 0."""
    return bounds.times(DAY_MS / length_ms)


def _minute_of(instant: Instant) -> Instant:
    return instant // MINUTE_MS * MINUTE_MS
