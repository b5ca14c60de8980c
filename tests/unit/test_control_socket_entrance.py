"""Letting clients in where the system is out of files: nobody is left waiting, nothing spins.

The kernel's refusals (accept(2): EMFILE and the like) are made up here; tests/fault has them
from a real limit, in a process of its own.
"""

from __future__ import annotations

import asyncio
import errno
import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from controller.core.errors import UnusableSocketError
from controller.shell.control_socket import entrance as entrance_module
from controller.shell.control_socket.connection import Caller, Connection
from controller.shell.control_socket.door import Door
from controller.shell.control_socket.entrance import Entrance
from controller.shell.control_socket.limits import Limits
from controller.shell.control_socket.server import ControlSocket
from tests.socket_clients import MadeUpDaemon, short_folder


class ScarceListener:
    """A real listening socket whose `accept` fails as often as a test says."""

    def __init__(self, real: socket.socket, errors: list[int]) -> None:
        self._real = real
        self.errors = errors
        self.asked = 0

    def accept(self) -> tuple[socket.socket, Any]:
        """Fails while there are errors left."""
        self.asked += 1
        if self.errors:
            number = self.errors.pop(0)
            raise OSError(number, os.strerror(number))
        return self._real.accept()

    def fileno(self) -> int:
        """The real one's."""
        return self._real.fileno()

    def close(self) -> None:
        """Closes the real one."""
        self._real.close()


class Host:
    """Knows who came in."""

    def __init__(self) -> None:
        self.clients: list[Connection] = []

    def admit(self, caller: Caller) -> Connection:
        """Makes a connection."""
        self.clients.append(Connection(self, caller, Limits()))
        return self.clients[-1]

    def consider(self, client: Connection) -> None:
        """Takes no request."""

    def weigh(self) -> None:
        """Weighs nothing."""

    def forget(self, client: Connection) -> None:
        """Lets a client go."""
        self.clients.remove(client)


@contextmanager
def _entrance(errors: list[int]) -> Iterator[tuple[Path, Host, ScarceListener]]:
    with short_folder() as folder:
        door, host = Door(folder / "s"), Host()
        scarce = ScarceListener(door.listener, errors)
        door.listener = scarce  # type: ignore[assignment]
        one = Entrance(door, Limits(), clients=host.clients, admit=host.admit, uid=os.getuid())
        yield folder / "s", host, scarce
        one.close()
        one.close()


async def _settled() -> None:
    for _ in range(10):
        await asyncio.sleep(0)


def _connect(path: Path) -> socket.socket:
    peer = socket.socket(socket.AF_UNIX)
    peer.connect(str(path))
    peer.settimeout(2)
    return peer


@pytest.mark.parametrize("number", [errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM])
def test_who_comes_when_files_are_out_is_told_so(number: int) -> None:
    """By the file that is kept for that; the next one comes in as ever."""

    async def work() -> None:
        with _entrance([number]) as (path, host, scarce):
            with _connect(path) as first:
                await _settled()
                assert b"cannot open more files: try again in a moment" in first.recv(1000)
            with _connect(path):
                await _settled()
                assert (len(host.clients), scarce.asked) == (1, 3)
                host.clients[0].cut_off()
                await _settled()

    asyncio.run(work())


@pytest.mark.parametrize(
    ("errors", "asked"),
    [
        ([errno.EMFILE, errno.EMFILE], 3),  # not even with the file that was kept
        ([errno.EPERM], 2),  # something that a system's policy forbids
    ],
)
def test_a_door_that_cannot_be_opened_rests(
    errors: list[int], asked: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who waits there is let in after the rest, and wakes nobody before."""
    real_open = os.open
    monkeypatch.setattr(entrance_module, "_REST_S", 0.03)

    async def work() -> None:
        with _entrance(errors) as (path, host, scarce), _connect(path):
            if len(errors) > 1:
                monkeypatch.setattr(os, "open", _no_more_files)
            await _settled()
            assert (scarce.asked, host.clients) == (asked - 1, [])
            monkeypatch.setattr(os, "open", real_open)
            await asyncio.sleep(0.05)  # the rest itself is what is tested
            await _settled()
            assert (scarce.asked, len(host.clients)) == (asked, 1)
            host.clients[0].cut_off()
            await _settled()

    asyncio.run(work())


def _no_more_files(*_: object) -> int:
    raise OSError(errno.EMFILE, os.strerror(errno.EMFILE))


@pytest.mark.parametrize("number", [errno.ECONNABORTED, errno.EAGAIN, errno.EINTR])
def test_who_went_away_before_they_came_in_is_no_trouble(number: int) -> None:
    """The next in the queue comes in at once."""

    async def work() -> None:
        with _entrance([number]) as (path, host, scarce), _connect(path):
            await _settled()
            assert (scarce.asked, len(host.clients)) == (2, 1)
            host.clients[0].cut_off()
            await _settled()

    asyncio.run(work())


def test_a_socket_that_cannot_be_opened_for_want_of_files_leaves_nothing_behind(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It can be tried again."""

    async def work() -> None:
        with short_folder() as folder:
            server = ControlSocket(folder / "s", MadeUpDaemon().answer)
            real_open = os.open

            def open_but_not_the_spare(path: Any, *rest: int) -> int:
                return _no_more_files() if path == os.devnull else real_open(path, *rest)

            with monkeypatch.context() as patched:
                patched.setattr(os, "open", open_but_not_the_spare)
                with pytest.raises(UnusableSocketError, match="Too many open files"):
                    server.open()
            assert not (folder / "s").exists()
            server.open()
            await server.close()

    asyncio.run(work())
