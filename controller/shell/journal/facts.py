"""What a journal knows once, and not by the entry."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.shell.journal.rows import unpacked

if TYPE_CHECKING:
    import sqlite3

    from controller.core.units import Instant

_RECENT = 1_000  # entries looked through for the last time that can be believed


def state(connection: sqlite3.Connection) -> str | None:
    """The controller's state that was noted last.

    Raises:
        sqlite3.Error, DamagedJournalError: it cannot be read.
    """
    row = connection.execute("SELECT packed FROM state").fetchone()
    return None if row is None else unpacked(row[0])


def zone(connection: sqlite3.Connection) -> str | None:
    """The time zone of the plan that was taken last, by its name.

    Raises:
        sqlite3.Error: it cannot be read.
    """
    row = connection.execute("SELECT fact FROM facts WHERE name = 'zone'").fetchone()
    return None if row is None else str(row[0])


def last_instant(connection: sqlite3.Connection) -> Instant | None:
    """The latest time that one of the newest entries shows by a trusted clock.

    Raises:
        sqlite3.Error: it cannot be read.
    """
    row = connection.execute(
        "SELECT max(at) FROM (SELECT at, is_clock_trusted FROM entries ORDER BY id DESC LIMIT ?) "
        "WHERE is_clock_trusted",
        (_RECENT,),
    ).fetchone()
    return None if row[0] is None else int(row[0])


def is_without_entries(connection: sqlite3.Connection) -> bool:
    """Whether nothing was noted yet.

    Raises:
        sqlite3.Error: it cannot be read.
    """
    return connection.execute("SELECT 1 FROM entries LIMIT 1").fetchone() is None
