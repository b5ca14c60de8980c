"""Weighing: what becomes of the wishes of a decision - which loads go off, which go on and in
which turn, and what of it the guards let pass."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from controller.core import guards
from controller.core.hearing import Hearing
from controller.core.orders import AlarmCode, Event, Notice, Reason, Why
from controller.core.wish import Wish

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.guards import Verdict
    from controller.core.observation import Tick

_Starter: TypeAlias = tuple[int, Wish]  # a load's place, and its wish to go on
# What protects people, water and pumps does not wait for `shortest_on`.
_AT_ONCE = (Why.STOPPED, Why.LEAK, Why.LEVEL_LOW, Why.NO_FLOW, Why.LONGEST_ON)
_AS_PLANNED = (Why.PLAN, Why.VARIANT, Why.DEMAND, Why.WITHOUT_CLOCK)


class Weighing(Hearing):
    """A draft that settles the loads which are due."""

    __slots__ = ()

    def weigh(self, due: list[int]) -> None:
        """Gives every load that is due its state: first those that go off, which frees
        watts and turns, then those that go on, in turn."""
        if self.queue:
            due = self._take_turns(due)
        starters = []
        has_freed = False
        for place in due:
            wish = self._wish(place)
            memory = self.loads[place]
            if wish.is_on and not memory.is_on:
                starters.append((place, wish))
            elif memory.is_on and not wish.is_on:
                has_freed |= self._stop(place, wish)
            else:
                has_freed |= self._stay(place, wish)
        if (has_freed or self.has_given_up) and self._has_waiting():
            starters = self._with_waiting(starters, beside=due)
        elif len(starters) > 1:
            starters = self._in_turn(starters)
        if starters:
            self._start_all(starters, due, has_freed=has_freed)

    def _start_all(self, starters: list[_Starter], due: Sequence[int], *, has_freed: bool) -> None:
        while starters:
            place, wish = starters.pop(0)
            if not wish.is_on:
                self._stay(place, wish)
            elif self._start(place, wish) and not has_freed:
                has_freed = True
                starters = self._with_waiting(starters, beside=due)

    def shed(self) -> None:
        """Switches off what the supply does not carry, once another plan allows less than is
        on; what else waits may have the watts that are left."""
        watts_max = self.schedule.plan.guards.watts_at_once
        if watts_max is None or not guards.exceeds(self._watts_on(), watts_max):
            return
        for place in guards.overloads(self.schedule.loads, self.loads, watts_max):
            reason = Reason(Why.WATTS_AT_ONCE, self.loads[place].reason.piece)
            self._switch_off(place, reason, self.tick + 1)
            self.loads[place] = self.loads[place]._replace(waits_since=self.tick)
        self._start_all(self._with_waiting([], beside=()), (), has_freed=True)

    def _has_waiting(self) -> bool:
        """Whether any load waits for its turn or for watts."""
        plan_guards = self.schedule.plan.guards
        if plan_guards.watts_at_once is None and not plan_guards.starts_apart:
            return False
        return any(memory.waits_since is not None for memory in self.loads)

    def _with_waiting(self, starters: list[_Starter], *, beside: Sequence[int]) -> list[_Starter]:
        """Those that start and those that wait, but for the ones that are due, in turn."""
        waiting = [
            (place, self._wish(place))
            for place, memory in enumerate(self.loads)
            if memory.waits_since is not None and place not in beside
        ]
        return self._in_turn([*starters, *waiting])

    def _in_turn(self, starters: list[_Starter]) -> list[_Starter]:
        """Who has waited for longest comes first, else a busy load would starve those after
        it; who waits since the same moment comes in the order of the plan."""

        def turn(starter: _Starter) -> tuple[Tick, int]:
            since = self.loads[starter[0]].waits_since
            return (self.tick if since is None else since), starter[0]

        return sorted(starters, key=turn)

    # What becomes of it

    def _stay(self, place: int, wish: Wish) -> bool:
        """Leaves a load as it is, but for one that has been on for long enough. True where
        that frees watts or a turn."""
        load, memory = self.schedule.loads[place], self.loads[place]
        reason, look = wish.reason, wish.look
        if memory.is_on:
            verdict = guards.ends_on(load, memory, self.tick)
            if verdict is not None:
                rested = self.tick + guards.rest_ms(load, verdict.why)
                reason = Reason(verdict.why, wish.reason.piece, until=self._instant(rested))
                self._switch_off(place, reason, min(look, rested))
                return True
            look = min(look, guards.next_check(load, since=memory.since, tick=self.tick))
        elif memory.waits_since is not None and reason.why in _AS_PLANNED:
            self._board().happened(AlarmCode.WATERING_MISSED, load.name, memory.reason.why.value)
        if reason.why is Why.NO_SPAN:
            self._board().tell(AlarmCode.NO_SPAN, load.name, is_active=True)
        flow_retry = memory.flow_retry if reason.why is Why.NO_FLOW else None
        self._keep(place, memory, reason, look, flow_retry=flow_retry, rests_until=wish.rests_until)
        return memory.waits_since is not None

    def _stop(self, place: int, wish: Wish) -> bool:
        """Switches a load off, or lets it finish its shortest on. True where it went off."""
        load, memory = self.schedule.loads[place], self.loads[place]
        verdict = None
        if wish.reason.why not in _AT_ONCE:
            verdict = guards.delays_stop(load, memory, self.tick)
        if verdict is not None and verdict.ask_again is not None:
            reason = Reason(verdict.why, wish.reason.piece, until=self._instant(verdict.ask_again))
            check = guards.next_check(load, since=memory.since, tick=self.tick)
            self._keep(place, memory, reason, min(wish.look, verdict.ask_again, check))
            return False
        reason, look, flow_retry = wish.reason, wish.look, None
        if reason.why is Why.NO_FLOW:
            flow_retry = self.tick + guards.FLOW_RETRY_MS
            look = min(look, flow_retry)
            reason = reason._replace(until=self._instant(flow_retry))
            self._board().happened(AlarmCode.NO_FLOW, load.name)
        self._switch_off(place, reason, look, flow_retry=flow_retry, rests_until=wish.rests_until)
        return True

    def _start(self, place: int, wish: Wish) -> bool:
        """Switches a load on, or has it wait for its rest, its turn or watts. True where it
        gives its turn back, because there are no watts to use it."""
        load, memory = self.schedule.loads[place], self.loads[place]
        plan_guards = self.schedule.plan.guards
        verdict = guards.delays_start(
            load,
            memory,
            plan_guards,
            starts=self.starts,
            watts_on=self._watts_on() if plan_guards.watts_at_once is not None else 0.0,
            tick=self.tick,
        )
        if verdict is not None:
            self._wait(place, wish, verdict)
            had_turn = memory.reason.why is Why.STARTS_APART
            return had_turn and verdict.why is Why.WATTS_AT_ONCE
        look = min(wish.look, guards.next_check(load, since=self.tick, tick=self.tick))
        if plan_guards.starts_apart:
            self.starts = (*self.starts, self.tick)[-plan_guards.starts_together :]
        if wish.reason.why is Why.RECOVERY:
            self.notices.append(Notice(Event.RECOVERY_BEGAN, load.name))
        self._switch(place, memory.watered, wish.reason, look, is_on=True)
        return False

    def _wait(self, place: int, wish: Wish, verdict: Verdict) -> None:
        memory = self.loads[place]
        look, until = wish.look, verdict.ask_again
        if until is not None and verdict.why is Why.STARTS_APART:
            # Those that wait already have the turns before this one.
            plan_guards = self.schedule.plan.guards
            rounds = self.turns_given // plan_guards.starts_together
            until += rounds * plan_guards.starts_apart
            self.turns_given += 1
        if until is not None:
            look = min(look, until)
        why = verdict.why
        if why is Why.SHORTEST_OFF and memory.reason.why is Why.LONGEST_ON:
            why = Why.LONGEST_ON
        reason = Reason(why, wish.reason.piece, "", None if until is None else self._instant(until))
        waits_since = None
        if verdict.why is not Why.SHORTEST_OFF:
            waits_since = self.tick if memory.waits_since is None else memory.waits_since
            told = waits_since + guards.WAIT_MS_MAX
            if self.tick < told:
                look = min(look, told)
            else:
                name = self.schedule.loads[place].name
                self._board().tell(AlarmCode.KEPT_WAITING, name, is_active=True, detail=why.value)
        self._keep(place, memory, reason, look, waits_since=waits_since)
