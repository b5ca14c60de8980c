"""The board's clock where the kernel says something else than usual."""

from __future__ import annotations

import asyncio
import ctypes
import errno
import os
from pathlib import Path

import pytest

from controller.shell.clock import board_clock as board_clock_module
from controller.shell.clock import timer_fd
from controller.shell.clock import trust as trust_module
from controller.shell.clock.board_clock import BoardClock, kernel_boot
from controller.shell.clock.timer_fd import StepWatch, WakeTimer
from controller.shell.clock.trust import ClockTrust, ServiceSynchronised, vouched


class Libc:
    """Calls of the C library that fail with a number."""

    def __init__(self, number: int) -> None:
        self.number = number

    def _fail(self, *args: object) -> int:
        del args
        ctypes.set_errno(self.number)
        return -1

    timerfd_create = timerfd_settime = _fail


def test_a_kernel_without_timers_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """With its own words."""
    monkeypatch.setattr(timer_fd, "_libc", Libc(errno.EMFILE))
    with pytest.raises(OSError, match="timerfd_create: Too many open files"):
        WakeTimer()


def test_a_timer_that_cannot_be_set_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """But a clock that was set meanwhile is none of it: the reader is told (ECANCELED)."""
    timer = WakeTimer()
    with monkeypatch.context() as patched:
        patched.setattr(timer_fd, "_libc", Libc(errno.ECANCELED))
        timer.set(1)
        patched.setattr(timer_fd, "_libc", Libc(errno.EINVAL))
        with pytest.raises(OSError, match="timerfd_settime: Invalid argument"):
            timer.set(1)
    timer.close()
    with pytest.raises(OSError, match="Bad file descriptor"):
        timer.read()


def test_a_step_of_the_clock_is_read_as_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """The kernel tells it as an error of the read (timerfd_create(2))."""
    watch = StepWatch()
    watch.read()  # nothing has happened: EAGAIN

    def stepped(handle: int, length: int) -> bytes:
        raise OSError(errno.ECANCELED, "stepped")

    with monkeypatch.context() as patched:
        patched.setattr(os, "read", stepped)
        watch.read()
    watch.close()


def test_a_step_ends_the_sleep_and_asks_for_the_clock_s_worth() -> None:
    """Who set it may have been the time service."""

    async def scene() -> bool:
        trust = ClockTrust((vouched,), note=None, kernel_boot="x")
        clock = BoardClock(trust)
        assert not clock.is_trusted
        asyncio.get_running_loop().call_soon(clock._on_step)
        await asyncio.wait_for(clock.sleep_until(clock.read()[1] + 600_000), 5)
        clock.close()
        return clock.is_trusted

    assert asyncio.run(scene())


def test_the_time_of_day_follows_a_step_and_no_jitter(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two clocks cannot be read at one moment."""
    off_ms = 0
    real = board_clock_module._offset_ms
    monkeypatch.setattr(board_clock_module, "_offset_ms", lambda: real() + off_ms)

    async def scene() -> list[int]:
        nonlocal off_ms
        clock = BoardClock(ClockTrust((), note=None, kernel_boot="x"))
        before = clock.read()
        found = []
        for step_ms in (10, -15, 3_600_000, 3_599_990, 0):
            off_ms = step_ms
            now, tick = clock.read()
            found.append(round(((now - tick) - (before[0] - before[1])) / 100) * 100)
        clock.close()
        return found

    assert asyncio.run(scene()) == [0, 0, 3_600_000, 3_600_000, 0]


def test_a_hidden_boot_counts_as_another(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody can tell whether the monotonic clock ran on."""
    assert kernel_boot() == kernel_boot()

    def hidden(*args: object, **kwargs: object) -> str:
        raise PermissionError

    monkeypatch.setattr(Path, "read_text", hidden)
    first = kernel_boot()
    assert first.startswith("unknown-")
    assert kernel_boot() != first


def test_a_folder_that_is_closed_to_us_vouches_for_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It ends nobody either."""

    def closed(path: object) -> os.stat_result:
        raise PermissionError(path)

    monkeypatch.setattr(os, "stat", closed)
    assert ServiceSynchronised(Path("/run/closed/flag"))(0) is None


@pytest.mark.parametrize(
    ("state", "status", "is_trusted"),
    [
        pytest.param(0, 0x2001, True, id="kept right by a time service"),
        pytest.param(5, 0x40, False, id="TIME_ERROR and STA_UNSYNC, as after a boot"),
        pytest.param(0, 0x40, False, id="STA_UNSYNC alone"),
        pytest.param(-1, 0, False, id="the call is forbidden"),
    ],
)
def test_the_kernel_s_word_is_taken_as_it_is(
    monkeypatch: pytest.MonkeyPatch, state: int, status: int, is_trusted: bool
) -> None:
    """adjtimex(2): the state is what the call returns, the status is in the struct."""

    class Kernel:
        """Answers."""

        def __init__(self, *args: object, **kwargs: object) -> None:
            del args, kwargs

        def adjtimex(self, buffer: object) -> int:
            buffer[40:44] = status.to_bytes(4, "little")  # type: ignore[index]
            return state

    monkeypatch.setattr(ctypes, "CDLL", Kernel)
    assert (trust_module.kernel_is_synchronised(0) is not None) is is_trusted
