"""What was meant by a value of another kind than its key takes."""

from __future__ import annotations

import re
from datetime import datetime, time
from typing import TYPE_CHECKING, Any

from controller.core.plan_text.likely import likely_name, likely_word
from controller.core.plan_text.typed_units import in_unit_of
from controller.core.units import duration_text

if TYPE_CHECKING:
    from controller.core.plan_text.keys import Key

_TRUTHS = {"true": "true", "yes": "true", "1": "true", "false": "false", "no": "false"}


def meant(key: Key, value: Any) -> str | None:
    """The value as the file would write it for the key; None where nobody can tell. A whole number
    for a length is taken for minutes."""
    if key.kind == "word":
        likely = likely_word(value, key.words) if isinstance(value, str) else None
        return None if likely is None else f'"{likely}"'
    if key.kind == "name":
        likely = likely_name(value) if isinstance(value, str) else None
        return None if likely is None else f'"{likely}"'
    if key.allowed.isdigit():  # one value only
        return key.allowed
    if key.kind in {"number", "whole"}:
        return _number(key, value)
    if key.kind == "truth":
        return _TRUTHS.get(str(value).lower()[:5])
    return _of_language(key.kind, value)


def _number(key: Key, value: Any) -> str | None:
    if isinstance(value, float) and key.kind == "whole" and value.is_integer():
        return str(int(value)) if key.takes(value) else None
    shape = r"([+-]?[0-9]+)" if key.kind == "whole" else r"([+-]?[0-9]+(?:[.,][0-9]+)?)"
    # A number in quotes, with its unit or without.
    text = re.fullmatch(shape + r"\s*([^\s0-9][^\s]*)?", value) if isinstance(value, str) else None
    if text is None or len(value) > 20:
        return None
    written = text.group(1).replace(",", ".")
    number = in_unit_of(key.name, float(written), text.group(2) or "")
    if number is None or not key.takes(number):
        return None
    if number == float(written):
        return written
    return f"{number:.6g}" if key.kind == "number" else None


def _of_language(kind: str, value: Any) -> str | None:
    """A text of one of the plan's small languages, of a value that TOML has a kind for."""
    if kind == "date" and isinstance(value, datetime):
        return value.date().isoformat()
    if kind in {"anchor", "clock"} and isinstance(value, time):
        return f'"{value.isoformat("seconds").removesuffix(":00")}"'
    if kind in {"cycle", "cycle or demand"} and isinstance(value, bool):
        return '"on"' if value else '"off"'
    if kind == "duration" and isinstance(value, time):
        return f'"{duration_text(1000 * (value.hour * 3600 + value.minute * 60 + value.second))}"'
    if kind == "duration" and isinstance(value, int) and 0 <= value <= 1440:
        return f'"{value}m"'
    return None
