"""JSON-RPC 2.0: one message a line, as values and as text.

Source: jsonrpc.org/specification, whose examples tests/unit/test_messages_published.py
carries out. Batches are refused: a line is one message, and a client that has several
requests sends several lines without waiting.
"""

from __future__ import annotations

from typing import Any, NamedTuple, TypeAlias

from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.messages.json_text import ANSWER_VALUES_MAX, json_bytes, parse_json
from controller.core.messages.params import likely_of
from controller.core.units import shown

# A plan travels in a message, and grows by a tenth where quotes and line ends are escaped: one
# of 18 loads takes 11 kB of it.
MESSAGE_BYTES_MAX = 256 * 1024
ANSWER_BYTES_MAX = 1024 * 1024
_ID_LENGTH_MAX = 100
_MEMBERS = ("jsonrpc", "method", "params", "id")

Id: TypeAlias = str | int | float | None


class Call(NamedTuple):
    """A request; without `wants_answer` a notification, whatever comes of it."""

    id: Id
    method: str
    params: dict[str, Any] | list[Any]
    wants_answer: bool = True


class Refusal(NamedTuple):
    """What cannot be carried out; `id` is None where it could not be read."""

    id: Id
    error: RequestRefusedError


class Result(NamedTuple):
    """A request's good end."""

    id: Id
    value: Any


class Told(NamedTuple):
    """A notification from the daemon."""

    method: str
    params: dict[str, Any]


class JsonText(bytes):
    """JSON that is encoded already, on one line: where encoding would hold up the loop."""

    __slots__ = ()


def read_call(line: bytes) -> Call | Refusal:
    """The request that a line holds, or what to answer instead; total over all bytes."""
    request_id: Id = None
    try:
        if len(line) > MESSAGE_BYTES_MAX:
            raise too_big()
        message = parse_json(line)
        if isinstance(message, list):
            raise _no_request("batches are not taken: send each request on a line of its own")
        if not isinstance(message, dict):
            raise _no_request(f"{shown(message)} is not an object")
        request_id = _id_of(message)
        return _call_of(message, request_id)
    except RequestRefusedError as error:
        return Refusal(request_id, error)


def read_answer(line: bytes) -> Result | Refusal | Told:
    """What the daemon says on a line.

    Raises:
        RequestRefusedError: with code NOT_A_REQUEST; it is none of the three.
    """
    message = parse_json(line, values_max=ANSWER_VALUES_MAX)
    if isinstance(message, dict):
        method, params = message.get("method"), message.get("params", {})
        if isinstance(method, str) and isinstance(params, dict):
            return Told(method, params)
        answered = _id_of(message)
        if "result" in message:
            return Result(answered, message["result"])
        error = message.get("error")
        if isinstance(error, dict) and isinstance(error.get("code"), int):
            text = str(error.get("message", "no reason given"))
            refused = RequestRefusedError(error["code"], text, error.get("data"))
            return Refusal(answered, refused)
    raise _no_request(f"{shown(message)} is no answer")


def call_line(request_id: Id, method: str, params: dict[str, Any]) -> bytes:
    """A request as a line."""
    return json_bytes(_message(id=request_id, method=method, params=params)) + b"\n"


def result_line(request_id: Id, result: object) -> bytes:
    """A result as a line."""
    encoded = result if isinstance(result, JsonText) else json_bytes(result)
    head = json_bytes(_message(id=request_id))
    return b'%b,"result":%b}\n' % (head[:-1], encoded)


def refusal_line(refusal: Refusal) -> bytes:
    """An error as a line."""
    error: dict[str, object] = {"code": refusal.error.code, "message": str(refusal.error)}
    if refusal.error.data is not None:
        error["data"] = refusal.error.data
    return json_bytes(_message(id=refusal.id, error=error)) + b"\n"


def told_line(method: str, params: dict[str, object]) -> bytes:
    """A notification as a line; a value in `params` may be a `JsonText`."""
    members = [
        b"%b:%b" % (json_bytes(key), value if isinstance(value, JsonText) else json_bytes(value))
        for key, value in params.items()
    ]
    head = json_bytes(_message(method=method))
    return b'%b,"params":{%b}}\n' % (head[:-1], b",".join(members))


def too_big() -> RequestRefusedError:
    """What a client is told whose message has no end."""
    return RequestRefusedError(
        ErrorCode.TOO_BIG, f"a message is at most {MESSAGE_BYTES_MAX // 1024} KiB long"
    )


def _message(**members: object) -> dict[str, object]:
    return {"jsonrpc": "2.0", **members}


def _no_request(why: str) -> RequestRefusedError:
    return RequestRefusedError(ErrorCode.NOT_A_REQUEST, f"this is not a JSON-RPC request: {why}")


def _id_of(message: dict[str, Any]) -> Id:
    value = message.get("id")
    if isinstance(value, str) and len(value) > _ID_LENGTH_MAX:
        raise _no_request(f"its id is longer than {_ID_LENGTH_MAX} characters")
    if isinstance(value, bool) or not isinstance(value, str | int | float | None):
        raise _no_request(f"its id {shown(value)} is neither text, number nor null")
    return value


def _call_of(message: dict[str, Any], request_id: Id) -> Call:
    if message.get("jsonrpc") != "2.0":
        raise _no_request('it lacks "jsonrpc": "2.0"')
    for name in message:
        if name not in _MEMBERS:
            raise _no_request(f"it has no member {shown(name)}{likely_of(name, _MEMBERS)}")
    method, params = message.get("method"), message.get("params", {})
    if not isinstance(method, str):
        raise _no_request(f"its method {shown(method)} is not text")
    if not isinstance(params, dict | list):
        raise _no_request(f"its params {shown(params)} are neither an object nor a list")
    return Call(request_id, method, params, "id" in message)
