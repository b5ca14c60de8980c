"""How a finding about a plan is put: one line, bounded, nothing that a terminal obeys."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import TYPE_CHECKING

from controller.core.findings import Finding
from controller.core.plan_text.place import dotted, key_text
from controller.core.plan_text.said import in_file
from controller.core.sentence import Part, Sentence, parts_of
from controller.core.units import shown

if TYPE_CHECKING:
    from controller.core.findings import Level
    from controller.core.plan_text.place import Place

_SENTENCE_LENGTH_MAX = 400
_PLACE_LENGTH_MAX = 300
_VALUE_LENGTH_MAX = 60


def tell(level: Level, place: Place, message: str, mend: str, line: int | None = None) -> Finding:
    """The finding about a place, its sentences cut to a length that a person reads."""
    where = dotted(place)
    if len(where) > _PLACE_LENGTH_MAX:
        where = where[:_PLACE_LENGTH_MAX] + "…"
    return Finding(level, where, one_line(message), one_line(mend), line)


def one_line(text: str) -> str:
    """The text, or the sentence, without line breaks and control characters, and not endless."""
    if text.isprintable() and len(text) <= _SENTENCE_LENGTH_MAX:
        return text
    kept: list[str | Part] = []
    left = _SENTENCE_LENGTH_MAX
    for part in parts_of(text):
        words = part if isinstance(part, str) else part.text
        if len(words) > left:
            kept.append(_printable(f"{words[:left]}…"))
            break
        left -= len(words)
        kept.append(
            Part(part.kind, *map(_printable, part[1:]))
            if isinstance(part, Part)
            else _printable(part)
        )
    return Sentence(*kept)


def _printable(text: str) -> str:
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def toml_text(value: object) -> str:
    """A value as the file writes it, bounded: `"pump"`, `17`, `true`, `06:30:00`."""
    if isinstance(value, str):
        quoted = shown(value, _VALUE_LENGTH_MAX)[1:-1] if len(value) > _VALUE_LENGTH_MAX else value
        return key_text(f'"{quoted}"') if '"' in value else f'"{quoted}"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        # Python itself refuses to write numbers of more than some thousands of digits.
        return str(value) if value.bit_length() < 64 else "a number of more than 18 digits"
    if isinstance(value, datetime):
        return value.isoformat(" ")
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, dict):
        return "a table" if value else "an empty table"
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    return str(value)


def described(value: object) -> Sentence:
    """A value as `toml_text`; for those who write the file with what it is, where that is not
    plain to see."""
    noun = {
        str: "a text",
        bool: "a truth value",
        int: "a whole number",
        float: "a number",
        datetime: "a date and time without quotes",
        date: "a date without quotes",
        time: "a time without quotes",
    }.get(type(value))
    written = toml_text(value)
    if noun is None or written.startswith("a "):
        return Sentence(written)
    return Sentence(written, in_file(f", {noun}"))
