"""Weighing: one decision in the making - what each load should do, and what becomes of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from controller.core import guards, recovery
from controller.core.demand.signs import Signs
from controller.core.draft import Draft
from controller.core.guards import Verdict
from controller.core.memory import LoadMemory, Turn
from controller.core.orders import AlarmCode, Event, Notice, Reason, Why
from controller.core.variants import change_notices, variant_in_force
from controller.core.wish import Wish, by_timeline
from controller.core.wishes import by_plan, signs_for, wish_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.observation import Tick
    from controller.core.schedule import LoadSchedule

_Starter: TypeAlias = tuple[int, Wish]  # a load's place, and its wish to go on
_NEVER: Tick = 10**15
# What protects people, water and pumps does not wait for `shortest_on`.
_AT_ONCE = (Why.STOPPED, Why.LEAK, Why.LEVEL_LOW, Why.NO_FLOW, Why.LONGEST_ON)
_AS_PLANNED = (Why.PLAN, Why.VARIANT, Why.DEMAND, Why.WITHOUT_CLOCK)
_STOPPED = Verdict(Why.STOPPED)


class Weighing(Draft):
    """What each load should do, in which turn, and what of it the guards let pass."""

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

    # What each load should do

    def _wish(self, place: int) -> Wish:
        load, memory = self.schedule.loads[place], self.loads[place]
        if load.variants:
            memory = self._choose_variant(place, load, memory)
        if memory.hold is not None and self.tick >= memory.hold.ends:
            self.notices.append(Notice(Event.HOLD_ENDED, load.name, "its time is over"))
            memory = self.loads[place] = memory._replace(hold=None)
        verdict = None
        if load.flow is not None or not self.is_calm:
            verdict = self._forbidden(load, memory)
        if verdict is not None:
            until = None if verdict.ask_again is None else self._instant(verdict.ask_again)
            look = _NEVER if verdict.ask_again is None else verdict.ask_again
            look = look if memory.hold is None else min(look, memory.hold.ends)
            wish = Wish(False, Reason(verdict.why, detail=verdict.detail, until=until), look)
            return self._until_variant_may_go(load, memory, wish)
        if (
            self.seen.is_clock_trusted
            and memory.hold is None
            and memory.variant < 0
            and not self.queue
        ):
            return self._planned(load, memory)
        is_turn = bool(self.queue) and self.queue[0].place == place
        wish = wish_of(
            load,
            memory,
            self.seen,
            signs=self._signs(load),
            untrusted_since=self.memory.untrusted_since,
            recovery_ms=recovery.length_ms(load, memory, self.seen) if is_turn else None,
        )
        if is_turn:
            stands = recovery.stands_until(load, memory, self.seen)
            wish = wish._replace(look=min(wish.look, stands))
        return self._until_variant_may_go(load, memory, wish) if load.variants else wish

    def _planned(self, load: LoadSchedule, memory: LoadMemory) -> Wish:
        """What `wish_of` comes to, a million times a year: loads that follow one timeline want
        the same, unless their plants are asked."""
        timeline = load.own
        if timeline.demands:
            return by_plan(load, memory, self.seen, self._signs(load))
        wish = self.planned.get(timeline)
        if wish is None:
            wish = self.planned[timeline] = by_timeline(timeline, self.seen, Why.PLAN, "")
        return wish

    def _signs(self, load: LoadSchedule) -> Signs:
        """What the plants on a load are asked by."""
        signs = Signs(self.memory.known, awaited=self.memory.awaited)
        return signs_for(load, self.schedule, self.loads, self.seen, signs) if load.lamps else signs

    def _until_variant_may_go(self, load: LoadSchedule, memory: LoadMemory, wish: Wish) -> Wish:
        """The wish, asked for again when the variant in force has lasted `at_least`: guards
        and holds do not keep a variant from being left."""
        if memory.variant >= 0:
            leaves = memory.variant_since + load.variants[memory.variant].at_least
            if self.tick < leaves < wish.look:
                return wish._replace(look=leaves)
        return wish

    def _choose_variant(self, place: int, load: LoadSchedule, memory: LoadMemory) -> LoadMemory:
        variant = variant_in_force(
            load, memory, self.memory.known, awaited=self.memory.awaited, tick=self.tick
        )
        if variant == memory.variant:
            return memory
        self.notices += change_notices(load, memory.variant, variant)
        memory = memory._replace(variant=variant, variant_since=self.tick)
        self.loads[place] = memory
        # The other spans may stand at another point of their cycle: no watering may be lost
        # between the two.
        is_lined_up = any(turn.place == place for turn in self.queue)
        if not is_lined_up and recovery.is_needed(load, memory, self.seen):
            turn = Turn(place, self.tick)
            if not self._is_turn_over(turn):
                self.queue = (*self.queue, turn)
        return memory

    def _forbidden(self, load: LoadSchedule, memory: LoadMemory) -> Verdict | None:
        if self.memory.is_stopped:
            return _STOPPED
        if not load.sensors:
            return None
        alarms = self.memory.alarms
        is_leak_latched = bool(alarms) and any(alarm.code is AlarmCode.LEAK for alarm in alarms)
        return guards.forbids_on(
            load,
            memory,
            self.memory.known,
            readings=self.memory.readings,
            is_leak_latched=is_leak_latched,
            tick=self.tick,
        )

    # Recovery waterings, one load after another

    def _take_turns(self, due: list[int]) -> list[int]:
        """Ends the turns that are over; the loads whose turn ends or begins are due as well."""
        concerned = set(due)
        while self.queue and self._is_turn_over(self.queue[0]):
            concerned.add(self.queue[0].place)
            self.queue = self.queue[1:]
            if self.queue:
                concerned.add(self.queue[0].place)
        return sorted(concerned)

    def _is_turn_over(self, turn: Turn) -> bool:
        """Watered in full, held by a person, forbidden by a guard, or kept waiting for as long
        as its watering would have lasted: the next one's turn."""
        place = turn.place
        load, memory = self.schedule.loads[place], self.loads[place]
        if load.variants:
            memory = self._choose_variant(place, load, memory)
        is_held = memory.hold is not None and self.tick < memory.hold.ends
        if is_held or self._forbidden(load, memory) is not None:
            return True
        if not self.seen.is_clock_trusted:
            return True
        length_ms = recovery.length_ms(load, memory, self.seen)
        if memory.is_on:
            return self.tick - memory.since >= length_ms
        waits_since = memory.waits_since
        if waits_since is not None and self.tick - waits_since >= length_ms:
            self._board().happened(AlarmCode.WATERING_MISSED, load.name, memory.reason.why.value)
            self.loads[place] = memory._replace(waits_since=None)
            self.has_given_up = True
            return True
        watered = memory.watered
        return not length_ms or (watered is not None and watered > turn.since)

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
