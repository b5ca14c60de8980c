"""The hours of a year that stands for any: 8,760 of them, named as TMY3 and EPW do."""

from __future__ import annotations

from datetime import UTC, datetime

from controller.core.units import HOUR_MS, Instant, instant_of

DAYS_OF_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
HOURS_OF_YEAR = 8760

# Month, day and hour; hours run from 1 to 24 and are named after their end.
CALENDAR_HOURS: tuple[tuple[int, int, int], ...] = tuple(
    (month, day, hour)
    for month, days in enumerate(DAYS_OF_MONTH, 1)
    for day in range(1, days + 1)
    for hour in range(1, 25)
)

_STAND_IN_START = instant_of(datetime(2001, 1, 1, tzinfo=UTC))


def stand_in_stamps(utc_offset_ms: int) -> range:
    """The ends of the hours as instants of the common year 2001 at that offset."""
    first: Instant = _STAND_IN_START + HOUR_MS - utc_offset_ms
    return range(first, first + HOURS_OF_YEAR * HOUR_MS, HOUR_MS)
