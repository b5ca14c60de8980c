"""JSON as the control socket takes it: strict, bounded, and total over all bytes.

What JSON leaves open is closed here, because two readers would differ over it: a key given
twice, numbers that are none (NaN) or too large, half of a character. Source: RFC 8259,
sections 4, 6, 8.1 and 8.2, and RFC 7493 (I-JSON).
"""

from __future__ import annotations

import json
import re
from typing import Any

from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.units import shown

# A request is shallow: its members, the params, a list in them. More is a machine's mischief,
# and how deep the reader may go must not hang on Python's stack.
DEPTH_MAX = 16
VALUES_MAX = 1_000  # of a request
ANSWER_VALUES_MAX = 1_000_000
INTEGER_MAX = 2**53 - 1  # what every JSON reader keeps exactly (RFC 7493, section 2.2)

_NESTING = re.compile(rb"[\[{]+|[\]}]+")


def parse_json(line: bytes, *, values_max: int = VALUES_MAX) -> Any:
    """The value that a line of UTF-8 holds.

    Raises:
        RequestRefusedError: with code NOT_JSON; any other bytes. Says where and why.
    """
    _refuse_crowds(line, values_max)
    try:
        text = line.decode("utf-8")
    except UnicodeDecodeError as error:
        raise _refused(f"byte {error.start + 1} is not UTF-8") from None
    try:
        value = json.loads(
            text,
            object_pairs_hook=_object,
            parse_int=_integer,
            parse_float=_number,
            parse_constant=_no_constant,
        )
    except json.JSONDecodeError as error:
        raise _refused(f"{error.msg}, at character {error.pos + 1}") from None
    if "\\u" in text:
        _refuse_half_characters(value)
    return value


def json_bytes(value: object) -> bytes:
    """A value as one line of JSON without its end.

    Raises:
        ValueError, TypeError: the value is none that JSON knows: our own mistake.
    """
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.encode("utf-8")


def _refused(why: str) -> RequestRefusedError:
    return RequestRefusedError(ErrorCode.NOT_JSON, f"this is not JSON: {why}")


def _refuse_crowds(line: bytes, values_max: int) -> None:
    """Lets a line pass whose values are few and shallow, at the speed of a search.

    Strings are left out first. Where the text is not JSON, that may go wrong only after the
    place at which the reader stops.
    """
    plain = line.replace(b"\\\\", b"").replace(b'\\"', b"")
    too_many = f"more than {values_max} values in one message"
    if plain.count(b'"') > 4 * values_max:
        raise _refused(too_many)
    bare = b"".join(plain.split(b'"')[::2])
    brackets = bare.count(b"[") + bare.count(b"{")
    if brackets + bare.count(b",") > values_max:
        raise _refused(too_many)
    if brackets <= DEPTH_MAX:
        return
    depth = 0
    for run in _NESTING.finditer(bare):
        count = run.end() - run.start()
        depth += count if run.group()[:1] in b"[{" else -count
        if depth > DEPTH_MAX:
            raise _refused(f"nested deeper than {DEPTH_MAX}")


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) < len(pairs):
        seen: set[str] = set()
        for key, _ in pairs:
            if key in seen:
                raise _refused(f"{shown(key)} is given twice in one object")
            seen.add(key)
    return made


def _integer(text: str) -> int:
    # Python refuses to read thousands of digits, with an error of its own.
    value = int(text) if len(text) <= len(str(INTEGER_MAX)) + 1 else INTEGER_MAX + 1
    if abs(value) > INTEGER_MAX:
        raise _refused(f"{shown(text)} is beyond the whole numbers that JSON readers keep exactly")
    return value


def _number(text: str) -> float:
    value = float(text)
    if value in (float("inf"), float("-inf")):
        raise _refused(f"{shown(text)} is too large a number")
    return value


def _no_constant(text: str) -> Any:
    raise _refused(f"{text} is not a number")


def _refuse_half_characters(value: object) -> None:
    """JSON can write half of a surrogate pair, which is no character and cannot be sent on."""
    try:
        json_bytes(value)
    except UnicodeEncodeError:
        raise _refused("a \\u escape stands for half of a character") from None
