"""A revision: one plan that was in force, since when, and how it came to be."""

from __future__ import annotations

import hashlib
from enum import Enum
from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import DAY_MS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.units import Instant

NOTE_LENGTH_MAX = 200
# Kept for good measure: a grower who tries things out makes a dozen a day.
_LAST_MAX = 200
_DAYS_MAX = 60


class How(Enum):
    """How a plan came into force; completes "Revision 12, …"."""

    FIRST_START = "at the first start"
    CHANGED_AT_START = "changed while the controller was down"
    HAND_EDIT = "edited by hand"
    PROPOSAL = "proposed"
    RESTORED = "restored"
    UNKNOWN = "of unknown origin"


class Revision(NamedTuple):
    """One plan that was in force from `taken` until the next one was.

    `sha256` is that of its bytes, in hex; `file_sha256` that of the bytes which the plan file
    held when it came into force: another one where the plan file could not be written, None
    where there was no plan file. `taken` is what the controller's clock showed, which may have
    been wrong; the numbers tell the order.
    """

    number: int
    taken: Instant
    how: How
    note: str
    sha256: str
    file_sha256: str | None


def sha256_of(data: bytes) -> str:
    """The SHA-256 of a plan's bytes, in hex."""
    return hashlib.sha256(data).hexdigest()


def kept(revisions: Sequence[Revision], in_force: int) -> list[Revision]:
    """The revisions worth keeping, in order: the last 200, the last one of each of the last 60
    days (UTC) that have any, and the one in force.

    Days are counted by what is there and not from now, so that a wrong clock throws nothing
    away.
    """
    keep = {in_force, *(revision.number for revision in revisions[-_LAST_MAX:])}
    days: set[int] = set()
    for revision in reversed(revisions):
        day = revision.taken // DAY_MS
        if day not in days and len(days) < _DAYS_MAX:
            days.add(day)
            keep.add(revision.number)
    return [revision for revision in revisions if revision.number in keep]
