"""What one decision hands to the next: the whole state of the controller, as a value."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.orders import Reason, Why
from controller.core.units import DAY_MS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.cycle import Cycle
    from controller.core.observation import Observation, Reading, Tick, Trouble
    from controller.core.orders import AlarmCode
    from controller.core.schedule import Schedule
    from controller.core.units import Instant


class Hold(NamedTuple):
    """A person's order in force: a cycle, or a variant's name; it always ends."""

    order: Cycle | str
    began: Tick
    ends: Tick


class Alarm(NamedTuple):
    """Something wrong with a load or sensor, since when, and whether it still is."""

    code: AlarmCode
    subject: str
    since: Instant
    is_active: bool
    is_acknowledged: bool = False


class LoadMemory(NamedTuple):
    """One load's state and what its next change hangs on.

    `since` is its last change, `look` when it must be weighed again at the latest,
    `watered` the end of its last watering that was worth the name (None: not known).
    `variant` is the place of the sensor variant in force, or -1. `waits_since` is
    set while it should be on and waits for its turn or for watts; `flow_retry` when a pump
    that stopped for want of flow tries again. `rests_until` is when the rest that runs is over at
    the latest, as far as a demand has told.
    """

    is_on: bool
    since: Tick
    look: Tick
    reason: Reason
    watered: Tick | None = None
    hold: Hold | None = None
    variant: int = -1
    variant_since: Tick = 0
    waits_since: Tick | None = None
    flow_retry: Tick | None = None
    rests_until: Tick | None = None


class Turn(NamedTuple):
    """A load (by its place) that is to get a recovery watering, and since when."""

    place: int
    since: Tick


class Memory(NamedTuple):
    """The controller's state between two decisions.

    `untrusted_since` counts only while the clock is not trusted; `down_since` is set
    while an outage's length waits for a trusted clock. `is_switch_pressed` is what the stop
    switch last said. `starts` are the last times that any load started, as many as may start
    together. `recovery` has those that still wait for a recovery watering, the one whose
    turn it is first. `known` has the fresh value of each sensor that the plan uses;
    `awaited` has the sensors that have not spoken yet, and until when that is no trouble;
    `sensor_look` is when the next of either grows stale.
    """

    boot: int
    booted: Tick
    now: Instant
    tick: Tick
    is_clock_trusted: bool
    untrusted_since: Tick
    down_since: Instant | None
    is_stopped: bool
    is_switch_pressed: bool
    loads: tuple[LoadMemory, ...]
    starts: tuple[Tick, ...]
    recovery: tuple[Turn, ...]
    readings: Mapping[str, Reading] | None
    known: Mapping[str, float]
    awaited: Mapping[str, Tick]
    sensor_look: Tick
    alarms: tuple[Alarm, ...]
    troubles: frozenset[Trouble]


LONG_AGO_MS = 7 * DAY_MS  # longer than any rest or watering that a plan can state


def first_memory(schedule: Schedule, seen: Observation) -> Memory:
    """The state of a controller that has just been given its loads: all off, all rested."""
    loads = (rested(seen.tick),) * len(schedule.loads)
    return _memory(seen, loads, awaited=awaited_sensors(schedule, seen.tick))


def rested(tick: Tick) -> LoadMemory:
    """A load that has been off for longer than any rest, and of which no more is known."""
    return LoadMemory(is_on=False, since=tick - LONG_AGO_MS, look=tick, reason=Reason(Why.PLAN))


def settled_memory(schedule: Schedule, seen: Observation) -> Memory:
    """The state of a controller that has followed its plan undisturbed until this moment.

    Where a dry run begins: no load has to wait for its rest or its turn. Where there are not
    watts enough for all, the first in the plan have them.
    """
    loads = []
    watts_max = schedule.plan.guards.watts_at_once
    watts_on = 0.0
    for load in schedule.loads:
        look = load.own.look(seen.now)
        since = seen.tick - (seen.now - load.own.state_began(look.piece, seen.now))
        if look.is_on and watts_max is not None and watts_on + load.watts > watts_max:
            loads.append(rested(seen.tick))
            continue
        watts_on += load.watts if look.is_on else 0.0
        loads.append(
            LoadMemory(
                is_on=look.is_on,
                since=since,
                look=seen.tick,
                reason=Reason(Why.PLAN, look.piece, "", look.until if look.is_change else None),
                watered=since,
            )
        )
    return _memory(seen, tuple(loads), awaited={})  # all have spoken until this moment


def awaited_sensors(schedule: Schedule, tick: Tick) -> dict[str, Tick]:
    """Every sensor that the plan decides by, none of which has spoken since that tick: each
    has as long to do so as its readings last."""
    return {name: tick + stale_after_ms for name, stale_after_ms in schedule.sensors.items()}


def _memory(
    seen: Observation, loads: tuple[LoadMemory, ...], *, awaited: Mapping[str, Tick]
) -> Memory:
    return Memory(
        boot=seen.boot,
        booted=seen.tick,
        now=seen.now,
        tick=seen.tick,
        is_clock_trusted=seen.is_clock_trusted,
        untrusted_since=seen.tick,
        down_since=None,
        is_stopped=False,
        is_switch_pressed=False,
        loads=loads,
        starts=(),
        recovery=(),
        readings=None,
        known={},
        awaited=awaited,
        sensor_look=seen.tick,
        alarms=(),
        troubles=frozenset(),
    )
