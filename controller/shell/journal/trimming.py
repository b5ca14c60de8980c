"""Keeping the journal within its age and its megabytes, a little at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.units import DAY_MS
from controller.shell.journal.schema import PAGE_BYTES
from controller.shell.journal.worn import keep_worn

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable
    from contextlib import AbstractContextManager

    from controller.core.units import Instant
    from controller.shell.journal.limits import Limits

# Entries go in lumps that free whole pages; one by one, each switching would also write to
# the page of the oldest.
_LUMP = 64
_LUMPS_MAX = 32  # in one go: some milliseconds, in which new entries wait
_VACUUM_PAGES = 256
_LOOKED_AT = 1_000  # for one whose clock was trusted
_SUMMARIES = 1_000


def trim(
    connection: sqlite3.Connection,
    transaction: Callable[[], AbstractContextManager[None]],
    limits: Limits,
    *,
    now: Instant | None,
) -> None:
    """Lets some of the oldest go where the file is at its bounds; little by little, so that
    a clock that shows a far year for an hour cannot empty the journal.

    Args:
        connection: the open file.
        transaction: one on it.
        limits: the bounds.
        now: the time by a trusted clock, if there is one; without it nothing is too old.

    Raises:
        sqlite3.Error: the disk refuses.
    """
    if now is not None:
        last = _last_of_lump(connection)
        if last is not None and _is_older(connection, last, now - limits.age_days_max * DAY_MS):
            with transaction():
                _forget_up_to(connection, last)
    for _ in range(_LUMPS_MAX):
        if _bytes_used(connection) <= limits.bytes_max:
            break
        with transaction():
            _forget_oldest(connection)
    if _pragma(connection, "page_count") * PAGE_BYTES > limits.bytes_max:
        # It gives back a page a step, and `execute` would take the first step alone.
        connection.executescript(f"PRAGMA incremental_vacuum({_VACUUM_PAGES})")


def _last_of_lump(connection: sqlite3.Connection) -> int | None:
    """The last of the oldest entries that can go together; None where there are not so many.

    One always stays, since a table that is empty would give its numbers out again, and a number
    is what pages of the journal and counts of switchings go by.
    """
    rows = connection.execute(
        "SELECT id FROM entries ORDER BY id LIMIT 2 OFFSET ?", (_LUMP - 1,)
    ).fetchall()
    return int(rows[0][0]) if len(rows) == 2 else None


def _is_older(connection: sqlite3.Connection, number: int, cutoff: Instant) -> bool:
    """Whether an entry is from before that time: it is if it, or one after it that has a time
    to be believed, says so."""
    row = connection.execute(
        "SELECT at FROM (SELECT id, at, is_clock_trusted FROM entries WHERE id >= ? ORDER BY id "
        "LIMIT ?) WHERE is_clock_trusted ORDER BY id LIMIT 1",
        (number, _LOOKED_AT),
    ).fetchone()
    return row is not None and row[0] < cutoff


def _forget_oldest(connection: sqlite3.Connection) -> None:
    last = _last_of_lump(connection)
    if last is not None:
        _forget_up_to(connection, last)
    else:
        connection.execute(
            "DELETE FROM summaries WHERE rowid IN "
            "(SELECT rowid FROM summaries ORDER BY rowid LIMIT ?)",
            (_SUMMARIES,),
        )


def _forget_up_to(connection: sqlite3.Connection, last: int) -> None:
    """Forgets the entries up to this one, but for how often loads switched, and what was summed
    up before it."""
    keep_worn(connection, last)
    (at,) = connection.execute("SELECT at FROM entries WHERE id = ?", (last,)).fetchone()
    connection.execute("DELETE FROM entries WHERE id <= ?", (last,))
    connection.execute(
        "DELETE FROM days WHERE first_id < "
        "(SELECT max(first_id) FROM days WHERE first_id <= ? + 1)",
        (last,),
    )
    connection.execute(
        "DELETE FROM summaries WHERE rowid <= (SELECT max(rowid) FROM "
        "(SELECT rowid, ends FROM summaries ORDER BY rowid LIMIT ?) WHERE ends <= ?)",
        (_SUMMARIES, at),
    )


def _bytes_used(connection: sqlite3.Connection) -> int:
    return (_pragma(connection, "page_count") - _pragma(connection, "freelist_count")) * PAGE_BYTES


def _pragma(connection: sqlite3.Connection, name: str) -> int:
    (value,) = connection.execute(f"PRAGMA {name}").fetchone()
    return int(value)
