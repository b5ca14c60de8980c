"""One look into a kernel file: a bounded number of bytes of it, as a number."""

from __future__ import annotations

import os
import stat
from typing import TYPE_CHECKING

from controller.core.errors import NoReadingError
from controller.shell.sensors.decode import SIZE_MAX, decode

if TYPE_CHECKING:
    from collections.abc import Iterator


def read_number(path: str) -> float:
    """The number that a file holds now. May take as long as the file's driver likes.

    Raises:
        NoReadingError: the file cannot be read, or holds no number; says why.
    """
    try:
        return decode(_read_bounded(path))
    except OSError as error:
        raise NoReadingError(f"its file {path}: {_reason(error)}") from error
    except ValueError as error:
        if isinstance(error, NoReadingError):
            raise
        raise NoReadingError(f"its file's path has a character that no path has: {error}") from None


def _read_bounded(path: str) -> bytes:
    # Opening a device can act: a watchdog starts, a modem dials. So one looks before.
    mode = os.stat(path).st_mode  # noqa: PTH116 - a path of the plan, as it is
    if not (stat.S_ISREG(mode) or stat.S_ISFIFO(mode)):
        raise NoReadingError(f"its file {path} is a {_kind(mode)}, not a file that holds a value")
    handle = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    try:
        return b"".join(_pieces(handle))
    finally:
        os.close(handle)


def _pieces(handle: int) -> Iterator[bytes]:
    """What a handle gives until its end, or one byte more than any number needs."""
    rest = SIZE_MAX + 1
    while rest > 0:
        piece = os.read(handle, rest)
        if not piece:
            return
        rest -= len(piece)
        yield piece


def _kind(mode: int) -> str:
    if stat.S_ISDIR(mode):
        return "directory"
    return "socket" if stat.S_ISSOCK(mode) else "device"


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
