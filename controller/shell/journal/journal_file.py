"""The journal's file, open for writing: one transaction a batch, kept within its bounds."""

from __future__ import annotations

import os
import sqlite3
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

from controller.core.errors import BusyError
from controller.shell.journal import facts, schema
from controller.shell.journal.insertion import insert
from controller.shell.journal.rows import readable
from controller.shell.journal.trimming import trim

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from controller.core.units import Instant
    from controller.shell.journal.backlog import Batch
    from controller.shell.journal.limits import Limits

# The log is copied into the file when it has this many pages: larger makes fewer writes.
_LOG_PAGES = 1_000
_LOG_BYTES_KEPT = _LOG_PAGES * (schema.PAGE_BYTES + 24)  # a frame's header has 24 bytes
_LOOKED_THROUGH = 1_000  # entries at a time: some milliseconds


class JournalFile:
    """An open journal. Belongs to the thread that opened it.

    `state` and `zone` are what was noted last and `last_instant` is the latest time that an
    entry of a trusted clock shows, as they were when the file was opened. `is_new` is whether
    there is no entry yet.
    """

    def __init__(self, path: Path, limits: Limits) -> None:
        """Opens or makes the file.

        Raises:
            sqlite3.Error, OSError, DamagedJournalError: it cannot be opened.
        """
        self.path = path
        self.state: str | None = None
        self.last_instant: Instant | None = None
        self.zone: str | None = None
        self.is_new = True
        self._limits = limits
        self._log_path = path.with_name(path.name + "-wal")
        self._log_identity: tuple[int, int] | None = None
        uri = f"{path.absolute().as_uri()}?mode=rwc"
        self._connection = sqlite3.connect(
            uri, uri=True, timeout=limits.locked_s, isolation_level=None
        )
        self._connection.text_factory = readable
        try:
            self._prepare()
            self._identity = _identity(path)
        except BaseException:
            self.close()
            raise

    def _prepare(self) -> None:
        # Debian's SQLite writes zeros over what is deleted, for the sake of secrets.
        self._connection.execute("PRAGMA secure_delete = OFF")
        self._connection.execute("PRAGMA cache_size = -256")  # KiB
        if not schema.is_laid_out(self._connection):
            schema.create(self._connection)
        self._connection.execute("PRAGMA journal_mode = WAL")
        # A power cut may take the last commits, never the file; `sync` is for more.
        self._connection.execute("PRAGMA synchronous = NORMAL")
        self._connection.execute(f"PRAGMA wal_autocheckpoint = {_LOG_PAGES}")
        self._connection.execute(f"PRAGMA journal_size_limit = {_LOG_BYTES_KEPT}")
        self._read()

    def _read(self) -> None:
        """What a start wants to know; the state first, since later reads may find damage."""
        self.state = facts.state(self._connection)
        self.zone = facts.zone(self._connection)
        self.last_instant = facts.last_instant(self._connection)
        self.is_new = facts.is_without_entries(self._connection)

    def is_in_place(self) -> bool:
        """Whether what we write to is still what the path names: files can be removed or
        replaced while they are open.

        Raises:
            OSError: the folder cannot be read.
        """
        try:
            is_same = _identity(self.path) == self._identity
            log = self._log_identity
            return is_same and (log is None or _identity(self._log_path) == log)
        except FileNotFoundError:
            return False

    def write(self, batch: Batch, *, begun_because: str, lost_because: str) -> None:
        """Writes the batch in one transaction, all of it or nothing.

        Raises:
            sqlite3.Error, OSError, BusyError: the disk refuses; nothing of it was written.
        """
        self._keep_log_bounded()
        with self._transaction():
            insert(
                self._connection,
                batch,
                begun_because=begun_because if self.is_new else None,
                lost_because=lost_because,
            )
        self.is_new = self.is_new and not batch.entries
        if self._log_identity is None:
            with suppress(FileNotFoundError):  # a file system without WAL has no log
                self._log_identity = _identity(self._log_path)

    def tidy(self, batch: Batch) -> None:
        """Lets some of the oldest go where the file, now with this batch, is at its bounds.

        Raises:
            sqlite3.Error: the disk refuses.
        """
        times = [entry.at for entry in batch.entries if entry.is_clock_trusted]
        trim(self._connection, self._transaction, self._limits, now=max(times, default=None))

    def look_through(self, after: int) -> int | None:
        """Reads some of the entries that follow on that number; from which to go on, or None
        at the end. What nobody can read is found out here, and not in the hour of need.

        Raises:
            sqlite3.DatabaseError: damage.
        """
        last, count, _ = self._connection.execute(
            "SELECT max(id), count(*), total(length(detail)) FROM "
            "(SELECT id, detail FROM entries WHERE id > ? ORDER BY id LIMIT ?)",
            (after, _LOOKED_THROUGH),
        ).fetchone()
        return int(last) if count == _LOOKED_THROUGH else None

    def sync(self) -> None:
        """Makes all that was written survive a power cut.

        The log is what has to be on the disk: what was copied from there into the file was
        synchronised by SQLite before. No lock is held on the log, so it may be opened here.

        Raises:
            OSError: the disk refuses.
        """
        for path, flags in ((self._log_path, os.O_RDWR), (self.path.parent, os.O_DIRECTORY)):
            with suppress(FileNotFoundError):
                handle = os.open(path, flags | os.O_CLOEXEC)
                try:
                    os.fsync(handle)
                finally:
                    os.close(handle)

    def close(self) -> None:
        """Lets go of the file, the log copied into it if the disk allows. Repeatable."""
        with suppress(sqlite3.Error):  # whatever could not be copied stays in the log
            self._connection.close()

    def abandon(self) -> None:
        """Lets go of a file that is not in its place any more. SQLite leaves its log where it
        is then, and would apply it to the file that has taken the place.

        Raises:
            OSError: the log cannot be removed.
        """
        self.close()
        with suppress(FileNotFoundError):
            if _identity(self.path) != self._identity:
                if _identity(self._log_path) == self._log_identity:
                    self._log_path.unlink()
                self.path.with_name(self.path.name + "-shm").unlink()

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        self._connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._connection.execute("COMMIT")
        except BaseException:
            with suppress(sqlite3.Error):  # it has rolled back by itself, or dies with us
                self._connection.execute("ROLLBACK")
            raise

    def _keep_log_bounded(self) -> None:
        """SQLite copies the log into the file by itself and is silent where it cannot: a full
        disk, or a reader that never ends."""
        try:
            size = self._log_path.stat().st_size
        except FileNotFoundError:
            return
        if size <= self._limits.log_bytes_max:
            return
        checkpoint = self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (is_busy, _, _) = checkpoint.fetchone()
        if is_busy:
            raise BusyError("another program reads it without an end, so its log cannot shrink")


def _identity(path: Path) -> tuple[int, int]:
    status = path.stat()
    return status.st_dev, status.st_ino
