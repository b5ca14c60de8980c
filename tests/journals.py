"""What tests of the journal share: entries, quick limits, and looks at the file by other means."""

from __future__ import annotations

import asyncio
import queue
import sqlite3
import zlib
from contextlib import closing
from pathlib import Path

from controller.core.journal_entry import Entry
from controller.core.units import parse_rfc3339
from controller.shell.journal.journal import Journal, open_journal
from controller.shell.journal.limits import Limits
from controller.shell.journal.read_log import ENTRIES_MAX, Query, read_log

NOON = parse_rfc3339("2026-07-01T12:00:00Z")
QUICK = Limits(retry_s_min=0.01, retry_s_max=0.02, locked_s=0.05, close_s=10.0, start_s=10.0)
# Longer than any test takes; a test that waits as long has failed.
PATIENCE_S = 20.0


class Told:
    """Takes what `on_trouble` is told, for the test's thread."""

    def __init__(self) -> None:
        self._told: queue.SimpleQueue[str] = queue.SimpleQueue()

    def __call__(self, text: str) -> None:
        """Takes a sentence."""
        self._told.put(text)

    def next(self) -> str:
        """Waits for the next sentence."""
        return self._told.get(timeout=PATIENCE_S)

    def rest(self) -> list[str]:
        """What was told by now."""
        told = []
        while not self._told.empty():
            told.append(self._told.get())
        return told


def switching(
    number: int, *, at: int = NOON, load: str = "pump", trusted: bool = True, detail: str = ""
) -> Entry:
    """The switching of that number: on where it is even; a minute after the one before."""
    return Entry(
        at=at + number * 60_000,
        tick=number * 60_000,
        is_clock_trusted=trusted,
        what="on" if number % 2 == 0 else "off",
        subject=load,
        why="plan",
        detail=detail or f"Entry {number}.",
        late_ms=0.5,
    )


def opened(folder: Path, limits: Limits = QUICK, told: Told | None = None) -> Journal:
    """The journal of a folder, open."""
    return open_journal(folder / "journal.db", on_trouble=told or Told(), limits=limits)


def is_written(journal: Journal) -> bool:
    """Waits until the journal says whether all is written."""
    return asyncio.run(asyncio.wait_for(journal.written(), PATIENCE_S))


def entries_of(path: Path, query: Query | None = None) -> list[Entry]:
    """Every entry, or those of a query, page by page; without the one that the file begins
    with."""
    query = (query or Query())._replace(limit=ENTRIES_MAX)
    found: list[Entry] = []
    while lines := read_log(path, query).lines:
        found += [line.entry for line in lines]
        query = query._replace(after=lines[-1].number)
    return [entry for entry in found if entry.what != "journal begun"]


def state_of(path: Path) -> str | None:
    """The state in a file, read without the project's code but for the packing."""
    with closing(sqlite3.connect(path)) as connection:
        row = connection.execute("SELECT packed FROM state").fetchone()
    return None if row is None else zlib.decompress(row[0]).decode()


def integrity_of(path: Path) -> str:
    """What SQLite itself says of a file: `ok` if it is sound."""
    with closing(sqlite3.connect(path)) as connection:
        (verdict,) = connection.execute("PRAGMA integrity_check").fetchone()
    return str(verdict)
