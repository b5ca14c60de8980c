"""What a board's lines do when their owner dies, and the way out that stands alone."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from tests.board.plans import load, plan
from tests.board.scenario import PLAN as PLAN_PATH
from tests.board.scenario import Relay

if TYPE_CHECKING:
    from tests.board.conftest import NewScenario

PUMP = Relay("pump", 5)
LAMP = Relay("lamp", 6, is_active_low=False)
# Both on from 10:00, when the board is switched on.
PLAN = plan(
    load(PUMP, "30m on, 30m off"),
    load(LAMP, "30m on, 30m off", kind="lamp", when_stopped="on"),
)

# A daemon that nobody looks after, as from a terminal.
_ALONE = f"""
systemctl stop rootclock
mkdir /run/alone
rootclock run {PLAN_PATH} --socket /run/alone/control.sock --state /run/alone >/dev/null 2>&1 &
echo $!
"""


def test_lines_outlive_their_owner_until_the_way_out_drives_them(
    new_scenario: NewScenario,
) -> None:
    """After SIGKILL a pump runs on; the emergency program stops it, and a lamp stays on."""
    story = new_scenario(PUMP, LAMP, plan=PLAN)
    shell = story.boot().shell
    stopping = time.time()
    owner = story.run(_ALONE).strip()
    off = story.wait("pump", is_on=False, within_s=20, since=stopping)
    began = story.wait("pump", is_on=True, within_s=60, since=off)
    shell.run(f"kill -9 {owner}; while kill -0 {owner}; do :; done 2>/dev/null")
    story.note("the owner of both lines is killed")
    assert [one.is_on for one in story.stretches("pump", since=began)] == [True]

    started = time.time()
    took = story.run("time python3 -I -S /opt/rootclock/emergency.py /run/alone/safe-lines")
    stopped = story.wait("pump", is_on=False, within_s=10, since=began)
    story.note(
        f"the pump is off {stopped - started:.2f} s after the command was given "
        f"({' '.join(took.split())})"
    )
    assert [one.is_on for one in story.stretches("pump", since=began)] == [True, False]
    assert [one.is_on for one in story.stretches("lamp", since=stopping)] == [True]
