"""Timers of the Linux kernel as file descriptors (timerfd_create(2)).

An event loop's own timers are rounded up to whole milliseconds by its poll; these wake it
to the tenth, and one of them tells when somebody sets the clock. Python has them in `os`
only from 3.13 on, so they are called through ctypes.

Source of numbers and layouts: linux/time.h, linux/timerfd.h, timerfd_create(2), for the
64-bit boards that this runs on.
"""

from __future__ import annotations

import ctypes
import errno
import os
import time
from typing import Final

_TFD_NONBLOCK: Final = os.O_NONBLOCK
_TFD_CLOEXEC: Final = os.O_CLOEXEC
_TFD_TIMER_ABSTIME: Final = 1
_TFD_TIMER_CANCEL_ON_SET: Final = 2
_FAR_SECONDS: Final = 2**32  # the year 2106, and within what the kernel counts
_NS: Final = 1_000_000_000


class _Timespec(ctypes.Structure):
    _fields_ = (("seconds", ctypes.c_long), ("nanoseconds", ctypes.c_long))


class _TimerSpec(ctypes.Structure):
    _fields_ = (("interval", _Timespec), ("value", _Timespec))


_libc = ctypes.CDLL(None, use_errno=True)
_libc.timerfd_settime.argtypes = (
    ctypes.c_int,
    ctypes.c_int,
    ctypes.POINTER(_TimerSpec),
    ctypes.c_void_p,
)


def _create(clock: int) -> int:
    handle: int = _libc.timerfd_create(clock, _TFD_NONBLOCK | _TFD_CLOEXEC)
    if handle < 0:
        number = ctypes.get_errno()
        raise OSError(number, f"timerfd_create: {os.strerror(number)}")
    return handle


def _set(handle: int, flags: int, ns: int) -> None:
    seconds, nanoseconds = divmod(ns, _NS)
    spec = _TimerSpec(_Timespec(0, 0), _Timespec(seconds, nanoseconds))
    if _libc.timerfd_settime(handle, flags, ctypes.byref(spec), None) < 0:
        number = ctypes.get_errno()
        if number != errno.ECANCELED:  # the clock was set since: the reader is told of it
            raise OSError(number, f"timerfd_settime: {os.strerror(number)}")


class WakeTimer:
    """Becomes readable at a moment of the clock that also runs while the board sleeps."""

    def __init__(self) -> None:
        self.handle = _create(time.CLOCK_BOOTTIME)

    def set(self, at_ms: int) -> None:
        """Readable from `at_ms` on (CLOCK_BOOTTIME, ms); at once where that is past."""
        far_ms = _FAR_SECONDS * 1000
        _set(self.handle, _TFD_TIMER_ABSTIME, max(1, min(at_ms, far_ms) * 1_000_000))

    def read(self) -> None:
        """Takes notice that it has become readable, so that it is not any more."""
        _drain(self.handle)

    def close(self) -> None:
        """Lets go of the descriptor."""
        os.close(self.handle)


class StepWatch:
    """Becomes readable when somebody sets the time of day, forwards or backwards."""

    def __init__(self) -> None:
        self.handle = _create(time.CLOCK_REALTIME)
        self._arm()

    def _arm(self) -> None:
        # Whatever the clock says, it is far from this moment; only a step ends the wait.
        _set(self.handle, _TFD_TIMER_ABSTIME | _TFD_TIMER_CANCEL_ON_SET, _FAR_SECONDS * _NS)

    def read(self) -> None:
        """Takes notice of a step, and watches for the next."""
        _drain(self.handle)
        self._arm()

    def close(self) -> None:
        """Lets go of the descriptor."""
        os.close(self.handle)


def _drain(handle: int) -> None:
    try:
        os.read(handle, 8)
    except OSError as error:
        # ECANCELED is how a step of the clock is told; EAGAIN: it was read already.
        if error.errno not in {errno.ECANCELED, errno.EAGAIN}:
            raise
