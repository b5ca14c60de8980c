"""Stop and restart, as an owner or an upgrade does them."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from tests.board.plans import load, plan
from tests.board.scenario import Relay, Scenario

if TYPE_CHECKING:
    from tests.board.conftest import NewScenario

PUMP = Relay("pump", 5)
NIGHT_LIGHT = Relay("night-light", 6, is_active_low=False)
FAN = Relay("fan", 7, is_normally_closed=True)
PLAN = plan(
    load(PUMP, "10m on, 10m off"),  # on from 10:00, when the board is switched on
    load(NIGHT_LIGHT, "off", kind="lamp", when_stopped="on"),
    load(FAN, "on", kind="fan", when_stopped="off"),
)
STOPPED_WITHIN_S = 5
BACK_WITHIN_S = 40


def test_a_stop_leaves_every_load_as_the_plan_says_and_a_restart_does_not_chatter(
    new_scenario: NewScenario,
) -> None:
    """One change each way and no more, whichever way the daemon goes and comes."""
    story = new_scenario(PUMP, NIGHT_LIGHT, FAN, plan=PLAN)
    story.boot()
    began = story.wait("pump", is_on=True, within_s=20)

    stopped = time.time()
    story.run("systemctl stop rootclock")
    off = story.wait("pump", is_on=False, within_s=STOPPED_WITHIN_S, since=stopped)
    story.note(f"pump off {off - stopped:.2f} s after the stop was asked for")
    for load_name, is_on in (("night-light", True), ("fan", False)):
        story.wait(load_name, is_on=is_on, within_s=STOPPED_WITHIN_S, since=stopped)
    assert story.run("systemctl is-active rootclock", codes=(3,)).strip() == "inactive"
    assert story.run("rootclock status", codes=(1,)).startswith("rootclock: ")

    story.run("systemctl start rootclock", within_s=120)
    story.wait("pump", is_on=True, within_s=BACK_WITHIN_S, since=off)
    _assert_settled(story)

    again = time.time()
    story.run("systemctl restart rootclock", within_s=120)
    off = story.wait("pump", is_on=False, within_s=STOPPED_WITHIN_S, since=again)
    on = story.wait("pump", is_on=True, within_s=BACK_WITHIN_S, since=off)
    story.note(f"a restart took the pump off for {on - off:.2f} s")
    _assert_settled(story)

    # Off and on by the stop, off and on by the restart, and nothing between.
    changes = {name: _states(story, name, since=began) for name in story.relays}
    assert changes == {
        "pump": [True, False, True, False, True],
        "night-light": [False, True, False, True, False],
        "fan": [True, False, True, False, True],
    }


def _assert_settled(story: Scenario) -> None:
    for name, is_on in (("pump", True), ("night-light", False), ("fan", True)):
        story.wait(name, is_on=is_on, within_s=BACK_WITHIN_S, since=time.time())


def _states(story: Scenario, name: str, *, since: float) -> list[bool]:
    return [one.is_on for one in story.stretches(name, since=since)]
