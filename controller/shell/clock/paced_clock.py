"""A clock for rehearsals: faster than life, and never late.

It stands still while a decision is made, and has waited for the time until the next one,
divided by its speed. What it shows then is the very moment that was asked for, so that a
rehearsal takes the decisions of a dry run and shows them in their own pace.
"""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from controller.shell.clock.trust import ClockTrust, vouched

if TYPE_CHECKING:
    from controller.core.observation import Tick
    from controller.core.units import Instant


class PacedClock:
    """Time that starts at `start` and runs `speed` times as fast as life.

    Ticks count from the start. `end` is the last moment that it shows; a sleep beyond it
    ends there.
    """

    def __init__(self, *, start: Instant, end: Instant, speed: float) -> None:
        self._start = start
        self._tick: Tick = 0
        self._end: Tick = end - start
        self._speed = speed
        self._loop = asyncio.get_running_loop()
        self._woken = asyncio.Event()
        self.trust = ClockTrust((vouched,), note=None, kernel_boot="")
        self.trust.look(start)

    @property
    def is_trusted(self) -> bool:
        """Always: nobody can set it."""
        return True

    @property
    def is_over(self) -> bool:
        """Whether the end is reached."""
        return self._tick >= self._end

    def read(self) -> tuple[Instant, Tick]:
        """The time of day and the ticks since the start."""
        return self._start + self._tick, self._tick

    def exact_tick_ms(self) -> float:
        """The ticks since the start."""
        return float(self._tick)

    async def sleep_until(self, wake: Tick) -> None:
        """Returns when the tick is due at this clock's speed, or when `wake_up` is called."""
        wake = max(self._tick, min(wake, self._end))
        began = self._loop.time()
        timer = self._loop.call_later((wake - self._tick) / 1000 / self._speed, self._arrive, wake)
        await self._woken.wait()
        self._woken.clear()
        timer.cancel()
        passed_ms = int((self._loop.time() - began) * 1000 * self._speed)
        self._tick = max(self._tick, min(wake, self._tick + passed_ms))

    def look_at_trust(self) -> None:
        """Nothing: it is believed from the start."""

    def wake_up(self) -> None:
        """Ends the sleep; if there is none, the next one. From the loop's own thread."""
        self._woken.set()

    def _arrive(self, wake: Tick) -> None:
        self._tick = wake
        self._woken.set()

    def close(self) -> None:
        """Has nothing to let go of."""
