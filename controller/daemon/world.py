"""The world of a running controller: its clock, relays, sensors, journal and people."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.observation import Observation, Trouble
from controller.core.orders import AlarmCode
from controller.core.snapshot import snapshot_text
from controller.core.units import HOUR_MS
from controller.core.wiring import wires_of
from controller.daemon.entries import left_alone, left_loads, noticed, switched
from controller.daemon.inbox import Asked, Inbox, Outcome
from controller.daemon.lateness import Lateness

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from controller.core.decide import Decision
    from controller.core.journal_entry import Entry
    from controller.core.memory import Memory
    from controller.core.orders import Notice, Order
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.daemon.entries import Left
    from controller.daemon.ports import Clock, Journal, Relays, Sensors


class Outage(NamedTuple):
    """How this start of the controller follows on the last: which it is, and what is known
    of the time between."""

    boot: int
    kernel_boot: str
    since: Instant | None = None
    length_ms: int | None = None


class ControllerWorld:
    """Observes and carries out for the loop.

    Relays come first: whatever is slow or may fail (the journal, the people who wait for an
    answer) comes after them and only hands things over.
    """

    def __init__(
        self,
        *,
        clock: Clock,
        relays: Relays,
        sensors: Sensors,
        journal: Journal,
        outage: Outage,
    ) -> None:
        self.inbox = Inbox(clock.wake_up)
        self.lateness = Lateness()
        self.refused_plan: str | None = None  # why the plan on disk is not the one that runs
        self.on_step: Callable[[Observation, Decision, Sequence[Entry]], None] = _nobody
        self.explain: Callable[[Notice], str] = _no_more  # what else the journal is to say of it
        self._clock = clock
        self._relays = relays
        self._sensors = sensors
        self._journal = journal
        self._outage = outage
        self._schedule: Schedule | None = None
        self._disobedient: Collection[str] = ()
        self._is_wired = False
        self._asked: Asked | None = None
        self._earlier: Memory | None = None
        self._told_before: tuple[Notice, ...] = ()
        self._left: tuple[Left, ...] = ()
        self._sum_up_at = 0

    def use(self, schedule: Schedule, *, earlier: Memory | None, notices: Sequence[Notice]) -> None:
        """From the next decision on, this plan with this memory; the notices tell how it
        was taken over. The lines are claimed anew when the decision is carried out."""
        if self._schedule is not None and self._earlier is not None:
            self._left += left_loads(self._schedule, self._earlier, schedule)
        self._schedule = schedule
        self._earlier = earlier
        self.note(notices)
        self._is_wired = False
        self._sensors.watch(schedule.plan)

    def note(self, notices: Sequence[Notice]) -> None:
        """Tells the journal with the next decision."""
        self._told_before += tuple(notices)

    def glimpse(self) -> Observation:
        """The world as it is now, without what people asked for."""
        now, tick = self._clock.read()
        return Observation(
            now,
            tick,
            self._outage.boot,
            self._clock.is_trusted,
            self._sensors.readings,
            (),
            self._outage.since,
            self._outage.length_ms,
            self._troubles(),
        )

    def observe(self) -> Observation:
        """The world as it is now, with the next thing that people asked for."""
        self._asked = self.inbox.take()
        seen = self.glimpse()
        return seen if self._asked is None else seen._replace(requests=(self._asked.request,))

    def _troubles(self) -> frozenset[Trouble]:
        troubles = [Trouble(AlarmCode.RELAY, load) for load in self._disobedient]
        if self._journal.is_failing:
            troubles.append(Trouble(AlarmCode.JOURNAL, ""))
        if self.refused_plan is not None:
            troubles.append(Trouble(AlarmCode.PLAN_REFUSED, ""))
        return frozenset(troubles)

    def is_on(self) -> Sequence[bool]:
        """Whether each load was on after the last decision, by its place in the plan."""
        return () if self._earlier is None else [load.is_on for load in self._earlier.loads]

    def look_after_relays(self) -> None:
        """Reads every line back; one that is not as ordered is set again, and told.

        So is a load that has left the plan while its line could not be made safe: the relays
        try that themselves, and name it for as long as it does not obey.
        """
        disobedient = self._relays.disobedient()
        if self._earlier is not None and self._schedule is not None:
            states = dict(zip(self._schedule.places, self._earlier.loads, strict=True))
            disobedient = [
                load
                for load in disobedient
                if load not in states or not self._relays.switch(load, is_on=states[load].is_on)
            ]
        self._tell_disobedient(disobedient)

    def _tell_disobedient(self, loads: Collection[str]) -> None:
        if set(loads) != set(self._disobedient):
            self._disobedient = tuple(sorted(loads))
            self._clock.wake_up()

    def carry_out(self, seen: Observation, decision: Decision) -> None:
        """Switches what is ordered, then writes it down and answers."""
        assert self._schedule is not None
        late_ms = self._switch(seen, decision)
        loads = zip(self._schedule.places, decision.memory.loads, strict=True)
        self._sensors.attend([name for name, its in loads if its.is_on])
        entries = self._entries(seen, decision, late_ms)
        is_hour_over = seen.tick >= self._sum_up_at
        if entries or is_hour_over:
            self._journal.note(
                entries,
                state=snapshot_text(
                    self._schedule, decision.memory, kernel_boot=self._outage.kernel_boot
                ),
                summaries=self._sensors.summaries() if is_hour_over else (),
            )
        if is_hour_over:
            self._sum_up_at = seen.tick + HOUR_MS
        self._earlier = decision.memory
        if self._asked is not None and not self._asked.outcome.done():
            self._asked.outcome.set_result(Outcome(decision.orders, decision.notices))
        self._asked = None
        self.on_step(seen, decision, entries)

    def _switch(self, seen: Observation, decision: Decision) -> dict[str, float]:
        """Sets the lines; how late each load was that changed because its time had come."""
        assert self._schedule is not None
        if not self._is_wired:
            states = {
                name: load.is_on
                for name, load in zip(self._schedule.places, decision.memory.loads, strict=True)
            }
            self._is_wired = True
            self._tell_disobedient(self._relays.rewire(wires_of(self._schedule.plan), states))
            return {}
        late_ms: dict[str, float] = {}
        disobedient = set(self._disobedient)
        for order in decision.orders:
            obeys = self._relays.switch(order.load, is_on=order.is_on)
            (disobedient.discard if obeys else disobedient.add)(order.load)
            due = self._due(order, seen)
            if due is not None:
                late_ms[order.load] = self._clock.exact_tick_ms() - due
                self.lateness.add(late_ms[order.load])
        self._tell_disobedient(disobedient)
        return late_ms

    def _due(self, order: Order, seen: Observation) -> int | None:
        """When a load was to change by the clock alone; None where something else made it."""
        assert self._schedule is not None
        if self._earlier is None or self._asked is not None:
            return None
        look = self._earlier.loads[self._schedule.places[order.load]].look
        return look if look <= seen.tick else None

    def _entries(
        self, seen: Observation, decision: Decision, late_ms: dict[str, float]
    ) -> list[Entry]:
        assert self._schedule is not None
        asked = self._asked
        told, self._told_before = self._told_before, ()
        entries = [noticed(seen, notice, notice.detail) for notice in told]
        entries += [
            noticed(
                seen,
                notice,
                notice.detail,
                self.explain(notice),
                f"by {asked.who}" if asked is not None and asked.brings_about(notice) else "",
            )
            for notice in decision.notices
        ]
        left, self._left = self._left, ()
        entries += [left_alone(seen, one) for one in left]
        return entries + [
            switched(seen, order, self._schedule, late_ms=late_ms.get(order.load))
            for order in decision.orders
        ]


def _no_more(notice: Notice) -> str:
    """The notice says it all."""
    del notice
    return ""


def _nobody(seen: Observation, decision: Decision, entries: Sequence[Entry]) -> None:
    """Nobody listens."""
