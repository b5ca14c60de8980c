"""All revisions, on the disk where it lets us, and in memory until it does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import BadRequestError, UnusableFileError
from controller.shell.plan_store.revision import How, Revision, kept, sha256_of
from controller.shell.plan_store.shelf import Shelf

if TYPE_CHECKING:
    from pathlib import Path

    from controller.core.units import Instant

# Revisions that wait in memory for a disk that refuses them; a plan has at most 256 kB.
UNSAVED_MAX = 20


class Archive:
    """The revisions by number; `load` comes first, and once."""

    def __init__(self, folder: Path) -> None:
        self._shelf = Shelf(folder)
        self._revisions: list[Revision] = []
        self._unsaved: dict[int, bytes] = {}
        self._is_index_old = False
        # Why the folder could not be read: what lies there must not be written over.
        self._cut_off: str | None = None

    @property
    def revisions(self) -> tuple[Revision, ...]:
        """Every revision that is known, in order."""
        return tuple(self._revisions)

    @property
    def is_safe(self) -> bool:
        """Whether all of it is on the disk."""
        return not self._is_index_old and self._cut_off is None

    def load(self) -> list[str]:
        """Finds what lies in the folder; returns what is amiss with it, in words."""
        try:
            found = self._shelf.found()
        except UnusableFileError as error:
            self._cut_off = str(error)
            return [f"{error}; earlier plans cannot be seen, and new ones are kept in memory only"]
        self._revisions = found.revisions
        self._is_index_old = bool(found.remarks) or any(
            revision.how is How.UNKNOWN for revision in found.revisions
        )
        return found.remarks

    def add(
        self,
        data: bytes,
        *,
        taken: Instant,
        how: How,
        note: str,
        file_sha256: str | None,
    ) -> Revision:
        """A new revision, in memory; `keep` brings it onto the disk."""
        number = self._revisions[-1].number + 1 if self._revisions else 1
        revision = Revision(number, taken, how, note, sha256_of(data), file_sha256)
        self._revisions.append(revision)
        self._unsaved[number] = data
        self._is_index_old = True
        if len(self._unsaved) > UNSAVED_MAX:
            oldest = min(self._unsaved)
            del self._unsaved[oldest]
            self._revisions = [one for one in self._revisions if one.number != oldest]
        return revision

    def keep(self, in_force: int) -> None:
        """Writes what is not on the disk yet, and throws out what has grown old. Slow.

        Ended at any moment, it leaves every revision as it was or whole.

        Raises:
            UnusableFileError: the disk refuses; what it refused is kept in memory, for the next
                time.
        """
        if not self._is_index_old:
            return
        if self._cut_off is not None:
            raise UnusableFileError(self._cut_off)
        for number in sorted(self._unsaved):
            self._shelf.put(number, self._unsaved[number])
            del self._unsaved[number]
        keep = kept(self._revisions, in_force)
        numbers = {revision.number for revision in keep}
        for revision in self._revisions:
            if revision.number not in numbers:
                self._shelf.remove(revision.number)
        self._shelf.put_index(keep)
        self._revisions = keep
        self._is_index_old = False

    def find(self, number: int) -> Revision:
        """The revision of that number.

        Raises:
            BadRequestError: there is none.
        """
        for revision in self._revisions:
            if revision.number == number:
                return revision
        first, last = self._revisions[0].number, self._revisions[-1].number
        raise BadRequestError(
            f"there is no plan revision {number}: those from {first} to {last} are kept, save for "
            "old ones of days that had several"
        )

    def bytes_of(self, revision: Revision) -> bytes:
        """The plan of a revision.

        Raises:
            UnusableFileError: it cannot be read, or is damaged.
        """
        unsaved = self._unsaved.get(revision.number)
        return self._shelf.bytes_of(revision) if unsaved is None else unsaved

    def text_of(self, revision: Revision) -> str:
        """The plan of a revision as text.

        Raises:
            UnusableFileError: as for `bytes_of`.
        """
        try:
            return self.bytes_of(revision).decode("utf-8")
        except UnicodeDecodeError:  # a file that nobody wrote down, in the place of a revision
            raise UnusableFileError(
                f"plan revision {revision.number}: is damaged: it is no text"
            ) from None
