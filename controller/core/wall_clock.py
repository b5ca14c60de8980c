"""Local time: where clocks on the wall and instants meet.

Only anchors and people need local time (rule 1 of the core). A time that a zone skips
moves to the first instant after the gap; one that it repeats is its first occurrence
(rule 2).
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from controller.core.errors import UnknownZoneError
from controller.core.units import (
    SECOND_MS,
    Instant,
    date_of_number,
    instant_of,
    shown,
    utc_datetime,
)

# Files that lie among the zones and are none: copies that count leap seconds (27 s off) or
# are not on every machine, the machine's own zone, and the tz database's "not set".
_NO_ZONES = ("right/", "posix/", "posixrules", "localtime", "Factory")


@lru_cache(maxsize=64)
def load_zone(name: str) -> ZoneInfo:
    """The zone of a tz database name: from the system, else from the tzdata package.

    Raises:
        UnknownZoneError: neither knows such a zone.
    """
    unknown = UnknownZoneError(f"{shown(name)} is not a time zone of the tz database")
    if name.startswith(_NO_ZONES):
        raise unknown
    try:
        return ZoneInfo(name)
    except (LookupError, ValueError, OSError):
        # A missing key, a path in disguise, a folder ("America"), a name too long.
        raise unknown from None


def instant_of_local(zone: ZoneInfo, day: date, time_ms: int) -> Instant:
    """The instant at which the zone's clocks show that time on that date.

    `time_ms` counts from midnight on the dial (0 to under 24 h), not elapsed time.
    """
    # Wall arithmetic: within one zone, datetime adds what the dial shows.
    first = datetime(day.year, day.month, day.day, tzinfo=zone) + timedelta(milliseconds=time_ms)
    second = first.replace(fold=1)
    before, after = first.utcoffset(), second.utcoffset()
    if before is None or after is None:  # a zone of zoneinfo always has an offset
        raise UnknownZoneError(f"{zone.key} states no offset from UTC")
    if before >= after:  # an ordinary time, or the first of two
        return instant_of(first)
    # The dial skips this time: the clocks are put forward somewhere between the two readings.
    return _transition(zone, instant_of(second), instant_of(first), before)


def _transition(zone: ZoneInfo, earlier: Instant, later: Instant, before: timedelta) -> Instant:
    """The first instant after `earlier`, not after `later`, with an offset other than `before`.

    Zone rules change on whole seconds, so the search ends on one.
    """
    low, high = earlier // SECOND_MS, -(-later // SECOND_MS)
    while high - low > 1:
        middle = (low + high) // 2
        if utc_datetime(middle * SECOND_MS).astimezone(zone).utcoffset() == before:
            low = middle
        else:
            high = middle
    return high * SECOND_MS


def local_datetime(zone: ZoneInfo, instant: Instant) -> datetime:
    """What the zone's clocks show at an instant."""
    return utc_datetime(instant).astimezone(zone)


def local_day(zone: ZoneInfo, number: int) -> tuple[Instant, Instant]:
    """From the first instant that shows a local date (a day number) until after the last.

    Half open; without length where the zone skips the date. Where clocks are put back over
    midnight (St. John's at 00:01), instants that show the next date lie before the end.
    """
    day = date_of_number(number)
    last = datetime(day.year, day.month, day.day, 23, 59, 59, 999_000, tzinfo=zone, fold=1)
    begin, following = local_midnight(zone, number), local_midnight(zone, number + 1)
    return begin, max(following, instant_of(last) + 1)


def local_midnight(zone: ZoneInfo, number: int) -> Instant:
    """The instant at which a local date (a day number) begins."""
    return instant_of_local(zone, date_of_number(number), 0)
