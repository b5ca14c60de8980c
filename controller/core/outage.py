"""An outage: what the memory becomes when the controller is back, and when its clock tells how
long it was away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core import recovery
from controller.core.memory import LONG_AGO_MS, LoadMemory, Memory, awaited_sensors
from controller.core.observation import Observation
from controller.core.orders import Event, Notice
from controller.core.units import duration_text

if TYPE_CHECKING:
    from controller.core.observation import Tick
    from controller.core.schedule import LoadSchedule, Schedule
    from controller.core.units import Instant


def booted(schedule: Schedule, memory: Memory, seen: Observation, notices: list[Notice]) -> Memory:
    """The memory of a controller that is back: its loads were without it, and all are off.

    Where nobody knows since when, those that were on count as rested from now on.
    """
    went_down = _went_down(memory, seen)
    ran_on = seen.down_ms is not None
    shift_ms = 0 if ran_on else seen.tick - went_down.tick
    rest_ms = 0  # that is known to have passed besides
    if not ran_on and memory.is_clock_trusted and seen.is_clock_trusted:
        rest_ms = max(0, seen.now - went_down.now)

    def rested_since(its: LoadMemory) -> Tick:
        if its.is_on and seen.down_since is None:
            return seen.tick
        return (went_down.tick if its.is_on else its.since) + shift_ms - rest_ms

    def carried_over(load: LoadSchedule, its: LoadMemory) -> LoadMemory:
        watered = its.watered
        if its.is_on and load.counts_waterings and recovery.is_worth_the_name(load, its, went_down):
            watered = went_down.tick
        hold = its.hold
        if hold is not None:
            hold = hold._replace(began=hold.began + shift_ms, ends=hold.ends + shift_ms)
        return its._replace(
            is_on=False,
            since=rested_since(its),
            watered=None if watered is None else watered + shift_ms,
            rests_until=None if its.rests_until is None else its.rests_until + shift_ms,
            hold=hold,
            variant_since=its.variant_since if ran_on else seen.tick - LONG_AGO_MS,
            waits_since=None,
            flow_retry=its.flow_retry if ran_on else None,
        )

    of_loads = zip(schedule.loads, memory.loads, strict=True)
    booted = memory._replace(
        boot=seen.boot,
        tick=seen.tick,
        loads=tuple(carried_over(load, its) for load, its in of_loads),
        starts=(),
        recovery=(),
        readings=None,
        awaited=awaited_sensors(schedule, seen.tick),
    )
    if ran_on:
        notices.append(Notice(Event.CONTROLLER_BACK, "", _gone_words(seen.tick - went_down.tick)))
        return booted._replace(now=memory.now + seen.tick - memory.tick)
    notices.append(Notice(Event.POWER_BACK))
    booted = booted._replace(
        booted=seen.tick,
        now=went_down.now,
        untrusted_since=seen.tick,
        down_since=went_down.now if memory.is_clock_trusted else _earlier_outage(memory, went_down),
    )
    if seen.is_clock_trusted and memory.is_clock_trusted:
        return with_outage(booted, seen)
    return booted


def _went_down(memory: Memory, seen: Observation) -> Observation:
    """The last moment at which the controller was alive, on the clocks of its memory.

    Where the monotonic clock ran on through the outage, that tells the moment. Else the
    clock does; whatever lasted until then is carried over as if the outage had taken no
    time, and its length is put in when a trusted clock tells it.
    """
    if seen.down_ms is not None:
        tick = min(seen.tick, max(memory.tick, seen.tick - seen.down_ms))
        now = memory.now + tick - memory.tick
    else:
        now = memory.now if seen.down_since is None else seen.down_since
        tick = memory.tick + max(0, now - memory.now)
    return Observation(now, tick, memory.boot, memory.is_clock_trusted, {})


def _gone_words(length_ms: int) -> str:
    return f"away for {duration_text(length_ms)}"


def _earlier_outage(memory: Memory, went_down: Observation) -> Instant | None:
    """When an outage began whose length is still not known, with the time since it put in.

    A clock that was not trusted cannot tell when the lights went out; but where an earlier
    outage waits for its length, both are one, interrupted for a time that was counted.
    """
    if memory.down_since is None:
        return None
    return memory.down_since + went_down.tick - memory.booted


def with_outage(memory: Memory, seen: Observation) -> Memory:
    """The memory once a trusted clock tells how long the outage was: its length is put into
    everything that it lengthened.

    A hold ends when the clock shows what it was to show: nothing manual outlives its end.
    """
    if memory.down_since is None:
        return memory
    down_ms = max(0, seen.now - (seen.tick - memory.booted) - memory.down_since)

    def lengthened(load: LoadMemory) -> LoadMemory:
        watered = load.watered
        if watered is not None and watered <= memory.booted:
            watered -= down_ms
        hold = load.hold
        if hold is not None and hold.began <= memory.booted:
            hold = hold._replace(began=hold.began - down_ms, ends=hold.ends - down_ms)
        rests_until = load.rests_until
        if rests_until is not None:  # told before the outage: without a clock nothing demands
            rests_until -= down_ms
        return load._replace(watered=watered, hold=hold, rests_until=rests_until)

    return memory._replace(
        down_since=None,
        now=seen.now - (seen.tick - memory.tick),
        loads=tuple(lengthened(load) for load in memory.loads),
    )
