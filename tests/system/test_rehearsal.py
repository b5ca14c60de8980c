"""A rehearsal takes the decisions of the dry run: line by line, and on the lines themselves."""

from __future__ import annotations

import asyncio
import io
from collections.abc import Sequence
from datetime import date
from importlib.resources import files

import pytest

from controller.core.decide import Decision
from controller.core.journal_entry import Entry
from controller.core.observation import Observation
from controller.core.plan_text.reading import read_plan
from controller.core.schedule import Schedule, make_schedule
from controller.core.units import DAY_MS, HOUR_MS, parse_rfc3339, utc_datetime
from controller.daemon.loop import ControlLoop
from controller.daemon.rehearsal import Pace, Rehearsal
from controller.daemon.world import ControllerWorld, Outage
from controller.dry_run.air import air_of
from controller.dry_run.listeners import Listener
from controller.dry_run.run import run
from controller.report.events_csv import EventsCsv
from controller.shell.examples import example_names
from tests.stage.journal import Disk, StageJournal
from tests.stage.relays import Lines, StageRelays
from tests.stage.virtual_loop import VirtualLoop

START = parse_rfc3339("2026-07-11T04:00:00Z")
WEEK_MS = 7 * DAY_MS
EXAMPLES = tuple(name for name in example_names() if not name.endswith(".csv"))


def schedule_of(example: str) -> Schedule:
    """The schedule of an example plan."""
    data = files("controller").joinpath("examples", f"{example}.toml").read_bytes()
    return make_schedule(read_plan(data, example).plan)


def dry_run_events(schedule: Schedule, *, end: int) -> list[str]:
    """The dry run's events file, by lines."""
    stream = io.StringIO()
    air = air_of(schedule.plan.site, None, first=_date(START), last=_date(end))
    listeners: list[Listener] = [EventsCsv(schedule, stream)]
    run(schedule, start=START, end=end, air=air.series, script=None, listeners=listeners)
    return stream.getvalue().splitlines()


def _date(instant: int) -> date:
    return utc_datetime(instant).date()


def rehearsed_events(
    schedule: Schedule, *, end: int, speed: float, lines: Lines, loop: asyncio.AbstractEventLoop
) -> list[str]:
    """The rehearsal's events file, by lines."""
    stream = io.StringIO()
    air = air_of(schedule.plan.site, None, first=_date(START), last=_date(end))

    async def rehearse() -> None:
        pace = Pace(START, end, speed, air.series, [EventsCsv(schedule, stream)])
        rehearsal = Rehearsal(schedule, pace)
        world = ControllerWorld(
            clock=rehearsal.clock,
            relays=StageRelays(lines),
            sensors=rehearsal.sensors,
            journal=StageJournal(Disk()),
            outage=Outage(boot=0, kernel_boot="stage"),
        )

        def tell(seen: Observation, decision: Decision, entries: Sequence[Entry]) -> None:
            rehearsal.tell(seen, decision)

        world.on_step = tell
        control = ControlLoop(
            schedule,
            rehearsal.memory,
            world=world,
            clock=rehearsal.clock,
            sensors=rehearsal.sensors,
        )
        await control.run(is_over=rehearsal.is_over)
        rehearsal.finish()

    loop.run_until_complete(rehearse())
    loop.close()
    return stream.getvalue().splitlines()


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_rehearsed_week_is_the_dry_run_line_by_line(example: str) -> None:
    """Every example plan, each change at its millisecond and with its reason."""
    schedule = schedule_of(example)
    end = START + WEEK_MS
    rehearsed = rehearsed_events(schedule, end=end, speed=60, lines=Lines(), loop=VirtualLoop())
    assert rehearsed == dry_run_events(schedule, end=end)


def test_the_relays_follow_the_events() -> None:
    """What is told is what was switched."""
    schedule = schedule_of("porch")
    lines = Lines()
    events = rehearsed_events(
        schedule, end=START + DAY_MS, speed=60, lines=lines, loop=VirtualLoop()
    )
    states = [row.split(",")[2] == "on" for row in events[1:]]
    line = schedule.plan.loads["pump"].line
    assert schedule.plan.loads["pump"].active == "low"
    assert lines.history == [(line, not is_on) for is_on in states]


def test_in_real_time_it_is_the_same() -> None:
    """Three hours at 10,000 times the speed of life, a second of real time: a late wake does not
    show."""
    schedule = schedule_of("greenhouse")
    end = START + 3 * HOUR_MS
    rehearsed = rehearsed_events(
        schedule, end=end, speed=10_000, lines=Lines(), loop=asyncio.new_event_loop()
    )
    assert rehearsed == dry_run_events(schedule, end=end)
