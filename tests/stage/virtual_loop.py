"""An asyncio event loop whose time is free: it jumps to the next timer instead of waiting."""

from __future__ import annotations

import asyncio
import selectors
from collections.abc import Coroutine
from typing import Any, TypeVar

T = TypeVar("T")


_TURNS_AT_ONE_MOMENT_MAX = 50_000


class NothingLeftError(RuntimeError):
    """Everything waits, and no timer will ever end the wait."""


class StandstillError(RuntimeError):
    """The loop turns and turns at one moment: on a board it would keep a core busy for ever."""


class _JumpingSelector(selectors.DefaultSelector):
    """Never blocks: where nothing is ready, the time that it was to wait has passed."""

    def __init__(self) -> None:
        super().__init__()
        self.now_s = 0.0
        self._turns = 0

    def select(self, timeout: float | None = None) -> list[Any]:
        ready = super().select(0)
        if ready or (timeout is not None and timeout <= 0):
            self._turns += 1
            if self._turns > _TURNS_AT_ONE_MOMENT_MAX:
                self._turns = 0
                raise StandstillError(f"at {self.now_s} s")
            return ready
        if timeout is None:
            raise NothingLeftError("every task waits for what will never come")
        self.now_s += timeout
        self._turns = 0
        return ready


class VirtualLoop(asyncio.SelectorEventLoop):
    """The order of everything is that of the real loop; only waiting takes no time."""

    def __init__(self) -> None:
        self._jumping = _JumpingSelector()
        super().__init__(self._jumping)
        # A timer is due when it is nearer than this: less than any rounding of the sums that
        # lead to it (4e-9 s after a year) would let it never come.
        self._clock_resolution = 1e-8

    def time(self) -> float:
        """Seconds since the loop was made."""
        return self._jumping.now_s


def run_virtually(coroutine: Coroutine[Any, Any, T]) -> T:
    """Runs a coroutine to its end in a loop of its own."""
    with asyncio.Runner(loop_factory=VirtualLoop) as runner:
        return runner.run(coroutine)
