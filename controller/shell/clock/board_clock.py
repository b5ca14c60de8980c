"""The clocks of the board that this runs on, and the sleep between two decisions."""

from __future__ import annotations

import asyncio
import time
from pathlib import Path
from typing import TYPE_CHECKING

from controller.shell.clock.timer_fd import StepWatch, WakeTimer

if TYPE_CHECKING:
    from controller.core.observation import Tick
    from controller.core.units import Instant
    from controller.shell.clock.trust import ClockTrust

_MS_NS = 1_000_000
# Two clocks cannot be read at one moment, and a year of rounding is no step.
_JITTER_MS = 20


class BoardClock:
    """Time of day, elapsed time since boot, and a sleep that a step of the clock ends.

    Elapsed time is CLOCK_BOOTTIME, which goes on while the board is suspended. The time of
    day is that plus an offset which changes only when somebody sets the clock: a slow
    correction by the time service moves both.
    """

    def __init__(self, trust: ClockTrust) -> None:
        self.trust = trust
        self._loop = asyncio.get_running_loop()
        self._offset_ms = _offset_ms()
        self._timer = WakeTimer()
        self._steps = StepWatch()
        self._woken = asyncio.Event()
        self._loop.add_reader(self._timer.handle, self._on_timer)
        self._loop.add_reader(self._steps.handle, self._on_step)

    @property
    def is_trusted(self) -> bool:
        """Whether the time of day can be believed."""
        return self.trust.is_trusted

    def read(self) -> tuple[Instant, Tick]:
        """The time of day and the monotonic clock, read together."""
        offset_ms = _offset_ms()
        if abs(offset_ms - self._offset_ms) > _JITTER_MS:
            self._offset_ms = offset_ms
        tick = time.clock_gettime_ns(time.CLOCK_BOOTTIME) // _MS_NS
        return tick + self._offset_ms, tick

    def exact_tick_ms(self) -> float:
        """The monotonic clock, with its fraction of a millisecond."""
        return time.clock_gettime_ns(time.CLOCK_BOOTTIME) / _MS_NS

    async def sleep_until(self, wake: Tick) -> None:
        """Returns at the tick, or before it when `wake_up` is called or the clock steps."""
        self._timer.set(wake)
        await self._woken.wait()
        self._woken.clear()

    def wake_up(self) -> None:
        """Ends the sleep; if there is none, the next one. From the loop's own thread."""
        self._woken.set()

    def look_at_trust(self) -> None:
        """Asks whether the clock can be believed by now; if so, ends the sleep."""
        now, _ = self.read()
        if self.trust.look(now):
            self.wake_up()

    def _on_timer(self) -> None:
        self._timer.read()
        self.wake_up()

    def _on_step(self) -> None:
        self._steps.read()
        self.look_at_trust()
        self.wake_up()

    def close(self) -> None:
        """Lets go of the timers; nobody may sleep any more."""
        for timer in (self._timer, self._steps):
            self._loop.remove_reader(timer.handle)
            timer.close()


def _offset_ms() -> int:
    ns = time.clock_gettime_ns(time.CLOCK_REALTIME) - time.clock_gettime_ns(time.CLOCK_BOOTTIME)
    return round(ns / _MS_NS)


def kernel_boot() -> str:
    """The name of this boot of the kernel: another after each, however the clocks are set.

    Source: Linux, Documentation/admin-guide/sysctl/kernel.rst, random/boot_id.
    """
    try:
        return Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
    except OSError:  # hidden from us: then each start counts as a boot
        return f"unknown-{time.time_ns()}"
