"""Values that TOML does not take, and what was meant by them."""

from __future__ import annotations

import json
import re

from controller.core.plan_text.keys import wanted
from controller.core.plan_text.spot import stands
from controller.core.units import shown

_COMMA = re.compile(r"(?P<whole>[+-]?[0-9]+),(?P<part>[0-9]+)")
_BARE_POINT = re.compile(r"(?P<sign>[+-]?)(?P<whole>[0-9]*)\.(?P<part>[0-9]*)")
_ZEROS = re.compile(r"(?P<sign>[+-]?)0+(?P<rest>[0-9]+(?:\.[0-9]+)?)")
_UNIT = re.compile(r"(?P<number>[+-]?[0-9]+(?:[.,][0-9]+)?)\s*[^\s0-9].*")
_TRUTHS = {"true": "true", "yes": "true", "on": "true", "false": "false", "no": "false"}
_NOTHING = {"none", "null", "nil", "~", "-"}


def mended_value(key: str, value: str) -> tuple[str, str | None]:
    """What is wrong with the value written for a key, and the value that was meant.

    The second is None where the value is missing altogether.
    """
    value = value.strip()
    if not value:
        return f"after {key} = stands no value", None
    known = wanted(key)
    shorter = value.rstrip(";,").rstrip()
    if shorter != value and stands(f"x = {shorter}"):
        return f"after the value of {key} stands {value[len(shorter) :].strip()}", shorter
    if value.startswith(('"', "'")):
        return _after_text(key, value)
    if value.startswith(("[", "{")):
        return f"the {value[0]} of {key} is not closed, or has something wrong within", None
    if known is None or known.kind in {"number", "whole"}:
        number = _number(key, value, is_sure=known is not None)
        if number is not None:
            return number
    if known is not None and known.kind == "truth" and value.lower() in _TRUTHS:
        truth = _TRUTHS[value.lower()]
        return f"{shown(value)} is neither true nor false, in small letters", truth
    if value.lower() in _NOTHING:
        message = f"TOML has no word for nothing, such as {value}: what is not set is left out"
        return message, known.example if known is not None else '""'
    quoted = _quoted(value)
    return f"{shown(value)} is a text, and texts stand between quotation marks", quoted


def _number(key: str, value: str, *, is_sure: bool) -> tuple[str, str] | None:
    comma = _COMMA.fullmatch(value)
    if comma is not None:
        better = f"{comma.group('whole')}.{comma.group('part')}"
        return f"{value} has a decimal comma; TOML writes a point", better
    zeros = _ZEROS.fullmatch(value)
    if zeros is not None:
        better = zeros.group("sign") + zeros.group("rest")
        return f"{value} begins with 0, which a number may not", better
    point = _BARE_POINT.fullmatch(value)
    if point is not None and (point.group("whole") or point.group("part")):
        whole, part = point.group("whole") or "0", point.group("part") or "0"
        better = f"{point.group('sign')}{whole}.{part}"
        return f"{value} has no digit on one side of its point", better
    unit = _UNIT.fullmatch(value) if is_sure else None
    if unit is not None:
        better = unit.group("number").replace(",", ".")
        return f"{shown(value)} is more than a number; {key} takes the number alone", better
    return None


def _after_text(key: str, value: str) -> tuple[str, str | None]:
    texts = re.findall(r"\"([^\"]*)\"|'([^']*)'", value)
    between = re.sub(r"\"[^\"]*\"|'[^']*'", "", value).strip()
    first = value.find(value[0], 1)
    rest = value[first + 1 :].strip()
    if not between.strip(", "):
        whole = ", ".join(double or single for double, single in texts)
        return f"{key} has {len(texts)} texts where one may stand", _quoted(whole)
    if re.match(r",?\s*[\w.-]+\s*=", rest):
        return f"after the value of {key} stands {shown(rest)}: each pair has its own line", None
    whole = re.sub("[\"']", "", value)
    return f"after the first text of {key} stands {shown(rest)}", _quoted(whole)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
