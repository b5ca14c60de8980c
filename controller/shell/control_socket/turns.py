"""Whose request is taken next: one a turn of the loop, of clients in the order of their coming.

That loop switches relays, so what a flood of clients costs a switching is one request's work.
"""

from __future__ import annotations

import asyncio
from collections import deque
from typing import TYPE_CHECKING

from controller.shell.control_socket.limits import TokenBucket

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.shell.control_socket.connection import Connection
    from controller.shell.control_socket.limits import Limits


class Turns:
    """Lines clients up; the event loop must be running.

    Args:
        limits: how often requests are taken, of one client and of all.
        take: deals with the request in a client's line, at once or in a task.
    """

    def __init__(self, limits: Limits, take: Callable[[Connection, bytes], None]) -> None:
        self._limits = limits
        self._take = take
        self._loop = asyncio.get_running_loop()
        self._bucket = TokenBucket(limits.requests, now_s=self._loop.time())
        self._queue: deque[Connection] = deque()
        self._is_over = False

    def end(self) -> None:
        """Takes no more requests."""
        self._is_over = True

    def consider(self, client: Connection) -> None:
        """Lines the client up if its next request may be taken now."""
        if client.is_queued or not client.has_line or client.is_closing or self._is_over:
            return
        if client.is_writing_paused:
            return  # considered again when it has read
        if client.in_hand >= self._limits.requests_in_hand_of_one_client_max:
            return  # considered again when it has an answer
        wait_s = client.bucket.wait_s(self._loop.time())
        if wait_s > 0:
            client.call_back_in(wait_s)
            return
        client.is_queued = True
        self._queue.append(client)
        if len(self._queue) == 1:
            self._take_one_soon()

    def _take_one_soon(self) -> None:
        wait_s = self._bucket.wait_s(self._loop.time())
        if wait_s > 0:
            self._loop.call_later(wait_s, self._take_one)
        else:
            self._loop.call_soon(self._take_one)

    def _take_one(self) -> None:
        """One request of the client whose turn it is; the others' follow in other turns."""
        if self._is_over:
            return
        client = self._queue.popleft()
        client.is_queued = False
        if not client.is_closing:
            now_s = self._loop.time()
            self._bucket.take(now_s)
            client.bucket.take(now_s)
        if self._queue:
            self._take_one_soon()
        if not client.is_closing:
            self._take(client, client.take_line())
            client.go_on()
