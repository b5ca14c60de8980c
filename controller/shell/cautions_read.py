"""Whether the cautions have been read on this machine.

A file in the state folder says so, and when. The installer writes the same file. Where the
folder cannot be read or written, the cautions are due again at the next start: telling them
twice does no harm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from controller.core.errors import UnusableFileError
from controller.core.units import Instant, rfc3339
from controller.shell.files import read_bytes, written_whole

if TYPE_CHECKING:
    from pathlib import Path

NAME: Final = "cautions-read"
_WHAT: Final = "the note that the cautions were read,"


def cautions_due(state_folder: Path) -> bool:
    """Whether the cautions are still to be shown."""
    try:
        return not read_bytes(state_folder / NAME, what=_WHAT, size_max=100).strip()
    except UnusableFileError:
        return True


def note_cautions_read(state_folder: Path, now: Instant) -> bool:
    """Notes that they were shown, so that the next start need not; whether it could."""
    try:
        with written_whole(state_folder / NAME, what=_WHAT) as file:
            file.write(f"{rfc3339(now)}\n")
    except UnusableFileError:
        return False
    return True
