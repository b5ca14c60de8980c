"""Opening the journal to read, beside the controller that writes it or after its death.

A reader changes nothing, makes no file that could be in the controller's way, and holds the
journal only while it fetches a bounded answer.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.errors import DamagedJournalError, UnusableFileError
from controller.shell.journal.opening import path_beside
from controller.shell.journal.rows import readable
from controller.shell.journal.schema import Standing, is_damage, primary_code, standing_of
from controller.shell.journal.trouble import reason

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

_LOCKED_S = 2.0
_NEWEST_MISSING = (
    "the newest entries lie in {log}, which can only be read by somebody who may write in its "
    "folder: ask once more as the user that the controller runs as, or with sudo"
)
_REFUSALS = {
    Standing.NEWER: "it was written by a newer rootclock (format {format}); read it with that one",
    Standing.FOREIGN: "it is another program's database",
    Standing.NOTHING: "it is empty; nothing was recorded there so far",
}


class OpenToRead(NamedTuple):
    """A journal at one moment. `remark` says what of it cannot be read, if anything."""

    connection: sqlite3.Connection
    remark: str

    def rows(self, query: str, values: Sequence[Any] = ()) -> Iterator[Any]:
        """What SQLite answers, row by row."""
        return self.connection.execute(query, values)


@contextmanager
def open_to_read(path: Path) -> Iterator[OpenToRead]:
    """The journal of that path as it is now, until the block ends: keep it short. Where
    another kind of file has its place, the one beside it that the controller then uses.

    Raises:
        UnusableFileError: there is none, or it cannot be read; says why, and what to do.
    """
    try:
        with ExitStack() as stack:
            yield _enter(stack, path)
    except UnusableFileError:
        raise
    except (sqlite3.Error, DamagedJournalError, OSError) as error:
        why = reason(error)
        if is_damage(error):
            why += "; the controller puts it aside at its next start and begins a new one"
        elif isinstance(error, PermissionError):
            why += "; ask with sudo, or as a member of the controller's group"
        raise UnusableFileError(f"journal {path}: {why}") from None


def _enter(stack: ExitStack, path: Path) -> OpenToRead:
    refusal = "there is none; nothing was recorded there so far"
    for candidate in (path, path_beside(path)):
        if not candidate.exists():
            continue
        journal = _open(candidate)
        stack.callback(journal.connection.close)
        found = standing_of(journal.connection)
        if found.standing is Standing.OURS:
            return journal
        refusal = _REFUSALS[found.standing].format(format=found.format)
    raise UnusableFileError(f"journal {path}: {refusal}")


def _open(path: Path) -> OpenToRead:
    """SQLite reads a log by way of an index, a file that it makes if it is missing. One made
    by the wrong user would keep the controller out, so only its own user makes one."""
    log = path.with_name(path.name + "-wal")
    has_log = log.exists() and log.stat().st_size > 0
    has_index = path.with_name(path.name + "-shm").exists()
    missing = _NEWEST_MISSING.format(log=log) if has_log else ""
    if has_index or (has_log and os.geteuid() in {0, path.stat().st_uid}):
        try:
            return OpenToRead(_connect(path, "mode=ro"), "")
        except sqlite3.OperationalError as error:
            if primary_code(error) not in {sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY}:
                raise
    return OpenToRead(_connect(path, "immutable=1"), missing)


def _connect(path: Path, how: str) -> sqlite3.Connection:
    uri = f"{path.absolute().as_uri()}?{how}"
    connection = sqlite3.connect(uri, uri=True, timeout=_LOCKED_S, isolation_level=None)
    try:
        connection.text_factory = readable
        # One look at the file for all that is asked; it is opened only with the first read.
        connection.execute("BEGIN")
        connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    except BaseException:
        connection.close()
        raise
    return connection
