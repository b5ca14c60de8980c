"""Plans for the board's scenarios, as text. Place, loads and times are invented."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.board.scenario import Relay

FLOAT_LINE = 4

_SITE = """\
# A glasshouse that does not exist, for the virtual board.
format = 1

[site]
latitude = 47.1
longitude = 8.3
timezone = "Europe/Zurich"
"""

# Contact to ground, closed while water stands at the float: the line is low then.
FLOAT = f"""
[sensors.float]
measures = "level"
line = {FLOAT_LINE}
contact = "normally-closed"
pull = "up"
debounce = "0.05s"
"""


def load(
    relay: Relay,
    cycle: str,
    *,
    kind: str = "pump",
    without_clock: str | None = None,
    when_stopped: str = "off",
    extra: str = "",
) -> str:
    """One load that keeps the same cycle from midnight to midnight; `extra` are more keys."""
    active = "low" if relay.is_active_low else "high"
    contact = "normally-closed" if relay.is_normally_closed else "normally-open"
    return f"""
[loads.{relay.load}]
kind = "{kind}"
line = {relay.line}
active = "{active}"
contact = "{contact}"
mains = false
watts = 22
shortest_on = "1s"
shortest_off = "1s"
when_stopped = "{when_stopped}"
without_clock = "{without_clock or cycle}"
{extra}
[[loads.{relay.load}.spans]]
from = "00:00"
cycle = "{cycle}"
"""


def plan(*parts: str) -> str:
    """A whole plan of these loads and sensors."""
    return _SITE + "".join(parts)
