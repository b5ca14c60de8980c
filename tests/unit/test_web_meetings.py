"""Loads carried out apart come to what they come to together, and who is in a hurry is first."""

from __future__ import annotations

import asyncio
import os
from collections import Counter
from typing import Any

import pytest

from controller.core.errors import SupersededError
from controller.core.plan import TypicalDay
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.reading import ReadPlan
from controller.core.schedule import Schedule, make_schedule
from controller.dry_run.account import Account
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.run import run
from controller.paper.carrying_out import period
from tests.random_worlds import random_world
from web.paper.day_run import day_run
from web.paper.group_run import Day, Groups, air_on
from web.paper.line import Line
from web.paper.meetings import joined, meetings

WORLDS = int(os.environ.get("ROOTCLOCK_EXAMPLES", "60"))


def _world(seed: int) -> tuple[Schedule, Day]:
    """A plan by dice whose hot variants come and go, and a day of it."""
    world = random_world(seed, days=3)
    plan = world.schedule.plan
    air = TypicalDay(coolest_c=20.0, warmest_c=33.0)
    site = plan.site.model_copy(update={"typical_day": air})
    schedule = make_schedule(plan.model_copy(update={"site": site}))
    date = schedule.calendar.date_of(world.start)
    return schedule, Day(date, *period(schedule, date, 1))


def _together(schedule: Schedule, day: Day) -> Account:
    keeper = AccountKeeper(schedule)
    air = air_on(schedule.plan.site, day.date).series
    run(schedule, start=day.start, end=day.end, air=air, script=None, listeners=(keeper,))
    return keeper.account


@pytest.mark.parametrize("seed", range(WORLDS))
def test_apart_and_together_are_the_same(seed: int) -> None:
    """With guards over starts and watts, shared meters, variants and recovery waterings; notices
    of one instant in any order."""
    schedule, day = _world(seed)
    found = ReadPlan(schedule.plan, (), Lines("format = 1\n"))
    done = day_run(found, schedule, Groups(schedule), day)
    together = _together(schedule, day)
    assert done.account.loads == together.loads
    assert (done.account.watts_max, done.account.watts_max_at) == (
        together.watts_max, together.watts_max_at,
    )  # fmt: skip
    assert Counter(done.account.remarks) == Counter(together.remarks)


def test_the_worlds_have_loads_that_meet_and_loads_that_do_not() -> None:
    """Else the test above would look at one of the two only."""
    met, apart = 0, 0
    for seed in range(40):
        schedule, day = _world(seed)
        groups = Groups(schedule)
        runs = [groups.run(day, (place,)) for place in range(len(schedule.loads))]
        found = meetings(schedule, day.start, runs)
        met, apart = met + bool(found), apart + (not found and len(runs) > 1)
    assert met > 5
    assert apart > 5


def test_those_who_meet_are_joined_through_others() -> None:
    """In the plan's order."""
    groups = [(0,), (1, 4), (2,), (3,)]
    assert joined(groups, [frozenset({1, 2}), frozenset({2, 3})]) == [(0,), (1, 2, 3, 4)]
    assert joined(groups, []) == groups


def test_who_is_in_a_hurry_is_first() -> None:
    """Of equals who came first; who gives up or is cancelled holds up nobody."""

    async def work() -> list[Any]:
        line = Line()
        told: list[Any] = []
        never: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        given_up: asyncio.Future[None] = asyncio.get_running_loop().create_future()

        async def come(name: str, rank: int, up: asyncio.Future[None]) -> None:
            try:
                async with line.turn(rank, up):
                    told.append(name)
            except SupersededError:
                told.append(f"{name} gave up")

        async with line.turn(1, never):
            tasks = [
                asyncio.ensure_future(come(name, rank, up))
                for name, rank, up in (
                    ("slow", 1, never), ("old", 0, given_up), ("gone", 0, never),
                    ("first", 0, never), ("second", 0, never),
                )
            ]  # fmt: skip
            await asyncio.sleep(0)
            assert line.length == 6
            given_up.set_result(None)
            tasks[2].cancel()
            await asyncio.wait(tasks[1:3])
        await asyncio.wait(tasks)
        async with line.turn(1, never):
            told.append(line.length)
        return told

    assert asyncio.run(work()) == ["old gave up", "first", "second", "slow", 1]
