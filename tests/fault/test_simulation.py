"""A hundred thousand hours of random gardens with everything going wrong, judged from outside.

Each world is made from one number (`tests/random_worlds`), carried out by the dry run's own
loop, and watched by a listener that knows the rules (`tests/watcher`). A world that breaks a
rule is played again with

    ROOTCLOCK_SEED=number pytest tests/fault/test_simulation.py -s

and a longer run is ROOTCLOCK_SIMULATED_HOURS=1000000.
"""

from __future__ import annotations

import os
from time import perf_counter
from typing import TYPE_CHECKING

from controller.core.units import rfc3339
from controller.dry_run.fault_clock import FaultClock
from controller.dry_run.virtual_world import VirtualWorld
from controller.step import take_step
from tests.random_worlds import RandomWorld, random_world
from tests.watcher import Watcher

if TYPE_CHECKING:
    from collections.abc import Iterator

    import pytest

_DAYS = 20
_HOURS = int(os.environ.get("ROOTCLOCK_SIMULATED_HOURS", "100000"))
_SEED = os.environ.get("ROOTCLOCK_SEED")


def play(world: RandomWorld) -> tuple[list[str], int]:
    """Carries a world out; everything that it broke, and how many decisions it took."""
    faults = FaultClock(world.schedule, world.script)
    watcher = Watcher(world, faults)
    virtual = VirtualWorld(
        world.schedule,
        start=world.start,
        end=world.end,
        air=world.air,
        faults=faults,
        listeners=[watcher],
    )
    memory = virtual.begin()
    decisions = 0
    while not virtual.is_over:
        memory, wake = take_step(world.schedule, memory, virtual)
        if wake <= memory.tick:
            watcher.broken.append(f"asks to be woken at once at {rfc3339(virtual.true_now)}")
            break
        decisions += 1
        virtual.sleep_until(wake)
    watcher.finish(world.end)
    return watcher.broken, decisions


def _seeds() -> Iterator[int]:
    if _SEED is not None:
        return iter([int(_SEED)])
    return iter(range(-(-_HOURS // (_DAYS * 24))))


def test_a_hundred_thousand_hours_break_no_rule(capsys: pytest.CaptureFixture[str]) -> None:
    """Whatever goes wrong, no load is on for too long, nothing manual outlives its end, watts
    and starts keep their bounds, no root is dry unexplained, and all is well afterwards."""
    began, decisions, worlds = perf_counter(), 0, 0
    for seed in _seeds():
        broken, taken = play(random_world(seed, days=_DAYS))
        decisions += taken
        worlds += 1
        assert not broken, f"play it again with ROOTCLOCK_SEED={seed}: " + "; ".join(broken[:5])
    seconds = perf_counter() - began
    with capsys.disabled():
        hours = worlds * _DAYS * 24
        text = f"{hours:,} simulated hours, {decisions:,} decisions, {seconds:.1f} s"
        print(f"\n{text}")  # noqa: T201  a figure for whoever runs it
