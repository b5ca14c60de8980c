"""An anchor: a moment of the local day at which a span starts."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from enum import Enum
from typing import TypeAlias

from controller.core.errors import BadAnchorError, BadDurationError
from controller.core.units import (
    HOUR_MS,
    MINUTE_MS,
    SECOND_MS,
    duration_text,
    likely_durations,
    parse_duration_ms,
    shown,
)

# Rule 3 looks at yesterday, today and tomorrow; half a day keeps every shifted anchor there.
OFFSET_MS_MAX = 12 * HOUR_MS

_CLOCK = re.compile(r"(?P<h>[01][0-9]|2[0-3]):(?P<m>[0-5][0-9])(?::(?P<s>[0-5][0-9]))?")
_SHIFTED = re.compile(r"(?P<base>.+?)(?:\s*(?P<sign>[+-])\s*(?P<by>[0-9][0-9hms.\s]*))?")
_NEARLY = re.compile(r"(?P<base>.+?)(?: ?(?P<sign>[+-]) ?(?P<by>[0-9][^+-]*)?)?")
_LOOSE_CLOCK = re.compile(
    r"(?P<h>[0-9]{1,2})[:.h](?P<m>[0-5][0-9]) ?(?P<half>am|pm)?", re.IGNORECASE | re.ASCII
)
_LOAD = re.compile(r"(?P<load>[A-Za-z][A-Za-z0-9_-]*)\s+(?P<state>on|off)")


class SunEvent(Enum):
    """What the sun does that a day can be tied to; dawn and dusk are the civil ones."""

    SUNRISE = "sunrise"
    SUNSET = "sunset"
    DAWN = "dawn"
    DUSK = "dusk"


_SUN_EVENTS = {event.value: event for event in SunEvent}


@dataclass(frozen=True, slots=True)
class ClockTime:
    """A time on the wall clock, in ms after local midnight."""

    time_ms: int

    def __str__(self) -> str:
        hours, rest_ms = divmod(self.time_ms, HOUR_MS)
        minutes, rest_ms = divmod(rest_ms, MINUTE_MS)
        seconds = rest_ms // SECOND_MS
        return f"{hours:02}:{minutes:02}" + (f":{seconds:02}" if seconds else "")


@dataclass(frozen=True, slots=True)
class LoadChange:
    """The first change of another load to a state on a date, as its own spans say."""

    load: str
    to_on: bool

    def __str__(self) -> str:
        return f"{self.load} {'on' if self.to_on else 'off'}"


Base: TypeAlias = ClockTime | SunEvent | LoadChange


@dataclass(frozen=True, slots=True)
class Anchor:
    """A base moment of a local date, and how long after it (before it: negative)."""

    base: Base
    offset_ms: int = 0

    def __str__(self) -> str:
        base = self.base.value if isinstance(self.base, SunEvent) else str(self.base)
        if not self.offset_ms:
            return base
        sign = "+" if self.offset_ms > 0 else "-"
        return f"{base} {sign} {duration_text(abs(self.offset_ms))}"


def parse_anchor(text: str) -> Anchor:
    """The anchor of `06:30`, `sunrise - 30m`, `dusk`, `lamp on + 10m`.

    Raises:
        BadAnchorError: says what is wrong and what was likely meant.
    """
    match = _SHIFTED.fullmatch(text.strip()) if len(text) <= 100 else None
    base = None if match is None else _parse_base(match.group("base").strip())
    if match is None or base is None:
        raise BadAnchorError(
            f"{shown(text)} is not a moment of the day: write a time like 06:30, sunrise, "
            f"sunset, dawn, dusk, or a load's change like lamp on, each also with an offset "
            f"like sunrise - 30m{_likely_anchor(text)}"
        )
    if match.group("sign") is None:
        return Anchor(base)
    try:
        offset_ms = parse_duration_ms(match.group("by"))
    except BadDurationError as error:
        raise BadAnchorError(f"in {shown(text)}: {error}") from None
    if offset_ms > OFFSET_MS_MAX:
        raise BadAnchorError(
            f"{shown(text)} is more than 12h from its anchor: choose a nearer anchor"
        )
    return Anchor(base, offset_ms if match.group("sign") == "+" else -offset_ms)


def _parse_base(text: str) -> Base | None:
    clock = _CLOCK.fullmatch(text)
    if clock is not None:
        hours, minutes, seconds = (int(clock.group(name) or 0) for name in "hms")
        return ClockTime(hours * HOUR_MS + minutes * MINUTE_MS + seconds * SECOND_MS)
    if text in _SUN_EVENTS:
        return _SUN_EVENTS[text]
    load = _LOAD.fullmatch(text)
    return None if load is None else LoadChange(load.group("load"), load.group("state") == "on")


def _likely_anchor(text: str) -> str:
    plain = " ".join(text.replace("−", "-").replace("–", "-").split()) if len(text) <= 100 else ""
    match = _NEARLY.fullmatch(plain)
    base = None if match is None else _likely_base(match.group("base"))
    if match is None or base is None:
        return ""
    sign, by = match.group("sign"), match.group("by")
    if not sign or not by:
        return f" (did you mean {base}?)"
    likely = [by] if _is_near(by) else [n for n in likely_durations(by) if _is_near(n)]
    return f" (did you mean {base} {sign} {likely[0]}?)" if len(likely) == 1 else ""


def _likely_base(text: str) -> str | None:
    if _parse_base(text) is not None:
        return text
    if text in {"24:00", "24:00:00"}:
        return "00:00"
    loose = _LOOSE_CLOCK.fullmatch(text)
    if loose is not None:
        hour, half = int(loose.group("h")), (loose.group("half") or "").lower()
        hour = hour % 12 + (12 if half == "pm" else 0) if half else hour
        return f"{hour:02}:{loose.group('m')}" if hour < 24 else None
    name, _, state = text.rpartition(" ")
    if _LOAD.fullmatch(f"{name} {state.lower()}"):
        return f"{name} {state.lower()}"
    letters = text.lower().replace(" ", "")
    close = get_close_matches(letters, _SUN_EVENTS, 1, 0.7) if letters.isalpha() else []
    return close[0] if close else None


def _is_near(length: str) -> bool:
    try:
        return parse_duration_ms(length) <= OFFSET_MS_MAX
    except BadDurationError:
        return False
