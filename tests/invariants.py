"""What must hold of every controller at every moment, and over all that it has done.

Written anew from the rules, not from the code: each check looks at states and times alone.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from controller.core.orders import AlarmCode, Why
from controller.core.words import sentence

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.memory import Memory
    from controller.core.schedule import LoadSchedule
    from tests.worlds import Change, Driver

# Only these may cut a watering short of its `shortest_on`.
_CUTS = {
    Why.NO_POWER,
    Why.STOPPED,
    Why.LEAK,
    Why.LEVEL_LOW,
    Why.NO_FLOW,
    Why.LONGEST_ON,
}
_WATTS_ROUNDING = 1e-6


def broken_now(driver: Driver) -> list[str]:
    """Everything that the controller's present state breaks."""
    assert driver.memory is not None
    return [*_broken_between_loads(driver, driver.memory), *_broken_by_loads(driver, driver.memory)]


def _broken_between_loads(driver: Driver, memory: Memory) -> Iterator[str]:
    of_loads = list(zip(driver.schedule.loads, memory.loads, strict=True))
    if memory.is_stopped and any(its.is_on for _, its in of_loads):
        yield "something is on though everything is stopped"
    watts = sum(load.watts for load, its in of_loads if its.is_on)
    limit = driver.schedule.plan.guards.watts_at_once
    if limit is None:
        return
    if watts > limit + _WATTS_ROUNDING:
        yield f"{watts} W are on at once"
    for load, its in of_loads:
        fits = watts + load.watts <= limit - _WATTS_ROUNDING
        if its.reason.why is Why.WATTS_AT_ONCE and fits:
            yield f"{load.name} waits for watts that are free"


def _broken_by_loads(driver: Driver, memory: Memory) -> Iterator[str]:
    leaks = any(alarm.code is AlarmCode.LEAK for alarm in memory.alarms)
    for load, its in zip(driver.schedule.loads, memory.loads, strict=True):
        name = load.name
        if its.is_on:
            yield from _broken_while_on(driver, memory, load, leaks=leaks)
        if its.hold is not None and its.hold.ends <= driver.tick:
            yield f"{name}'s hold outlives its end"
        if its.hold is not None and driver.booted + its.hold.ends > driver.held_until[name]:
            yield f"{name}'s hold was made longer"
        if its.look <= driver.tick:
            yield f"{name} was not looked at when it was due"
        text = sentence(
            its.reason,
            load,
            is_on=its.is_on,
            now=driver.clock_now,
            calendar=driver.schedule.calendar,
        )
        if not text.endswith(".") or "None" in text or "{" in text:
            yield f"{name}'s reason reads {text!r}"


def _broken_while_on(
    driver: Driver, memory: Memory, load: LoadSchedule, *, leaks: bool
) -> Iterator[str]:
    its = memory.loads[driver.schedule.places[load.name]]
    on_ms = driver.tick - its.since
    if load.longest_on_ms is not None and on_ms >= load.longest_on_ms:
        yield f"{load.name} has been on for {on_ms} ms"
    if load.leak is not None and leaks:
        yield f"{load.name} is on though there is a leak"
    if load.level is not None and memory.known.get(load.level, 1.0) < 1.0:
        yield f"{load.name} is on though {load.level} is low"
    meter = driver.readings.get(load.flow or "")
    if meter is not None and load.flow in memory.known and meter.value <= 0.0:
        has_run = on_ms >= load.flow_within_ms
        if has_run and meter.taken >= its.since + load.flow_within_ms:
            yield f"{load.name} runs without water"


def broken_ever(driver: Driver) -> list[str]:
    """Everything that the history of changes breaks."""
    broken: list[str] = []
    for load in driver.schedule.loads:
        own = [change for change in _judged(driver) if change.load == load.name]
        for before, after in pairwise(own):
            broken += _broken_stretch(driver, load, before, after)
    return [*broken, *_broken_starts(driver)]


def _judged(driver: Driver) -> list[Change]:
    """The changes since the present plan came into force."""
    return driver.changes[driver.judged_from :]


def _broken_stretch(
    driver: Driver, load: LoadSchedule, before: Change, after: Change
) -> Iterator[str]:
    length_ms = after.instant - before.instant
    if before.is_on is after.is_on:
        yield f"{load.name} was told the same twice at {after.instant}"
    if not before.is_on:
        is_measured = before.boot == after.boot or driver.has_known_outages
        if length_ms < load.shortest_off_ms and is_measured:
            yield f"{load.name} was off for {length_ms} ms at {before.instant}"
        return
    if load.longest_on_ms is not None and length_ms > load.longest_on_ms:
        yield f"{load.name} was on for {length_ms} ms at {before.instant}"
    if length_ms < load.shortest_on_ms and after.why not in _CUTS:
        yield f"{load.name} was on for {length_ms} ms at {before.instant}: {after.why.value}"


def _broken_starts(driver: Driver) -> Iterator[str]:
    guards = driver.schedule.plan.guards
    starts = [change for change in _judged(driver) if change.is_on]
    for first, over in zip(starts, starts[guards.starts_together :], strict=False):
        apart_ms = over.instant - first.instant
        if first.boot == over.boot and apart_ms < guards.starts_apart:
            yield f"{guards.starts_together + 1} starts within {apart_ms} ms at {over.instant}"
