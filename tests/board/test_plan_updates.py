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
LAMP = Relay("lamp", 6, is_active_low=False)
REFUSED = "plan on disk refused"
# The daemon carries a new plan out on paper first; in the emulator that takes its time, and
# the daemon itself gives it 60 s.
EXAMINED_WITHIN_S = 90.0


def _plan(lamp: str) -> str:
    """The pump is on from 10:00, when the board is switched on; the lamp tells the plan."""
    return plan(load(PUMP, "30m on, 30m off"), load(LAMP, lamp, kind="lamp"))


def test_a_good_plan_is_taken_a_bad_one_refused_and_a_proposal_written(
    new_scenario: NewScenario,
) -> None:
    """The lamp follows each good plan, a bad file changes nothing but tells, and the pump,
    whose plan stays as it was, is not switched by any of it."""
    story = new_scenario(PUMP, LAMP, plan=_plan("off"))
    shell = story.boot().shell
    began = story.wait("pump", is_on=True, within_s=20)

    edited = time.time()
    _edit(story, _plan("on"))
    _await_lamp(story, is_on=True, since=edited)

    bad = _plan("off").replace("from = ", "form = ")
    _replace(story, bad)
    _await_alarm(story, is_there=True)
    assert "loads.pump.spans.0.form" in story.status()["plan"]["refused"]

    shell.put("/run/proposed.toml", _plan("off"))
    proposed = time.time()
    told = story.run("rootclock plan propose /run/proposed.toml", within_s=EXAMINED_WITHIN_S)
    assert "Revision 3 is in force" in told
    _await_lamp(story, is_on=False, since=proposed)
    _await_alarm(story, is_there=False)
    assert shell.run(f"cat {PLAN_PATH}").output == _plan("off")
    assert shell.run(f"cat {PLAN_PATH.replace('plan.toml', 'refused-plan.toml')}").output == bad

    assert [one.is_on for one in story.stretches("pump", since=began)] == [True]
    assert [one.is_on for one in story.stretches("lamp", since=began)] == [False, True, False]


def _edit(story: Scenario, text: str) -> None:
    """Writes the plan file as an editor does that keeps the file: emptied, then written."""
    story.machine.shell.put("/run/edited.toml", text)
    story.run(f"cat /run/edited.toml >{PLAN_PATH}")


def _replace(story: Scenario, text: str) -> None:
    """Writes the plan file as an editor does that replaces it: written aside, then renamed."""
    new = f"{PLAN_PATH}~"
    story.machine.shell.put("/run/edited.toml", text)
    story.run(
        f"cp /run/edited.toml {new} && chown --reference={PLAN_PATH} {new} && "
        f"chmod --reference={PLAN_PATH} {new} && mv {new} {PLAN_PATH}"
    )


def _await_lamp(story: Scenario, *, is_on: bool, since: float) -> None:
    at = story.wait("lamp", is_on=is_on, within_s=EXAMINED_WITHIN_S, since=since)
    story.note(f"in force {at - since:.1f} s after it was written")


def _await_alarm(story: Scenario, *, is_there: bool) -> None:
    deadline = time.monotonic() + EXAMINED_WITHIN_S
    while time.monotonic() < deadline:
        if (REFUSED in {alarm["code"] for alarm in story.status()["alarms"]}) is is_there:
            return
    raise AssertionError(f"alarm {REFUSED!r}: not {'raised' if is_there else 'over'} in time")
