"""A site's calendar: when each anchor happens, day by day, remembered."""

from __future__ import annotations

from datetime import date, datetime
from enum import IntEnum
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from controller.core.anchor import Anchor, ClockTime, SunEvent
from controller.core.sun import Absence, SunTime, solar_noon, sun_time
from controller.core.units import DAY_MS, Instant, date_of_number, day_number
from controller.core.wall_clock import (
    instant_of_local,
    load_zone,
    local_datetime,
    local_midnight,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.core.plan import Site

# How many days are kept of what was computed: enough for a walk through a year, small
# enough for a small board with many loads.
_REMEMBERED_MAX = 1024
_Value = TypeVar("_Value")


class Precedence(IntEnum):
    """Which of two spans wins that start at one instant, before the order of listing.

    Where the sun stays up, the sunset of one day and the sunrise of the next are one
    solar midnight; where it stays down, sunrise and sunset are one solar noon. By
    continuity the later of the two wins: it stays day in the first, night in the second.
    """

    LISTED = 0
    BY_CONTINUITY = 1


class Start(NamedTuple):
    """When an anchor of a day happens, and how it stands against others at that instant."""

    instant: Instant
    precedence: Precedence = Precedence.LISTED


_LATER_OF_TWO = {
    (SunEvent.SUNRISE, Absence.SUN_STAYS_UP),
    (SunEvent.DAWN, Absence.SUN_STAYS_UP),
    (SunEvent.SUNSET, Absence.SUN_STAYS_DOWN),
    (SunEvent.DUSK, Absence.SUN_STAYS_DOWN),
}


def remember(memory: dict[object, _Value], key: object, compute: Callable[[], _Value]) -> _Value:
    """The value of a pure computation, computed once while the memory has room for it."""
    value = memory.get(key)
    if value is None:
        value = compute()
        keep(memory, key, value)
    return value


def keep(memory: dict[object, _Value], key: object, value: _Value) -> None:
    """Keeps a computed value; the oldest makes room."""
    if len(memory) >= _REMEMBERED_MAX:
        del memory[next(iter(memory))]
    memory[key] = value


class Calendar:
    """Turns the anchors of one site into instants.

    Pure in effect: it remembers what it computed, and computes nothing else from it.
    """

    def __init__(self, site: Site) -> None:
        self.zone = load_zone(site.timezone)
        self.latitude = site.latitude
        self.longitude = site.longitude
        self._sun_times: dict[object, SunTime] = {}

    def clock_time(self, number: int, time_ms: int) -> Instant:
        """When the site's clocks show a time on the date of that day number."""
        return instant_of_local(self.zone, date_of_number(number), time_ms)

    def midnight(self, number: int) -> Instant:
        """When the local date of that day number begins."""
        return local_midnight(self.zone, number)

    def sun_time(self, event: SunEvent, number: int) -> SunTime:
        """When a sun event happens in the solar day of that number, or its stand-in."""
        return remember(
            self._sun_times,
            (number, event),
            lambda: sun_time(event, number, latitude=self.latitude, longitude=self.longitude),
        )

    def local(self, instant: Instant) -> datetime:
        """What the site's clocks show at an instant."""
        return local_datetime(self.zone, instant)

    def date_of(self, instant: Instant) -> date:
        """The local date at an instant."""
        return self.local(instant).date()

    def start_of(self, anchor: Anchor, number: int) -> Start | None:
        """When a clock or sun anchor of that day happens; None for a load's change.

        For clock times the day is the local date, for sun events the solar day.
        """
        if isinstance(anchor.base, ClockTime):
            return Start(self.clock_time(number, anchor.base.time_ms) + anchor.offset_ms)
        if isinstance(anchor.base, SunEvent):
            time = self.sun_time(anchor.base, number)
            later = (anchor.base, time.absence) in _LATER_OF_TWO
            precedence = Precedence.BY_CONTINUITY if later else Precedence.LISTED
            return Start(time.instant + anchor.offset_ms, precedence)
        return None

    def solar_days_of(self, event: SunEvent, day: date) -> list[int]:
        """The solar days whose event belongs to a local date.

        A real event belongs to the date on which it falls: to none, one or two of them.
        A stand-in belongs to the date of its solar noon.
        """
        return [
            number
            for number in range(day_number(day) - 2, day_number(day) + 3)
            if self.date_of(self._dated_by(event, number)) == day
        ]

    def _dated_by(self, event: SunEvent, number: int) -> Instant:
        time = self.sun_time(event, number)
        return time.instant if time.absence is None else solar_noon(number, self.longitude)

    def sun_event_on(self, event: SunEvent, day: date) -> Instant | Absence | None:
        """The event on a local date; or why there is none; None where it fell on a neighbour."""
        times = [self.sun_time(event, number) for number in self.solar_days_of(event, day)]
        for time in times:
            if time.absence is None:
                return time.instant
        return times[0].absence if times else None


def days_around(start: Instant, end: Instant) -> range:
    """The day numbers whose anchors matter to [start, end): those that can start within it,
    be the last to start before it or the first to start after it.

    A day's anchors lie from 38 h before to 60 h after the UTC midnight of its number (zones
    reach from -12 to +14 h, a dial has 24 h, an offset at most 12), and an anchor that
    happens every day has neighbours at most 26 h away.
    """
    return range(start // DAY_MS - 3, -(-end // DAY_MS) + 3)
