"""Relay wear as sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.phrases import date_words, percent_words, rate_words
from controller.core.units import DAY_MS, SECOND_MS, parse_rfc3339
from controller.core.wall_clock import local_datetime

if TYPE_CHECKING:
    from collections.abc import Mapping
    from zoneinfo import ZoneInfo

_YEAR_MS = 365.2425 * DAY_MS


def wear_sentence(load: Mapping[str, Any], zone: ZoneInfo) -> str:
    """One load of what the controller's `wear` tells: `pump: 12,345 of 100,000 rated operations
    (12.3 %) since Sat 3 Jan 2026. At 48 a day of late the rest lasts about 5 years.`"""
    operations = f"{load['operations']:,}"
    since = ""
    if load["since_utc"] is not None:
        day = local_datetime(zone, parse_rfc3339(load["since_utc"])).date()
        since = f" since {date_words(day)} {day.year}"
    if load["contact_life"] is None:
        return f"{load['name']}: {operations} operations{since}. It is not in the plan any more."
    used = percent_words(load["share"])
    text = f"{load['name']}: {operations} of {load['contact_life']:,} rated operations ({used})"
    return f"{text}{since}. {_left_words(load)}"


def _left_words(load: Mapping[str, Any]) -> str:
    left_s, a_day = load["left_s"], load["a_day"]
    if load["share"] >= 1:
        return "The rated life is used up: put a new relay in before it sticks."
    if a_day is None:
        return "No whole day is known yet, so nobody can say how long the rest lasts."
    if left_s is None:
        return f"At {rate_words(a_day)} a day of late it outlasts all of us."
    return f"At {rate_words(a_day)} a day of late the rest lasts {about_words(left_s * SECOND_MS)}."


def about_words(length_ms: float) -> str:
    """A long time, roughly: `about 6 years`, `about 5 months`, `about 12 days`."""
    years = length_ms / _YEAR_MS
    if years >= 1.95:
        return f"about {years:.0f} years"
    months = round(years * 12)
    if months >= 2:
        return f"about {months} months"
    days = round(length_ms / DAY_MS)
    return "about a day" if days <= 1 else f"about {days} days"
