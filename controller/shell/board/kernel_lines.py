"""Input lines as the kernel gives them: one descriptor a line, readable when it has changed.

The kernel debounces by itself (Linux 5.10 and later), stamps each change, counts what nobody
has read, and wakes nobody without a cause.
"""

from __future__ import annotations

import errno
import os
import struct
import time
from typing import TYPE_CHECKING, Literal, NamedTuple, Protocol, TypeAlias

from controller.core.errors import UnusableLineError
from controller.shell.board import emergency
from controller.shell.board.gpio_device import level_of

if TYPE_CHECKING:
    from controller.shell.board.emergency import Ioctl

Edges: TypeAlias = Literal["both", "rising"]
Pull: TypeAlias = Literal["up", "down", "none"]

# <linux/gpio.h>: enum gpio_v2_line_flag, enum gpio_v2_line_attr_id, struct gpio_v2_line_event.
_FLAG_INPUT = 1 << 2
_FLAG_RISING = 1 << 4
_FLAG_FALLING = 1 << 5
_FLAGS_PULL = {"up": 1 << 8, "down": 1 << 9, "none": 1 << 10}
_ATTRIBUTE_DEBOUNCE = 3
_DEBOUNCE = struct.Struct("=III4xQ")  # id, padding, µs, mask of the lines
DEBOUNCE_MS_MAX = (2**32 - 1) // 1_000
_EVENT_RISING = 1
EVENT = struct.Struct("=QIIII24x")  # timestamp in ns, kind, line, number, the line's number
EVENTS_MAX = 16  # kept for us by the kernel; the oldest are dropped first
_NS_PER_MS = 1_000_000


class Change(NamedTuple):
    """One change of a line: its new level, when (a `Tick`), and which one.

    `number` counts every change since the line was opened, those that were dropped because
    nobody read them included; it starts at 1 and wraps after 2**32 - 1.
    """

    level: bool
    tick: int
    number: int


class InputLines(Protocol):
    """Where input lines come from: the kernel, or a mock."""

    def open(self, line: int, *, pull: Pull, debounce_ms: int, edges: Edges) -> int:
        """A descriptor that is readable when the line has changed, and never blocks.

        Raises:
            UnusableLineError: the line cannot be had.
        """

    def level(self, handle: int) -> bool:
        """The level of an opened line now (True: high), debounced.

        Raises:
            OSError: it cannot be read.
        """

    def close(self, handle: int) -> None:
        """Gives the line back."""


def changes(handle: int) -> list[Change]:
    """The changes that wait at a descriptor, oldest first; at most `EVENTS_MAX`.

    Raises:
        OSError: the line is gone.
    """
    try:
        data = os.read(handle, EVENT.size * EVENTS_MAX)
    except BlockingIOError:
        return []
    whole = len(data) - len(data) % EVENT.size
    asleep_ns = slept_ns()
    return [
        Change(kind == _EVENT_RISING, (stamp_ns + asleep_ns) // _NS_PER_MS, number)
        for stamp_ns, kind, _, _, number in EVENT.iter_unpack(data[:whole])
    ]


def slept_ns() -> int:
    """How long the board has been suspended since it was switched on; mostly 0.

    The kernel stamps changes by CLOCK_MONOTONIC, which stands still meanwhile; ticks do not.
    """
    apart_ns = time.clock_gettime_ns(time.CLOCK_BOOTTIME) - time.monotonic_ns()
    return apart_ns if apart_ns >= _NS_PER_MS else 0


def packed(*, level: bool, stamp_ns: int, line: int, number: int) -> bytes:
    """A change as the kernel writes it; for mocks."""
    return EVENT.pack(stamp_ns, _EVENT_RISING if level else 2, line, number, number)


class KernelLines:
    """The lines of one GPIO chip."""

    def __init__(self, device: str, ioctl: Ioctl = emergency.kernel_ioctl) -> None:
        """Opens nothing yet.

        Args:
            device: the chip, such as /dev/gpiochip0.
            ioctl: asks the kernel.
        """
        self._device = device
        self._ioctl = ioctl

    def open(self, line: int, *, pull: Pull, debounce_ms: int, edges: Edges) -> int:
        """See `InputLines.open`."""
        if debounce_ms > DEBOUNCE_MS_MAX:
            raise UnusableLineError(
                f"line {line} cannot wait {debounce_ms} ms for a contact to rest: "
                f"{DEBOUNCE_MS_MAX} ms at most"
            )
        flags = _FLAG_INPUT | _FLAG_RISING | _FLAGS_PULL[pull]
        flags |= _FLAG_FALLING if edges == "both" else 0
        debounce = (
            _DEBOUNCE.pack(_ATTRIBUTE_DEBOUNCE, 0, debounce_ms * 1_000, 1) if debounce_ms else b""
        )
        request = emergency.line_request(line, flags, debounce, event_buffer=EVENTS_MAX)
        try:
            chip = os.open(self._device, os.O_RDWR | os.O_CLOEXEC)
        except OSError as error:
            raise UnusableLineError(f"{self._device}: {error.strerror}") from error
        try:
            self._ioctl(chip, emergency.GET_LINE, request)
        except OSError as error:
            words = str(error.strerror)
            if error.errno == errno.EBUSY:
                words = f"in use by {emergency.user_of(chip, line, self._ioctl)}"
            raise UnusableLineError(f"line {line} as an input: {words}") from error
        finally:
            os.close(chip)
        handle = int(emergency.LINE_REQUEST.unpack(request)[-1])
        os.set_blocking(handle, False)
        return handle

    def level(self, handle: int) -> bool:
        """See `InputLines.level`."""
        return level_of(handle, self._ioctl)

    def close(self, handle: int) -> None:
        """See `InputLines.close`."""
        os.close(handle)
