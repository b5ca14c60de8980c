"""How page and worker talk: each message a length in four bytes, then JSON."""

from __future__ import annotations

import json
import struct
from typing import IO, TYPE_CHECKING, Any

from controller.core.errors import PaperError

if TYPE_CHECKING:
    import asyncio

MESSAGE_BYTES_MAX = 48 * 1024 * 1024
_LENGTH = struct.Struct("!I")


def frame_of(message: object) -> bytes:
    """A message with its length before it."""
    data = json.dumps(message, ensure_ascii=True, allow_nan=False, separators=(",", ":")).encode()
    return _LENGTH.pack(len(data)) + data


def read_frame(stream: IO[bytes]) -> Any | None:
    """The next message from a stream; None at its end."""
    head = stream.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        return None
    (size,) = _LENGTH.unpack(head)
    return json.loads(stream.read(size))


async def next_frame(stream: asyncio.StreamReader) -> Any:
    """The next message of a worker.

    Raises:
        PaperError: it is larger than any that a worker may send.
        asyncio.IncompleteReadError: the worker has ended.
    """
    (size,) = _LENGTH.unpack(await stream.readexactly(_LENGTH.size))
    if size > MESSAGE_BYTES_MAX:
        raise PaperError("what came out is too much to be told: ask for less")
    return json.loads(await stream.readexactly(size))
