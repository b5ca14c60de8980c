"""What one decision hands to the next: the whole state of the controller, as a value."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.orders import Reason, Why
from controller.core.units import DAY_MS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.cycle import Cycle
    from controller.core.observation import Observation, Reading, Tick
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
    that stopped for want of flow tries again.
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


class Memory(NamedTuple):
    """The controller's state between two decisions.

    `untrusted_since` counts only while the clock is not trusted; `down_since` is set
    while an outage's length waits for a trusted clock. `starts` are the last times that
    any load started, as many as may start together. `recovery` lists loads (by place)
    that still wait for a recovery watering, the one whose turn it is first, since
    `recovery_began`. `known` has the fresh value of each sensor that the plan uses;
    `sensor_look` is when the next of them grows stale.
    """

    boot: int
    booted: Tick
    now: Instant
    tick: Tick
    is_clock_trusted: bool
    untrusted_since: Tick
    down_since: Instant | None
    is_stopped: bool
    loads: tuple[LoadMemory, ...]
    starts: tuple[Tick, ...]
    recovery: tuple[int, ...]
    recovery_began: Tick
    readings: Mapping[str, Reading] | None
    known: Mapping[str, float]
    sensor_look: Tick
    alarms: tuple[Alarm, ...]


LONG_AGO_MS = 7 * DAY_MS  # longer than any rest or watering that a plan can state


def first_memory(schedule: Schedule, seen: Observation) -> Memory:
    """The state of a controller that has just been given its loads: all off, all rested."""
    return _memory(seen, (_rested(seen),) * len(schedule.loads))


def _rested(seen: Observation) -> LoadMemory:
    """A load that has been off for longer than any rest, and of which no more is known."""
    return LoadMemory(
        is_on=False, since=seen.tick - LONG_AGO_MS, look=seen.tick, reason=Reason(Why.PLAN)
    )


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
            loads.append(_rested(seen))
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
    return _memory(seen, tuple(loads))


def _memory(seen: Observation, loads: tuple[LoadMemory, ...]) -> Memory:
    return Memory(
        boot=seen.boot,
        booted=seen.tick,
        now=seen.now,
        tick=seen.tick,
        is_clock_trusted=seen.is_clock_trusted,
        untrusted_since=seen.tick,
        down_since=None,
        is_stopped=False,
        loads=loads,
        starts=(),
        recovery=(),
        recovery_began=seen.tick,
        readings=None,
        known={},
        sensor_look=seen.tick,
        alarms=(),
    )
