"""A board that does not know the time waters all the same, and joins the plan when it does."""

from __future__ import annotations

import json
import time
from typing import TYPE_CHECKING

import pytest

from tests.board.plans import load, plan
from tests.board.scenario import Relay, Scenario

if TYPE_CHECKING:
    from tests.board.conftest import NewScenario

PUMP = Relay("pump", 5)
PLAN = plan(load(PUMP, "7s on, 5s off", without_clock="4s on, 6s off"))
PLANNED = (7.0, 5.0)
BLIND = (4.0, 6.0)
TOLERANCE_S = 0.5


@pytest.mark.parametrize(
    "clock",
    [
        pytest.param("2001-01-01T00:00:00", id="a battery clock that was reset"),
        pytest.param(None, id="no battery clock at all"),
    ],
)
def test_a_board_with_a_wrong_clock_waters_by_elapsed_time_and_joins_the_plan(
    new_scenario: NewScenario, clock: str | None
) -> None:
    """Setting the clock changes nothing until somebody vouches for it; then the plan is on."""
    story = new_scenario(PUMP, plan=PLAN)
    story.boot(clock=clock)
    began = story.wait_change("pump", is_on=True, within_s=30)
    _assert_keeps(story, BLIND, since=began, times=2)
    alarms = [alarm["code"] for alarm in story.status()["alarms"]]
    assert "clock not trusted" in alarms

    story.run("date --set '2026-12-01 10:00:00'")
    assert story.status()["is_clock_trusted"] is False

    story.run("rootclock trust-clock --yes")
    asked = time.time()
    joined = _ahead(story, 2)
    offset_s = _board_time_offset_s(story)
    _assert_keeps(story, PLANNED, since=joined, times=2)
    phase_s = (joined + offset_s) % sum(PLANNED)
    story.note(f"joined the plan: on {min(phase_s, sum(PLANNED) - phase_s):.2f} s from its time")
    assert min(phase_s, sum(PLANNED) - phase_s) < TOLERANCE_S
    # Borders of the two cycles may cut a state short, but never below what the plan allows.
    between = [one for one in story.stretches("pump", since=began) if one.at < joined]
    assert min(one.length_s for one in between) > 1.0 - TOLERANCE_S
    assert asked < joined

    story.run("sync")
    told = [json.loads(line) for line in story.run("rootclock log --jsonl").splitlines()]
    what = [entry["what"] for entry in told]
    assert "clock trusted" in what
    trusted_at = what.index("clock trusted")
    switched = {"on", "off"}
    assert {e["why"] for e in told[:trusted_at] if e["what"] in switched} == {"clock not trusted"}
    assert "plan" in {e["why"] for e in told[trusted_at:] if e["what"] in switched}


def _ahead(story: Scenario, changes: int) -> float:
    """When the pump has started that many times more."""
    at = 0.0
    for _ in range(changes):
        at = story.wait_change("pump", is_on=True, within_s=40)
    return at


def _assert_keeps(story: Scenario, cycle: tuple[float, float], *, since: float, times: int) -> None:
    until = _ahead(story, times)
    whole = [one for one in story.stretches("pump", since=since) if one.at < until]
    assert [one.is_on for one in whole] == [True, False] * (len(whole) // 2)
    worst = max(abs(one.length_s - cycle[0 if one.is_on else 1]) for one in whole)
    story.note(f"{len(whole)} states, none further than {worst:.3f} s from its length")
    assert worst < TOLERANCE_S


def _board_time_offset_s(story: Scenario) -> float:
    """How far the board's time of day is ahead of ours, to a fraction of a second."""
    before = time.time()
    board_s = float(story.machine.shell.run("date +%s.%N").output)
    return board_s - (before + time.time()) / 2
