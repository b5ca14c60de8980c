"""Whatever comes over the control socket is understood or refused, and sent as it was meant."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.messages.json_text import json_bytes
from controller.core.messages.methods import METHODS, params_of
from controller.core.messages.rpc import (
    Call,
    JsonText,
    Refusal,
    Result,
    Told,
    read_answer,
    read_call,
    refusal_line,
    result_line,
)

_LEAVES = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=5)
    | st.sampled_from(["pump", "on", "20m", "2026-06-01T06:00:00Z", "changed", "\ud800"])
)
ANYTHING = st.recursive(
    _LEAVES,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner),
    max_leaves=5,
)
# What every JSON reader keeps as it is.
SENDABLE = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.text('aé🌿\n"\\'),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("ab"), inner),
    max_leaves=5,
)
_NAMES = sorted({param.name for method in METHODS.values() for param in method.params})


@given(st.binary(max_size=200))
def test_any_bytes_are_a_call_or_a_refusal(line: bytes) -> None:
    """Nothing else comes out, and no other error."""
    assert isinstance(read_call(line), Call | Refusal)


@given(ANYTHING)
def test_any_json_is_a_call_or_a_refusal(value: object) -> None:
    """Values of every shape, NaN and half characters among them."""
    assert isinstance(read_call(json.dumps(value).encode()), Call | Refusal)


@given(
    st.fixed_dictionaries(
        {"jsonrpc": st.just("2.0") | ANYTHING, "method": st.text() | ANYTHING},
        optional={"id": ANYTHING, "params": ANYTHING, "extra": ANYTHING},
    )
)
def test_anything_like_a_request_is_a_call_or_a_refusal(message: dict[str, object]) -> None:
    """The members of a request with any value in them; a refusal can always be sent."""
    said = read_call(json.dumps(message).encode())
    if isinstance(said, Call):
        assert (said.method, said.wants_answer) == (message["method"], "id" in message)
    else:
        assert refusal_line(said)


@given(
    st.sampled_from(sorted(METHODS)) | st.text(),
    st.dictionaries(st.sampled_from(_NAMES) | st.text(), ANYTHING, max_size=3)
    | st.lists(ANYTHING, max_size=4),
)
def test_any_parameters_are_read_or_refused(
    method: str, params: dict[str, Any] | list[Any]
) -> None:
    """No value of any parameter brings another error about."""
    made, code = None, None
    try:
        made = type(params_of(Call(1, method, params)))
    except RequestRefusedError as error:
        code = error.code
    if code is None:
        assert made is METHODS[method].make
    else:
        assert code in {ErrorCode.UNFIT_PARAMS, ErrorCode.NO_SUCH_METHOD}


@given(st.integers(0, 2**53 - 1) | st.text("ab🌿"), SENDABLE)
def test_a_result_that_was_written_is_read_the_same(request_id: int | str, value: object) -> None:
    """On one line, whether it was encoded before or not."""
    for result in (value, JsonText(json_bytes(value))):
        line = result_line(request_id, result)
        assert line.find(b"\n") == len(line) - 1
        assert read_answer(line[:-1]) == Result(request_id, value)


@given(st.sampled_from(list(ErrorCode)), st.text("a🌿\n"), SENDABLE)
def test_a_refusal_that_was_written_is_read_the_same(
    code: ErrorCode, text: str, data: object
) -> None:
    """Number, words and data."""
    error = RequestRefusedError(code, text, data)
    read = read_answer(refusal_line(Refusal(3, error))[:-1])
    assert isinstance(read, Refusal)
    assert (read.id, read.error.code, str(read.error), read.error.data) == (3, code, text, data)


@given(st.binary(max_size=100) | SENDABLE.map(json_bytes))
def test_any_bytes_are_an_answer_or_refused(line: bytes) -> None:
    """A client does not fall over what it is sent."""
    try:
        said: object = read_answer(line)
    except RequestRefusedError as error:
        said = error.code
    known = {ErrorCode.NOT_JSON, ErrorCode.NOT_A_REQUEST}
    assert isinstance(said, Result | Refusal | Told) or said in known
