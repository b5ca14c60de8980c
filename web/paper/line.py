"""A line in which those who are in more of a hurry stand before the others."""

from __future__ import annotations

import asyncio
from contextlib import asynccontextmanager
from heapq import heappop, heappush
from itertools import count
from typing import TYPE_CHECKING, Any

from controller.core.errors import SupersededError

if TYPE_CHECKING:
    from collections.abc import AsyncIterator


class Line:
    """One at a time has the turn; of those who wait, the lowest rank is next, and of equals who
    came first."""

    def __init__(self) -> None:
        self._is_taken = False
        self._waiting: list[tuple[int, int, asyncio.Future[None]]] = []
        self._numbers = count()
        self.length = 0  # of those who have the turn or wait for it

    @asynccontextmanager
    async def turn(self, rank: int, given_up: asyncio.Future[Any]) -> AsyncIterator[None]:
        """The turn for oneself.

        Args:
            rank: the lower, the sooner.
            given_up: done as soon as something newer has come in place of this.

        Raises:
            SupersededError: that was before the turn came.
        """
        self.length += 1
        try:
            await self._come(rank, given_up)
            try:
                yield
            finally:
                self._go()
        finally:
            self.length -= 1

    async def _come(self, rank: int, given_up: asyncio.Future[Any]) -> None:
        if not self._is_taken:
            self._is_taken = True
            return
        called: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        heappush(self._waiting, (rank, next(self._numbers), called))
        try:
            await asyncio.wait({called, given_up}, return_when=asyncio.FIRST_COMPLETED)
        except BaseException:
            self._leave(called)
            raise
        if not called.done():
            self._leave(called)
            raise SupersededError("the same page has asked for something newer since")

    def _leave(self, called: asyncio.Future[None]) -> None:
        """Whoever is called as they leave passes the turn on."""
        if called.done():
            self._go()
        else:
            called.cancel()

    def _go(self) -> None:
        while self._waiting:
            _, _, called = heappop(self._waiting)
            if not called.done():
                called.set_result(None)
                return
        self._is_taken = False
