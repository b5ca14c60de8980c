"""When it is light: while the sun is up, in twilight, and for plants under lamps."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from controller.core.anchor import SunEvent
from controller.core.units import DAY_MS, Instant

if TYPE_CHECKING:
    from collections.abc import Iterable

    from controller.core.calendar import Calendar
    from controller.core.schedule import Schedule
    from controller.core.timeline import Timeline

Stretches: TypeAlias = list[tuple[Instant, Instant]]


def sun_up(calendar: Calendar, start: Instant, end: Instant) -> Stretches:
    """The times within [start, end) at which the sun is up, in order, neighbours joined."""
    return _between(calendar, SunEvent.SUNRISE, SunEvent.SUNSET, start, end)


def not_night(calendar: Calendar, start: Instant, end: Instant) -> Stretches:
    """The times within [start, end) of daylight and civil twilight, in order."""
    return _between(calendar, SunEvent.DAWN, SunEvent.DUSK, start, end)


def _between(
    calendar: Calendar, rising: SunEvent, setting: SunEvent, start: Instant, end: Instant
) -> Stretches:
    """From one event of each solar day to the other.

    The stand-ins of absent events make this right where the sun stays up (from solar
    midnight to solar midnight) and where it stays down (no time, at solar noon).
    """
    # At any longitude a solar day lies within the UTC day of its number and its neighbours.
    numbers = range(start // DAY_MS - 1, end // DAY_MS + 2)
    return _cut(
        (
            (calendar.sun_time(rising, n).instant, calendar.sun_time(setting, n).instant)
            for n in numbers
        ),
        start,
        end,
    )


def _cut(stretches: Iterable[tuple[Instant, Instant]], start: Instant, end: Instant) -> Stretches:
    """What of ordered stretches lies within [start, end), neighbours joined."""
    found: Stretches = []
    for begin, stop in stretches:
        begin, stop = max(start, begin), min(end, stop)
        if begin >= stop:
            continue
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(stop, found[-1][1]))
        else:
            found.append((begin, stop))
    return found


def light(schedule: Schedule, start: Instant, end: Instant) -> Stretches:
    """The plants' day within [start, end): while a lamp is on as planned, and in a plan
    without lamps while the sun is up."""
    lamps = [load.own for load in schedule.loads if load.kind == "lamp"]
    if not lamps:
        return sun_up(schedule.calendar, start, end)
    lit = sorted(stretch for lamp in lamps for stretch in _on_times(lamp, start, end))
    return _cut(lit, start, end)


def _on_times(timeline: Timeline, start: Instant, end: Instant) -> Stretches:
    edges = [start] if timeline.state_at(start) else []
    edges += [instant for instant, _ in timeline.changes(start, end)]
    edges += [end] if len(edges) % 2 else []
    return list(zip(edges[::2], edges[1::2], strict=True))


def length_ms(stretches: Stretches) -> int:
    """How long stretches last in all."""
    return sum(end - start for start, end in stretches)
