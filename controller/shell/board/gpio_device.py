"""The kernel's GPIO character device: what is asked of it for outputs, for inputs, for a chip.

Its structures and most of its numbers are written down in `emergency`, which must stand alone;
what only a living daemon asks is here.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from controller.shell.board import emergency

if TYPE_CHECKING:
    from controller.shell.board.emergency import Ioctl

SET_VALUES = emergency.ioctl_number(0x0F, emergency.LINE_VALUES.size, writes=True)


class Kernel:
    """The three calls on a device; tests put a chip of their own in its place.

    Each raises OSError as the kernel refuses.
    """

    def open(self, device: str) -> int:
        """A descriptor of the device; opening a chip changes no line."""
        return os.open(device, os.O_RDWR | os.O_CLOEXEC)

    def ioctl(self, handle: int, number: int, data: bytearray) -> int:
        """Asks; what the kernel answers is in `data` afterwards."""
        return emergency.kernel_ioctl(handle, number, data)

    def close(self, handle: int) -> None:
        """Gives a chip or a line back; a line's level is left to its driver."""
        os.close(handle)


def level_of(handle: int, ioctl: Ioctl) -> bool:
    """The level of a line that is ours (True: high), as the hardware has it.

    Raises:
        OSError: it cannot be read.
    """
    values = bytearray(emergency.LINE_VALUES.pack(0, 1))
    ioctl(handle, emergency.GET_VALUES, values)
    return bool(emergency.LINE_VALUES.unpack(values)[0] & 1)


def set_level(handle: int, *, level: bool, ioctl: Ioctl) -> None:
    """Drives an output that is ours high (True) or low.

    Raises:
        OSError: it cannot be driven.
    """
    ioctl(handle, SET_VALUES, bytearray(emergency.LINE_VALUES.pack(int(level), 1)))
