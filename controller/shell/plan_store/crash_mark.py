"""A mark on the plan that is being read, so that a plan that ends the controller by being read
does so once, and not at every start for ever."""

from __future__ import annotations

from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

from controller.core.errors import RootclockError, UnusableFileError
from controller.shell.files import read_bytes

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


class CrashMark:
    """A file with the SHA-256 of the plan that is being read just now.

    It guards against ends of the process alone, so it need not reach the disk; and it is an
    extra, so a disk that refuses it is no reason not to start.
    """

    def __init__(self, path: Path) -> None:
        self._path = path

    def is_on(self, sha256: str) -> bool:
        """Whether the controller ended the last time that it read this plan."""
        with suppress(UnusableFileError):
            mark = read_bytes(self._path, what="mark", size_max=100, must_be_ordinary=True)
            return mark.strip() == sha256.encode("ascii")
        return False

    @contextmanager
    def on(self, sha256: str) -> Iterator[None]:
        """Marks a plan while it is read; an error in words takes the mark away, a crash does
        not."""
        with suppress(OSError):
            self._path.parent.mkdir(parents=True, exist_ok=True)
            self._path.write_text(sha256 + "\n", encoding="ascii")
        try:
            yield
        except RootclockError:
            self.clear()
            raise
        self.clear()

    def clear(self) -> None:
        """Takes the mark away."""
        with suppress(OSError):
            self._path.unlink(missing_ok=True)
