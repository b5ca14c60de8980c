"""A hundred thousand hours of random gardens with everything going wrong, judged from outside.

Each world is made from one number (`tests/random_worlds`), carried out by the dry run's own
loop, and watched by a listener that knows the rules (`tests/watcher`). The controller itself
fares no better than its garden: it is killed, and reads its memory back from what it wrote
down, after every outage; its plan is changed for a random other one; and it is told of
troubles of its own. A world that breaks a rule is played again with

    ROOTCLOCK_SEED=number pytest tests/fault/test_simulation.py -s

and a longer run is ROOTCLOCK_SIMULATED_HOURS=1000000.
"""

from __future__ import annotations

import os
from collections import Counter
from dataclasses import replace
from time import perf_counter
from typing import TYPE_CHECKING

from controller.core.adoption import adopted_memory
from controller.core.orders import AlarmCode, Event, Notice
from controller.core.snapshot import restored_boot, restored_memory, snapshot_text
from controller.core.units import rfc3339
from controller.dry_run.fault_clock import FaultClock
from controller.dry_run.virtual_sensors import VirtualSensors
from controller.dry_run.virtual_world import VirtualWorld
from controller.step import take_step
from tests.random_worlds import RandomWorld, random_world
from tests.watcher import Watcher

if TYPE_CHECKING:
    from collections.abc import Iterator

    import pytest

    from controller.core.memory import Memory
    from controller.core.observation import Observation, Tick, Trouble
    from controller.core.schedule import Schedule

_DAYS = 20
_HOURS = int(os.environ.get("ROOTCLOCK_SIMULATED_HOURS", "100000"))
_SEED = os.environ.get("ROOTCLOCK_SEED")
_OWN = {AlarmCode.RELAY, AlarmCode.JOURNAL, AlarmCode.PLAN_REFUSED}


class MortalWorld(VirtualWorld):
    """A virtual world whose controller is killed now and then, and told of its own troubles."""

    def __init__(self, world: RandomWorld, faults: FaultClock, watcher: Watcher) -> None:
        super().__init__(
            world.schedule,
            start=world.start,
            end=world.end,
            air=world.air,
            faults=faults,
            listeners=[watcher],
        )
        self._world = world
        self._crashes = list(world.turmoil.crashes)
        self._troubles = list(world.turmoil.troubles)
        self._down_ms: int | None = None
        self.troubles: frozenset[Trouble] = frozenset()

    @property
    def boot(self) -> int:
        """The number of the boot."""
        return self._boot

    def observe(self) -> Observation:
        """The world now, with how long the controller was dead and what is wrong with it."""
        while self._troubles and self._troubles[0][0] <= self.true_now:
            _, self.troubles = self._troubles.pop(0)
        return super().observe()._replace(down_ms=self._down_ms, troubles=self.troubles)

    def glimpse(self) -> Observation:
        """The clocks now, and nothing that anybody asked for."""
        return self._clock_observation()

    def sleep_until(self, wake: Tick) -> None:
        """Jumps as every virtual world does; an outage or a crash may come of it."""
        boot = self._boot
        super().sleep_until(wake)
        if self._boot != boot:
            self._down_ms = None
        elif self._crashes and self._crashes[0][0] <= self.true_now and not self._deeds:
            self._crash(self._crashes.pop(0)[1])  # but not between an order and its decision

    def _crash(self, length_ms: int) -> None:
        """Dead for as long as that, or until just before anything else happens."""
        if self.is_over:
            return
        self._down_since = self._clock_now()
        until = min(self.true_now + length_ms, self._next_border - 1, self._sensors.fresh_until - 1)
        self._note(Notice(Event.POWER_LOST))
        self._relays.lose_power(self.true_now)
        self._down_ms = max(0, until - self.true_now)
        self.true_now += self._down_ms
        self._boot += 1

    def adopt(self, schedule: Schedule) -> None:
        """Goes on with another plan for the same loads. Its sensors are read anew; those that
        only the plan before looked at are still there, for faults to befall."""
        self._schedule = schedule
        all_sensors = replace(schedule, sensors=self._world.schedule.sensors | schedule.sensors)
        self._sensors = VirtualSensors(all_sensors, self._world.air, self._faults, self._end)


