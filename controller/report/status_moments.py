"""Moments and lengths of a status, in the controller's local time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import UnknownZoneError
from controller.core.units import DAY_MS, SECOND_MS, utc_datetime
from controller.core.wall_clock import load_zone, local_datetime

if TYPE_CHECKING:
    from datetime import datetime

    from controller.core.status.record import Status
    from controller.core.units import Instant

_LENGTHS = ((86_400, "d"), (3_600, "h"), (60, "min"), (1, "s"))


def local_text(status: Status, instant: Instant) -> str:
    """The local time of an instant, with the date where it is half a day away or more; in UTC
    where this machine does not know the zone."""
    local_time, suffix = _local(status.timezone, instant)
    text = f"{local_time:%H:%M}{suffix}"
    if abs(instant - status.now) < DAY_MS // 2:
        return text
    return f"{text} on {local_time.day} {local_time:%b}"


def now_text(status: Status) -> str:
    """The local time and date of the status itself."""
    local_time, _ = _local(status.timezone, status.now)
    return f"{clock_text(status)} on {local_time.day} {local_time:%b %Y}"


def clock_text(status: Status) -> str:
    """The local time of the status itself, to the second."""
    local_time, suffix = _local(status.timezone, status.now)
    return f"{local_time:%H:%M:%S}{suffix}"


def _local(timezone: str, instant: Instant) -> tuple[datetime, str]:
    whole = instant // SECOND_MS * SECOND_MS
    try:
        return local_datetime(load_zone(timezone), whole), ""
    except UnknownZoneError:
        return utc_datetime(whole), " UTC"


def length_text(seconds: float) -> str:
    """A length with its two largest units: `2 h 5 min`, `40 s`."""
    rest = max(0, int(seconds))
    parts = []
    for size, unit in _LENGTHS:
        count, rest = divmod(rest, size)
        if count:
            parts.append(f"{count} {unit}")
        elif parts:
            break
    return " ".join(parts[:2]) or "0 s"
