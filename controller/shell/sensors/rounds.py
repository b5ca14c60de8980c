"""When which sensor is read: those with equal intervals together, in one wake-up."""

from __future__ import annotations

import asyncio
import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

# Timers of the loop may come this much early (its selector counts whole milliseconds).
_EARLY_S = 0.002


class Rounds:
    """Calls `read` with the names that are due.

    Rounds are counted from one beginning, so that sensors read each minute and each two
    minutes come together; a round that the loop was too late for is left out, not made up.
    """

    def __init__(self, read: Callable[[Sequence[str]], None]) -> None:
        self._read = read
        self._loop = asyncio.get_running_loop()
        self._began_s = self._loop.time()
        self._names: dict[int, list[str]] = {}  # by interval in ms
        self._next: dict[int, int] = {}  # the number of the next round, by interval
        self._timer: asyncio.TimerHandle | None = None

    def set(self, every_ms: Mapping[str, int]) -> None:
        """From now on these names at these intervals; first when their next round comes."""
        self._names = {}
        for name, interval_ms in every_ms.items():
            self._names.setdefault(interval_ms, []).append(name)
        self._next = {
            interval_ms: self._next.get(interval_ms, self._number_after_now(interval_ms))
            for interval_ms in self._names
        }
        self._arm()

    def close(self) -> None:
        """Calls nobody any more."""
        self.set({})

    def _number_after_now(self, interval_ms: int) -> int:
        passed_s = self._loop.time() + _EARLY_S - self._began_s
        return math.floor(passed_s * 1000 / interval_ms) + 1

    def _arm(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        if self._next:
            due_s = min(interval_ms * number for interval_ms, number in self._next.items()) / 1000
            self._timer = self._loop.call_at(self._began_s + due_s, self._on_time)

    def _on_time(self) -> None:
        due: list[str] = []
        for interval_ms, number in self._next.items():
            after = self._number_after_now(interval_ms)
            if number < after:
                due += self._names[interval_ms]
                self._next[interval_ms] = after
        self._arm()
        if due:
            self._read(due)
