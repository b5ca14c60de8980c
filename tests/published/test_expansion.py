"""A year of a cycle's changes, instant by instant, against general-purpose libraries.

dateutil expands recurrence rules (RFC 5545), SimPy runs processes on an event queue; both
know nothing of this project. The span starts at midnight UTC each day and its period
divides the day, so that the year is one unbroken pattern.
"""

from __future__ import annotations

from collections.abc import Generator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import simpy
from dateutil.rrule import SECONDLY, rrule

from controller.core.units import DAY_MS, instant_of
from tests.places import Place
from tests.timelines import plan_of, timelines_of

START = datetime(2026, 1, 1, tzinfo=UTC)
END = datetime(2027, 1, 1, tzinfo=UTC)
YEAR_MS = 365 * DAY_MS
SITE = Place("the meridian", 47.0, 0.0, "UTC")

PATTERNS = [
    ("15m on, 15m off", [(15, True), (15, False)]),  # the everyday one
    ("10m on, 4m off, 6m on, 10m off", [(10, True), (4, False), (6, True), (10, False)]),  # four
    ("5m off, 10m on, 30m off", [(5, False), (10, True), (30, False)]),  # three, off over the wrap
    ("3m on, 20m off, 1m on", [(3, True), (20, False), (1, True)]),  # three, on over the wrap
]


def ours(cycle: str) -> list[tuple[int, bool]]:
    """The year's changes as the timeline has them."""
    timeline = timelines_of(plan_of(SITE, pump=(("00:00", cycle),)))["pump"]
    start, end = instant_of(START), instant_of(END)
    # The state at the start counts as a change for the others.
    return [(start, timeline.state_at(start)), *timeline.changes(start, end)]


def only_changes(events: list[tuple[int, bool]]) -> list[tuple[int, bool]]:
    """Events without those that repeat the state before."""
    found: list[tuple[int, bool]] = []
    for at, is_on in events:
        if not found or found[-1][1] is not is_on:
            found.append((at, is_on))
    return found


@pytest.mark.parametrize(("cycle", "steps"), PATTERNS)
def test_a_year_of_changes_is_dateutil_s(cycle: str, steps: list[tuple[int, bool]]) -> None:
    """One recurrence rule for each step of the cycle, merged in time order."""
    period = sum(minutes for minutes, _ in steps)
    events = []
    offset = 0
    for minutes, is_on in steps:
        rule = rrule(
            SECONDLY,
            interval=period * 60,
            dtstart=START + timedelta(minutes=offset),
            until=END - timedelta(microseconds=1),
        )
        events += [(instant_of(moment), is_on) for moment in rule]
        offset += minutes
    assert ours(cycle) == only_changes(sorted(events))


@pytest.mark.parametrize(("cycle", "steps"), PATTERNS)
def test_a_year_of_changes_is_simpy_s(cycle: str, steps: list[tuple[int, bool]]) -> None:
    """A process that switches and waits, for a year."""
    start = instant_of(START)
    events: list[tuple[int, bool]] = []

    def process(world: Any) -> Generator[Any, None, None]:
        while True:
            for minutes, is_on in steps:
                events.append((start + world.now, is_on))
                yield world.timeout(minutes * 60_000)

    world = simpy.Environment()
    world.process(process(world))
    world.run(until=YEAR_MS)
    assert ours(cycle) == only_changes(events)


def test_a_year_of_fifteen_and_fifteen_has_35040_changes() -> None:
    """Two an hour, on and off: 365 x 24 x 4, by hand; the first is the start itself."""
    assert len(ours("15m on, 15m off")) == 35_040
