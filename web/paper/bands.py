"""When each load is on during a day: spells in ms after the day's start, half open."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from controller.core.orders import AlarmCode, Event, Why, alarm_code_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.orders import Notice, Reason
    from controller.core.schedule import Schedule
    from controller.core.units import Instant

Spells: TypeAlias = tuple[tuple[int, int], ...]


class BandKeeper:
    """The listener that keeps the spells of a run, by load, and which loads waited in line for
    a recovery watering."""

    def __init__(self, schedule: Schedule) -> None:
        self.on: list[list[tuple[int, int]]] = [[] for _ in schedule.loads]
        self.has_recovered = [False for _ in schedule.loads]
        self.first_reasons: list[Reason] = []
        self._places = schedule.places
        self._start: Instant = 0
        self._since: list[Instant | None] = [None for _ in schedule.loads]

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """Opens the spells of what is on."""
        self._start = start
        self._since = [start if is_on else None for is_on, _ in states]
        self.first_reasons = [reason for _, reason in states]
        for place, reason in enumerate(self.first_reasons):
            self.has_recovered[place] |= reason.why is Why.RECOVERY

    def change(
        self,
        instant: Instant,
        place: int,
        reason: Reason,
        *,
        is_on: bool,
        is_wet: bool,  # noqa: ARG002 - what the relay does is drawn, not what the water does
    ) -> None:
        """Closes a spell, or opens one."""
        if reason.why is Why.RECOVERY:
            self.has_recovered[place] = True
        if is_on and self._since[place] is None:
            self._since[place] = instant
        elif not is_on:
            self._close(place, instant)

    def notice(self, instant: Instant, notice: Notice) -> None:  # noqa: ARG002 - which, counts
        """A turn in the line that came to nothing is a turn all the same."""
        is_missed = alarm_code_of(notice.detail) is AlarmCode.WATERING_MISSED
        if notice.event is Event.ALARM_RAISED and is_missed and notice.subject in self._places:
            self.has_recovered[self._places[notice.subject]] = True

    def finish(self, end: Instant) -> None:
        """Closes what is on still."""
        for place in range(len(self.on)):
            self._close(place, end)

    def _close(self, place: int, end: Instant) -> None:
        since = self._since[place]
        if since is not None and end > since:
            self.on[place].append((since - self._start, end - self._start))
        self._since[place] = None
