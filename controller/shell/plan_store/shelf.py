"""The folder in which revisions lie: a file each, named after its number, and the index."""

from __future__ import annotations

import os
import re
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import UnusableFileError
from controller.core.plan_text.encoding import SIZE_MAX
from controller.shell.files import read_bytes, reason_of, write_durably
from controller.shell.plan_store.index import index_text, read_index
from controller.shell.plan_store.revision import How, Revision, sha256_of

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

_NAME = re.compile(r"(\d{6}|[1-9]\d{6,8})\.toml", re.ASCII)
_INDEX_BYTES_MAX = 1024 * 1024  # 260 lines take about 100 kB


class Found(NamedTuple):
    """The revisions that lie in the folder, in order, and what is amiss with it."""

    revisions: list[Revision]
    remarks: list[str]


class Shelf:
    """The folder of revisions; nothing of it is held in memory."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._index = folder / "index.jsonl"

    def _file(self, number: int) -> Path:
        return self._folder / f"{number:06}.toml"

    def found(self) -> Found:
        """What lies there.

        What the index tells of is not opened. A file that it does not tell of (a damaged index,
        or a process that ended between the two) is a revision as well.

        Raises:
            UnusableFileError: the folder cannot be read.
        """
        numbers = self._numbers()
        told, remarks = self._indexed(is_needed=bool(numbers))
        revisions = []
        for number in sorted(numbers):
            revision = told.get(number) or self._unindexed(number, remarks)
            if revision is not None:
                revisions.append(revision)
        return Found(revisions, remarks)

    def _numbers(self) -> set[int]:
        try:
            names = os.listdir(self._folder)  # noqa: PTH208 - names are all that is needed
        except FileNotFoundError:
            return set()
        except (OSError, ValueError) as error:
            raise UnusableFileError(f"plan revisions {self._folder}: {reason_of(error)}") from None
        matches = (_NAME.fullmatch(name) for name in names)
        return {int(match[1]) for match in matches if match is not None}

    def _indexed(self, *, is_needed: bool) -> tuple[dict[int, Revision], list[str]]:
        if not is_needed:
            return {}, []
        lost = "when and how the plans came is lost for those, the plans are not"
        try:
            data = read_bytes(
                self._index,
                what="index of plan revisions",
                size_max=_INDEX_BYTES_MAX,
                must_be_ordinary=True,
            )
        except UnusableFileError as error:
            return {}, [f"{error}; {lost}"]
        revisions, damaged = read_index(data[:_INDEX_BYTES_MAX])
        if not damaged:
            return revisions, []
        lines = "1 line" if damaged == 1 else f"{damaged} lines"
        return revisions, [f"index of plan revisions {self._index}: {lines} damaged; {lost}"]

    def _unindexed(self, number: int, remarks: list[str]) -> Revision | None:
        path = self._file(number)
        try:
            data = self._bytes(number)
            taken = int(path.stat().st_mtime * 1000)
        except (UnusableFileError, OSError) as error:
            remarks.append(f"plan revision {number} is left out: {error}")
            return None
        sha256 = sha256_of(data)
        return Revision(number, taken, How.UNKNOWN, "", sha256, sha256)

    def _bytes(self, number: int) -> bytes:
        return read_bytes(
            self._file(number), what="plan revision", size_max=SIZE_MAX, must_be_ordinary=True
        )

    def bytes_of(self, revision: Revision) -> bytes:
        """The bytes of a revision.

        Raises:
            UnusableFileError: they cannot be read, or are not what they were: the card has
                damaged the file, or somebody has changed it.
        """
        data = self._bytes(revision.number)
        if sha256_of(data) != revision.sha256:
            raise UnusableFileError(
                f"plan revision {self._file(revision.number)}: is damaged: its bytes are not "
                "those that were written; look after the memory card"
            )
        return data

    def put(self, number: int, data: bytes) -> None:
        """Lays a revision's bytes into the folder, for good; repeatable.

        Raises:
            UnusableFileError: it cannot be written, or another one of that number is there
                (another folder was mounted in this one's place since it was read).
        """
        path = self._file(number)
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            is_there = path.exists()
        except OSError as error:
            raise UnusableFileError(f"plan revisions {self._folder}: {reason_of(error)}") from None
        if not is_there:
            write_durably(path, data, what="plan revision")
        elif self._bytes(number) != data:
            raise UnusableFileError(
                f"plan revision {path}: is another one, which is not written over; was the "
                "folder exchanged while the controller ran? Restart the controller"
            )

    def put_index(self, revisions: Iterable[Revision]) -> None:
        """Writes the index anew, for good.

        Raises:
            UnusableFileError: it cannot be written.
        """
        write_durably(self._index, index_text(revisions), what="index of plan revisions")

    def remove(self, number: int) -> None:
        """Removes a revision's file.

        Raises:
            UnusableFileError: it cannot be removed.
        """
        try:
            self._file(number).unlink(missing_ok=True)
        except OSError as error:
            raise UnusableFileError(
                f"plan revision {self._file(number)}: {reason_of(error)}"
            ) from None
