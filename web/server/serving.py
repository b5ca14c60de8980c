"""The page served until a signal ends it, without a tick and without hanging on streams."""

from __future__ import annotations

import asyncio
import logging
import os
import socket
from ipaddress import ip_address
from typing import TYPE_CHECKING

import uvicorn

from controller.core.errors import UnusableSocketError
from web.app import create_app
from web.server.connections import House
from web.server.protocol import protocol_for

if TYPE_CHECKING:
    from collections.abc import Callable
    from types import FrameType

    from fastapi import FastAPI

    from web.settings import Settings

_BACKLOG = 128
_INPUT_BYTES = 4_096


class _Server(uvicorn.Server):
    """uvicorn's server, which looks ten times a second whether it is to end; this one is told."""

    def __init__(
        self,
        config: uvicorn.Config,
        app: FastAPI,
        on_ready: Callable[[], None],
        input_ends: int | None,
    ) -> None:
        super().__init__(config)
        self._app = app
        self._on_ready = on_ready
        self._input = input_ends
        self._ending: asyncio.Event | None = None
        self._loop: asyncio.AbstractEventLoop | None = None

    async def main_loop(self) -> None:
        """Waits for the signal to end."""
        loop, ending = asyncio.get_running_loop(), asyncio.Event()
        self._loop, self._ending = loop, ending
        if self._input is not None:
            loop.add_reader(self._input, self._hear, loop, self._input, ending)
        self._on_ready()
        if not self.should_exit:
            await ending.wait()

    def _hear(self, loop: asyncio.AbstractEventLoop, given: int, ending: asyncio.Event) -> None:
        """The input's end is the end of whoever started the page."""
        if os.read(given, _INPUT_BYTES):
            return
        loop.remove_reader(given)
        self.should_exit = True
        ending.set()

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Hears a signal; a second Ctrl-C ends at once."""
        super().handle_exit(sig, frame)
        if self._loop is not None and self._ending is not None:
            self._loop.call_soon_threadsafe(self._ending.set)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Ends the streams first: they would never end by themselves."""
        self._app.state.page.fan_out.end()
        await super().shutdown(sockets)


def serve(
    settings: Settings, *, on_ready: Callable[[str], None], input_ends: int | None = None
) -> None:
    """Serves the page until SIGTERM or SIGINT, or until `input_ends`, a pipe, is closed at its
    other side; `on_ready` is told the page's address.

    Raises:
        PageNotSafeError: others would reach it without a passcode.
        UnusableSocketError: the address cannot be listened at.
    """
    app = create_app(settings)
    opened = _opened(settings.host, settings.port)
    limits = settings.limits
    logging.getLogger("uvicorn.error").setLevel(logging.ERROR)
    config = uvicorn.Config(
        app,
        http=protocol_for(House(limits), limits),
        ws="none",
        loop="asyncio",
        lifespan="on",
        log_config=None,
        access_log=False,
        proxy_headers=False,  # a visitor is who it is, whatever it says
        server_header=False,
        date_header=False,
        timeout_keep_alive=limits.keep_alive_s,
        timeout_graceful_shutdown=limits.farewell_s,
        h11_max_incomplete_event_size=limits.head_bytes_max,
        backlog=_BACKLOG,
    )
    host, port = opened.getsockname()[:2]
    address = f"http://{_called(host)}:{port}"
    server = _Server(config, app, lambda: on_ready(address), input_ends)
    try:
        server.run(sockets=[opened])
    finally:
        opened.close()


def _called(host: str) -> str:
    """What a browser on this machine calls the address that is listened at."""
    address = ip_address(host)
    if address.is_loopback or address.is_unspecified:
        return "localhost"
    return f"[{host}]" if address.version == 6 else host


def _opened(host: str, port: int) -> socket.socket:
    """A listening socket, so that what is wrong with the address is told before anything runs."""
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
        family, kind, number, _, address = found[0]
        opened = socket.socket(family, kind, number)
    except (OSError, UnicodeError) as error:
        raise UnusableSocketError(f"--host {host}: {error}") from None
    try:
        opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        opened.bind(address)
        opened.listen(_BACKLOG)
    except OSError as error:
        opened.close()
        raise UnusableSocketError(
            f"{host} port {port}: {error.strerror}; choose another with --host and --port"
        ) from None
    opened.setblocking(False)
    return opened
