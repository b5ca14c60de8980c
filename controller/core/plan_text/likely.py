"""What a grower likely meant by a text that the plan's reader does not take.

Every guess is read by the real parser before it is offered, so what a message proposes
is always something that the plan takes. None where there is no good guess.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import TYPE_CHECKING

from controller.core.anchor import parse_anchor
from controller.core.cycle import parse_cycle
from controller.core.errors import RootclockError
from controller.core.plan_parts.values import DEMAND, NAME_PATTERN, parse_clock
from controller.core.units import HOUR_MS, MINUTE_MS, duration_text, parse_date, parse_duration_ms

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

_LENGTH_MAX = 400  # of a longer text no part stands out as the slip
_UNITS = (
    (re.compile(r"(?<=[0-9 ]) ?(?:hours?|hrs?)\b"), "h"),
    (re.compile(r"(?<=[0-9 ]) ?(?:minutes?|mins?\b\.?|')(?![a-z])"), "m"),
    (re.compile(r"(?<=[0-9 ]) ?(?:seconds?|secs?\b\.?|\")(?![a-z])"), "s"),
    (re.compile(r"(?<=[0-9]) (?=[hms]\b)"), ""),
    (re.compile(r"(?<=[0-9]h) (?=[0-9]+m\b)|(?<=[0-9]m) (?=[0-9]+s\b)"), ""),
)
_LENGTH = r"[0-9]+(?:\.[0-9]+)?[hms]?(?:[0-9]+[ms]?)*"
_JOINTS = re.compile(r"[\s,;/+&:]+|\b(?:and|then|for)\b|(?<=[0-9hms])-(?=[0-9])")
_LENGTH_AND_STATE = re.compile(rf"({_LENGTH})(on|off)")
_FORTH = re.compile(rf"({_LENGTH})\s*(before|after|past)\s+(.+)")
_BACK = re.compile(rf"(.+?)\s*([+-])\s*({_LENGTH})")
_MOMENTS = {
    "noon": "12:00",
    "midday": "12:00",
    "midnight": "00:00",
    "24:00": "00:00",
    "24:00:00": "00:00",
}


def likely_word(text: str, words: Iterable[str]) -> str | None:
    """The word that is most like the text, if any is: a slip of the finger or of case."""
    known = list(words)
    plain = text.strip()[:80]
    for word in known:
        if word.lower() == plain.lower().replace(" ", "_").replace("-", "_"):
            return word
    close = get_close_matches(plain.lower(), [word.lower() for word in known], 1, 0.6)
    return next((word for word in known if close and word.lower() == close[0]), None)


def likely_name(text: str) -> str | None:
    """The text with what a name may not have replaced by `_`."""
    name = re.sub(r"[^A-Za-z0-9_-]+", "_", text[:80]).strip("_-")[:40]
    return name if re.fullmatch(NAME_PATTERN, name) and name != text else None


def likely_duration(text: str) -> str | None:
    """`15m` of `15 minutes`, `15` (minutes are what growers mean) or `0:15`."""
    plain = _plain(text)
    clock = re.fullmatch(r"([0-9]{1,2}):([0-5][0-9])", plain)
    if clock is not None:
        hours, minutes = int(clock.group(1)), int(clock.group(2))
        plain = duration_text(hours * HOUR_MS + minutes * MINUTE_MS)
    return _checked(_minutes(re.sub(r"[\s,]|\band\b", "", plain)), text, parse_duration_ms)


def likely_cycle(text: str) -> str | None:
    """`15m on, 15m off` of `15/15`, `15 min on / 15 min off`, `on 15m off 15m` and the like."""
    if len(text) > _LENGTH_MAX:
        return None
    words: list[str] = []
    for word in filter(None, _JOINTS.split(_plain(text))):
        stuck = _LENGTH_AND_STATE.fullmatch(word)
        words += stuck.groups() if stuck else ("off" if word == "of" else word,)
    is_state = [word in {"on", "off"} for word in words]
    # A guess that leaves out a word would change the meaning: every word must have its part.
    if not all(
        known or re.fullmatch(_LENGTH, word) for known, word in zip(is_state, words, strict=True)
    ):
        return None
    if is_state == [False, False]:
        steps = list(zip(words, ("on", "off"), strict=True))
    elif is_state == [False, True] * (len(words) // 2):
        steps = list(zip(words[::2], words[1::2], strict=True))
    elif is_state == [True, False] * (len(words) // 2):
        steps = list(zip(words[1::2], words[::2], strict=True))
    elif is_state == [True]:
        return _checked(words[0], text, parse_cycle)
    else:
        return None
    written = ", ".join(f"{_minutes(length)} {state}" for length, state in steps)
    return _checked(written, text, parse_cycle)


def likely_span_cycle(text: str) -> str | None:
    """As `likely_cycle`, and `demand` of `on demand`, `Demand` and the like."""
    words = re.sub(r"[^a-z]+", " ", text[:_LENGTH_MAX].lower()).split()
    if words and get_close_matches(words[-1], [DEMAND], 1, 0.7) and len(words) <= 2:
        return DEMAND
    return likely_cycle(text)


def likely_clock(text: str) -> str | None:
    """`22:00` of `10 pm`, `22.00` or `22h`."""
    likely = likely_anchor(text)
    return None if likely is None else _checked(likely, text, parse_clock)


def likely_date(text: str) -> str | None:
    """`2026-06-01` of `2026/6/1` or `2026.06.01`: the year first, so that it is sure."""
    parts = re.fullmatch(r"\s*([0-9]{4})[-/. ]+([0-9]{1,2})[-/. ]+([0-9]{1,2})\.?\s*", text[:40])
    if parts is None:
        return None
    year, month, day = (int(part) for part in parts.groups())
    return _checked(f"{year:04}-{month:02}-{day:02}", text, parse_date)


def likely_anchor(text: str) -> str | None:
    """`06:30` of `6:30` or `6.30 am`, `sunrise - 30m` of `30 min before sun rise`."""
    if len(text) > 100:
        return None
    change = re.fullmatch(r"\s*([A-Za-z][A-Za-z0-9_-]*)\s+(on|off)\s*", text, re.IGNORECASE)
    if change is not None:
        return _checked(f"{change.group(1)} {change.group(2).lower()}", text, parse_anchor)
    plain = re.sub(r"^(?:at|from)\s+", "", _plain(text))
    forth, back = _FORTH.fullmatch(plain), _BACK.fullmatch(plain)
    if forth is not None:
        by, side, base = forth.groups()
        sign = "-" if side == "before" else "+"
    elif back is not None and not re.fullmatch(r"[0-9.:]+", back.group(1)):
        base, sign, by = back.groups()
    else:
        base, sign, by = plain, "", ""
    moment = _moment(base)
    if moment is None:
        return None
    return _checked(f"{moment} {sign} {_minutes(by)}" if by else moment, text, parse_anchor)


def _moment(text: str) -> str | None:
    if text in _MOMENTS:
        return _MOMENTS[text]
    clock = re.fullmatch(r"([0-9]{1,2})(?:[:.h]([0-5][0-9]))?\s*(am|pm|h|o'clock)?", text)
    if clock is not None:
        hour, minute, half = int(clock.group(1)), clock.group(2), clock.group(3)
        if minute is None and half is None:
            return None
        if half in {"am", "pm"}:
            hour = hour % 12 + (12 if half == "pm" else 0)
        return f"{hour:02}:{minute or '00'}"
    if re.fullmatch(r"[a-z][a-z0-9_-]*\s+(?:on|off)", text):
        return text
    joined = text.replace(" ", "")
    close = get_close_matches(joined, ("sunrise", "sunset", "dawn", "dusk"), 1, 0.7)
    return close[0] if close else None


def _minutes(length: str) -> str:
    """The length with the unit that growers leave out."""
    if length.isdecimal():
        return f"{length}m"
    return re.sub(r"(?<=h)([0-9]+)$", r"\1m", length)


def _plain(text: str) -> str:
    """Lower case, units as letters, one kind of dash and of blank."""
    plain = re.sub(r"[−–—]", "-", text[:_LENGTH_MAX].lower())
    plain = re.sub(r"\s+", " ", plain).strip()
    for unit, letter in _UNITS:
        plain = unit.sub(letter, plain)
    return plain


def _checked(guess: str, text: str, parse: Callable[[str], object]) -> str | None:
    try:
        parse(guess)
    except RootclockError:
        return None
    return guess if guess != text else None
