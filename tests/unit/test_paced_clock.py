"""The clock of rehearsals."""

from __future__ import annotations

import asyncio

from controller.shell.clock.paced_clock import PacedClock
from tests.stage.virtual_loop import run_virtually

START = 1_000_000


def test_it_arrives_at_the_very_moment() -> None:
    """However fast it runs, it shows what was asked for."""

    async def sleeps() -> list[tuple[int, int]]:
        clock = PacedClock(start=START, end=START + 10_000, speed=7.0)
        shown = [clock.read()]
        for wake in (1, 1_234, 9_999):
            await clock.sleep_until(wake)
            shown.append(clock.read())
        return shown

    assert run_virtually(sleeps()) == [
        (START, 0),
        (START + 1, 1),
        (START + 1_234, 1_234),
        (START + 9_999, 9_999),
    ]


def test_a_minute_at_speed_60_takes_a_second() -> None:
    """The pace is kept in the loop's own time."""

    async def seconds() -> float:
        clock = PacedClock(start=START, end=START + 60_000, speed=60.0)
        began = asyncio.get_running_loop().time()
        await clock.sleep_until(60_000)
        return asyncio.get_running_loop().time() - began

    assert abs(run_virtually(seconds()) - 1.0) < 1e-9


def test_it_never_shows_more_than_its_end() -> None:
    """A sleep beyond the end ends there, and a sleep into the past goes nowhere."""

    async def sleeps() -> list[tuple[int, bool]]:
        clock = PacedClock(start=START, end=START + 5_000, speed=1.0)
        await clock.sleep_until(4_000)
        await clock.sleep_until(3_000)
        shown = [(clock.read()[1], clock.is_over)]
        await clock.sleep_until(10**15)
        return [*shown, (clock.read()[1], clock.is_over)]

    assert run_virtually(sleeps()) == [(4_000, False), (5_000, True)]


def test_who_is_woken_early_sees_the_time_that_has_passed() -> None:
    """A person's request comes at its moment of the rehearsal."""

    async def woken_at() -> int:
        clock = PacedClock(start=START, end=START + 100_000, speed=10.0)
        asyncio.get_running_loop().call_later(2.0, clock.wake_up)
        await clock.sleep_until(90_000)
        return clock.read()[1]

    assert run_virtually(woken_at()) == 20_000


def test_a_wake_before_the_sleep_is_not_lost() -> None:
    """Whatever came during a decision is looked at right after it."""

    async def tick() -> int:
        clock = PacedClock(start=START, end=START + 100_000, speed=10.0)
        clock.wake_up()
        await clock.sleep_until(90_000)
        return clock.read()[1]

    assert run_virtually(tick()) == 0
