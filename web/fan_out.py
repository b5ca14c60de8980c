"""What the controller tells, handed to every open event stream.

A browser that reads slowly keeps the newest picture and the last journal entries; how many
entries it lost is told with the next.
"""

from __future__ import annotations

import asyncio
from collections import Counter, deque
from typing import TYPE_CHECKING, Any

from controller.core.errors import BusyError
from controller.core.journal_entry import SWITCHINGS
from controller.core.messages.json_text import json_bytes

if TYPE_CHECKING:
    from collections.abc import AsyncGenerator, Callable, Mapping, Sequence

    from web.picture import Picture
    from web.settings import Limits

_ENTRIES_WAITING_MAX = 200
_RETRY_MS = 2_000  # after which a browser comes again


class _Stream:
    """What waits for one browser."""

    def __init__(self, visitor: str) -> None:
        self.visitor = visitor
        self.picture: bytes | None = None
        self.entries: deque[bytes] = deque(maxlen=_ENTRIES_WAITING_MAX)
        self.lost = 0
        self.has_news = asyncio.Event()


class FanOut:
    """All open event streams; `ends` closes them for good."""

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        self._streams: dict[_Stream, None] = {}
        self._has_watchers = asyncio.Event()
        self._has_ended = False
        self.switches: Counter[str] = Counter()  # changes of each load that were heard of

    @property
    def stream_count(self) -> int:
        """How many are open."""
        return len(self._streams)

    async def somebody_watches(self) -> None:
        """Returns when a stream is open."""
        await self._has_watchers.wait()

    def tell_picture(self, picture: Picture) -> None:
        """Hands out a picture; an older one that still waits is left out."""
        if not self._streams:
            return
        text = _event("picture", picture.as_text())
        for stream in self._streams:
            stream.picture = text
            stream.has_news.set()

    def tell_journal(self, entries: Sequence[Mapping[str, Any]], lost: int) -> None:
        """Hands out new journal entries, `lost` of which never came; of too many the oldest
        are lost too."""
        self.switches.update(one["subject"] for one in entries if one["what"] in SWITCHINGS)
        texts = [json_bytes(entry) for entry in entries]
        for stream in self._streams:
            room = _ENTRIES_WAITING_MAX - len(stream.entries)
            stream.lost += lost + max(0, len(texts) - room)
            stream.entries.extend(texts)
            stream.has_news.set()

    def end(self) -> None:
        """Ends every stream, and opens none any more."""
        self._has_ended = True
        self.ask_anew()

    def ask_anew(self) -> None:
        """Has every stream ask at once whether its visitor may still watch."""
        for stream in self._streams:
            stream.has_news.set()

    def refuse_crowds(self, visitor: str) -> None:
        """Streams stay open, so their number is bounded: in all and for one address.

        Raises:
            BusyError: there are as many as may be.
        """
        of_address = sum(1 for stream in self._streams if stream.visitor == visitor)
        crowd = len(self._streams) >= self._limits.streams_max
        if crowd or of_address >= self._limits.streams_of_one_address_max:
            raise BusyError("too many pages watch at once: close some, then try again")

    async def stream(
        self, visitor: str, picture: Callable[[], Picture], *, may_watch: Callable[[], bool]
    ) -> AsyncGenerator[bytes, None]:
        """The text of one stream, from the picture as it is when the stream begins to hear of
        changes until the page ends, or `may_watch` says no, which is asked before each word."""
        stream = _Stream(visitor)
        self._streams[stream] = None
        self._has_watchers.set()
        try:
            yield b"retry: %d\n\n" % _RETRY_MS
            yield _event("picture", picture().as_text())
            while True:
                await stream.has_news.wait()
                stream.has_news.clear()
                if self._has_ended or not may_watch():
                    return
                for text in _taken(stream):
                    yield text
        finally:
            del self._streams[stream]
            if not self._streams:
                self._has_watchers.clear()


def _taken(stream: _Stream) -> list[bytes]:
    """What waits, taken at once: while it is sent, more may come."""
    texts = []
    if stream.entries:
        entries, lost = b",".join(stream.entries), stream.lost
        stream.entries.clear()
        stream.lost = 0
        texts.append(_event("journal", b'{"lost":%d,"entries":[%b]}' % (lost, entries)))
    if stream.picture is not None:
        texts.append(stream.picture)
        stream.picture = None
    return texts


def _event(name: str, data: bytes) -> bytes:
    """One event of a stream. Source: HTML Living Standard, section 9.2 (server-sent events);
    JSON on one line needs one data field."""
    return b"event: %b\ndata: %b\n\n" % (name.encode(), data)
