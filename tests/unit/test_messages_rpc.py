"""Requests and answers as values: what a request may not be, and what clients read."""

from __future__ import annotations

import json

import pytest

from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.messages.rpc import (
    Call,
    JsonText,
    Refusal,
    Told,
    call_line,
    read_answer,
    read_call,
    told_line,
)


@pytest.mark.parametrize(
    ("message", "request_id", "says"),
    [
        (1, None, "1 is not an object"),
        (None, None, "None is not an object"),
        ({}, None, 'it lacks "jsonrpc": "2.0"'),
        ({"jsonrpc": "1.0", "method": "status", "id": 4}, 4, 'it lacks "jsonrpc": "2.0"'),
        ({"jsonrpc": 2.0, "method": "status", "id": 4}, 4, 'it lacks "jsonrpc": "2.0"'),
        # A slip that would otherwise drop what was asked.
        ({"jsonrpc": "2.0", "method": "hold", "parms": {}, "id": 4}, 4,
         "it has no member 'parms' (did you mean params?)"),
        ({"jsonrpc": "2.0", "method": None, "id": "a"}, "a", "its method None is not text"),
        ({"jsonrpc": "2.0", "method": "hold", "params": "pump", "id": 1.5}, 1.5,
         "its params 'pump' are neither an object nor a list"),
        ({"jsonrpc": "2.0", "method": "hold", "params": None, "id": 1}, 1,
         "its params None are neither an object nor a list"),
        # Ids that are none are not sent back.
        ({"jsonrpc": "2.0", "method": "status", "id": True}, None,
         "its id True is neither text, number nor null"),
        ({"jsonrpc": "2.0", "method": "status", "id": [1]}, None,
         "its id [1] is neither text, number nor null"),
        ({"jsonrpc": "2.0", "method": "status", "id": "x" * 101}, None,
         "its id is longer than 100 characters"),
    ],
)  # fmt: skip
def test_what_is_no_request_is_refused_with_its_id_and_reason(
    message: object, request_id: object, says: str
) -> None:
    """The number of the specification, the id where it can be read, and words."""
    refusal = read_call(json.dumps(message).encode())
    assert isinstance(refusal, Refusal)
    told = str(refusal.error).removeprefix("this is not a JSON-RPC request: ")
    assert (refusal.id, refusal.error.code, told) == (request_id, ErrorCode.NOT_A_REQUEST, says)


def test_a_request_with_the_id_null_wants_an_answer() -> None:
    """The specification discourages it, and has only those without an id as notifications."""
    call = read_call(b'{"jsonrpc":"2.0","method":"status","id":null}')
    assert call == Call(None, "status", {}, wants_answer=True)


def test_a_call_that_was_written_is_read_the_same() -> None:
    """Client and daemon agree."""
    line = call_line(7, "hold", {"load": "Tür", "for": "20m"})
    assert read_call(line[:-1]) == Call(7, "hold", {"load": "Tür", "for": "20m"})


def test_news_that_were_written_are_read_the_same() -> None:
    """With parts that were encoded before."""
    line = told_line("changed", {"skipped": 2, "status": JsonText(b'{"a":1}')})
    assert read_answer(line[:-1]) == Told("changed", {"skipped": 2, "status": {"a": 1}})
    assert read_answer(told_line("closing", {})[:-1]) == Told("closing", {})


@pytest.mark.parametrize(
    "message",
    [1, [], {}, {"error": {}}, {"error": 1, "id": 1}, {"error": {"code": "x"}}, {"id": 1}],
)
def test_what_is_no_answer_is_refused(message: object) -> None:
    """A client that was led to another kind of daemon notices."""
    with pytest.raises(RequestRefusedError, match="is no answer"):
        read_answer(json.dumps(message).encode())
