"""A place in a plan: the keys and list numbers that lead to a value."""

from __future__ import annotations

import json
import re
from typing import TypeAlias

from controller.core.errors import BadRequestError
from controller.core.units import shown

Place: TypeAlias = tuple[str | int, ...]

_SHOWN_KEY_LENGTH_MAX = 60
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_PART = re.compile(r'(?:(?P<bare>[A-Za-z0-9_-]+)|(?P<quoted>"(?:[^"\\]|\\.)*"))(?:\.(?!$)|$)')


def key_text(key: str) -> str:
    """The key as TOML writes it: bare where it may be, else in quotes; bounded for display."""
    if _BARE_KEY.fullmatch(key) and len(key) <= _SHOWN_KEY_LENGTH_MAX:
        return key
    cut = key if len(key) <= _SHOWN_KEY_LENGTH_MAX else key[:_SHOWN_KEY_LENGTH_MAX] + "…"
    return json.dumps(cut, ensure_ascii=not cut.isprintable())


def dotted(place: Place) -> str:
    """The place as text, `loads.pump.spans.0.cycle`; list items count from 0.

    A key of digits alone is quoted, so that it is told apart from a list's number.
    """
    return ".".join(
        str(part) if isinstance(part, int) else f'"{part}"' if part.isdigit() else key_text(part)
        for part in place
    )


def parse_place(text: str) -> Place:
    """The place of a dotted text; the empty text is the whole plan.

    Raises:
        BadRequestError: the text is no dotted place.
    """
    parts: list[str | int] = []
    position = 0
    while position < len(text):
        match = _PART.match(text, position)
        if match is None:
            raise BadRequestError(
                f"{shown(text)} is not a place in a plan: write it like loads.pump.spans.0.cycle"
            )
        bare = match.group("bare")
        if bare is None:
            parts.append(_unquoted(match.group("quoted"), text))
        else:
            parts.append(int(bare) if bare.isdecimal() and len(bare) < 10 else bare)
        position = match.end()
    return tuple(parts)


def _unquoted(quoted: str, text: str) -> str:
    try:
        key = json.loads(quoted)
    except ValueError:
        raise BadRequestError(f"{shown(text)} has a badly quoted key: {shown(quoted)}") from None
    return str(key)


def header_text(place: Place) -> str:
    """The table at a place as its header reads in the file.

    The plan's own top is "the plan", an item of a list `[[loads.pump.spans]] number 2`.
    """
    keys = tuple(part for part in place if isinstance(part, str))
    if not keys:
        return "the plan"
    if isinstance(place[-1], int):
        return f"[[{dotted(keys)}]] number {place[-1] + 1}"
    return f"[{dotted(keys)}]"
