"""When each load is on during a day, for drawing: intervals in seconds from the day's start."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.anchor import SunEvent
from controller.core.units import SECOND_MS, rfc3339
from controller.report.day import spans_on

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from controller.core.orders import Notice, Reason
    from controller.core.schedule import Schedule
    from controller.core.timeline import Timeline
    from controller.core.units import Instant

Intervals = list[list[float]]


class BandKeeper:
    """The listener that keeps the intervals of a run, half open, by load."""

    def __init__(self, schedule: Schedule) -> None:
        self.on: list[Intervals] = [[] for _ in schedule.loads]
        self._start: Instant = 0
        self._since: list[Instant | None] = [None for _ in schedule.loads]

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """Opens the intervals of what is on."""
        self._start = start
        self._since = [start if is_on else None for is_on, _ in states]

    def change(
        self,
        instant: Instant,
        place: int,
        reason: Reason,  # noqa: ARG002 - what the relay does is drawn, not why
        *,
        is_on: bool,
        is_wet: bool,  # noqa: ARG002 - nor what the water does
    ) -> None:
        """Closes an interval, or opens one."""
        if is_on and self._since[place] is None:
            self._since[place] = instant
        elif not is_on:
            self._close(place, instant)

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Keeps nothing."""

    def finish(self, end: Instant) -> None:
        """Closes what is on still."""
        for place in range(len(self.on)):
            self._close(place, end)

    def _close(self, place: int, end: Instant) -> None:
        since = self._since[place]
        if since is not None and end > since:
            self.on[place].append(
                [(since - self._start) / SECOND_MS, (end - self._start) / SECOND_MS]
            )
        self._since[place] = None


def sun_of(schedule: Schedule, day: date) -> dict[str, str | None]:
    """The instants of the sun's events on a date; None where there is none."""
    times = {event.value: schedule.calendar.sun_event_on(event, day) for event in SunEvent}
    return {name: rfc3339(time) if isinstance(time, int) else None for name, time in times.items()}


def spans_of(schedule: Schedule, timeline: Timeline, day: date) -> list[dict[str, Any]]:
    """The spans of a list that start on a date, as `rootclock day --json` lists them, and which
    of the list each is."""
    return [
        {
            "start_utc": rfc3339(span.start),
            "from": str(span.anchor),
            "cycle": span.cycle,
            "place": span.place,
        }
        for span in spans_on(schedule, timeline, day)
    ]
