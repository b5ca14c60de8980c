"""The draft of a decision: the loads as they will be, and what is ordered, noted and alarmed."""

from __future__ import annotations

from operator import itemgetter
from typing import TYPE_CHECKING

from controller.core import guards, recovery
from controller.core.alarms import AlarmBoard
from controller.core.memory import LoadMemory, Memory
from controller.core.orders import AlarmCode, Notice, Order, Reason, Why
from controller.core.tuples import made

if TYPE_CHECKING:
    from controller.core.memory import Alarm
    from controller.core.observation import Observation, Tick
    from controller.core.schedule import Schedule
    from controller.core.timeline import Timeline
    from controller.core.wish import Wish

_OF_LOADS = (AlarmCode.NO_SPAN, AlarmCode.KEPT_WAITING)
_LOOK = itemgetter(LoadMemory._fields.index("look"))


class Draft:
    """What one decision has come to so far; lives no longer than the call."""

    __slots__ = (
        "board",
        "has_given_up",
        "is_calm",
        "loads",
        "looks",
        "memory",
        "notices",
        "orders",
        "planned",
        "queue",
        "schedule",
        "seen",
        "starts",
        "tick",
        "turns_given",
        "watts_on",
        "weighed",
    )

    def __init__(
        self, schedule: Schedule, memory: Memory, seen: Observation, notices: list[Notice]
    ) -> None:
        self.schedule = schedule
        self.memory = memory
        self.seen = seen
        self.tick = seen.tick
        self.loads = list(memory.loads)
        self.looks: list[Tick] = [*map(_LOOK, memory.loads)]
        self.weighed: list[int] = []  # the places of the loads that were given a new memory
        self.planned: dict[Timeline, Wish] = {}  # what each says now, for all that follow it
        self.starts = memory.starts
        self.queue = memory.recovery
        self.notices = notices
        self.orders: list[Order] = []
        self.turns_given = 0
        self.has_given_up = False  # whether a load that waited does so no more
        # Whatever forbids a load to be on, but want of flow, has raised its alarm by now.
        self.is_calm = not (memory.alarms or memory.is_stopped)
        self.watts_on: float | None = None  # summed up when first asked for
        self.board: AlarmBoard | None = None  # made by the few decisions that need it

    def _watts_on(self) -> float:
        if self.watts_on is None:
            of_loads = zip(self.schedule.loads, self.loads, strict=True)
            self.watts_on = sum(load.watts for load, memory in of_loads if memory.is_on)
        return self.watts_on

    def _instant(self, tick: Tick) -> int:
        return self.seen.now + tick - self.tick

    def _board(self) -> AlarmBoard:
        if self.board is None:
            self.board = AlarmBoard(self.memory.alarms, self.seen.now)
        return self.board

    def _switch_off(
        self,
        place: int,
        reason: Reason,
        look: Tick,
        *,
        flow_retry: Tick | None = None,
        rests_until: Tick | None = None,
    ) -> None:
        load, memory = self.schedule.loads[place], self.loads[place]
        if reason.why is Why.NO_SPAN:
            self._board().tell(AlarmCode.NO_SPAN, load.name, is_active=True)
        watered = memory.watered
        # What a demand itself ends was as long as is asked for now.
        is_as_asked = reason.why is Why.DEMAND
        if load.counts_waterings and recovery.is_worth_the_name(
            load, memory, self.seen, is_as_asked=is_as_asked
        ):
            watered = self.tick
        self._switch(
            place,
            watered,
            reason,
            look,
            is_on=False,
            flow_retry=flow_retry,
            rests_until=rests_until,
        )

    def _switch(
        self,
        place: int,
        watered: Tick | None,
        reason: Reason,
        look: Tick,
        *,
        is_on: bool,
        flow_retry: Tick | None = None,
        rests_until: Tick | None = None,
    ) -> None:
        memory = self.loads[place]
        self.loads[place] = made(LoadMemory, (
            is_on, self.tick, look, reason, watered, memory.hold, memory.variant,
            memory.variant_since, None, flow_retry, rests_until,
        ))  # fmt: skip
        self.looks[place] = look
        self.weighed.append(place)
        load = self.schedule.loads[place]
        self.orders.append(made(Order, (load.name, is_on, reason)))
        if self.watts_on is not None:
            self.watts_on += load.watts if is_on else -load.watts

    def _keep(
        self,
        place: int,
        memory: LoadMemory,
        reason: Reason,
        look: Tick,
        *,
        waits_since: Tick | None = None,
        flow_retry: Tick | None = None,
        rests_until: Tick | None = None,
    ) -> None:
        self.loads[place] = made(LoadMemory, (
            memory.is_on, memory.since, look, reason, memory.watered, memory.hold,
            memory.variant, memory.variant_since, waits_since, flow_retry,
            memory.rests_until if rests_until is None else rests_until,
        ))  # fmt: skip
        self.looks[place] = look
        self.weighed.append(place)

    def all_orders(self) -> tuple[Order, ...]:
        """Every load's state, changed or not."""
        of_loads = zip(self.schedule.loads, self.loads, strict=True)
        return tuple(Order(load.name, its.is_on, its.reason) for load, its in of_loads)

    def _end_alarms(self, alarms: tuple[Alarm, ...]) -> None:
        """Ends those of loads that are kept waiting, or have no span, no more."""
        for alarm in alarms:
            if alarm.code not in _OF_LOADS or not alarm.is_active:
                continue
            its = self.loads[self.schedule.places[alarm.subject]]
            lasts = (
                its.reason.why is Why.NO_SPAN
                if alarm.code is AlarmCode.NO_SPAN
                else guards.is_kept_waiting(its, self.tick)
            )
            if not lasts:
                self._board().tell(alarm.code, alarm.subject, is_active=False)

    def memory_after(self) -> Memory:
        """What the next decision must remember; completes the notices."""
        memory, seen = self.memory, self.seen
        alarms = memory.alarms if self.board is None else self.board.as_tuple()
        if alarms:
            self._end_alarms(alarms)
        if self.board is not None:
            alarms = self.board.as_tuple()
            self.notices += self.board.notices
        return made(Memory, (
            seen.boot, memory.booted, seen.now, seen.tick, seen.is_clock_trusted,
            memory.untrusted_since, memory.down_since, memory.is_stopped,
            memory.is_switch_pressed, tuple(self.loads), self.starts, self.queue,
            memory.readings, memory.known, memory.awaited, memory.sensor_look, alarms,
            memory.troubles,
        ))  # fmt: skip
