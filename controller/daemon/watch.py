"""Looks after what cannot tell of itself: output lines, the loop's own life, the clock's worth.

Once a second, which is the longest that a load may be in a state that nobody ordered: an
output line has no edge that could wake anybody.
"""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

EVERY_S = 1.0


class Watch:
    """Calls each of `duties` every `every_s`, and `feed` where they found all to be well.

    A duty answers whether what it looks after lives. An exception of a duty is not caught: the
    loop's handler tells of it, and nobody is fed, so that the supervisor starts anew where it
    comes again and again.
    """

    def __init__(
        self,
        duties: Sequence[Callable[[], bool]],
        feed: Callable[[], object],
        *,
        every_s: float = EVERY_S,
    ) -> None:
        self._duties = duties
        self._feed = feed
        self._every_s = every_s
        self._loop = asyncio.get_running_loop()
        self._next: asyncio.TimerHandle | None = None

    def start(self) -> None:
        """Looks now, and again and again from now on."""
        self._next = self._loop.call_later(self._every_s, self.start)
        found = [duty() for duty in self._duties]  # all of them, whatever the first one finds
        if all(found):
            self._feed()

    def close(self) -> None:
        """Looks no more; repeatable."""
        if self._next is not None:
            self._next.cancel()
            self._next = None
