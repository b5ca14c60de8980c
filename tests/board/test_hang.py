"""A daemon that lives but does nothing is ended by the watchdog, and comes back."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from tests.board.plans import load, plan
from tests.board.scenario import Relay

if TYPE_CHECKING:
    from tests.board.conftest import NewScenario

PUMP = Relay("pump", 5)
PLAN = plan(load(PUMP, "10m on, 10m off"))  # on from 10:00, when the board is switched on

# WatchdogSec=10s and TimeoutAbortSec=2s in systemd/rootclock.service, and what the emulated
# board needs to start a program.
SAFE_WITHIN_S = 10 + 2 + 6
BACK_WITHIN_S = 40


def test_a_frozen_daemon_is_ended_and_its_pump_stopped(new_scenario: NewScenario) -> None:
    """After SIGSTOP the pump is off within watchdog and a bit; the daemon comes back."""
    story = new_scenario(PUMP, plan=PLAN)
    story.boot()
    process = story.daemon()
    began = story.wait("pump", is_on=True, within_s=20)
    frozen = time.time()
    story.run(f"kill -STOP {process}")
    safe = story.wait("pump", is_on=False, within_s=SAFE_WITHIN_S, since=frozen)
    story.note(f"pump off {safe - frozen:.2f} s after SIGSTOP")
    back = story.wait("pump", is_on=True, within_s=BACK_WITHIN_S, since=safe)
    story.note(f"pump back {back - frozen:.2f} s after SIGSTOP")
    assert [one.is_on for one in story.stretches("pump", since=began)] == [True, False, True]
    assert story.daemon() != process
    told = story.run("journalctl --unit rootclock --output cat | grep -i -E 'watchdog|exited'")
    assert "Watchdog timeout" in told
