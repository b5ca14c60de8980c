"""A board's disk while the board is off: files put on it and taken from it, from outside."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.board.host import HostError, call
from tests.board.installed_disk import copy_disk

if TYPE_CHECKING:
    from pathlib import Path


def put(disk: Path, path: str, text: str, *, owner: int, mode: int = 0o640) -> None:
    """Writes a file on a disk that was left in order.

    Raises:
        HostError: it is not there afterwards.
    """
    source = disk.with_suffix(".put")
    source.write_text(text, encoding="utf-8")
    commands = [
        f"rm {path}",
        f"write {source} {path}",
        f"sif {path} uid {owner}",
        f"sif {path} gid {owner}",
        f"sif {path} mode {0o100000 | mode:#o}",
    ]
    call("debugfs", "-w", "-f", "-", disk, text_in="\n".join(commands) + "\n")
    source.unlink()
    if call("debugfs", "-R", f"cat {path}", disk) != text:
        raise HostError(f"{path} could not be written on {disk}")


def owner_of(disk: Path, path: str) -> int:
    """The number of the user that a file or folder belongs to."""
    words = call("debugfs", "-R", f"stat {path}", disk).split()
    return int(words[words.index("User:") + 1])


class MendedCopy:
    """What a computer finds on the disk after power came back: a copy, its log replayed.

    The disk itself is not touched, so that the board's own kernel does the same afterwards.
    """

    def __init__(self, disk: Path) -> None:
        self._image = copy_disk(disk, disk.with_suffix(".mended"))
        # 1: the log was replayed or something else was mended, as after any loss of power.
        self.report = call("e2fsck", "-p", self._image, codes=(0, 1))

    def folder(self, path: str, to: Path) -> Path:
        """A folder of the disk with all below it, copied into `to`."""
        to.mkdir()
        said = call("debugfs", "-R", f"rdump {path} {to}", self._image)
        copied = to / path.rstrip("/").rpartition("/")[2]
        if not copied.is_dir():
            raise HostError(f"{path} is not on the disk: {said}")
        return copied

    def close(self) -> None:
        """Throws the copy away."""
        self._image.unlink()
