"""What a board's lines do when their owner dies, and the way out that stands alone."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from tests.board.plans import load, plan
from tests.board.scenario import Relay

if TYPE_CHECKING:
    from tests.board.conftest import NewScenario

PUMP = Relay("pump", 5)
LAMP = Relay("lamp", 6, is_active_low=False)
PLAN = plan(load(PUMP, "off"), load(LAMP, "off", kind="lamp", when_stopped="on"))

# Holds the pump on (low) and the lamp on (high) until it is killed.
_OWNER = """
cp /run/rootclock/safe-lines /run
systemctl stop rootclock
cd /run
cat >owner.py <<'EOF'
import lgpio, signal
chip = lgpio.gpiochip_open(0)
lgpio.gpio_claim_output(chip, 5, 0)
lgpio.gpio_claim_output(chip, 6, 1)
signal.pause()
EOF
/opt/rootclock/current/bin/python owner.py >/dev/null 2>&1 &
echo $!
"""


def test_lines_outlive_their_owner_until_the_way_out_drives_them(
    new_scenario: NewScenario,
) -> None:
    """After SIGKILL a pump runs on; the emergency program stops it, and a lamp stays on."""
    story = new_scenario(PUMP, LAMP, plan=PLAN)
    shell = story.boot().shell
    owner = shell.run(_OWNER).output.strip()
    began = story.wait("pump", is_on=True, within_s=30)
    story.wait("lamp", is_on=True, within_s=30)
    shell.run(f"kill -9 {owner}; while kill -0 {owner}; do :; done 2>/dev/null")
    story.note("the owner of both lines is killed")
    assert [stretch.is_on for stretch in story.stretches("pump", since=began)] == [True]

    started = time.time()
    took = story.run("time python3 -I -S /opt/rootclock/emergency.py /run/safe-lines")
    stopped = story.wait("pump", is_on=False, within_s=10, since=began)
    story.note(
        f"the pump is off {stopped - started:.2f} s after the command was given "
        f"({' '.join(took.split())})"
    )
    assert [stretch.is_on for stretch in story.stretches("pump", since=began)] == [True, False]
    assert [stretch.is_on for stretch in story.stretches("lamp", since=started)] == [True]
