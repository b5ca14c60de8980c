"""The date and the time of day now, for commands that take them where none are given."""

from __future__ import annotations

import time
from datetime import date, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from controller.core.units import Instant


def today(zone: ZoneInfo) -> date:
    """The date on a zone's calendars now."""
    return datetime.now(zone).date()


def now() -> Instant:
    """What this machine's clock shows now."""
    return time.time_ns() // 1_000_000
