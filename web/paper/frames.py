"""How page and worker talk: each message a length in four bytes, then JSON; texts that the page
hands on as they are follow in frames of their own."""

from __future__ import annotations

import json
import struct
from typing import IO, TYPE_CHECKING, Any, NamedTuple

from controller.core.errors import PaperError

if TYPE_CHECKING:
    import asyncio
    from collections.abc import Mapping

MESSAGE_BYTES_MAX = 48 * 1024 * 1024
_LENGTH = struct.Struct("!I")


def frame_of(message: object) -> bytes:
    """A message with its length before it."""
    data = json.dumps(message, ensure_ascii=True, allow_nan=False, separators=(",", ":")).encode()
    return _LENGTH.pack(len(data)) + data


class Texts(NamedTuple):
    """A result that is texts, which the page hands on unread, and a note on them."""

    note: dict[str, Any]
    texts: list[bytes]


def frames_of(answer: Mapping[str, Any]) -> bytes:
    """A worker's answer; `texts` in it tells how many follow."""
    result = answer.get("result")
    if not isinstance(result, Texts):
        return frame_of(answer)
    told = frame_of({"result": result.note, "texts": len(result.texts)})
    return told + b"".join(_LENGTH.pack(len(text)) + text for text in result.texts)


def read_frame(stream: IO[bytes]) -> Any | None:
    """The next message from a stream; None at its end."""
    head = stream.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        return None
    (size,) = _LENGTH.unpack(head)
    return json.loads(stream.read(size))


async def next_answer(stream: asyncio.StreamReader) -> Any:
    """The next message of a worker, with the texts that follow it.

    Raises:
        PaperError: it is larger than any that a worker may send.
        asyncio.IncompleteReadError: the worker has ended.
    """
    answer = json.loads(await _next(stream, MESSAGE_BYTES_MAX))
    if "texts" not in answer:
        return answer
    texts: list[bytes] = []
    room = MESSAGE_BYTES_MAX
    for _ in range(answer["texts"]):
        texts.append(await _next(stream, room))
        room -= len(texts[-1])
    return {"result": Texts(answer["result"], texts)}


async def _next(stream: asyncio.StreamReader, bytes_max: int) -> bytes:
    (size,) = _LENGTH.unpack(await stream.readexactly(_LENGTH.size))
    if size > bytes_max:
        raise PaperError("what came out is too much to be told: ask for less")
    return await stream.readexactly(size)
