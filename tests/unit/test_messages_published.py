"""JSON-RPC 2.0 by its own examples.

Source: jsonrpc.org/specification, section 7, "Examples" (from memory, word for word but for
spaces). The methods there (`subtract`, `update`, ...) are not ours, so what is compared is
how a message is read, and what an error looks like on the wire.
"""

from __future__ import annotations

import json

import pytest

from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.messages.methods import params_of
from controller.core.messages.rpc import (
    Call,
    Refusal,
    read_call,
    refusal_line,
    result_line,
)


@pytest.mark.parametrize(
    ("text", "call"),
    [
        # rpc call with positional parameters
        ('{"jsonrpc": "2.0", "method": "subtract", "params": [42, 23], "id": 1}',
         Call(1, "subtract", [42, 23])),
        ('{"jsonrpc": "2.0", "method": "subtract", "params": [23, 42], "id": 2}',
         Call(2, "subtract", [23, 42])),
        # rpc call with named parameters
        ('{"jsonrpc": "2.0", "method": "subtract", '
         '"params": {"subtrahend": 23, "minuend": 42}, "id": 3}',
         Call(3, "subtract", {"subtrahend": 23, "minuend": 42})),
        # a Notification
        ('{"jsonrpc": "2.0", "method": "update", "params": [1,2,3,4,5]}',
         Call(None, "update", [1, 2, 3, 4, 5], wants_answer=False)),
        ('{"jsonrpc": "2.0", "method": "foobar"}',
         Call(None, "foobar", {}, wants_answer=False)),
        # rpc call of non-existent method: read well, refused later
        ('{"jsonrpc": "2.0", "method": "foobar", "id": "1"}', Call("1", "foobar", {})),
    ],
)  # fmt: skip
def test_requests_and_notifications_of_the_specification_are_read(text: str, call: Call) -> None:
    """Named and positional parameters, numbers and texts as ids, no id for a notification."""
    assert read_call(text.encode()) == call


@pytest.mark.parametrize(
    ("text", "code"),
    [
        # rpc call with invalid JSON
        ('{"jsonrpc": "2.0", "method": "foobar, "params": "bar", "baz]', -32700),
        # rpc call with invalid Request object
        ('{"jsonrpc": "2.0", "method": 1, "params": "bar"}', -32600),
        # rpc call Batch, invalid JSON
        ('[{"jsonrpc": "2.0", "method": "sum", "params": [1,2,4], "id": "1"},'
         '{"jsonrpc": "2.0", "method"]', -32700),
        # rpc call with an empty Array
        ("[]", -32600),
        # rpc call with an invalid Batch (but not empty), and with invalid Batch: here one
        # error, since batches are not taken at all
        ("[1]", -32600),
        ("[1,2,3]", -32600),
        # rpc call Batch, and all notifications: likewise
        ('[{"jsonrpc": "2.0", "method": "sum", "params": [1,2,4], "id": "1"},'
         '{"jsonrpc": "2.0", "method": "notify_hello", "params": [7]},'
         '{"foo": "boo"}]', -32600),
        ('[{"jsonrpc": "2.0", "method": "notify_sum", "params": [1,2,4]},'
         '{"jsonrpc": "2.0", "method": "notify_hello", "params": [7]}]', -32600),
        # the member of that batch that is no request, alone
        ('{"foo": "boo"}', -32600),
    ],
)  # fmt: skip
def test_what_the_specification_calls_invalid_has_its_error_and_no_id(text: str, code: int) -> None:
    """The answer carries the specification's number, and null where no id could be read."""
    refusal = read_call(text.encode())
    assert isinstance(refusal, Refusal)
    answer = json.loads(refusal_line(refusal))
    assert (answer["jsonrpc"], answer["id"], answer["error"]["code"]) == ("2.0", None, code)
    assert set(answer) == {"jsonrpc", "id", "error"}
    assert isinstance(answer["error"]["message"], str)


def test_a_method_that_is_not_there_has_the_specifications_error() -> None:
    """-32601, with the request's id."""
    call = read_call(b'{"jsonrpc": "2.0", "method": "foobar", "id": "1"}')
    assert isinstance(call, Call)
    with pytest.raises(RequestRefusedError) as caught:
        params_of(call)
    answer = json.loads(refusal_line(Refusal(call.id, caught.value)))
    assert (answer["id"], answer["error"]["code"]) == ("1", -32601)


def test_a_result_looks_as_the_specification_has_it() -> None:
    """Three members: jsonrpc, result, id; one line."""
    line = result_line(1, 19)
    assert json.loads(line) == {"jsonrpc": "2.0", "result": 19, "id": 1}
    assert (line.count(b"\n"), line[-1:]) == (1, b"\n")


def test_the_numbers_of_errors_are_the_specifications() -> None:
    """Section 5.1; our own lie in the range that it leaves to servers, -32000 to -32099."""
    assert [
        (code.name, int(code)) for code in ErrorCode if not -32099 <= code <= -32000
    ] == [
        ("NOT_JSON", -32700),
        ("NOT_A_REQUEST", -32600),
        ("NO_SUCH_METHOD", -32601),
        ("UNFIT_PARAMS", -32602),
        ("OUR_MISTAKE", -32603),
    ]  # fmt: skip
