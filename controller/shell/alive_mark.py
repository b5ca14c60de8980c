"""A small file in the runtime folder that says when the controller was last alive.

The journal knows the last decision, which may be half an hour old when the process is
killed; with this the next start knows for how long the pump had been running by then. The
runtime folder is memory, so the mark costs no card anything, and a power cut takes it away.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from pathlib import Path

    from controller.core.observation import Tick
    from controller.core.units import Instant

_SIZE_MAX = 200


class LastAlive(NamedTuple):
    """When the controller was last alive, by its two clocks."""

    now: Instant
    tick: Tick


class AliveMark:
    """The file; a folder that cannot be written is as good as none."""

    def __init__(self, path: Path, *, kernel_boot: str) -> None:
        self._path = path
        self._kernel_boot = kernel_boot
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
        try:
            self._path.write_text(f"{self._kernel_boot} {now} {tick}\n", encoding="ascii")
        except OSError:
            self._is_kept = False  # the journal's last entry has to do
