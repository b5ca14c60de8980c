"""How often loads have switched over the journal's life: also what is too old to be kept.

Entries that go are counted in the transaction in which they go, so no death between the two
loses or doubles any.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from controller.core.errors import DamagedJournalError
from controller.core.wear import Tally, tally_from_json

if TYPE_CHECKING:
    import sqlite3

_NAME = "worn"


def keep_worn(connection: sqlite3.Connection, last: int) -> None:
    """Counts the entries up to this one, which are about to go.

    Raises:
        sqlite3.Error, DamagedJournalError: the disk refuses, or the file is damaged.
    """
    tally = kept_worn(connection)
    count_on(connection, tally, last=last)
    connection.execute(
        "INSERT OR REPLACE INTO facts VALUES (?, ?)", (_NAME, json.dumps(tally.as_json()))
    )


def kept_worn(connection: sqlite3.Connection) -> Tally:
    """What was counted of entries that went.

    Raises:
        sqlite3.Error, DamagedJournalError: it cannot be read.
    """
    row = connection.execute("SELECT fact FROM facts WHERE name = ?", (_NAME,)).fetchone()
    if row is None:
        return Tally()
    try:
        return tally_from_json(json.loads(row[0]))
    except (KeyError, TypeError, ValueError) as error:
        raise DamagedJournalError(f"its count of switchings is damaged: {error}") from None


def goes_on(connection: sqlite3.Connection, tally: Tally, kept: Tally) -> bool:
    """Whether this is the journal that was counted, and nothing uncounted has gone from it."""
    if tally.up_to <= kept.up_to:
        return tally.up_to == kept.up_to and tally.last_at == kept.last_at
    row = connection.execute("SELECT at FROM entries WHERE id = ?", (tally.up_to,)).fetchone()
    return row is not None and row[0] == tally.last_at


def count_on(
    connection: sqlite3.Connection, tally: Tally, *, last: int = 2**63 - 1, limit: int = -1
) -> None:
    """Counts the entries that follow, up to and with `last`, at most `limit` (-1: all).

    Raises:
        sqlite3.Error, DamagedJournalError: they cannot be read.
    """
    rows = connection.execute(
        "SELECT id, what, subject, at, is_clock_trusted FROM entries WHERE id > ? AND id <= ? "
        "ORDER BY id LIMIT ?",
        (tally.up_to, last, limit),
    )
    for number, what, subject, at, is_trusted in rows:
        if type(at) is not int or type(subject) is not str:
            raise DamagedJournalError(f"its entry {number} is damaged")
        tally.count(number, what=what, subject=subject, at=at, is_trusted=bool(is_trusted))
