"""Tells those who subscribed what happens: that the status has changed, and journal entries."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from controller.core.messages.json_text import json_bytes
from controller.core.messages.rpc import JsonText
from controller.shell.control_socket.mistakes import report
from controller.shell.control_socket.subscription import Subscription

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Collection, Mapping, Sequence

    from controller.core.messages.methods import SubscribeParams
    from controller.shell.control_socket.connection import Connection
    from controller.shell.control_socket.limits import Limits


class Subscribers:
    """Those of the clients that have a subscription; nothing is made for them while there are none.

    Args:
        clients: who is there.
        limits: how much may wait for one that reads slowly.
        status: takes the status as it is then.
    """

    def __init__(
        self,
        clients: Collection[Connection],
        limits: Limits,
        status: Callable[[], Awaitable[object]],
    ) -> None:
        self._clients = clients
        self._limits = limits
        self._status = status
        self._telling: asyncio.Task[None] | None = None
        self._has_changed = False
        self._is_over = False

    def end(self) -> set[asyncio.Task[None]]:
        """Tells of no more changes; returns what is still at work on it, cancelled."""
        self._is_over = True
        if self._telling is None:
            return set()
        self._telling.cancel()
        return {self._telling}

    async def add(self, client: Connection, params: SubscribeParams) -> JsonText:
        """What the client is told from now on begins with the status as it is now; returns the
        answer to `subscribe`."""
        client.subscription = Subscription(
            params.topics, entries_max=self._limits.entries_waiting_max, send=client.send
        )
        status = await self._status() if "changed" in params.topics else None
        return JsonText(json_bytes({"topics": list(params.topics), "status": status}))

    def changed(self) -> None:
        """The status has changed: subscribers are told soon; costs nothing without any."""
        if self._is_over or not self._of("changed"):
            return
        self._has_changed = True
        if self._telling is None:
            self._telling = asyncio.get_running_loop().create_task(self._tell_changes())
            self._telling.add_done_callback(self._told)

    def tell_journal(self, entries: Sequence[Mapping[str, object]]) -> None:
        """Hands new journal entries to the subscribers."""
        listeners = self._of("journal")
        if not listeners:
            return
        texts = [JsonText(json_bytes(entry)) for entry in entries]
        for client, subscription in listeners:
            subscription.take_entries(texts)
            client.flush()

    def _of(self, topic: str) -> list[tuple[Connection, Subscription]]:
        return [
            (client, client.subscription)
            for client in self._clients
            if client.subscription is not None and topic in client.subscription.topics
        ]

    async def _tell_changes(self) -> None:
        while self._has_changed:
            self._has_changed = False
            status = JsonText(json_bytes(await self._status()))
            for client, subscription in self._of("changed"):
                subscription.take_status(status)
                client.flush()

    def _told(self, task: asyncio.Task[None]) -> None:
        self._telling = None
        if not task.cancelled() and task.exception() is not None:
            report("no status for subscribers of the control socket", task.exception())
        if self._has_changed:  # between its last look and its end
            self.changed()
