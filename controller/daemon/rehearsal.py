"""A rehearsal: the controller under a clock that is faster than life, with modelled sensors."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.memory import settled_memory
from controller.core.observation import Observation
from controller.daemon.modelled_sensors import ModelledSensors
from controller.dry_run.fault_clock import NO_TROUBLE
from controller.dry_run.virtual_relays import VirtualRelays
from controller.shell.clock.paced_clock import PacedClock

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from controller.core.decide import Decision
    from controller.core.memory import Memory
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.listeners import Listener
    from controller.weather.air_series import AirSeries


class Pace(NamedTuple):
    """From when to when, how many times as fast as life, in which air, and who is told."""

    start: Instant
    end: Instant
    speed: float
    air: Mapping[str, AirSeries]
    listeners: Sequence[Listener]


class Rehearsal:
    """The clock, the sensors and the beginning of a rehearsal, and the telling of its steps.

    The loads start as if the plan had run undisturbed until then, the sensors are modelled as
    in a dry run, and the clock is never late: so the listeners are told what a dry run would
    tell them, and the lines follow. That is so as long as nobody changes the plan.
    """

    def __init__(self, schedule: Schedule, pace: Pace) -> None:
        self.pace = pace
        self.clock = PacedClock(start=pace.start, end=pace.end, speed=pace.speed)
        self.memory: Memory = settled_memory(
            schedule,
            Observation(pace.start, 0, 0, True, {}),
        )
        self._told = VirtualRelays(schedule, pace.listeners)
        self._told.take_over(self.memory, NO_TROUBLE)
        self.sensors = ModelledSensors(
            self.clock, lambda: self._told.is_wet, air=pace.air, end=pace.end
        )
        self._has_begun = False

    def is_over(self) -> bool:
        """Whether its end is reached."""
        return self.clock.is_over

    def tell(self, seen: Observation, decision: Decision) -> None:
        """Tells the listeners what a step did, as a dry run tells them."""
        if self._has_begun:
            self._told.carry_out(seen.now, decision, clock_off_ms=0)
        else:
            self._has_begun = True
            self._told.begin(seen.now, decision.memory, NO_TROUBLE)
        for notice in decision.notices:
            for listener in self.pace.listeners:
                listener.notice(seen.now, notice)

    def finish(self) -> None:
        """Tells the listeners that it is over."""
        now, _ = self.clock.read()
        for listener in self.pace.listeners:
            listener.finish(now)
