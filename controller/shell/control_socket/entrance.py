"""Lets clients in one at a time, while there is room for them."""

from __future__ import annotations

import asyncio
import errno
import os
import socket
import struct
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.messages.rpc import Refusal, refusal_line
from controller.shell.control_socket.connection import Caller, Connection
from controller.shell.control_socket.limits import Limits, TokenBucket, may_connect

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from controller.shell.control_socket.door import Door

# accept(2): what is no fault of the connection, and will not be better at once.
_EXHAUSTED = (errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM)
_CREDENTIALS = struct.Struct("3i")  # struct ucred, unix(7): pid, uid, gid
_REST_S = 1.0


class Entrance:
    """Accepts from a door, one client a turn of the loop.

    Args:
        door: where they come in; closed with this.
        limits: how many may be there.
        clients: who is there.
        admit: makes a connection for one who may come in.
        uid: the daemon's own user.
    """

    def __init__(
        self,
        door: Door,
        limits: Limits,
        *,
        clients: Collection[Connection],
        admit: Callable[[Caller], Connection],
        uid: int,
    ) -> None:
        self._door = door
        self._limits = limits
        self._clients = clients
        self._admit = admit
        self._uid = uid
        self._loop = asyncio.get_running_loop()
        self._welcomes: set[asyncio.Task[Any]] = set()
        self._pause: asyncio.TimerHandle | None = None
        # Given up for a moment where no more files can be opened, so that who comes can be
        # told; a connection that is not taken would wake the loop again and again.
        self._spare: int | None = os.open(os.devnull, os.O_RDONLY | os.O_CLOEXEC)
        self._bucket = TokenBucket(limits.connections, now_s=self._loop.time())
        self._loop.add_reader(door.listener, self._accept)

    def close(self) -> None:
        """Lets nobody in any more; repeatable."""
        if self._pause is not None:
            self._pause.cancel()
            self._pause = None
        if self._door.listener.fileno() >= 0:
            self._loop.remove_reader(self._door.listener)
        self._door.close()
        if self._spare is not None:
            os.close(self._spare)
            self._spare = None
        for task in self._welcomes:
            task.cancel()

    def _accept(self) -> None:
        wait_s = self._bucket.wait_s(self._loop.time())
        if wait_s > 0:
            self._rest(wait_s)
            return
        self._bucket.take(self._loop.time())
        try:
            peer, _ = self._door.listener.accept()
        except (BlockingIOError, InterruptedError, ConnectionAbortedError):
            return  # it went away before it came in
        except OSError as error:
            if error.errno in _EXHAUSTED and self._spare is not None:
                self._turn_away()
            else:
                self._rest(_REST_S)
            return
        peer.setblocking(False)
        try:
            caller = _caller(peer)
        except OSError:
            peer.close()
            return
        users = [client.caller.uid for client in self._clients]
        why_not = may_connect(caller.uid, users, self._limits, own_uid=self._uid)
        if why_not is not None:
            _refuse(peer, f"{why_not}: try again in a moment")
            return
        client = self._admit(caller)
        task = self._loop.create_task(self._loop.connect_accepted_socket(lambda: client, peer))
        self._welcomes.add(task)

        def welcomed(task: asyncio.Task[Any]) -> None:
            self._welcomes.discard(task)
            if task.cancelled() or task.exception() is not None:  # it went away, or we do
                peer.close()
                client.connection_lost(None)

        task.add_done_callback(welcomed)

    def _turn_away(self) -> None:
        """Takes the one who waits, by the file that is kept for that, and says why not."""
        assert self._spare is not None
        os.close(self._spare)
        self._spare = None
        with suppress(OSError):  # another thread may have been faster with the free file
            peer, _ = self._door.listener.accept()
            peer.setblocking(False)
            _refuse(peer, "the controller cannot open more files: try again in a moment")
        try:
            self._spare = os.open(os.devnull, os.O_RDONLY | os.O_CLOEXEC)
        except OSError:
            self._rest(_REST_S)

    def _rest(self, length_s: float) -> None:
        """Accepts nobody for so long, so that who waits at the door wakes nobody."""
        self._loop.remove_reader(self._door.listener)
        self._pause = self._loop.call_later(length_s, self._go_on)

    def _go_on(self) -> None:
        self._pause = None
        if self._spare is None:
            with suppress(OSError):  # it is tried again when it is needed
                self._spare = os.open(os.devnull, os.O_RDONLY | os.O_CLOEXEC)
        self._loop.add_reader(self._door.listener, self._accept)


def _caller(peer: socket.socket) -> Caller:
    credentials = peer.getsockopt(socket.SOL_SOCKET, socket.SO_PEERCRED, _CREDENTIALS.size)
    pid, uid, gid = _CREDENTIALS.unpack(credentials)
    return Caller(uid, gid, pid)


def _refuse(peer: socket.socket, why: str) -> None:
    """Says why to one who may not come in, without waiting whether it reads."""
    with peer, suppress(OSError):  # gone already
        peer.send(refusal_line(Refusal(None, RequestRefusedError(ErrorCode.BUSY, why))))
