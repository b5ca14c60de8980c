"""Intake: what an observation brings besides the time - a boot, a step of the clock,
readings, requests - worked into the memory before anything is weighed."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core import recovery
from controller.core.alarms import AlarmBoard
from controller.core.memory import Memory
from controller.core.observation import AcknowledgeRequest, Observation, ResumeRequest, Trouble
from controller.core.orders import AlarmCode, Event, Notice
from controller.core.outage import booted, with_outage
from controller.core.requests import carry_out
from controller.core.units import duration_text

if TYPE_CHECKING:
    from controller.core.observation import Tick
    from controller.core.schedule import Schedule

_FAR_MS = 10**15  # a tick so far ahead never comes
_NEVER: Tick = -(10**15)  # nor does one so far back
# What the shell tells of itself; it is over when it is not told any more.
_OWN_TROUBLES = frozenset({AlarmCode.RELAY, AlarmCode.JOURNAL, AlarmCode.PLAN_REFUSED})


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
        or (seen.troubles is not memory.troubles and seen.troubles != memory.troubles)
    )


def take_in(schedule: Schedule, memory: Memory, seen: Observation) -> Intake:
    """All news of an observation worked into the memory."""
    notices: list[Notice] = []
    everybody = frozenset(range(len(schedule.loads)))
    concerned: frozenset[int] = frozenset()
    has_joined = False
    is_step_told = False
    if seen.boot != memory.boot:
        is_step_told = seen.down_ms is None
        memory = booted(schedule, memory, seen, notices)
        concerned, has_joined = everybody, seen.is_clock_trusted
    if seen.is_clock_trusted is not memory.is_clock_trusted:
        memory = _trust_changed(memory, seen, notices)
        concerned, has_joined = everybody, seen.is_clock_trusted
        is_step_told = True
    step_ms = (seen.now - seen.tick) - (memory.now - memory.tick)
    if step_ms:
        concerned = everybody
        if abs(step_ms) > recovery.TOLERANCE_MS and seen.is_clock_trusted and not is_step_told:
            notices.append(Notice(Event.CLOCK_STEPPED, "", duration_text(step_ms)))
            has_joined = True
    board = AlarmBoard(memory.alarms, seen.now)
    board.tell(AlarmCode.CLOCK_UNTRUSTED, "", is_active=not seen.is_clock_trusted)
    _tell_troubles(memory, seen, board)
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
        memory = recovery.lined_up(schedule, memory, seen, sorted(everybody))
        concerned |= {turn.place for turn in memory.recovery}
    notices += board.notices
    memory = memory._replace(alarms=board.as_tuple(), troubles=seen.troubles)
    return Intake(memory, tuple(notices), concerned)


def _trust_changed(memory: Memory, seen: Observation, notices: list[Notice]) -> Memory:
    if seen.is_clock_trusted:
        notices.append(Notice(Event.CLOCK_TRUSTED))
        return with_outage(memory, seen)._replace(is_clock_trusted=True)
    notices.append(Notice(Event.CLOCK_LOST))
    return memory._replace(is_clock_trusted=False, untrusted_since=seen.tick)


def _tell_troubles(memory: Memory, seen: Observation, board: AlarmBoard) -> None:
    """Raises what is wrong with the controller itself, and clears what is so no more; an
    alarm that was remembered from before a restart as well."""
    standing = {
        Trouble(alarm.code, alarm.subject) for alarm in memory.alarms if alarm.code in _OWN_TROUBLES
    }
    if not (standing or seen.troubles):
        return
    for trouble in sorted(standing | seen.troubles, key=lambda it: (it.code.value, it.subject)):
        board.tell(trouble.code, trouble.subject, is_active=trouble in seen.troubles)


def _read_sensors(
    schedule: Schedule, memory: Memory, seen: Observation, board: AlarmBoard
) -> tuple[Memory, frozenset[str]]:
    """The fresh values known now, and which sensors changed or fell silent or spoke again."""
    if not schedule.sensors:
        return memory._replace(readings=seen.readings, sensor_look=seen.tick + _FAR_MS), frozenset()
    known: dict[str, float] = {}
    awaited: dict[str, Tick] = {}
    look = seen.tick + _FAR_MS
    for name, stale_after_ms in schedule.sensors.items():
        reading = seen.readings.get(name)
        if reading is not None and seen.tick - reading.taken <= stale_after_ms:
            known[name] = reading.value
            look = min(look, reading.taken + stale_after_ms + 1)
        elif reading is None and seen.tick <= (until := memory.awaited.get(name, _NEVER)):
            awaited[name] = until
            look = min(look, until + 1)
            continue
        board.tell(AlarmCode.SENSOR_SILENT, name, is_active=name not in known)
    before = memory.known
    # What a meter says counts by when it says it: the same 0 again may be the one too many.
    meters = {load.flow for load in schedule.loads}
    touched = frozenset(
        name
        for name in schedule.sensors
        if known.get(name) != before.get(name)
        or (name in memory.awaited and name not in awaited)
        or (name in meters and seen.readings.get(name) != (memory.readings or {}).get(name))
    )
    memory = memory._replace(readings=seen.readings, known=known, awaited=awaited, sensor_look=look)
    return memory, touched


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
    if switch is None or switch not in known:
        return memory
    is_pressed = known[switch] >= 1.0
    if is_pressed and not memory.is_switch_pressed:
        detail = "everything was stopped already" if memory.is_stopped else ""
        notices.append(Notice(Event.STOPPED, switch, detail))
    return memory._replace(is_switch_pressed=is_pressed, is_stopped=memory.is_stopped or is_pressed)


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
        is_dry = recovery.was_left_dry(load, its, seen) or (
            recovery.is_needed(load, its, seen) and not recovery.is_on_demand(load, its, seen)
        )
        if its.watered is not None and is_dry:
            dry_until = its.since if its.is_on else seen.tick
            dry = duration_text((dry_until - its.watered) // 1000 * 1000)
            board.happened(AlarmCode.OUTAGE, load.name, f"dry for {dry}")
