"""Sees to it that one controller alone uses a state folder, and so the relays of its plan."""

from __future__ import annotations

import fcntl
import os
from contextlib import contextmanager
from typing import TYPE_CHECKING

from controller.core.errors import AnotherControllerError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@contextmanager
def only_one(folder: Path) -> Iterator[None]:
    """Holds the folder for as long as it is entered; the kernel lets go of it when the process
    dies. Where the folder cannot be written to, nothing is held: watering goes first.

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
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise AnotherControllerError(
                f"another controller is running with the state folder {folder}: ask it with "
                "`rootclock status`, end it (`sudo systemctl stop rootclock`, or Ctrl-C in its "
                "terminal), or name another folder with --state"
            ) from None
        yield
    finally:
        os.close(handle)
