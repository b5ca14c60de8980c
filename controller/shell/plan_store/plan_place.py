"""The plan file as the store meets it: what it held when last looked at, and writing it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import PlanConflictError, UnusableFileError
from controller.shell.files import write_durably
from controller.shell.plan_file import LOOK_AGAIN, plan_bytes, write_plan_file
from controller.shell.plan_store.revision import sha256_of

if TYPE_CHECKING:
    from pathlib import Path


class PlanPlace:
    """The plan file. `seen` is the SHA-256 of what it held when it was last dealt with; None
    while it cannot be read, or has not been dealt with."""

    def __init__(self, path: Path, *, aside: Path) -> None:
        self.path = path
        self._aside = aside
        self.seen: str | None = None

    def look(self) -> bytes:
        """What the file holds.

        Raises:
            UnusableFileError: it cannot be read.
        """
        return plan_bytes(self.path)

    def put(self, data: bytes, *, is_refused: bool) -> list[str]:
        """Writes a plan to the file; returns what kept it from that, in words. Slow.

        What the grower wrote by hand and the store refused (`is_refused`) is laid aside before
        it is written over.

        Raises:
            PlanConflictError: the file holds an edit that has not been looked at.
        """
        try:
            before = self.look()
        except UnusableFileError:
            before = None
        if before != data:
            if before is not None and sha256_of(before) != self.seen:
                raise PlanConflictError(
                    f"the plan file {self.path} was edited by hand just now: look at the plan "
                    "again in a moment, then send yours (if the controller does not notice the "
                    f"edit: {LOOK_AGAIN})"
                )
            return self._write(data, before if is_refused else None)
        self.seen = sha256_of(data)
        return []

    def _write(self, data: bytes, refused: bytes | None) -> list[str]:
        remarks = []
        try:
            if refused is not None:
                write_durably(self._aside, refused, what="copy of the refused plan")
                remarks.append(f"what was refused of the file before is kept in {self._aside}")
            write_plan_file(self.path, data)
        except UnusableFileError as error:
            self.seen = self._sha256()
            is_there = self.seen == sha256_of(data)
            state = "may not outlive a power cut" if is_there else "is the old one"
            return [*remarks, f"the plan runs, but the file on disk {state}: {error}"]
        self.seen = sha256_of(data)
        return remarks

    def _sha256(self) -> str | None:
        """What is there now: a write that failed at its last step has changed it."""
        try:
            return sha256_of(self.look())
        except UnusableFileError:
            return None
