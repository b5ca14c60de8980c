"""The only place that asks what time it is."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo


def today(zone: ZoneInfo) -> date:
    """The date on a zone's calendars now."""
    return datetime.now(zone).date()
