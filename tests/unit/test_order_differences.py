"""Where a load did not do what its plan ordered."""

from __future__ import annotations

import pytest

from controller.core.journal_history import State
from controller.core.order_differences import AWAY, Difference, differences
from controller.core.plan_text.reading import read_plan
from controller.core.schedule import make_schedule
from controller.core.timeline import Timeline
from controller.core.units import MINUTE_MS, parse_rfc3339

# Of no plant: half an hour on, half an hour off, from midnight UTC.
PLAN = b"""\
format = 1
[site]
latitude = 47.1
longitude = 0.0
timezone = "Etc/UTC"
[loads.pump]
kind = "pump"
line = 17
active = "low"
spans = [{ from = "00:00", cycle = "30m on, 30m off" }]
"""
NOON = parse_rfc3339("2026-07-01T12:00:00Z")


@pytest.fixture(scope="module")
def timeline() -> Timeline:
    """What the plan orders."""
    plan = read_plan(PLAN, "plan.toml").plan
    assert plan is not None
    return make_schedule(plan).loads[0].own


def _at(minute: float) -> int:
    return NOON + round(minute * MINUTE_MS)


def _state(start: float, end: float, *, is_on: bool, why: str = "plan") -> State:
    return State(_at(start), _at(end), is_on, why)


def _difference(start: float, end: float, *, is_on: bool, why: str) -> Difference:
    return Difference(_at(start), _at(end), is_on, why)


@pytest.mark.parametrize(
    ("states", "away", "expected"),
    [
        pytest.param(
            [_state(0, 30, is_on=True), _state(30, 60, is_on=False), _state(60, 90, is_on=True)],
            [], [], id="as ordered",
        ),
        pytest.param(
            [_state(0.5, 30.5, is_on=True), _state(30.5, 90, is_on=False, why="shortest off")],
            [], [], id="late by less than anybody notes, and a border's doing",
        ),
        pytest.param(
            [_state(0, 10, is_on=True), _state(10, 90, is_on=False, why="leak")], [],
            [_difference(10, 30, is_on=True, why="leak"),
             _difference(60, 90, is_on=True, why="leak")],
            id="a guard cuts in",
        ),
        pytest.param(
            [_state(0, 60, is_on=True, why="hold"), _state(60, 90, is_on=True)], [],
            [_difference(30, 60, is_on=False, why="hold")], id="held on",
        ),
        pytest.param(
            [_state(0, 30, is_on=True)], [(_at(0), _at(30))],
            [_difference(0, 30, is_on=True, why=AWAY)],
            id="a clock put back brings two accounts of one time",
        ),
        pytest.param(
            [_state(0, 90, is_on=False, why="variant")], [], [], id="a variant is the plan's will",
        ),
        pytest.param(
            [_state(-30, 90, is_on=False)], [],
            [_difference(0, 30, is_on=True, why=""), _difference(60, 90, is_on=True, why="")],
            id="nothing was switched, and no entry says why",
        ),
        pytest.param(
            [_state(0, 20, is_on=True)], [(_at(20), _at(90))],
            [_difference(20, 30, is_on=True, why=AWAY), _difference(60, 90, is_on=True, why=AWAY)],
            id="no controller ran: missed is only what was to run",
        ),
        pytest.param(
            [_state(0, 5, is_on=False, why="leak"), _state(5, 9, is_on=False, why="leak"),
             _state(9, 30, is_on=True)], [],
            [_difference(0, 9, is_on=True, why="leak")], id="one reason told twice is one",
        ),
    ],
)  # fmt: skip
def test_what_was_ordered_and_not_done(
    timeline: Timeline,
    states: list[State],
    away: list[tuple[int, int]],
    expected: list[Difference],
) -> None:
    """From noon for an hour and a half, with the rule that decided."""
    assert differences(states, away, timeline, since=NOON, until=_at(90)) == expected


def test_no_time_has_no_difference(timeline: Timeline) -> None:
    """A plan that came into force just now has ordered nothing so far."""
    assert differences([_state(0, 90, is_on=False)], [], timeline, since=_at(9), until=_at(9)) == []
