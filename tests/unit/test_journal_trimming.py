"""The journal's bounds on the disk: age and megabytes, the oldest go, a little at a time."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from itertools import pairwise
from pathlib import Path

import pytest

from controller.core.journal_entry import Entry, Summary
from controller.core.units import DAY_MS, HOUR_MS
from controller.shell.journal.backlog import Batch
from controller.shell.journal.journal_file import JournalFile
from controller.shell.journal.limits import Limits
from tests.journals import NOON, entries_of, integrity_of, switching

_LUMP = 64


def _opened(folder: Path, limits: Limits) -> JournalFile:
    return JournalFile(folder / "journal.db", limits)


def write(file: JournalFile, entries: list[Entry], summaries: Sequence[Summary] = ()) -> None:
    """A transaction and what follows on it, as the writer's thread does it."""
    batch = Batch(entries, summaries)
    file.write(batch, begun_because="There was none in this place.", lost_because="")
    file.tidy(batch)


def _note_days(file: JournalFile, days: range, *, trusted: bool = True) -> None:
    """Ten switchings a day, written day by day."""
    for day in days:
        at = NOON + day * DAY_MS
        write(file, [switching(number, at=at, trusted=trusted) for number in range(10)])


def _ages(path: Path) -> list[int]:
    """The days, counted from the first, that still have entries."""
    return sorted({(entry.at - NOON) // DAY_MS for entry in entries_of(path)})


def test_what_is_older_than_the_bound_goes_in_lumps(tmp_path: Path) -> None:
    """All that is kept is young enough, but for less than a lump."""
    file = _opened(tmp_path, Limits(age_days_max=20))
    _note_days(file, range(60))
    file.close()
    path = tmp_path / "journal.db"
    kept = entries_of(path)
    newest = kept[-1].at
    too_old = [entry for entry in kept if entry.at < newest - 20 * DAY_MS]
    assert len(too_old) < _LUMP
    assert _ages(path)[-21:] == [*range(39, 60)]
    assert integrity_of(path) == "ok"


def test_the_days_of_what_went_go_too(tmp_path: Path) -> None:
    """Each day that is kept has a row, and there is none more."""
    file = _opened(tmp_path, Limits(age_days_max=20))
    _note_days(file, range(60))
    file.close()
    path = tmp_path / "journal.db"
    with closing(sqlite3.connect(path)) as connection:
        rows = connection.execute("SELECT day - ? FROM days", (NOON // DAY_MS,)).fetchall()
        (first, oldest) = connection.execute(
            "SELECT (SELECT min(first_id) FROM days), (SELECT min(id) FROM entries)"
        ).fetchone()
    assert [day for (day,) in rows] == _ages(path)
    assert first <= oldest


def test_a_clock_that_cannot_be_believed_makes_nothing_old(tmp_path: Path) -> None:
    """A board that starts in the far future without a trusted clock loses no history."""
    file = _opened(tmp_path, Limits(age_days_max=20))
    _note_days(file, range(15))
    _note_days(file, range(10_000, 10_030), trusted=False)
    file.close()
    assert len(entries_of(tmp_path / "journal.db")) == 450


def test_a_trusted_clock_that_is_wrong_takes_little_at_a_time(tmp_path: Path) -> None:
    """One lump a transaction: an hour in a far year cannot empty the journal."""
    file = _opened(tmp_path, Limits(age_days_max=20))
    _note_days(file, range(100, 119))
    assert len(entries_of(tmp_path / "journal.db")) == 190
    _note_days(file, range(30_000, 30_001))
    file.close()
    assert len(entries_of(tmp_path / "journal.db")) >= 190 + 10 - _LUMP


def test_untrusted_entries_are_as_old_as_what_followed_them(tmp_path: Path) -> None:
    """A first boot in 1970 is kept for as long as the day on which it happened."""
    file = _opened(tmp_path, Limits(age_days_max=20))
    first = [Entry(number, number, False, "on", "pump") for number in range(100)]
    write(file, first)
    _note_days(file, range(20))
    path = tmp_path / "journal.db"
    assert entries_of(path)[:100] == first
    _note_days(file, range(20, 60))
    assert entries_of(path)[0] not in first
    file.close()


def test_the_file_stays_within_its_megabytes(tmp_path: Path) -> None:
    """File and log together, however much is noted; the newest are there, in order."""
    limits = Limits(bytes_max=300_000, log_bytes_max=100_000)
    file = _opened(tmp_path, limits)
    sizes = []
    for part in range(60):
        write(file, [switching(part * 50 + number, detail="x" * 300) for number in range(50)])
        sizes.append(sum(file.stat().st_size for file in tmp_path.glob("journal.db*")))
    log_and_index = 1_100_000 + 70_000  # a log of 1,000 pages, its index
    assert max(sizes) < limits.bytes_max + log_and_index
    file.close()
    path = tmp_path / "journal.db"
    assert path.stat().st_size <= limits.bytes_max
    numbers = [(entry.at - NOON) // 60_000 for entry in entries_of(path)]
    assert numbers == [*range(numbers[0], 3_000)]
    assert len(numbers) > 500
    assert integrity_of(path) == "ok"


def test_a_bound_that_was_lowered_is_reached_step_by_step(tmp_path: Path) -> None:
    """No step holds the writer for long, and space goes back to the disk."""
    file = _opened(tmp_path, Limits())
    write(file, [switching(number, detail="x" * 300) for number in range(9_000)])
    file.close()
    path = tmp_path / "journal.db"
    large = path.stat().st_size
    assert large > 3_000_000
    file = _opened(tmp_path, Limits(bytes_max=1_000_000))
    counts = []
    for number in range(20):
        write(file, [switching(number)])
        with closing(sqlite3.connect(path)) as connection:
            counts += connection.execute("SELECT count(*) FROM entries").fetchone()
    file.close()
    steps = [before - after for before, after in pairwise(counts)]
    assert max(steps) == 32 * _LUMP - 1  # and one entry was written
    assert path.stat().st_size <= 1_000_000
    assert integrity_of(path) == "ok"


@pytest.mark.parametrize("bound", ["age", "bytes"])
def test_summaries_go_with_the_entries_of_their_time(tmp_path: Path, bound: str) -> None:
    """They are under the same bounds; what is left begins no earlier than a lump before."""
    limits = Limits(**({"age_days_max": 20} if bound == "age" else {"bytes_max": 120_000}))
    file = _opened(tmp_path, limits)
    for day in range(80):
        start = NOON + day * DAY_MS
        hours = [
            Summary("air", start + hour * HOUR_MS, start + (hour + 1) * HOUR_MS, 60, 1.0, 2.0, 3.0)
            for hour in range(24)
        ]
        write(file, [switching(number, at=start) for number in range(10)], hours)
    file.close()
    path = tmp_path / "journal.db"
    with closing(sqlite3.connect(path)) as connection:
        (oldest, newest) = connection.execute(
            "SELECT min(starts), max(starts) FROM summaries"
        ).fetchone()
    assert newest == NOON + 79 * DAY_MS + 23 * HOUR_MS
    assert oldest >= entries_of(path)[0].at - DAY_MS
    if bound == "bytes":
        assert path.stat().st_size <= 120_000


def test_summaries_alone_are_bounded_too(tmp_path: Path) -> None:
    """A plan that only measures must not fill the disk either."""
    file = _opened(tmp_path, Limits(bytes_max=100_000))
    for part in range(40):
        start = NOON + part * DAY_MS
        write(file, [], [Summary("air", start, start + 1, 1, 1.0, 1.0, 1.0)] * 200)
    file.close()
    path = tmp_path / "journal.db"
    assert path.stat().st_size <= 100_000
    with closing(sqlite3.connect(path)) as connection:
        newest = connection.execute("SELECT max(starts) FROM summaries").fetchone()
    assert newest == (NOON + 39 * DAY_MS,)


def test_numbers_are_never_given_twice(tmp_path: Path) -> None:
    """Not even by a file whose bound is smaller than its entries, where all of them are whole
    lumps: an emptied table would begin at 1 again."""
    file = _opened(tmp_path, Limits(bytes_max=40_000))
    # The one that the journal begins with makes it two lumps.
    write(file, [switching(number, detail="x" * 1_500) for number in range(2 * _LUMP - 1)])
    write(file, [switching(0)])
    file.close()
    with closing(sqlite3.connect(tmp_path / "journal.db")) as connection:
        (last,) = connection.execute("SELECT max(id) FROM entries").fetchone()
    assert last == 2 * _LUMP + 1
