"""What one transaction of the journal inserts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.journal_entry import Deed, Entry
from controller.core.units import DAY_MS
from controller.shell.journal.backlog import lost_entry
from controller.shell.journal.rows import packed, row_of, storable

if TYPE_CHECKING:
    import sqlite3

    from controller.shell.journal.backlog import Batch


def insert(
    connection: sqlite3.Connection, batch: Batch, *, begun_because: str | None, lost_because: str
) -> None:
    """Inserts a batch, after entries about what is missing before it.

    Raises:
        sqlite3.Error: the disk refuses.
    """
    entries = [*batch.entries]
    if batch.lost and entries:
        entries.insert(0, lost_entry(batch.lost, entries[0], lost_because))
    if begun_because is not None and entries:
        entries.insert(0, _begun_entry(begun_because, entries[0]))
    if entries:
        _insert_entries(connection, entries)
    connection.executemany(
        "INSERT INTO summaries (sensor, starts, ends, count, least, mean, most) "
        "VALUES (?, ?, ?, ?, ?, ?, ?)",
        [(storable(summary.sensor), *summary[1:]) for summary in batch.summaries],
    )
    if batch.state is not None:
        connection.execute("INSERT OR REPLACE INTO state VALUES (1, ?)", (packed(batch.state),))
    if batch.zone is not None:
        zone = storable(batch.zone)
        connection.execute("INSERT OR REPLACE INTO facts VALUES ('zone', ?)", (zone,))


def _insert_entries(connection: sqlite3.Connection, entries: list[Entry]) -> None:
    """The entries, and the first of each run that shows one UTC date."""
    (last,) = connection.execute("SELECT coalesce(max(id), 0) FROM entries").fetchone()
    rows = [row_of(number, entry) for number, entry in enumerate(entries, last + 1)]
    connection.executemany("INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", rows)
    newest = connection.execute("SELECT day FROM days ORDER BY first_id DESC LIMIT 1").fetchone()
    day = None if newest is None else newest[0]
    for number, at, *_ in rows:
        if at // DAY_MS != day:
            day = at // DAY_MS
            connection.execute("INSERT INTO days VALUES (?, ?)", (number, day))


def _begun_entry(because: str, following: Entry) -> Entry:
    return following._replace(
        what=Deed.JOURNAL_BEGUN.value, subject="", why="", detail=because, late_ms=None
    )
