"""The daemon's side of the control socket: who is there, from its opening to its end.

It runs in the loop that switches relays: `turns` says whose request is taken next,
`requests_in_hand` carries it out, `subscribers` are told what happens.
"""

from __future__ import annotations

import asyncio
import os
from typing import TYPE_CHECKING, Any

from controller.core.errors import RequestRefusedError, UnusableSocketError
from controller.core.messages.codes import ErrorCode
from controller.core.messages.methods import NoParams
from controller.core.messages.rpc import Refusal, refusal_line, told_line
from controller.shell.control_socket.connection import Caller, Connection
from controller.shell.control_socket.door import Door
from controller.shell.control_socket.entrance import Entrance
from controller.shell.control_socket.limits import Limits
from controller.shell.control_socket.requests_in_hand import RequestsInHand
from controller.shell.control_socket.subscribers import Subscribers
from controller.shell.control_socket.turns import Turns

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from controller.shell.control_socket.requests_in_hand import Answer


class ControlSocket:
    """Takes requests from clients, and tells subscribers what happens.

    Args:
        path: where clients find it.
        answer: carries out every method but `hello` and `subscribe`.
        group: name of the group whose members may connect; None: the daemon's own.
        limits: what bounds the clients.
    """

    def __init__(
        self, path: Path, answer: Answer, *, group: str | None = None, limits: Limits | None = None
    ) -> None:
        self._path = path
        self._group = group
        self._limits = Limits() if limits is None else limits
        ourselves = Caller(os.getuid(), os.getgid(), os.getpid())
        self._uid = ourselves.uid
        self._clients: dict[Connection, None] = {}
        self._entrance: Entrance | None = None
        self._turns: Turns | None = None
        self._subscribers = Subscribers(
            self._clients, self._limits, lambda: answer("status", NoParams(), ourselves)
        )
        self._requests = RequestsInHand(answer, self._limits, self._subscribers)

    @property
    def client_count(self) -> int:
        """How many clients are connected."""
        return len(self._clients)

    def open(self) -> None:
        """Lets clients in from now on; the event loop must be running.

        Raises:
            UnusableSocketError: the socket cannot be there; says why, and what to do.
        """
        door = Door(self._path, group=self._group)
        self._turns = Turns(self._limits, self._requests.take)
        try:
            self._entrance = Entrance(
                door, self._limits, clients=self._clients, admit=self._admit, uid=self._uid
            )
        except OSError as error:
            door.close()
            raise UnusableSocketError(f"control socket {self._path}: {error.strerror}") from None

    async def close(self, *, within_s: float = 1.0) -> None:
        """Tells every client that it is over and lets go of them in that time; repeatable."""
        if self._entrance is not None:
            self._entrance.close()
        if self._turns is not None:
            self._turns.end()
        at_work: set[asyncio.Task[Any]] = {*self._requests.end(), *self._subscribers.end()}
        if at_work:
            await asyncio.wait(at_work, timeout=within_s / 2)
        farewell = told_line("closing", {"reason": "the controller ends"})
        for client in [*self._clients]:
            client.end(farewell)
        await self._all_gone(within_s / 2)
        for client in [*self._clients]:
            client.cut_off()
        await self._all_gone(within_s / 2)

    async def _all_gone(self, within_s: float) -> None:
        going = [client.lost for client in self._clients]
        if going:
            await asyncio.wait(going, timeout=within_s)

    def changed(self) -> None:
        """The status has changed: subscribers are told soon; costs nothing without any."""
        self._subscribers.changed()

    def tell_journal(self, entries: Sequence[Mapping[str, object]]) -> None:
        """Hands new journal entries to the subscribers."""
        self._subscribers.tell_journal(entries)

    # What connections tell

    def _admit(self, caller: Caller) -> Connection:
        client = Connection(self, caller, self._limits)
        self._clients[client] = None
        return client

    def forget(self, client: Connection) -> None:
        """The client is gone; what it asked for is carried out all the same."""
        self._clients.pop(client, None)

    def consider(self, client: Connection) -> None:
        """The client's next request may perhaps be taken now."""
        assert self._turns is not None, "clients come in after open"
        self._turns.consider(client)

    def weigh(self) -> None:
        """Cuts off who holds the most memory, while all together hold too much."""
        limits = self._limits
        if sum(client.received_bytes for client in self._clients) > limits.received_bytes_max:
            heaviest = max(self._clients, key=lambda client: client.received_bytes)
            busy = RequestRefusedError(ErrorCode.BUSY, "too much is being sent at once")
            heaviest.end(refusal_line(Refusal(None, busy)))
        if sum(client.unread_bytes for client in self._clients) > limits.unread_bytes_max:
            max(self._clients, key=lambda client: client.unread_bytes).cut_off()
