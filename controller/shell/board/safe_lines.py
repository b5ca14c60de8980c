"""The note that the daemon leaves for the way out after its death: lines and safe levels."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import UnusableFileError
from controller.shell.board import emergency
from controller.shell.files import written_whole

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from controller.shell.board.chips import Chip


class SafeLine(NamedTuple):
    """One line, the level (True: high) of its load's state while stopped, and the load."""

    line: int
    level: bool
    load: str


def write_safe_lines(path: Path, chip: Chip, lines: Iterable[SafeLine]) -> str:
    """Writes the note whole or not at all; empty, or why it could not be written.

    Belongs into the runtime directory: it is about this boot's chip, and a disk could be slow.
    """
    entries = [f"line {line} {'high' if level else 'low'} {load!a}" for line, level, load in lines]
    note = [
        emergency.FIRST_LINE,
        f"chip {chip.device}",
        f"label {chip.label!a}",
        *entries,
        emergency.LAST_LINE,
    ]
    try:
        with written_whole(path, what="safe lines") as file:
            file.write("".join(f"{entry}\n" for entry in note))
    except UnusableFileError as error:
        return str(error)
    return ""
