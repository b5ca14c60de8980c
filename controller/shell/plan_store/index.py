"""The index of revisions as a text: one line a revision, each with a check of its own.

A line is the CRC-32 of the rest in hex, a space, and a JSON object; instants are in it as the
whole milliseconds that they are, since a clock that is far out has no RFC 3339. A damaged line
is no line: what it said is lost, and no other line with it.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING
from zlib import crc32

from controller.shell.plan_store.revision import How, Revision

if TYPE_CHECKING:
    from collections.abc import Iterable


def index_text(revisions: Iterable[Revision]) -> bytes:
    """The index of these revisions."""
    return b"".join(_line(revision) for revision in revisions)


def _line(revision: Revision) -> bytes:
    fields = {
        "number": revision.number,
        "taken": revision.taken,
        "how": revision.how.value,
        "note": revision.note,
        "sha256": revision.sha256,
        "file_sha256": revision.file_sha256,
    }
    body = json.dumps(fields).encode("ascii")
    return b"%08x %s\n" % (crc32(body), body)


def read_index(data: bytes) -> tuple[dict[int, Revision], int]:
    """The revisions of an index by their numbers, and how many of its lines are damaged."""
    found: dict[int, Revision] = {}
    damaged = 0
    for line in data.splitlines():
        revision = _revision(line)
        if revision is None:
            damaged += 1
        else:
            found[revision.number] = revision
    return found, damaged


def _revision(line: bytes) -> Revision | None:
    check, _, body = line.partition(b" ")
    if check != b"%08x" % crc32(body):
        return None
    try:
        fields = json.loads(body)
        return Revision(
            number=int(fields["number"]),
            taken=int(fields["taken"]),
            how=How(fields["how"]),
            note=str(fields["note"]),
            sha256=str(fields["sha256"]),
            file_sha256=None if fields["file_sha256"] is None else str(fields["file_sha256"]),
        )
    except (ValueError, KeyError, TypeError):  # of another version of ours
        return None
