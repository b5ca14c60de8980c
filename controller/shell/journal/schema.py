"""How the journal's file is laid out, and what a file is before it is opened.

The choices are measured (tests/bench/journal.py): small pages, one table that grows at its
end, no index that every switching would write to, and the state packed. With one load a
quarter of the bytes is written that SQLite's defaults and an index on time would write, with
18 loads a tenth.
"""

from __future__ import annotations

import os
import re
import sqlite3
from contextlib import closing
from enum import Enum
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import DamagedJournalError

if TYPE_CHECKING:
    from pathlib import Path

FORMAT = 1  # PRAGMA user_version: one more with each change that older programs cannot read
APPLICATION_ID = 0x726F6F74  # "root", so that `file` and we know the file for ours
PAGE_BYTES = 1024

# `days` has a row for each run of entries whose clock showed one UTC date, by the first of
# them. It serves for an index on time: one page a day instead of one a switching, and right
# even where the clock was set back.
_TABLES = """
CREATE TABLE entries (
    id INTEGER PRIMARY KEY,
    at INTEGER NOT NULL,
    tick INTEGER NOT NULL,
    is_clock_trusted INTEGER NOT NULL,
    what TEXT NOT NULL,
    subject TEXT NOT NULL,
    why TEXT NOT NULL,
    detail TEXT NOT NULL,
    late_ms REAL
);
CREATE INDEX rare ON entries (what) WHERE what NOT IN ('on', 'off');
CREATE TABLE days (first_id INTEGER PRIMARY KEY, day INTEGER NOT NULL);
CREATE TABLE summaries (
    starts INTEGER NOT NULL,
    ends INTEGER NOT NULL,
    sensor TEXT NOT NULL,
    count INTEGER NOT NULL,
    least REAL,
    mean REAL,
    most REAL
);
CREATE TABLE state (only_row INTEGER PRIMARY KEY CHECK (only_row = 1), packed BLOB NOT NULL);
CREATE TABLE facts (name TEXT PRIMARY KEY, fact TEXT NOT NULL) WITHOUT ROWID;
"""
_NAMES = frozenset(re.findall(r"CREATE TABLE (\w+)", _TABLES))


class Standing(Enum):
    """What a path holds."""

    NOTHING = "nothing"
    OURS = "a journal"
    NEWER = "a journal of a newer format"
    FOREIGN = "another program's database"
    DAMAGED = "no database, or a damaged one"


class Found(NamedTuple):
    """What a path holds, and the format of a journal."""

    standing: Standing
    format: int = 0


def look_at(path: Path) -> Found:
    """What a path holds, without changing, locking or mending it.

    SQLite reads it, and not we: closing a file of our own would drop the locks that this
    process's other connections hold on it (https://www.sqlite.org/howtocorrupt.html, 2.2).

    Raises:
        OSError, sqlite3.OperationalError: it cannot be read.
    """
    if not os.path.lexists(path) or path.stat().st_size == 0:
        return Found(Standing.NOTHING)
    uri = f"{path.absolute().as_uri()}?immutable=1"
    with closing(sqlite3.connect(uri, uri=True, isolation_level=None)) as connection:
        try:
            return standing_of(connection)
        except (sqlite3.DatabaseError, DamagedJournalError) as error:
            if not is_damage(error):
                raise
            return Found(Standing.DAMAGED)


def standing_of(connection: sqlite3.Connection) -> Found:
    """What an open file is.

    Raises:
        sqlite3.Error, DamagedJournalError: it cannot be read, or is damaged.
    """
    (application,) = connection.execute("PRAGMA application_id").fetchone()
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    if not is_laid_out(connection):
        return Found(Standing.NOTHING)
    if application != APPLICATION_ID:
        return Found(Standing.FOREIGN)
    if version > FORMAT:
        return Found(Standing.NEWER, version)
    rows = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'").fetchall()
    missing = _NAMES.difference(name for (name,) in rows)
    if missing:
        raise DamagedJournalError(f"it lacks {', '.join(sorted(missing))}")
    return Found(Standing.OURS, version)


def is_damage(error: Exception) -> bool:
    """Whether the file's content is what is wrong, and trying again will not help."""
    return isinstance(error, DamagedJournalError) or primary_code(error) in {
        sqlite3.SQLITE_CORRUPT,
        sqlite3.SQLITE_NOTADB,
    }


def primary_code(error: Exception) -> int:
    """SQLite's primary result code of an error; 0 where it has none."""
    # The low byte, https://www.sqlite.org/rescode.html
    return int(getattr(error, "sqlite_errorcode", 0)) & 0xFF


def create(connection: sqlite3.Connection) -> None:
    """Lays out an empty file, all of it or nothing.

    Raises:
        sqlite3.Error: the disk refuses.
    """
    connection.execute(f"PRAGMA page_size = {PAGE_BYTES}")
    connection.execute("PRAGMA auto_vacuum = INCREMENTAL")
    connection.execute("BEGIN IMMEDIATE")
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {FORMAT}")
    for statement in _TABLES.split(";"):
        connection.execute(statement)
    connection.execute("COMMIT")


def is_laid_out(connection: sqlite3.Connection) -> bool:
    """Whether the tables are there: not in a file whose creation was cut short.

    Raises:
        sqlite3.Error: it cannot be read.
    """
    (count,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    return bool(count)
