"""A float that drops stops the pump; water lets it go on."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from tests.board.plans import FLOAT, FLOAT_LINE, load, plan
from tests.board.scenario import Relay

if TYPE_CHECKING:
    from tests.board.conftest import NewScenario

PUMP = Relay("pump", 5)
LAMP = Relay("lamp", 6, is_active_low=False)
PLAN = plan(load(PUMP, "on", extra='level = "float"'), load(LAMP, "on", kind="lamp"), FLOAT)
DEBOUNCE_S = 0.05
# From the contact's move to the relay's, besides the debouncing, in the emulator.
REACTION_S = 0.75


def test_a_dropped_float_stops_the_pump_until_water_is_back(new_scenario: NewScenario) -> None:
    """Pump off within the debounce time and a bit, alarm told, lamp untouched, then on again."""
    story = new_scenario(PUMP, LAMP, plan=PLAN, inputs={FLOAT_LINE: "float"})
    story.boot()
    story.wait("pump", is_on=True, within_s=20)
    story.wait("lamp", is_on=True, within_s=20)
    assert story.status()["alarms"] == []

    # A knock that is shorter than the debouncing is no drop.
    knocked = story.machine.press(FLOAT_LINE, is_high=True)
    back = story.machine.press(FLOAT_LINE, is_high=False)
    story.note(f"float knocked for {(back - knocked) * 1000:.1f} ms", at=knocked)
    assert story.status()["alarms"] == []
    assert [one.is_on for one in story.stretches("pump", since=knocked)] == [True]

    dropped = time.time()
    story.machine.press(FLOAT_LINE, is_high=True)
    story.note("float drops", at=dropped)
    off = story.wait("pump", is_on=False, within_s=10, since=dropped)
    story.note(f"pump off {(off - dropped) * 1000:.0f} ms after the float dropped")
    assert DEBOUNCE_S <= off - dropped < DEBOUNCE_S + REACTION_S
    alarms = {(one["code"], one["is_active"]) for one in story.status()["alarms"]}
    assert ("reservoir low", True) in alarms

    risen = time.time()
    story.machine.press(FLOAT_LINE, is_high=False)
    story.note("water is back", at=risen)
    on = story.wait("pump", is_on=True, within_s=10, since=risen)
    story.note(f"pump on {(on - risen) * 1000:.0f} ms after the float rose")
    assert on - risen < DEBOUNCE_S + REACTION_S
    # Still told, until a person has looked: the cause is over.
    alarms = {(one["code"], one["is_active"]) for one in story.status()["alarms"]}
    assert ("reservoir low", False) in alarms
    assert [one.is_on for one in story.stretches("pump", since=knocked)] == [True, False, True]
    assert [one.is_on for one in story.stretches("lamp", since=knocked)] == [True]
