"""Sees to it that one controller alone uses a state folder, and so the relays of its plan."""

from __future__ import annotations

import errno
import fcntl
import os
from contextlib import contextmanager
from typing import TYPE_CHECKING

from controller.core.errors import AnotherControllerError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

# flock(2), and what network file systems answer.
_WITHOUT_LOCKS = (errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP)


@contextmanager
def only_one(folder: Path) -> Iterator[None]:
    """Holds the folder for as long as it is entered; the kernel lets go of it when the process
    dies. Where the folder cannot be written to, or its file system (one over a network) knows
    no locks, nothing is held: watering goes first.

    Raises:
        AnotherControllerError: another process holds it.
    """
    try:
        handle = os.open(folder / "in-use", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o640)
    except OSError:
        yield
        return
    try:
        try:
            _lock(handle)
        except BlockingIOError:
            raise AnotherControllerError(
                f"another controller is running with the state folder {folder}: ask it with "
                "`rootclock status`, end it (`sudo systemctl stop rootclock`, or Ctrl-C in its "
                "terminal), or name another folder with --state"
            ) from None
        yield
    finally:
        os.close(handle)


def _lock(handle: int) -> None:
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno not in _WITHOUT_LOCKS:
            raise
