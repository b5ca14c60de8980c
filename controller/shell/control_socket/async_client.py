"""The page's side of the control socket: many requests at once over one connection.

When the daemon goes away, everything that waits is told; to connect again is the page's
business.
"""

from __future__ import annotations

import asyncio
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from controller.core.errors import NoDaemonError
from controller.core.messages.rpc import Refusal, Result, Told
from controller.core.status.record import PROTOCOL
from controller.shell.control_socket.client import ANSWER_S
from controller.shell.control_socket.reach import (
    ANSWER_LINE_BYTES_MAX,
    checked_call_line,
    connected_socket,
    gone,
    no_daemon,
    no_rootclock,
    read_line,
    silent,
)

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Mapping, Sequence
    from pathlib import Path

_NEWS_MAX = 100


class AsyncClient:
    """A connection to the daemon, made by `connect`."""

    def __init__(
        self, path: Path, reader: asyncio.StreamReader, writer: asyncio.StreamWriter
    ) -> None:
        self._path = path
        self._reader = reader
        self._writer = writer
        self._number = 0
        self._waiting: dict[int, asyncio.Future[Any]] = {}
        self._news: asyncio.Queue[Told | NoDaemonError] = asyncio.Queue(_NEWS_MAX)
        self._listens = False
        self._end: NoDaemonError | None = None
        self._reading = asyncio.get_running_loop().create_task(self._read())

    @classmethod
    async def connect(cls, path: Path, *, answer_s: float = ANSWER_S) -> AsyncClient:
        """A connection over which the daemon has said that it speaks our protocol.

        Raises:
            NoDaemonError: nobody answers there, or nobody whom we may ask.
            RequestRefusedError: the daemon speaks another protocol.
            UnusableSocketError: no socket can have that path.
        """
        # The loop's own connect takes a door at which others wait for one that is open.
        made = await asyncio.to_thread(connected_socket, path, within_s=answer_s)
        made.setblocking(False)
        client = cls(
            path, *await asyncio.open_unix_connection(sock=made, limit=ANSWER_LINE_BYTES_MAX)
        )
        try:
            await client.call("hello", {"protocol": PROTOCOL}, within_s=answer_s)
        except BaseException:
            await client.close()
            raise
        return client

    async def close(self) -> None:
        """Lets go of the daemon; what waits is told so; repeatable."""
        self._reading.cancel()
        await asyncio.wait({self._reading})
        with suppress(OSError):  # it may have gone first
            await self._writer.wait_closed()

    async def call(
        self,
        method: str,
        params: Mapping[str, Any] | None = None,
        *,
        within_s: float = ANSWER_S,
    ) -> Any:
        """The result of a request; parameters that are None are left out.

        Raises:
            RequestRefusedError: the daemon's own word why not.
            NoDaemonError: it went away, or took longer than that.
        """
        if self._end is not None:
            raise NoDaemonError(str(self._end))
        self._number += 1
        number = self._number
        line = checked_call_line(number, method, params)
        answer: asyncio.Future[Any] = asyncio.get_running_loop().create_future()
        self._waiting[number] = answer
        try:
            async with asyncio.timeout(within_s):
                self._writer.write(line)
                return await answer
        except TimeoutError:
            raise silent(self._path) from None
        finally:
            del self._waiting[number]

    async def subscribe(self, topics: Sequence[str]) -> tuple[Any, AsyncIterator[Told]]:
        """What `subscribe` answers, and then what the daemon tells, until it ends.

        Raises:
            RequestRefusedError, NoDaemonError: as `call`; the iterator NoDaemonError only.
        """
        self._listens = True
        result = await self.call("subscribe", {"topics": list(topics)})
        return result, self._told()

    async def _told(self) -> AsyncIterator[Told]:
        while True:
            news = await self._news.get()
            if isinstance(news, NoDaemonError):
                raise news
            yield news

    async def _read(self) -> None:
        """Hands every line to whom it concerns, until the connection ends."""
        end = gone(self._path)
        try:
            while True:
                line = await self._reader.readuntil(b"\n")
                self._hand_out(read_line(self._path, line[:-1]))
        except NoDaemonError as error:
            end = error
        except asyncio.LimitOverrunError:
            end = no_rootclock(self._path)
        except asyncio.IncompleteReadError:
            end = gone(self._path)
        except OSError as error:
            end = no_daemon(self._path, error)
        finally:
            self._tell_the_end(end)

    def _hand_out(self, said: Result | Refusal | Told) -> None:
        if isinstance(said, Told):
            if self._listens:
                self._put(said)
            return
        answer = self._waiting.get(said.id) if isinstance(said.id, int) else None
        if answer is None or answer.done():
            return  # to a request that was given up
        if isinstance(said, Refusal):
            answer.set_exception(said.error)
        else:
            answer.set_result(said.value)

    def _tell_the_end(self, end: NoDaemonError) -> None:
        self._end = end
        self._writer.close()
        for answer in self._waiting.values():
            if not answer.done():
                answer.set_exception(end)
        self._put(end)

    def _put(self, news: Told | NoDaemonError) -> None:
        """An answer must not wait until the page takes its news: the oldest makes room."""
        if self._news.full():
            self._news.get_nowait()
        self._news.put_nowait(news)
