"""Rounds of reading: together, on time, never made up for."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Sequence

from controller.shell.sensors.rounds import Rounds
from tests.stage.virtual_loop import run_virtually


class Log:
    """What was called when, in ms of the loop."""

    def __init__(self) -> None:
        self._loop = asyncio.get_running_loop()
        self.calls: list[tuple[int, list[str]]] = []

    def read(self, names: Sequence[str]) -> None:
        """Takes a call down."""
        self.calls.append((round(self._loop.time() * 1000), list(names)))


def test_equal_intervals_are_one_call_and_multiples_meet() -> None:
    """Four sensors, three intervals: one call at each moment at which any is due."""

    async def run() -> list[tuple[int, list[str]]]:
        log = Log()
        rounds = Rounds(log.read)
        rounds.set({"a": 60_000, "b": 60_000, "c": 120_000, "d": 90_000})
        await asyncio.sleep(185)
        rounds.close()
        await asyncio.sleep(600)
        return log.calls

    assert run_virtually(run()) == [
        (60_000, ["a", "b"]),
        (90_000, ["d"]),
        (120_000, ["a", "b", "c"]),
        (180_000, ["a", "b", "d"]),
    ]


def test_rounds_do_not_drift_in_a_week() -> None:
    """The last of 10,080 minutes is as exact as the first."""

    async def run() -> list[tuple[int, list[str]]]:
        log = Log()
        rounds = Rounds(log.read)
        rounds.set({"a": 60_000})
        await asyncio.sleep(7 * 86_400 + 1)
        rounds.close()
        return log.calls

    calls = run_virtually(run())
    assert [tick for tick, _ in calls] == [60_000 * number for number in range(1, 10_081)]


def test_a_new_set_keeps_the_rhythm_of_what_stays() -> None:
    """Who stays is read when it would have been; who comes, from its next round on."""

    async def run() -> list[tuple[int, list[str]]]:
        log = Log()
        rounds = Rounds(log.read)
        rounds.set({"a": 60_000, "gone": 10_000})
        await asyncio.sleep(35)
        rounds.set({"a": 60_000, "new": 20_000})
        await asyncio.sleep(30)
        rounds.close()
        return log.calls

    assert run_virtually(run()) == [
        (10_000, ["gone"]),
        (20_000, ["gone"]),
        (30_000, ["gone"]),
        (40_000, ["new"]),
        (60_000, ["a", "new"]),
    ]


def test_rounds_that_a_busy_loop_was_too_late_for_are_left_out() -> None:
    """One call for all that was missed, then the old rhythm; no burst."""

    async def run() -> int:
        log = Log()
        rounds = Rounds(log.read)
        rounds.set({"a": 20})
        time.sleep(0.11)  # noqa: ASYNC251 - what keeps the loop busy is what is tested
        await asyncio.sleep(0.005)
        rounds.close()
        return len(log.calls)

    assert asyncio.run(run()) <= 2
