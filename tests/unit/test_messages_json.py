"""JSON as the socket takes it: what is refused, with words, and what that costs."""

from __future__ import annotations

import json
import time

import pytest

from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.messages.json_text import (
    DEPTH_MAX,
    VALUES_MAX,
    json_bytes,
    parse_json,
)
from controller.core.messages.rpc import MESSAGE_BYTES_MAX, Refusal, read_call


def _refused(line: bytes) -> str:
    with pytest.raises(RequestRefusedError) as caught:
        parse_json(line)
    assert caught.value.code == ErrorCode.NOT_JSON
    return str(caught.value).removeprefix("this is not JSON: ")


@pytest.mark.parametrize(
    ("line", "says"),
    [
        # No JSON at all.
        (b"", "Expecting value, at character 1"),
        (b"status", "Expecting value, at character 1"),
        (b"\xff\xfe", "byte 1 is not UTF-8"),
        (b'{"a":"\xc3\x28"}', "byte 7 is not UTF-8"),
        (b"\xef\xbb\xbf{}", "Unexpected UTF-8 BOM (decode using utf-8-sig), at character 1"),
        (b"{} {}", "Extra data, at character 4"),
        (b"{'a':1}", "Expecting property name enclosed in double quotes, at character 2"),
        (b'"a\nb"', "Invalid control character at, at character 3"),
        # What RFC 8259 leaves open, and two readers may take for two things.
        (b'{"a":1,"b":2,"a":3}', "'a' is given twice in one object"),
        (b"NaN", "NaN is not a number"),
        (b"[Infinity]", "Infinity is not a number"),
        (b"-Infinity", "-Infinity is not a number"),
        (b"1e400", "'1e400' is too large a number"),
        (b"9007199254740992", "'9007199254740992' is beyond the whole numbers that JSON readers"),
        (b"-" + b"9" * 5_000, "is beyond the whole numbers that JSON readers keep exactly"),
        (b'"\\ud800"', "a \\u escape stands for half of a character"),
        (b'{"\\udc00x":1}', "a \\u escape stands for half of a character"),
        # Sizes.
        (b"[" * 17 + b"]" * 17, "nested deeper than 16"),
        (b'{"a":' * 17 + b"1" + b"}" * 17, "nested deeper than 16"),
        (b"[" * 250_000, "more than 1000 values in one message"),
        (b"[" + b"1," * 1_001 + b"1]", "more than 1000 values in one message"),
        (b"[" + b'"",' * 2_100 + b"1]", "more than 1000 values in one message"),
    ],
)  # fmt: skip
def test_what_is_no_strict_json_is_refused_with_its_reason(line: bytes, says: str) -> None:
    """Each says what is wrong, and where that can be said."""
    assert says in _refused(line)


@pytest.mark.parametrize(
    ("line", "value"),
    [
        (b" \t[1, 2.5, -0.0, true, null]\r", [1, 2.5, -0.0, True, None]),
        (b"9007199254740991", 2**53 - 1),  # the largest that every reader keeps
        (b"-9007199254740991", -(2**53) + 1),
        ('"Grüße, 温室 🌿"'.encode(), "Grüße, 温室 🌿"),
        (b'"\\ud83c\\udf3f"', "🌿"),  # two halves make a character
        (b"[" * DEPTH_MAX + b"]" * DEPTH_MAX, None),
        # Brackets, commas and quotes inside of text are no values.
        (json_bytes({"text": '[[x]]\nfrom = "06:30", {a}\\"\\' * 5_000}), None),
    ],
)
def test_strict_json_is_read(line: bytes, value: object) -> None:
    """As Python's own reader has it, at the bounds too."""
    assert parse_json(line) == (json.loads(line) if value is None else value)


def test_a_list_of_as_many_values_as_may_be_is_read() -> None:
    """The bound is not below what it says."""
    assert len(parse_json(b"[" + b"1," * (VALUES_MAX - 2) + b"1]")) == VALUES_MAX - 1


@pytest.mark.parametrize(
    "line",
    [
        b'"' * 250_000,
        b"[" * 250_000,
        b"[]," * 80_000,
        b'{"a":' * 50_000,
        b'"' + b'\\"' * 125_000,
        b"\\" * 250_000,
        b'"' + b"\\" * 249_999,
        b"1" * 250_000,
        b"[" + b"-" * 250_000,
        b'{"' + b"a" * 250_000 + b'":1}',
        b'{"jsonrpc":"2.0","method":"' + b"m" * 250_000 + b'","id":1}',
        b'{"jsonrpc":"2.0","method":"hold","id":"' + b"i" * 250_000 + b'"}',
    ],
    ids=lambda line: str(line[:12]),
)
def test_no_message_takes_long(line: bytes) -> None:
    """The worst that fits into a message costs what a search costs; measured 0.1 to 2 ms."""
    begun = time.thread_time()
    read_call(line)
    assert time.thread_time() - begun < 0.05


def test_a_message_that_is_too_long_is_refused_as_such() -> None:
    """With a number of its own, so that a client can say which plan is too long."""
    said = read_call(b" " * MESSAGE_BYTES_MAX + b"{}")
    assert isinstance(said, Refusal)
    assert said.error.code == ErrorCode.TOO_BIG
    assert str(said.error) == "a message is at most 256 KiB long"


@pytest.mark.parametrize("value", [float("nan"), {"a": {1}}, "\ud800"])
def test_what_json_does_not_know_is_our_own_mistake(value: object) -> None:
    """Nothing that a strict reader refuses is ever sent."""
    with pytest.raises((ValueError, TypeError)):
        json_bytes(value)
