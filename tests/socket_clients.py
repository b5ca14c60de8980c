"""A control socket with a made-up daemon behind it, and clients that speak it by hand."""

from __future__ import annotations

import asyncio
import json
import os
import queue
import shutil
import tempfile
import threading
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, contextmanager
from pathlib import Path
from typing import Any

from controller.core.messages.methods import Params
from controller.shell.control_socket.connection import Caller
from controller.shell.control_socket.limits import Limits
from controller.shell.control_socket.reach import connected_socket
from controller.shell.control_socket.server import ControlSocket

STATUS: dict[str, Any] = {"loads": [{"name": "pump", "is_on": True}]}


@contextmanager
def short_folder() -> Iterator[Path]:
    """A folder whose path leaves room for a socket's name, which may have 107 bytes."""
    folder = Path(tempfile.mkdtemp(prefix="rc-"))
    try:
        yield folder
    finally:
        shutil.rmtree(folder)


class MadeUpDaemon:
    """Answers with what a test sets, and keeps what it was asked.

    `answers` has a result, an error, or what makes one of the parameters, for each method; a
    method in `gates` waits there.
    """

    def __init__(self) -> None:
        self.asked: list[tuple[str, Params, Caller]] = []
        self.answers: dict[str, Any] = {"status": STATUS}
        self.gates: dict[str, asyncio.Event] = {}
        self.mistakes: list[dict[str, Any]] = []
        self._was_asked = asyncio.Event()

    async def has_been_asked(self, times: int) -> None:
        """Returns when it has been asked that often."""
        while len(self.asked) < times:
            self._was_asked.clear()
            await self._was_asked.wait()

    async def answer(self, method: str, params: Params, caller: Caller) -> object:
        """What a `ControlSocket` is given."""
        self.asked.append((method, params, caller))
        self._was_asked.set()
        if method in self.gates:
            await self.gates[method].wait()
        result = self.answers.get(method, {})
        if callable(result):
            result = result(params)
        if isinstance(result, BaseException):
            raise result
        return result

    @property
    def methods(self) -> list[str]:
        """What was asked, in order."""
        return [method for method, _, _ in self.asked]


class RawClient:
    """Writes bytes and reads lines, with nothing in between."""

    def __init__(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self.reader = reader
        self.writer = writer

    def write(self, data: bytes) -> None:
        """Sends bytes as they are."""
        self.writer.write(data)

    def write_at_once(self, data: bytes) -> bool:
        """Sends bytes past the stream, which would forget what it was told when the other
        side has closed; whether it has not."""
        try:
            os.write(self.writer.get_extra_info("socket").fileno(), data)
        except ConnectionError:
            return False
        return True

    def request(self, method: str, request_id: Any = 1, **params: Any) -> None:
        """Sends a request."""
        message = {"jsonrpc": "2.0", "method": method, "params": params, "id": request_id}
        self.write(json.dumps(message).encode() + b"\n")

    async def line(self) -> Any:
        """The next message; None at the end of the connection."""
        async with asyncio.timeout(5):
            try:
                line = await self.reader.readline()
            except ConnectionError:
                return None
        return json.loads(line) if line else None

    async def lines(self) -> list[Any]:
        """All messages until the connection ends."""
        told = []
        while (line := await self.line()) is not None:
            told.append(line)
        return told

    async def ask(self, method: str, request_id: Any = 1, **params: Any) -> Any:
        """The answer to a request."""
        self.request(method, request_id, **params)
        return await self.line()

    async def close(self) -> None:
        """Hangs up, whatever is still to be sent."""
        self.writer.transport.abort()
        try:
            await self.writer.wait_closed()
        except ConnectionError:
            return  # it was ended from the other side


class Served:
    """A control socket, its made-up daemon, and where it is."""

    def __init__(self, path: Path, daemon: MadeUpDaemon, server: ControlSocket) -> None:
        self.path = path
        self.daemon = daemon
        self.server = server
        self._clients: list[RawClient] = []

    async def client(self) -> RawClient:
        """Another client; closed with the rest."""
        made = await asyncio.to_thread(connected_socket, self.path, within_s=5)
        made.setblocking(False)
        reader, writer = await asyncio.open_unix_connection(sock=made, limit=2**22)
        client = RawClient(reader, writer)
        self._clients.append(client)
        return client

    async def settled(self) -> None:
        """Returns when the loop has done all that is ready."""
        for _ in range(20):
            await asyncio.sleep(0)

    async def close_clients(self) -> None:
        """Lets all clients go."""
        for client in self._clients:
            await client.close()


@asynccontextmanager
async def served(limits: Limits | None = None, **keys: Any) -> AsyncIterator[Served]:
    """A control socket that is open; `keys` are limits that differ from the usual ones."""
    daemon = MadeUpDaemon()
    asyncio.get_running_loop().set_exception_handler(
        lambda _, context: daemon.mistakes.append(context)
    )
    with short_folder() as folder:
        path = folder / "control.sock"
        server = ControlSocket(
            path, daemon.answer, limits=(Limits() if limits is None else limits)._replace(**keys)
        )
        server.open()
        one = Served(path, daemon, server)
        try:
            yield one
        finally:
            await one.close_clients()
            await server.close()


class ServedElsewhere:
    """A control socket whose loop runs in a thread of its own, for clients that block."""

    def __init__(self, one: Served, loop: asyncio.AbstractEventLoop) -> None:
        self.path = one.path
        self.daemon = one.daemon
        self._one = one
        self._loop = loop

    def do(self, act: Callable[[ControlSocket], object]) -> None:
        """Does something in the socket's own thread, and returns when it is done."""

        async def done() -> None:
            result = act(self._one.server)
            if asyncio.iscoroutine(result):
                await result

        asyncio.run_coroutine_threadsafe(done(), self._loop).result(5)


@contextmanager
def served_elsewhere(**keys: Any) -> Iterator[ServedElsewhere]:
    """As `served`, in a thread."""
    begun: queue.Queue[tuple[Served, asyncio.AbstractEventLoop, asyncio.Event]] = queue.Queue()

    async def serve() -> None:
        over = asyncio.Event()
        async with served(**keys) as one:
            begun.put((one, asyncio.get_running_loop(), over))
            await over.wait()

    thread = threading.Thread(target=lambda: asyncio.run(serve()))
    thread.start()
    one, loop, over = begun.get(timeout=5)
    try:
        yield ServedElsewhere(one, loop)
    finally:
        loop.call_soon_threadsafe(over.set)
        thread.join()
