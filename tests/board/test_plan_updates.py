"""The plan changes while the daemon runs: by hand, by a slip of the hand, by a client."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from tests.board.plans import load, plan
from tests.board.scenario import PLAN as PLAN_PATH
from tests.board.scenario import Relay, Scenario

if TYPE_CHECKING:
    from tests.board.conftest import NewScenario

PUMP = Relay("pump", 5)
TOLERANCE_S = 0.5
# The daemon carries a new plan out on paper first; in the emulator that takes its time.
EXAMINED_WITHIN_S = 120.0


def _plan(on_s: int, off_s: int) -> str:
    return plan(load(PUMP, f"{on_s}s on, {off_s}s off"))


def test_a_good_plan_is_taken_a_bad_one_refused_and_a_proposal_written(
    new_scenario: NewScenario,
) -> None:
    """The pump follows each good plan, without chatter; a bad file changes nothing but tells."""
    story = new_scenario(PUMP, plan=_plan(3, 3))
    shell = story.boot().shell
    began = story.wait_change("pump", is_on=True, within_s=30)
    _await_cycle(story, 3, 3)

    story.note("the file is edited: 2s on, 4s off")
    _edit(story, _plan(2, 4))
    _await_cycle(story, 2, 4)

    bad = _plan(5, 1).replace("from = ", "form = ")
    story.note("the file is edited: a slip")
    _edit(story, bad)
    _await_alarm(story, "plan on disk refused", is_there=True)
    _await_cycle(story, 2, 4)

    story.note("a client proposes: 4s on, 2s off")
    shell.put("/run/proposed.toml", _plan(4, 2))
    told = story.run("rootclock plan propose /run/proposed.toml", within_s=EXAMINED_WITHIN_S)
    assert "Revision 3 of the plan is in force" in told
    _await_cycle(story, 4, 2)
    _await_alarm(story, "plan on disk refused", is_there=False)
    assert shell.run(f"cat {PLAN_PATH}").output == _plan(4, 2)
    assert shell.run(f"cat {PLAN_PATH.replace('plan.toml', 'refused-plan.toml')}").output == bad

    inner = story.stretches("pump", since=began)[:-1]
    story.note(f"shortest state of all: {min(one.length_s for one in inner):.3f} s")
    assert min(one.length_s for one in inner) > 1.0 - TOLERANCE_S


def _edit(story: Scenario, text: str) -> None:
    """Writes the plan file as its owner's editor does: another file, then renamed."""
    story.machine.shell.put(PLAN_PATH, text, mode="640")


def _await_cycle(story: Scenario, on_s: float, off_s: float) -> None:
    """Waits until two whole turns of the pump are of that length."""
    deadline = time.monotonic() + EXAMINED_WITHIN_S
    seen: list[float] = []
    while time.monotonic() < deadline:
        since = story.wait_change("pump", is_on=True, within_s=30)
        until = story.wait_change("pump", is_on=True, within_s=30)
        seen = [one.length_s for one in story.stretches("pump", since=since) if one.at < until]
        if max(abs(a - b) for a, b in zip(seen, (on_s, off_s), strict=True)) < TOLERANCE_S:
            return
    raise AssertionError(f"the pump does not keep {on_s:g} s on, {off_s:g} s off: {seen}")


def _await_alarm(story: Scenario, code: str, *, is_there: bool) -> None:
    deadline = time.monotonic() + EXAMINED_WITHIN_S
    while time.monotonic() < deadline:
        if (code in {alarm["code"] for alarm in story.status()["alarms"]}) is is_there:
            return
    raise AssertionError(f"alarm {code!r}: not {'raised' if is_there else 'over'} in time")
