"""Moments as people type them: a date, a local time, an instant, or how long ago."""

from __future__ import annotations

import re
from datetime import date, time, timedelta
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import BadInstantError
from controller.core.units import (
    MINUTE_MS,
    SECOND_MS,
    parse_date,
    parse_duration_ms,
    parse_rfc3339,
    shown,
    utc_datetime,
)
from controller.core.wall_clock import instant_of_local

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from controller.core.units import Instant

_LOCAL = re.compile(r"(?:(\d{4}-\d\d-\d\d)[Tt ])?(\d\d:\d\d(?::\d\d)?)", re.ASCII)
_DATE = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_AGO = re.compile(r"[0-9.]+\s*[hms]", re.ASCII)


class Moment(NamedTuple):
    """One of: a local date, with or without a time of day; a time of day alone, which is the
    last one that there was; an instant; how long ago."""

    day: date | None = None
    time_ms: int | None = None
    instant: Instant | None = None
    ago_ms: int | None = None

    def in_zone(self, zone: ZoneInfo, *, now: Instant, is_end: bool) -> Instant:
        """The instant meant. A date without a time is its beginning, or as an end its end."""
        if self.instant is not None:
            return self.instant
        if self.ago_ms is not None:
            return now - self.ago_ms
        if self.day is None:
            return _last_time(zone, self.time_ms or 0, now=now)
        day = self.day
        if self.time_ms is None and is_end:
            return instant_of_local(zone, day + timedelta(days=1), 0)
        return instant_of_local(zone, day, self.time_ms or 0)


def parse_moment(text: str) -> Moment:
    """The moment of `2026-07-01`, `2026-07-01T06:00`, `06:00`, `2026-07-01T04:00:00Z` or `24h`.

    Raises:
        BadInstantError, BadDurationError: the text is none of these.
    """
    local = _LOCAL.fullmatch(text)
    if local is not None:
        try:
            of_day = time.fromisoformat(local[2])
        except ValueError:
            raise BadInstantError(f"{shown(text)} has no such time of day") from None
        minutes = of_day.hour * 60 + of_day.minute
        day = None if local[1] is None else parse_date(local[1])
        return Moment(day, time_ms=minutes * MINUTE_MS + of_day.second * SECOND_MS)
    if _AGO.match(text):
        return Moment(ago_ms=parse_duration_ms(text))
    if len(text) > 10 and text[4:5] == "-":
        return Moment(instant=parse_rfc3339(text))
    if not _DATE.fullmatch(text):
        raise BadInstantError(
            f"{shown(text)} is no moment: write it like 2026-07-01, 2026-07-01T06:00, 06:00, "
            "2026-07-01T04:00:00Z, or how long ago: 24h"
        )
    return Moment(day=parse_date(text))


def _last_time(zone: ZoneInfo, time_ms: int, *, now: Instant) -> Instant:
    """When it was that time of day for the last time."""
    today = utc_datetime(now).astimezone(zone).date()
    at = instant_of_local(zone, today, time_ms)
    return at if at <= now else instant_of_local(zone, today - timedelta(days=1), time_ms)
