"""Hearing: what each load should do just now, by the highest authority that has a say: stop
switch, guards, hold, recovery turn, variant, plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core import guards, recovery
from controller.core.demand.signs import Signs
from controller.core.draft import Draft
from controller.core.guards import Verdict
from controller.core.lamp_signs import signs_for
from controller.core.memory import LoadMemory, Turn
from controller.core.orders import AlarmCode, Event, Notice, Reason, Why
from controller.core.variants import change_notices, variant_in_force
from controller.core.wish import Wish, by_timeline
from controller.core.wishes import by_plan, wish_of

if TYPE_CHECKING:
    from controller.core.observation import Tick
    from controller.core.schedule import LoadSchedule

_NEVER: Tick = 10**15
_STOPPED = Verdict(Why.STOPPED)


class Hearing(Draft):
    """A draft that knows what each load should do, and whose recovery watering it is.

    Asking ends what is over by now: a hold, a variant, a turn.
    """

    __slots__ = ()

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
