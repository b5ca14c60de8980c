"""Moments, lengths and amounts as a report's reader meets them; rounding happens here."""

from __future__ import annotations

from datetime import date
from math import floor, log10
from typing import TYPE_CHECKING

from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, SECOND_MS, Instant
from controller.core.wall_clock import local_datetime

if TYPE_CHECKING:
    from controller.core.calendar import Calendar

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

# What a load of each kind does when it is on, one and many; and the time while it is not.
_TURN = {
    "pump": ("watering", "waterings"),
    "valve": ("opening", "openings"),
    "lamp": ("time lit", "times lit"),
    "fan": ("run", "runs"),
    "heater": ("heating", "heatings"),
}
_GAP = {
    "pump": "dry gap",
    "valve": "time closed",
    "lamp": "time dark",
    "fan": "time still",
    "heater": "time cold",
}


def turn_words(kind: str, count: float) -> str:
    """What a load's being on is called, for one or for many: `watering`, `times lit`."""
    one, many = _TURN[kind]
    return one if count == 1 else many


def gap_words(kind: str) -> str:
    """What the time between two turns is called: `dry gap`, `time dark`."""
    return _GAP[kind]


def date_words(day: date) -> str:
    """The date with its weekday: `Mon 30 Jun`."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def clock_words(instant: Instant, calendar: Calendar) -> str:
    """The site's time of day, with seconds only where there are some; says so where the
    clocks show it for the second time."""
    local_time = local_datetime(calendar.zone, instant)
    has_seconds = local_time.second or local_time.microsecond
    text = f"{local_time.hour:02}:{local_time.minute:02}"
    text += f":{local_time.second:02}" if has_seconds else ""
    return text + (" (the second time)" if local_time.fold else "")


def moment_words(instant: Instant, calendar: Calendar) -> str:
    """The site's date and time of day: `Mon 30 Jun 14:15`."""
    return f"{date_words(calendar.date_of(instant))} {clock_words(instant, calendar)}"


def between_words(start: Instant, end: Instant, calendar: Calendar) -> str:
    """A stretch of local time: `Mon 30 Jun 14:15 to 15:00`, with both dates where they differ."""
    if calendar.date_of(start) == calendar.date_of(end):
        return f"{moment_words(start, calendar)} to {clock_words(end, calendar)}"
    return f"{moment_words(start, calendar)} to {moment_words(end, calendar)}"


def length_words(length_ms: int) -> str:
    """A length to its two leading units, rounded: `15 min`, `2 h 5 min`, `3 days 4 h`."""
    if length_ms < 59_950:
        tenths = (length_ms + 50) // 100
        return f"{tenths // 10} s" if tenths % 10 == 0 else f"{tenths / 10} s"
    if length_ms < HOUR_MS - SECOND_MS // 2:
        return _two_units(length_ms, (MINUTE_MS, "min"), (SECOND_MS, "s"))
    if length_ms < 2 * DAY_MS - MINUTE_MS // 2:
        return _two_units(length_ms, (HOUR_MS, "h"), (MINUTE_MS, "min"))
    return _two_units(length_ms, (DAY_MS, "days"), (HOUR_MS, "h"))


def _two_units(length_ms: int, large: tuple[int, str], small: tuple[int, str]) -> str:
    rounded_ms = (length_ms + small[0] // 2) // small[0] * small[0]
    many, rest_ms = divmod(rounded_ms, large[0])
    return f"{many} {large[1]}" + (f" {rest_ms // small[0]} {small[1]}" if rest_ms else "")


def exact_length_words(length_ms: int) -> str:
    """A length in full, for messages that hold it against another: `1 h 0.5 s`."""
    hours, rest_ms = divmod(length_ms, HOUR_MS)
    minutes, rest_ms = divmod(rest_ms, MINUTE_MS)
    seconds = f"{rest_ms / SECOND_MS:.3f}".rstrip("0").rstrip(".")
    parts = ([f"{hours} h"] if hours else []) + ([f"{minutes} min"] if minutes else [])
    return " ".join([*parts, f"{seconds} s"] if rest_ms or not parts else parts)


def amount_words(amount: float) -> str:
    """A number to three figures, without an exponent: `0.0123`, `8.08`, `17,520`."""
    if amount == 0:
        return "0"
    decimals = max(0, 2 - floor(log10(abs(amount))))
    text = f"{amount:,.{min(decimals, 6)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def rate_words(a_day: float) -> str:
    """How often a day, to a tenth; rarer things to three figures."""
    return amount_words(a_day) if a_day < 0.05 else f"{a_day:,.1f}".removesuffix(".0")


def percent_words(share: float) -> str:
    """A share as a percentage, never rounded to nothing or to all: `50 %`, `< 0.1 %`."""
    percent = share * 100
    if percent in {0.0, 100.0}:
        return f"{percent:.0f} %"
    if percent < 0.1:
        return "< 0.1 %"
    if 99.9 < percent < 100:
        return "> 99.9 %"
    return f"{percent:.1f}".removesuffix(".0") + " %"


def years_words(share_a_year: float) -> str:
    """How long a relay's contact lasts at the share of its life that a year uses."""
    if share_a_year <= 0.01:
        return "> 100 years"
    years = 1 / share_a_year
    if years >= 2:
        return f"{years:.1f} years"
    return f"{years * 365.2425:.0f} days"


def counted(count: int, one: str, many: str | None = None) -> str:
    """A count with its noun: `1 day`, `3 days`."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def times_words(count: int) -> str:
    """How often: `once`, `twice`, `3 times`."""
    return {1: "once", 2: "twice"}.get(count, f"{count:,} times")
