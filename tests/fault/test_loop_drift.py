"""A year of the loop under a clock that always wakes late: slow, for it takes 35,000 decisions."""

from __future__ import annotations

import asyncio
from random import Random

from controller.core.memory import settled_memory
from controller.core.observation import Observation, Tick
from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, MINUTE_MS
from tests.stage.clock import StageClock
from tests.stage.scene import Scene
from tests.stage.virtual_loop import run_virtually
from tests.worlds import MIDNIGHT, load, plan_of


class DrowsyClock(StageClock):
    """Wakes up to 5 ms late, as a busy board does."""

    dice = Random("drowsy")

    async def sleep_until(self, wake: Tick) -> None:
        """Sleeps on."""
        await super().sleep_until(wake)
        await asyncio.sleep(self.dice.random() * 0.005)


def test_nothing_drifts_in_a_year() -> None:
    """The 35,000th change is as near to the plan as the first."""
    plan = plan_of(pump=load("15m on, 15m off"))

    async def year() -> list[float]:
        start = MIDNIGHT
        it = Scene(
            plan,
            clock=DrowsyClock(start=start),
            memory=settled_memory(make_schedule(plan), Observation(start, 0, 0, True, {})),
        )
        run = asyncio.create_task(it.loop.run())
        await asyncio.sleep(365 * DAY_MS / 1000 + 1)
        it.loop.end()
        await run
        changes = [entry for entry in it.disk.entries if entry.why]
        assert len(changes) == 365 * 96
        for number, entry in enumerate(changes, 1):
            assert 0 <= entry.at - (start + number * 15 * MINUTE_MS) <= 5, number
        return [entry.late_ms for entry in changes if entry.late_ms is not None]

    late_ms = run_virtually(year())
    assert len(late_ms) == 365 * 96
    assert max(late_ms) <= 6.0
