"""Relays that switch nothing and tell their listeners everything."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.orders import Reason, Why
from controller.core.recurrence import later_reason
from controller.dry_run.listeners import Change

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.decide import Decision
    from controller.core.memory import Memory
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.fault_clock import Trouble
    from controller.dry_run.listeners import Listener, Told

_NO_POWER = Reason(Why.NO_POWER)


class VirtualRelays:
    """The state of every load, as the orders left it, by its place in the plan.

    A load is wet while it is on and moves what it is to move; only a failing pump is on
    and not wet.
    """

    def __init__(self, schedule: Schedule, listeners: Sequence[Listener]) -> None:
        self._schedule = schedule
        self._listeners = listeners
        self._failing: frozenset[str] = frozenset()
        self._clock_off_ms = 0
        self.is_on: list[bool] = []
        self.is_wet: list[bool] = []
        self._reasons: list[Reason] = []

    def take_over(self, memory: Memory, trouble: Trouble) -> None:
        """Takes the loads over in the state that they have before the run's first decision."""
        self._failing = trouble.failing
        dark = trouble.is_power_out
        self.is_on = [load.is_on and not dark for load in memory.loads]
        self.is_wet = [self._wets(place) for place in range(len(memory.loads))]
        self._reasons = [_NO_POWER if dark else load.reason for load in memory.loads]

    def begin(self, now: Instant, memory: Memory, trouble: Trouble) -> None:
        """Tells the state of every load after the run's first decision."""
        self.take_over(memory, trouble)
        states = list(zip(self.is_on, self._reasons, strict=True))
        for listener in self._listeners:
            listener.begin(now, states)
            for place, is_wet in enumerate(self.is_wet):
                if is_wet is not self.is_on[place]:
                    reason = self._reasons[place]
                    listener.change(now, place, reason, is_on=self.is_on[place], is_wet=is_wet)

    def carry_out(self, now: Instant, decision: Decision, *, clock_off_ms: int) -> None:
        """Switches what is ordered; a state that has only another reason is told as well.

        `clock_off_ms` is how far the controller's clock is ahead: what it means to do at a
        time of its own is told as the true time at which it will.
        """
        self._clock_off_ms = clock_off_ms
        for order in decision.orders:
            place = self._schedule.places[order.load]
            if order.is_on is not self.is_on[place]:
                self._set(now, place, order.reason, is_on=order.is_on)
        loads, told = decision.memory.loads, self._reasons
        for place in decision.weighed:
            reason = loads[place].reason
            if reason is not told[place] and reason.why is not told[place].why:
                self._set(now, place, reason, is_on=self.is_on[place])

    def pass_by(self, told: Sequence[Told], *, passed_ms: int) -> None:
        """What was told is told again until so much later, and leaves every load as it is."""
        for one in told:
            if isinstance(one, Change):
                self._reasons[one.place] = later_reason(one.reason, passed_ms)

    def lose_power(self, now: Instant) -> None:
        """Everything goes off."""
        for place in range(len(self.is_on)):
            self._set(now, place, _NO_POWER, is_on=False)

    def fail(self, now: Instant, failing: frozenset[str]) -> None:
        """From now on these pumps, and no others, move no water."""
        if failing == self._failing:
            return
        self._failing = failing
        for place in range(len(self.is_on)):
            if self._wets(place) is not self.is_wet[place]:
                self._set(now, place, self._reasons[place], is_on=self.is_on[place])

    def _wets(self, place: int) -> bool:
        return self.is_on[place] and self._schedule.loads[place].name not in self._failing

    def _set(self, now: Instant, place: int, reason: Reason, *, is_on: bool) -> None:
        self.is_on[place] = is_on
        is_wet = self.is_wet[place] = is_on and (not self._failing or self._wets(place))
        self._reasons[place] = reason
        if self._clock_off_ms and reason.until is not None:
            reason = reason._replace(until=reason.until - self._clock_off_ms)
        for listener in self._listeners:
            listener.change(now, place, reason, is_on=is_on, is_wet=is_wet)
