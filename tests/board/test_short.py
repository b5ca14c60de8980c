"""The shortest story that tells most: cycles as planned, then the daemon is killed."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from tests.board.plans import load, plan
from tests.board.scenario import Relay, Scenario

if TYPE_CHECKING:
    from tests.board.conftest import NewScenario

# Every way in which a load can hang on its line.
PUMP = Relay("pump", 5)
LAMP = Relay("lamp", 6, is_active_low=False)
FAN = Relay("fan", 7, is_normally_closed=True)
VALVE = Relay("valve", 3, is_active_low=False, is_normally_closed=True)
SLOW_PUMP = Relay("slow", 2)

CYCLES = {"pump": (3.0, 2.0), "lamp": (2.0, 3.0), "fan": (4.0, 4.0), "valve": (2.0, 2.0)}
PLAN = plan(
    load(PUMP, "3s on, 2s off"),
    load(LAMP, "2s on, 3s off", kind="lamp"),
    load(FAN, "4s on, 4s off", kind="fan", when_stopped="on"),
    load(VALVE, "2s on, 2s off", kind="valve"),
    load(SLOW_PUMP, "10m on, 10m off"),  # on from 10:00, when the board is switched on
)
WATCHED_S = 24.0

# How far a switching may be from its time, and for how long a line may stay as it was after a
# death: the emulated processor is some thirty times slower than a real one, and shares its
# host with others.
TOLERANCE_S = 0.5
SHORTEST_S = 1.0 - TOLERANCE_S  # as the plan has it
SAFE_WITHIN_S = 6.0
BACK_WITHIN_S = 40.0


def test_loads_keep_their_cycles_and_a_killed_daemon_leaves_no_pump_on(
    new_scenario: NewScenario,
) -> None:
    """Cycles of all wirings are kept to the half second; after SIGKILL all is safe, and comes
    back without chatter."""
    story = new_scenario(PUMP, LAMP, FAN, VALVE, SLOW_PUMP, plan=PLAN)
    story.boot()
    end = time.time() + WATCHED_S
    while story.wait_change("fan", is_on=True, within_s=20) < end:
        pass
    for name in CYCLES:
        _assert_opened_without_a_flicker(story, name)
        _assert_cycle(story, name)
    _kill_and_come_back(story)


def _assert_opened_without_a_flicker(story: Scenario, name: str) -> None:
    """From power on the load is as its resistor and contact have it, until the plan says
    otherwise; the plan's first off may be a short rest of one, its first on may not."""
    resting, first, *planned, _ = story.stretches(name)
    assert resting.is_on is story.relays[name].is_normally_closed  # the coil is released
    shortest = min(one.length_s for one in (first, *planned) if one.is_on or one is not first)
    story.note(f"{name}: shortest state since power on {shortest:.3f} s")
    assert shortest > SHORTEST_S


def _assert_cycle(story: Scenario, name: str) -> None:
    """All states but the first two, which may make up for the start, have their lengths."""
    on_s, off_s = CYCLES[name]
    _, _, _, *whole, _ = story.stretches(name)
    worst = max(abs(one.length_s - (on_s if one.is_on else off_s)) for one in whole)
    story.note(f"{name}: {len(whole)} states, none further than {worst:.3f} s from its length")
    assert worst < TOLERANCE_S
    assert len(whole) >= WATCHED_S / max(on_s, off_s) / 2


def _kill_and_come_back(story: Scenario) -> None:
    process = story.daemon()
    killed = time.time()
    story.run(f"kill -9 {process}")
    safe = story.wait("slow", is_on=False, within_s=SAFE_WITHIN_S, since=killed)
    story.wait("fan", is_on=True, within_s=SAFE_WITHIN_S, since=killed)
    story.note(f"safe {safe - killed:.2f} s after SIGKILL was asked for")
    back = story.wait("slow", is_on=True, within_s=BACK_WITHIN_S, since=safe)
    story.note(f"back {back - killed:.2f} s after SIGKILL was asked for")
    for _ in range(3):  # the plan goes on
        story.wait_change("pump", is_on=True, within_s=20)
    assert [one.is_on for one in story.stretches("slow", since=killed)] == [True, False, True]
    shortest = min(one.length_s for one in story.stretches("pump", since=safe)[1:-1])
    assert shortest > SHORTEST_S
    told = story.run("journalctl --unit rootclock --output short-monotonic | grep -i exited")
    assert "status=9/KILL" in told
