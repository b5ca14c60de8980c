"""The world of a dry run: a clock that jumps from event to event, modelled sensors, and
relays that only tell their listeners."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.memory import settled_memory
from controller.core.observation import (
    AcknowledgeRequest,
    HoldRequest,
    Observation,
    ReleaseRequest,
    Request,
    ResumeRequest,
    StopRequest,
)
from controller.core.orders import Event, Notice
from controller.core.tuples import made
from controller.dry_run.faults import AcknowledgeAt, HoldAt, ReleaseAt, StopAt
from controller.dry_run.listeners import BulkListener, Tape, tell_again
from controller.dry_run.virtual_relays import VirtualRelays
from controller.dry_run.virtual_sensors import VirtualSensors

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from controller.core.decide import Decision
    from controller.core.memory import Alarm, Memory
    from controller.core.observation import Tick, Trouble
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.fault_clock import FaultClock
    from controller.dry_run.faults import Deed
    from controller.dry_run.listeners import Listener
    from controller.weather.air_series import AirSeries


_NO_TROUBLES: frozenset[Trouble] = frozenset()


class VirtualWorld:
    """A world in which time is free.

    `true_now` is what a perfect clock shows; the controller sees its own clock, which the
    fault script may set wrong, and ticks, which count from the start of each boot. `tape`
    hears what the listeners hear.
    """

    def __init__(
        self,
        schedule: Schedule,
        *,
        start: Instant,
        end: Instant,
        air: Mapping[str, AirSeries],
        faults: FaultClock,
        listeners: Sequence[Listener],
    ) -> None:
        self.true_now = start
        self._end = end
        self._schedule = schedule
        self._faults = faults
        self._listeners = listeners
        self.tape = Tape()
        self._told = (*listeners, self.tape)
        self._relays = VirtualRelays(schedule, self._told)
        self._sensors = VirtualSensors(schedule, air, faults, end)
        self._trouble = faults.trouble_at(start)
        self._next_border = self._border_after(start)
        self._boot = 0
        self._booted = start
        self._down_since: Instant | None = None
        self._slow_ms = 0  # how far a clock that nobody set after an outage is behind
        self._deeds = faults.deeds_at(start)
        self._alarms: tuple[Alarm, ...] = ()
        self._has_begun = False

    @property
    def is_over(self) -> bool:
        """Whether the end of the run is reached."""
        return self.true_now >= self._end

    @property
    def is_steady(self) -> bool:
        """Whether nobody and nothing but time has moved since the last step, and the
        controller's clock is right."""
        return (
            not self._deeds
            and not self._trouble.is_power_out
            and self._clock_now() == self.true_now
            and self._sensors.say_the_same
        )

    @property
    def steady_until(self) -> Instant:
        """Until when the world stays as it is, but for the flow of water."""
        return min(self._next_border, self._sensors.fresh_until)

    def pass_by(self, *, period_ms: int, times: int) -> None:
        """What is on the tape, which is of the period just over, happens again so many times;
        the world must be steady until then."""
        told = self.tape.told
        for listener in self._listeners:
            if isinstance(listener, BulkListener):
                listener.again(told, period_ms=period_ms, times=times)
            else:
                tell_again(listener, told, period_ms=period_ms, times=times)
        self._relays.pass_by(told, passed_ms=period_ms * times)
        self.true_now += period_ms * times

    def _border_after(self, instant: Instant) -> Instant:
        """When the world next changes by itself: a fault, a person, or the end."""
        border = self._faults.next_border(instant)
        return self._end if border is None else min(border, self._end)

    def observe(self) -> Observation:
        """The world now; what people did since the last look comes with it as requests."""
        requests: tuple[Request, ...] = ()
        if self._deeds and not self._trouble.is_power_out:
            requests = tuple(request for deed in self._deeds for request in self._asked(deed))
            self._deeds = []
        now, booted, trouble = self.true_now, self._booted, self._trouble
        return made(Observation, (
            self._clock_now(),
            now - booted,
            self._boot,
            trouble.is_clock_trusted,
            self._sensors.readings(now, booted, trouble, self._relays.is_wet),
            requests,
            self._down_since,
            None,
            _NO_TROUBLES,
        ))  # fmt: skip

    def begin(self) -> Memory:
        """The memory of a controller that has followed its plan undisturbed until now, and
        the relays in the states that it remembers."""
        memory = settled_memory(self._schedule, self._clock_observation())
        self._relays.take_over(memory, self._trouble)
        return memory

    def _clock_observation(self) -> Observation:
        tick = self.true_now - self._booted
        return Observation(self._clock_now(), tick, self._boot, self._trouble.is_clock_trusted, {})

    def _clock_now(self) -> Instant:
        slow_ms = 0 if self._trouble.is_clock_trusted else self._slow_ms
        return self.true_now + self._trouble.clock_off_ms - slow_ms

    def _asked(self, deed: Deed) -> list[Request]:
        if isinstance(deed, HoldAt):
            return [HoldRequest(deed.load, deed.order, deed.for_ms)]
        if isinstance(deed, ReleaseAt):
            return [ReleaseRequest(deed.load)]
        if isinstance(deed, AcknowledgeAt):
            return [AcknowledgeRequest(alarm.code, alarm.subject) for alarm in self._alarms]
        return [StopRequest() if isinstance(deed, StopAt) else ResumeRequest()]

    def carry_out(self, seen: Observation, decision: Decision) -> None:
        """Switches the virtual relays; the first call hands them over in their first state."""
        self._alarms = decision.memory.alarms
        if self._has_begun:
            self._relays.carry_out(self.true_now, decision, clock_off_ms=seen.now - self.true_now)
        else:
            self._has_begun = True
            self._relays.begin(self.true_now, decision.memory, self._trouble)
        for notice in decision.notices:
            self._note(notice)

    def _note(self, notice: Notice) -> None:
        for listener in self._told:
            listener.notice(self.true_now, notice)

    def sleep_until(self, wake: Tick) -> None:
        """Jumps to the tick, to a change of the world before it, or to the end.

        A reading of the air needs no look-out of its own: it is stamped with the moment at
        which it changes, and the sensors say when that is.
        """
        if self.true_now >= self._end:
            return
        if self._trouble.is_power_out:  # the run starts in the dark
            self._black_out(clock_now=self._clock_now())
            return
        wake_at = max(self._booted + wake, self.true_now)
        self.true_now = min(wake_at, self._sensors.fresh_until, self._next_border)
        if self.true_now == self._next_border and not self.is_over:
            self._meet_border()

    def _meet_border(self) -> None:
        clock_now = self._clock_now()
        self._pass_border()
        if self._trouble.is_power_out:
            self._relays.lose_power(self.true_now)
            self._black_out(clock_now=clock_now)
        else:
            self._relays.fail(self.true_now, self._trouble.failing)

    def _pass_border(self) -> None:
        self._trouble = self._faults.trouble_at(self.true_now)
        if self._trouble.is_clock_trusted:  # somebody has set it
            self._slow_ms = 0
        self._deeds += self._faults.deeds_at(self.true_now)
        self._next_border = self._border_after(self.true_now)

    def _black_out(self, *, clock_now: Instant) -> None:
        """Passes the time without power; the controller starts anew when it is back."""
        self._note(Notice(Event.POWER_LOST))
        lost_at = self.true_now
        while self._trouble.is_power_out and not self.is_over:
            self._refuse_deeds()
            self.true_now = self._next_border
            self._pass_border()
        self._boot += 1
        self._booted = self.true_now
        self._down_since = clock_now
        if not self._trouble.is_clock_trusted:
            self._slow_ms += self.true_now - lost_at
        self._relays.fail(self.true_now, self._trouble.failing)

    def _refuse_deeds(self) -> None:
        for deed in self._deeds:
            self._note(Notice(Event.REQUEST_REFUSED, deed.kind, "there was no power"))
        self._deeds = []
