"""A site's calendar: when each anchor happens, day by day, remembered."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from controller.core.anchor import Anchor, ClockTime, SunEvent
from controller.core.sun import Absence, SunTime, solar_noon, sun_time
from controller.core.units import DAY_MS, HOUR_MS, Instant, date_of_number, day_number
from controller.core.wall_clock import (
    instant_of_local,
    load_zone,
    local_datetime,
    local_day,
    local_midnight,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.core.plan import Site

# How much is kept of what was computed: enough for a walk through a year with all four events
# of the sun, small enough for a small board with many loads.
_REMEMBERED_MAX = 2048
_Value = TypeVar("_Value")


class Start(NamedTuple):
    """When an anchor of a day happens; of several at one instant the highest precedence wins,
    of equals the later listed."""

    instant: Instant
    precedence: int = 0


# As the season nears the midnight sun, sunset, dusk, dawn and sunrise close in on midnight,
# and nearing the polar night dawn, sunrise, sunset and dusk close in on noon. Where they
# have met they keep that order: it stays day in the first and night in the second, however
# the spans are listed (rule 2, "continuity decides").
_PRECEDENCE = {
    (SunEvent.SUNSET, Absence.SUN_STAYS_UP): -2,
    (SunEvent.DUSK, Absence.SUN_STAYS_UP): -1,
    (SunEvent.DAWN, Absence.SUN_STAYS_UP): 1,
    (SunEvent.SUNRISE, Absence.SUN_STAYS_UP): 2,
    (SunEvent.DAWN, Absence.SUN_STAYS_DOWN): -2,
    (SunEvent.SUNRISE, Absence.SUN_STAYS_DOWN): -1,
    (SunEvent.SUNSET, Absence.SUN_STAYS_DOWN): 1,
    (SunEvent.DUSK, Absence.SUN_STAYS_DOWN): 2,
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
        self._midnights: dict[object, Instant] = {}

    def clock_time(self, number: int, time_ms: int) -> Instant:
        """When the site's clocks show a time on the date of that day number."""
        return instant_of_local(self.zone, date_of_number(number), time_ms)

    def midnight(self, number: int) -> Instant:
        """When the local date of that day number begins."""
        return remember(self._midnights, number, lambda: local_midnight(self.zone, number))

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

    def local_day(self, number: int) -> tuple[Instant, Instant]:
        """From the first instant that shows the local date of that number until after the last;
        see `wall_clock.local_day`."""
        return local_day(self.zone, number)

    def date_of(self, instant: Instant) -> date:
        """The local date at an instant."""
        return self.local(instant).date()

    def start_of(self, anchor: Anchor, number: int) -> Start | None:
        """When a clock or sun anchor of that day happens.

        For clock times the day is the local date, for sun events the solar day. None for a
        load's change, and for a clock time on a date that the zone skips as a whole.
        """
        if isinstance(anchor.base, ClockTime):
            if self.midnight(number) == self.midnight(number + 1):
                return None
            return Start(self.clock_time(number, anchor.base.time_ms) + anchor.offset_ms)
        if isinstance(anchor.base, SunEvent):
            time = self.sun_time(anchor.base, number)
            precedence = 0 if time.absence is None else _PRECEDENCE[anchor.base, time.absence]
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


ALL_KNOWN_MS = 34 * HOUR_MS


def days_around(start: Instant, end: Instant) -> range:
    """The day numbers whose anchors matter to [start, end): those that can start within it,
    be the last to start before it or the first to start after it.

    A day's anchors lie from 38 h before to 60 h after the UTC midnight of its number (zones
    reach from -12 to +14 h, a dial has 24 h, an offset at most 12). So these days have all
    that start within `ALL_KNOWN_MS` of the interval; an anchor that happens every day has its
    neighbours nearer than that, those at the poles on two days of the year excepted.
    """
    return range(start // DAY_MS - 3, -(-end // DAY_MS) + 3)
