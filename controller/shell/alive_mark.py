"""A small file in the runtime folder that says when the controller was last alive.

The journal knows the last decision, which may be half an hour old when the process is
killed; with this the next start knows for how long the pump had been running by then. The
runtime folder is memory, so the mark costs no card anything, and a power cut takes it away.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from pathlib import Path

    from controller.core.observation import Tick
    from controller.core.units import Instant

_SIZE_MAX = 200
_CLOCKS_LENGTH = 44  # two numbers of 64 bits, and room between them


class LastAlive(NamedTuple):
    """When the controller was last alive, by its two clocks."""

    now: Instant
    tick: Tick


class AliveMark:
    """The file; a folder that cannot be written is as good as none."""

    def __init__(self, path: Path, *, kernel_boot: str) -> None:
        self._path = path
        self._kernel_boot = kernel_boot
        self._handle: int | None = None
        self._is_kept = True

    def last(self) -> LastAlive | None:
        """What the mark says, if it is of this boot of the kernel."""
        try:
            with self._path.open("rb") as file:
                words = file.read(_SIZE_MAX).decode("ascii").split()
            boot, now, tick = words
            return LastAlive(int(now), int(tick)) if boot == self._kernel_boot else None
        except (OSError, ValueError):  # no mark, half a mark, or another file
            return None

    def set(self, now: Instant, tick: Tick) -> None:
        """The controller is alive."""
        if not self._is_kept:
            return
        # One write over the last one, of its length: a kill finds the old mark or the new one.
        mark = f"{self._kernel_boot} {f'{now} {tick}':{_CLOCKS_LENGTH}}\n"
        try:
            if self._handle is None:
                self._handle = os.open(self._path, os.O_WRONLY | os.O_CREAT | os.O_CLOEXEC, 0o640)
                os.ftruncate(self._handle, len(mark))
            os.pwrite(self._handle, mark.encode("ascii"), 0)
        except OSError:
            self._is_kept = False  # the journal's last entry has to do

    def close(self) -> None:
        """Lets go of the file, and leaves the mark; repeatable."""
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None
