"""Lengths and instants of time: the two numbers that everything else counts with.

Both are whole milliseconds. A length ends in `_ms`; an instant is the number of
milliseconds since 1970-01-01T00:00:00Z (leap seconds not counted, as in POSIX time)
and is called after what happens then: `now`, `start`, `sunrise`. Integers make every
border exact: the state found directly equals the state found by stepping.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import TypeAlias

from controller.core.errors import BadDurationError, BadInstantError

Instant: TypeAlias = int

SECOND_MS = 1_000
MINUTE_MS = 60_000
HOUR_MS = 3_600_000
DAY_MS = 86_400_000

# A week is longer than any cycle, hold or delay in the trade, and keeps a slip of the
# finger ("15h" for "15m" excepted) from being taken for an intention.
DURATION_MS_MAX = 7 * DAY_MS

# The span of dates for which the sun's formulae (Meeus, by way of astral) and the zone
# rules mean something.
DATE_MIN = date(1970, 1, 2)
DATE_MAX = date(2199, 12, 30)

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_EPOCH_ORDINAL = date(1970, 1, 1).toordinal()
_DURATION = re.compile(
    r"(?:(?P<h>[0-9]{1,4})h)?\s*(?:(?P<m>[0-9]{1,5})m)?\s*(?:(?P<s>[0-9]{1,6}(?:\.[0-9]{1,3})?)s)?"
)
_NEARLY = re.compile(
    r"([0-9]+(?:\.[0-9]+)?)\s*(hours?|hrs?|h|minutes?|mins?|m|seconds?|secs?|s)", re.IGNORECASE
)
# RFC 3339, section 5.6, with seconds left out at will. `datetime.fromisoformat` alone takes
# much more, a NUL at the end included, and drops what is finer than a microsecond.
_RFC3339 = re.compile(
    r"\d{4}-\d\d-\d\d[Tt ](?:[01]\d|2[0-3]):[0-5]\d(?::[0-5]\d(?:\.(?P<fraction>\d+))?)?"
    r"(?:[Zz]|[+-]\d\d:\d\d)?",
    re.ASCII,
)


def parse_duration_ms(text: str) -> int:
    """The length in ms of `90s`, `15m`, `1h30m`, `2.5s`; from 0 to a week.

    Raises:
        BadDurationError: the text is no duration; says what was likely meant.
    """
    match = _DURATION.fullmatch(text.strip()) if len(text) <= 40 else None
    if match is None or not any(match.groups()):
        likely = " or ".join(likely_durations(text))
        raise BadDurationError(
            f"{shown(text)} is not a duration: write hours, minutes and seconds "
            f"like 1h30m, 15m or 90s" + (f" (did you mean {likely}?)" if likely else "")
        )
    length_ms = _length_ms(match)
    if length_ms > DURATION_MS_MAX:
        raise BadDurationError(f"{shown(text)} is longer than a week (168h)")
    return length_ms


def _length_ms(match: re.Match[str]) -> int:
    hours, minutes, seconds = match.group("h"), match.group("m"), match.group("s")
    whole, _, thousandths = (seconds or "0").partition(".")
    return (
        int(hours or 0) * HOUR_MS
        + int(minutes or 0) * MINUTE_MS
        + int(whole) * SECOND_MS
        + int(thousandths.ljust(3, "0"))
    )


def likely_durations(text: str) -> list[str]:
    """The durations that a text which is none was likely meant to be; often none."""
    if len(text) > 40:
        return []
    number = text.strip()
    likely = [f"{number}m", f"{number}s"]
    if not number.isdigit():
        parts = _NEARLY.findall(text)
        rest = _NEARLY.sub("", text).strip(" ,and")
        likely = ["".join(count + unit[0].lower() for count, unit in parts)] if not rest else []
    return [guess for guess in likely if guess != text and _is_duration(guess)]


def _is_duration(text: str) -> bool:
    match = _DURATION.fullmatch(text)
    return match is not None and any(match.groups()) and _length_ms(match) <= DURATION_MS_MAX


def duration_text(length_ms: int) -> str:
    """The length as a plan writes it, `1h30m`, `15m`, `2.5s`; reads back as the same.

    Negative lengths carry a minus sign.
    """
    sign, rest_ms = ("-", -length_ms) if length_ms < 0 else ("", length_ms)
    hours, rest_ms = divmod(rest_ms, HOUR_MS)
    minutes, rest_ms = divmod(rest_ms, MINUTE_MS)
    seconds = f"{rest_ms / SECOND_MS:.3f}".rstrip("0").rstrip(".")
    text = (f"{hours}h" if hours else "") + (f"{minutes}m" if minutes else "")
    return sign + (text + (f"{seconds}s" if rest_ms else "") or "0s")


def shown(value: object, length_max: int = 60) -> str:
    """A foreign value quoted for an error message: one line, bounded, printable."""
    try:
        text = repr(value[: length_max + 1] if isinstance(value, str) else value)
    except (ValueError, RecursionError):  # an integer of over 4300 digits, endless nesting
        return "a value too large to print"
    text = text.encode("ascii", "backslashreplace").decode() if not text.isprintable() else text
    return text if len(text) <= length_max else f"{text[:length_max]}…"


def instant_of(moment: datetime) -> Instant:
    """The instant of an aware datetime, rounded down to the millisecond.

    Raises:
        BadInstantError: the datetime carries no offset.
    """
    if moment.tzinfo is None:
        raise BadInstantError(f"{moment.isoformat()} has no offset from UTC: add Z or +02:00")
    return (moment - _EPOCH) // timedelta(milliseconds=1)


def utc_datetime(instant: Instant) -> datetime:
    """The instant as an aware datetime in UTC."""
    return _EPOCH + timedelta(milliseconds=instant)


def rfc3339(instant: Instant) -> str:
    """The instant as RFC 3339 text in UTC with Z, with a fraction only where there is one."""
    text = utc_datetime(instant).replace(tzinfo=None).isoformat(timespec="milliseconds")
    return text.removesuffix(".000") + "Z"


def parse_rfc3339(text: str) -> Instant:
    """The instant of an RFC 3339 text such as `2026-07-01T04:00:00Z` or `...T06:00:00+02:00`.

    Raises:
        BadInstantError: no such text, no offset, finer than a millisecond, or out of range.
    """
    match = _RFC3339.fullmatch(text)
    try:
        moment = None if match is None else datetime.fromisoformat(text.upper())
    except ValueError:
        moment = None
    if match is None or moment is None:
        raise BadInstantError(
            f"{shown(text)} is not an instant: write it like 2026-07-01T06:00:00+02:00"
        )
    if moment.tzinfo is None:
        raise BadInstantError(f"{shown(text)} has no offset from UTC: add Z or +02:00")
    if len((match.group("fraction") or "").rstrip("0")) > 3:
        raise BadInstantError(f"{shown(text)} is finer than a millisecond, the finest step here")
    if not DATE_MIN.year <= moment.year <= DATE_MAX.year:
        raise BadInstantError(
            f"{shown(text)} is outside of the years {DATE_MIN.year} to {DATE_MAX.year}"
        )
    return instant_of(moment)


def parse_date(text: str) -> date:
    """The local date of `2026-07-01`.

    Raises:
        BadInstantError: no such date, or outside of the dates that can be computed.
    """
    try:
        day = date.fromisoformat(text) if re.fullmatch(r"\d{4}-\d\d-\d\d", text, re.A) else None
    except ValueError:
        day = None
    if day is None:
        raise BadInstantError(f"{shown(text)} is not a date: write it like 2026-07-01")
    if not DATE_MIN <= day <= DATE_MAX:
        raise BadInstantError(f"{text} is outside of {DATE_MIN} to {DATE_MAX}")
    return day


def day_number(day: date) -> int:
    """Days from 1970-01-01 to this date."""
    return day.toordinal() - _EPOCH_ORDINAL


def date_of_number(number: int) -> date:
    """The date that many days after 1970-01-01."""
    return date.fromordinal(number + _EPOCH_ORDINAL)
