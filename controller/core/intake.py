"""Intake: what an observation brings besides the time - a boot, a step of the clock,
readings, requests - worked into the memory before anything is weighed."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core import recovery
from controller.core.alarms import AlarmBoard
from controller.core.memory import LONG_AGO_MS, LoadMemory, Memory
from controller.core.observation import AcknowledgeRequest, Observation, ResumeRequest
from controller.core.orders import AlarmCode, Event, Notice
from controller.core.requests import carry_out
from controller.core.units import duration_text

if TYPE_CHECKING:
    from controller.core.schedule import LoadSchedule, Schedule
    from controller.core.units import Instant

_FAR_MS = 10**15  # a tick that never comes


class Intake(NamedTuple):
    """The memory with all news worked in, what to note, and which loads the news concerns."""

    memory: Memory
    notices: tuple[Notice, ...]
    concerned: frozenset[int]


def brings_news(memory: Memory, seen: Observation) -> bool:
    """Whether the observation is more than a wake at its time."""
    return (
        seen.readings is not memory.readings
        or seen.now - seen.tick != memory.now - memory.tick
        or seen.boot != memory.boot
        or seen.is_clock_trusted is not memory.is_clock_trusted
        or bool(seen.requests)
        or seen.tick >= memory.sensor_look
    )


def take_in(schedule: Schedule, memory: Memory, seen: Observation) -> Intake:
    """All news of an observation worked into the memory."""
    notices: list[Notice] = []
    everybody = frozenset(range(len(schedule.loads)))
    concerned: frozenset[int] = frozenset()
    has_joined = False
    if seen.boot != memory.boot:
        memory = _booted(schedule, memory, seen, notices)
        concerned, has_joined = everybody, seen.is_clock_trusted
    if seen.is_clock_trusted is not memory.is_clock_trusted:
        memory = _trust_changed(memory, seen, notices)
        concerned, has_joined = everybody, seen.is_clock_trusted
    step_ms = (seen.now - seen.tick) - (memory.now - memory.tick)
    if step_ms:
        concerned = everybody
        if abs(step_ms) > recovery.TOLERANCE_MS and seen.is_clock_trusted and not has_joined:
            notices.append(Notice(Event.CLOCK_STEPPED, "", duration_text(step_ms)))
            has_joined = True
    board = AlarmBoard(memory.alarms, seen.now)
    board.tell(AlarmCode.CLOCK_UNTRUSTED, "", is_active=not seen.is_clock_trusted)
    memory, touched = _read_sensors(schedule, memory, seen, board)
    if touched:
        concerned |= {place for place, load in enumerate(schedule.loads) if touched & load.sensors}
    memory = _watch_water_and_switch(schedule, memory, board, notices)
    stopped_before = memory.is_stopped
    for request in seen.requests:
        memory = carry_out(schedule, memory, request, seen, board, notices)
        concerned = everybody
    if memory.is_stopped is not stopped_before or schedule.plan.guards.stop_switch in touched:
        concerned = everybody
    if has_joined:
        _tell_dry_roots(schedule, memory, seen, board)
    if has_joined or _may_lift_a_guard(schedule, seen, touched):
        memory = _plan_recovery(schedule, memory, seen)
    notices += board.notices
    return Intake(memory._replace(alarms=board.as_tuple()), tuple(notices), concerned)


def _booted(schedule: Schedule, memory: Memory, seen: Observation, notices: list[Notice]) -> Memory:
    """The loads were without a controller: all are off, and ticks start anew.

    Whatever lasted until then is carried over as if the outage had taken no time; its
    length is put in when a trusted clock tells it.
    """
    down_since = memory.now if seen.down_since is None else seen.down_since
    until_down_ms = max(0, down_since - memory.now)
    shift_ms = seen.tick - memory.tick - until_down_ms
    went_down = Observation(
        down_since, memory.tick + until_down_ms, memory.boot, memory.is_clock_trusted, {}
    )

    def carried_over(load: LoadSchedule, its: LoadMemory) -> LoadMemory:
        watered = its.watered
        if its.is_on and recovery.is_worth_the_name(load, its, went_down):
            watered = went_down.tick
        return its._replace(
            is_on=False,
            since=seen.tick if its.is_on else its.since + shift_ms,
            watered=None if watered is None else watered + shift_ms,
            hold=None
            if its.hold is None
            else its.hold._replace(began=its.hold.began + shift_ms, ends=its.hold.ends + shift_ms),
            variant_since=seen.tick - LONG_AGO_MS,
            waits_since=None,
            flow_retry=None,
        )

    notices.append(Notice(Event.POWER_BACK))
    booted = memory._replace(
        boot=seen.boot,
        booted=seen.tick,
        now=down_since,
        tick=seen.tick,
        untrusted_since=seen.tick,
        down_since=down_since if memory.is_clock_trusted else _earlier_outage(memory, went_down),
        loads=tuple(
            carried_over(load, its) for load, its in zip(schedule.loads, memory.loads, strict=True)
        ),
        starts=(),
        recovery=(),
        readings=None,
    )
    if seen.is_clock_trusted and memory.is_clock_trusted:
        return _with_outage(booted, seen)
    return booted


def _earlier_outage(memory: Memory, went_down: Observation) -> Instant | None:
    """When an outage began whose length is still not known, with the time since it put in.

    A clock that was not trusted cannot tell when the lights went out; but where an earlier
    outage waits for its length, both are one, interrupted for a time that was counted.
    """
    if memory.down_since is None:
        return None
    return memory.down_since + went_down.tick - memory.booted


def _with_outage(memory: Memory, seen: Observation) -> Memory:
    """The length of the outage, known at last, put into everything that it lengthened.

    A hold ends when the clock shows what it was to show: nothing manual outlives its end.
    """
    if memory.down_since is None:
        return memory
    down_ms = max(0, seen.now - (seen.tick - memory.booted) - memory.down_since)

    def lengthened(load: LoadMemory) -> LoadMemory:
        watered, since = load.watered, load.since
        if watered is not None and watered <= memory.booted:
            watered -= down_ms
        if not load.is_on and since <= memory.booted:
            since -= down_ms
        hold = load.hold
        if hold is not None and hold.began <= memory.booted:
            hold = hold._replace(began=hold.began - down_ms, ends=hold.ends - down_ms)
        return load._replace(since=since, watered=watered, hold=hold)

    return memory._replace(
        down_since=None,
        now=seen.now - (seen.tick - memory.tick),
        loads=tuple(lengthened(load) for load in memory.loads),
    )


def _trust_changed(memory: Memory, seen: Observation, notices: list[Notice]) -> Memory:
    if seen.is_clock_trusted:
        notices.append(Notice(Event.CLOCK_TRUSTED))
        return _with_outage(memory, seen)._replace(is_clock_trusted=True)
    notices.append(Notice(Event.CLOCK_LOST))
    return memory._replace(is_clock_trusted=False, untrusted_since=seen.tick)


def _read_sensors(
    schedule: Schedule, memory: Memory, seen: Observation, board: AlarmBoard
) -> tuple[Memory, frozenset[str]]:
    """The fresh values known now, and which sensors changed or fell silent or spoke again."""
    if not schedule.sensors:
        return memory._replace(readings=seen.readings, sensor_look=seen.tick + _FAR_MS), frozenset()
    known: dict[str, float] = {}
    look = seen.tick + _FAR_MS
    for name, stale_after_ms in schedule.sensors.items():
        reading = seen.readings.get(name)
        if reading is not None and seen.tick - reading.taken <= stale_after_ms:
            known[name] = reading.value
            look = min(look, reading.taken + stale_after_ms + 1)
        board.tell(AlarmCode.SENSOR_SILENT, name, is_active=name not in known)
    before = memory.known
    # What a meter says counts by when it says it: the same 0 again may be the one too many.
    meters = {load.flow for load in schedule.loads}
    touched = frozenset(
        name
        for name in schedule.sensors
        if known.get(name) != before.get(name)
        or (name in meters and seen.readings.get(name) != (memory.readings or {}).get(name))
    )
    return memory._replace(readings=seen.readings, known=known, sensor_look=look), touched


def _watch_water_and_switch(
    schedule: Schedule, memory: Memory, board: AlarmBoard, notices: list[Notice]
) -> Memory:
    plan_guards, known = schedule.plan.guards, memory.known
    if plan_guards.leak is not None and plan_guards.leak in known:
        board.tell(AlarmCode.LEAK, plan_guards.leak, is_active=known[plan_guards.leak] >= 1.0)
    for load in schedule.loads:
        if load.level is not None and load.level in known:
            board.tell(AlarmCode.LEVEL_LOW, load.level, is_active=known[load.level] < 1.0)
    switch = plan_guards.stop_switch
    if switch is not None and known.get(switch, 0.0) >= 1.0 and not memory.is_stopped:
        notices.append(Notice(Event.STOPPED, switch))
        return memory._replace(is_stopped=True)
    return memory


def _may_lift_a_guard(schedule: Schedule, seen: Observation, touched: frozenset[str]) -> bool:
    """Whether water may flow again that a guard or the stop had forbidden."""
    of_water = {schedule.plan.guards.leak, *(load.level for load in schedule.loads)}
    return bool(touched & of_water) or any(
        isinstance(request, ResumeRequest | AcknowledgeRequest) for request in seen.requests
    )


def _tell_dry_roots(
    schedule: Schedule, memory: Memory, seen: Observation, board: AlarmBoard
) -> None:
    """An alarm for each pump whose roots an outage or a wrong clock left dry for too long."""
    for load, its in zip(schedule.loads, memory.loads, strict=True):
        is_dry = recovery.was_left_dry(load, its, seen) or recovery.is_needed(load, its, seen)
        if its.watered is not None and is_dry:
            dry_until = its.since if its.is_on else seen.tick
            dry = duration_text((dry_until - its.watered) // 1000 * 1000)
            board.happened(AlarmCode.OUTAGE, load.name, f"dry for {dry}")


def _plan_recovery(schedule: Schedule, memory: Memory, seen: Observation) -> Memory:
    """Lines up the pumps whose roots would stay dry for too long, the driest first, behind
    those that have their turn already."""
    needy = [
        place
        for place, (load, its) in enumerate(zip(schedule.loads, memory.loads, strict=True))
        if place not in memory.recovery and recovery.is_needed(load, its, seen)
    ]
    needy.sort(key=lambda place: (memory.loads[place].watered or 0, place))
    return memory._replace(recovery=(*memory.recovery, *needy), recovery_began=seen.tick)
