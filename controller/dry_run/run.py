"""Runs a plan through a stretch of time in a virtual world."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import RootclockError
from controller.dry_run.fault_clock import FaultClock
from controller.dry_run.repeats import Repeats
from controller.dry_run.virtual_world import VirtualWorld
from controller.step import take_step

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from controller.core.memory import Memory
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.faults import FaultFile
    from controller.dry_run.listeners import Listener
    from controller.weather.air_series import AirSeries


def run(
    schedule: Schedule,
    *,
    start: Instant,
    end: Instant,
    air: Mapping[str, AirSeries],
    script: FaultFile | None,
    listeners: Sequence[Listener],
    is_stepped: bool = False,
) -> Memory:
    """Carries the plan out during [start, end) and tells the listeners; returns the memory
    with which the run ended.

    The loads start as if the plan had run undisturbed until then. Periods of the plan's cycles
    in which nothing else happens are decided once, see `repeats`; where `is_stepped`, each is
    decided anew, which comes to the same and takes longer.

    Raises:
        BadFaultScriptError: the script does not fit the plan.
        RootclockError: the controller asked to be woken in the past without end, which no
            plan may bring about.
    """
    world = VirtualWorld(
        schedule,
        start=start,
        end=end,
        air=air,
        faults=FaultClock(schedule, script),
        listeners=listeners,
    )
    memory = world.begin()
    repeats = None if is_stepped else Repeats(schedule, world)
    stalled = 0
    while world.true_now < end:
        before = world.true_now
        memory, wake = take_step(schedule, memory, world)
        if repeats is not None and before >= repeats.look_at:
            memory, wake = repeats.pass_by(memory, wake)
        world.sleep_until(wake)
        stalled = stalled + 1 if world.true_now == before else 0
        if stalled > _STALLED_MAX:
            raise RootclockError(f"time stands still at {before}: this is a fault of rootclock")
    for listener in listeners:
        listener.finish(end)
    return memory


# Steps at one instant: one for each thing that can happen in it is plenty.
_STALLED_MAX = 1_000