class _Life:
    """One controller through one world, and what it was put through."""

    def __init__(self, world: RandomWorld) -> None:
        self.schedule = world.schedule
        faults = FaultClock(world.schedule, world.script)
        self.watcher = Watcher(world, faults)
        self.virtual = MortalWorld(world, faults, self.watcher)
        self.memory = self.virtual.begin()
        self.counts: Counter[str] = Counter()
        self._adoptions = list(world.turmoil.adoptions)
        self._end = world.end

    def live(self) -> None:
        """To the end of the world, or until the controller stands still."""
        virtual = self.virtual
        while not virtual.is_over:
            if virtual.boot != self.memory.boot:
                self.memory = self._read_back()
            elif self._adoptions and self._adoptions[0][0] <= virtual.true_now:
                self._adopt(self._adoptions.pop(0)[1])
            self.memory, wake = take_step(self.schedule, self.memory, virtual)
            self._judge_troubles()
            if wake <= self.memory.tick:
                self._breaks("asks to be woken at once")
                break
            self.counts["decisions"] += 1
            virtual.sleep_until(wake)
        self.watcher.finish(self._end)

    def _breaks(self, text: str) -> None:
        self.watcher.broken.append(f"{rfc3339(self.virtual.true_now)} {text}")

    def _read_back(self) -> Memory:
        """What the controller wrote down with its last decision, read by the one that follows."""
        self.counts["restarts"] += 1
        text = snapshot_text(self.schedule, self.memory, kernel_boot="")
        restored = restored_memory(self.schedule, text, self.virtual.glimpse(), kernel_boot="")
        assert restored.memory is not None, restored.refused
        assert restored_boot(text) == self.memory.boot
        return restored.memory

    def _adopt(self, schedule: Schedule) -> None:
        self.counts["changes of plan"] += 1
        old, self.schedule = self.schedule, schedule
        self.memory, _ = adopted_memory(old, schedule, self.memory, self.virtual.glimpse())
        self.virtual.adopt(schedule)
        self.watcher.adopt(self.virtual.true_now, schedule)

    def _judge_troubles(self) -> None:
        told = {(trouble.code, trouble.subject) for trouble in self.virtual.troubles}
        active = {
            (alarm.code, alarm.subject)
            for alarm in self.memory.alarms
            if alarm.is_active and alarm.code in _OWN
        }
        if active != told:
            self._breaks(f"has the alarms {active} of its own, and was told of {told}")


def play(world: RandomWorld) -> tuple[list[str], Counter[str]]:
    """Carries a world out; everything that it broke, and what the controller went through."""
    life = _Life(world)
    life.live()
    return life.watcher.broken, life.counts


def _seeds() -> Iterator[int]:
    if _SEED is not None:
        return iter([int(_SEED)])
    return iter(range(-(-_HOURS // (_DAYS * 24))))


def test_a_hundred_thousand_hours_break_no_rule(capsys: pytest.CaptureFixture[str]) -> None:
    """Whatever goes wrong, no load is on for too long, nothing manual outlives its end, watts
    and starts keep their bounds, no root is dry unexplained, and all is well afterwards."""
    began, worlds = perf_counter(), 0
    counts: Counter[str] = Counter()
    for seed in _seeds():
        broken, put_through = play(random_world(seed, days=_DAYS))
        counts += put_through
        worlds += 1
        assert not broken, f"play it again with ROOTCLOCK_SEED={seed}: " + "; ".join(broken[:5])
    seconds = perf_counter() - began
    with capsys.disabled():
        hours = worlds * _DAYS * 24
        told = [f"{hours:,} simulated hours", *(f"{n:,} {what}" for what, n in counts.items())]
        print(f"\n{', '.join(told)}, {seconds:.1f} s")  # noqa: T201  a figure for whoever runs it
