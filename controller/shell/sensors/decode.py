"""A number out of the bytes that a kernel file holds.

Two shapes are known: a plain decimal number, which is what sysfs, IIO and hwmon write, and
the two lines of a 1-Wire thermometer's `w1_slave`. No message repeats what a file holds:
a plan may name any file, and reasons are shown to whoever sees the page.
"""

from __future__ import annotations

import math
import re

from controller.core.errors import NoReadingError

# A number of the kernel's has at most some 20 characters, `w1_slave` has 75.
SIZE_MAX = 256

_NUMBER = re.compile(rb"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?\n?")
# Linux, drivers/w1/slaves/w1_therm.c, w1_slave_show: the scratchpad's nine bytes and whether
# their CRC is right; then the bytes again and the temperature in thousandths of a °C.
_ONE_WIRE = re.compile(
    rb"(?P<bytes>(?:[0-9a-f]{2} ){9}): crc=[0-9a-f]{2} (?P<crc>YES|NO)\n"
    rb"(?:[0-9a-f]{2} ){9}t=(?P<value>-?[0-9]{1,7})\n?"
)
# Nine zeros have the right CRC, zero, and come from a data wire that lies on ground; a
# working thermometer has 0xFF in byte 5 (DS18B20 data sheet, memory map).
_GROUNDED = b"00 " * 9


def decode(data: bytes) -> float:
    """The number that a file's bytes say, as it stands there; finite.

    Raises:
        NoReadingError: they say none; tells what is there instead.
    """
    if not data:
        raise NoReadingError("its file is empty")
    if len(data) > SIZE_MAX:
        raise NoReadingError(f"its file holds more than {SIZE_MAX} bytes, which no number needs")
    one_wire = _ONE_WIRE.fullmatch(data)
    if one_wire is not None:
        return _one_wire_value(one_wire)
    if _NUMBER.fullmatch(data) is None:
        raise NoReadingError("its file holds something that is no number")
    value = float(data)
    if not math.isfinite(value):
        raise NoReadingError("its file holds a number too large to be one")
    return value


def _one_wire_value(match: re.Match[bytes]) -> float:
    if match["crc"] != b"YES":
        raise NoReadingError("the thermometer's answer came garbled over the 1-Wire bus (crc NO)")
    if match["bytes"] == _GROUNDED:
        raise NoReadingError("the 1-Wire bus answers nothing but zeros: its data wire is on ground")
    return float(match["value"])
