"""A board's clock on a virtual loop: it can be stepped, lose and win trust."""

from __future__ import annotations

import asyncio

from controller.core.observation import Tick
from controller.core.units import Instant


class StageClock:
    """Elapsed time is the loop's; the time of day is set by the test."""

    def __init__(self, *, start: Instant, is_trusted: bool = True, booted_ms: int = 0) -> None:
        self._loop = asyncio.get_running_loop()
        self._woken = asyncio.Event()
        self._zero_ms = self._loop.time() * 1000 - booted_ms
        self._offset_ms = start - self._ticks()
        self.is_trusted = is_trusted
        self.wakes = 0

    def _ticks(self) -> int:
        return int(self._loop.time() * 1000 - self._zero_ms + 2e-5)

    def read(self) -> tuple[Instant, Tick]:
        """The time of day and the monotonic clock."""
        tick = self._ticks()
        return tick + self._offset_ms, tick

    def exact_tick_ms(self) -> float:
        """The monotonic clock, with its fraction of a millisecond."""
        return self._loop.time() * 1000 - self._zero_ms

    async def sleep_until(self, wake: Tick) -> None:
        """Sleeps on the virtual loop."""
        delay_s = max(0.0, (wake - self.exact_tick_ms()) / 1000)
        timer = self._loop.call_later(min(delay_s, 1e9), self._woken.set)
        await self._woken.wait()
        timer.cancel()
        self._woken.clear()
        self.wakes += 1

    def wake_up(self) -> None:
        """Ends the sleep."""
        self._woken.set()

    def step(self, by_ms: int) -> None:
        """Somebody sets the clock."""
        self._offset_ms += by_ms
        self.wake_up()

    def trust(self, is_trusted: bool) -> None:
        """The clock is believed from now on, or not."""
        self.is_trusted = is_trusted
        self.wake_up()
