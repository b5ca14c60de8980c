"""The world of a running controller: its clock, relays, sensors, journal and people."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.journal_entry import Deed, Entry
from controller.core.observation import Observation, Trouble
from controller.core.orders import AlarmCode, Why
from controller.core.snapshot import snapshot_text
from controller.core.units import HOUR_MS
from controller.core.wiring import wires_of
from controller.core.words import sentence
from controller.daemon.inbox import Asked, Inbox, Outcome
from controller.daemon.lateness import Lateness

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from controller.core.decide import Decision
    from controller.core.memory import Memory
    from controller.core.orders import Notice, Order
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.daemon.ports import Clock, Journal, Relays, Sensors


class Outage(NamedTuple):
    """How this start of the controller follows on the last: which it is, and what is known
    of the time between."""

    boot: int
    kernel_boot: str
    since: Instant | None = None
    length_ms: int | None = None


class _Left(NamedTuple):
    """A load that has left the plan, and the state that its line was left in."""

    load: str
    is_on: bool


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
        self._left: tuple[_Left, ...] = ()
        self._sum_up_at = 0

    def use(self, schedule: Schedule, *, earlier: Memory | None, notices: Sequence[Notice]) -> None:
        """From the next decision on, this plan with this memory; the notices tell how it
        was taken over. The lines are claimed anew when the decision is carried out."""
        if self._schedule is not None and self._earlier is not None:
            self._left += _left_loads(self._schedule, self._earlier, schedule)
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
        asked = self._asked
        told, self._told_before = self._told_before, ()
        entries = [_noticed(seen, notice, notice.detail) for notice in told]
        entries += [
            _noticed(
                seen,
                notice,
                notice.detail,
                self.explain(notice),
                f"by {asked.who}" if asked is not None and asked.brings_about(notice) else "",
            )
            for notice in decision.notices
        ]
        left, self._left = self._left, ()
        entries += [
            Entry(
                seen.now,
                seen.tick,
                seen.is_clock_trusted,
                _deed(is_on=one.is_on).value,
                one.load,
                Why.PLAN.value,
                "It is no longer in the plan, and is left as the earlier plan says for a stop.",
            )
            for one in left
        ]
        return entries + [
            self._switching(seen, order, late_ms.get(order.load)) for order in decision.orders
        ]

    def _switching(self, seen: Observation, order: Order, late_ms: float | None) -> Entry:
        assert self._schedule is not None
        load = self._schedule.loads[self._schedule.places[order.load]]
        return Entry(
            seen.now,
            seen.tick,
            seen.is_clock_trusted,
            _deed(is_on=order.is_on).value,
            order.load,
            order.reason.why.value,
            sentence(
                order.reason,
                load,
                is_on=order.is_on,
                now=seen.now,
                calendar=self._schedule.calendar,
            ),
            None if late_ms is None else round(late_ms, 3),
        )


def _noticed(seen: Observation, notice: Notice, *details: str) -> Entry:
    return Entry(
        seen.now,
        seen.tick,
        seen.is_clock_trusted,
        notice.event.value,
        notice.subject,
        detail=", ".join(filter(None, details)),
    )


def _no_more(notice: Notice) -> str:
    """The notice says it all."""
    del notice
    return ""


def _nobody(seen: Observation, decision: Decision, entries: Sequence[Entry]) -> None:
    """Nobody listens."""


def _deed(*, is_on: bool) -> Deed:
    return Deed.SWITCHED_ON if is_on else Deed.SWITCHED_OFF


def _left_loads(old: Schedule, memory: Memory, new: Schedule) -> tuple[_Left, ...]:
    """The loads whose state changes because they, or what they were, are gone from the plan.

    One of another kind that has the name now begins off, whatever the plan says for a stop.
    """
    left = []
    for load, its in zip(old.loads, memory.loads, strict=True):
        planned = new.plan.loads.get(load.name)
        if planned is not None and planned.kind == load.kind:
            continue
        state = planned is None and old.plan.loads[load.name].when_stopped == "on"
        if state is not its.is_on:
            left.append(_Left(load.name, state))
    return tuple(left)
