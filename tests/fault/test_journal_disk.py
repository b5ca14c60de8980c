"""The journal on a disk that refuses: full, read-only, locked, gone. The watering goes on, the
trouble is told, and nothing is lost that memory can hold.
"""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from controller.core.journal_entry import Summary
from controller.shell.journal.backlog import Batch
from controller.shell.journal.journal import Journal
from controller.shell.journal.journal_file import JournalFile
from controller.shell.journal.limits import Limits
from controller.shell.journal.read_log import Query, read_log
from tests.journals import (
    NOON,
    PATIENCE_S,
    QUICK,
    Told,
    entries_of,
    integrity_of,
    is_written,
    opened,
    state_of,
    switching,
)
from tests.readme import ROOT

_NEVER_S = 100.0  # longer than a busy machine takes, shorter than any wait for the disk here


@contextmanager
def _locked(path: Path) -> Iterator[None]:
    """Another program holds the file for itself."""
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        yield
        other.execute("ROLLBACK")


def _is_failing(journal: Journal) -> bool:
    return journal.is_failing


def _numbers(path: Path) -> list[int]:
    return [(entry.at - NOON) // 60_000 for entry in entries_of(path) if entry.why == "plan"]


def test_a_file_that_another_program_locks_is_written_when_it_lets_go(tmp_path: Path) -> None:
    """Told when it begins and when it is over; nothing is lost in between."""
    told = Told()
    journal = opened(tmp_path, told=told)
    journal.note([switching(0)], state="0")
    assert is_written(journal)
    path = tmp_path / "journal.db"
    with _locked(path):
        journal.note([switching(1)], state="1")
        assert told.next().startswith(
            f"journal {path} is not written: another program keeps it locked"
        )
        assert _is_failing(journal)
        assert journal.trouble.startswith("another program keeps it locked")
        for number in range(2, 100):
            journal.note([switching(number)], state=str(number))
        assert not is_written(journal)
        assert state_of(path) == "0"
    assert told.next() == f"journal {path} is written again"
    assert not _is_failing(journal)
    assert journal.close()
    assert _numbers(path) == [*range(100)]
    assert state_of(path) == "99"
    assert told.rest() == []


def test_noting_never_waits_for_the_disk(tmp_path: Path) -> None:
    """With the writer stuck for a thousand seconds, a thousand notes wait for it not once."""
    journal = opened(tmp_path, QUICK._replace(locked_s=10 * _NEVER_S, close_s=0.05))
    journal.note([switching(0)])
    assert is_written(journal)
    with _locked(tmp_path / "journal.db"):
        begun = time.perf_counter()
        for number in range(1, 1_001):
            journal.note([switching(number)], state=str(number))
        noted_s = time.perf_counter() - begun
        assert not journal.close()  # and the end does not wait for ever either
        assert time.perf_counter() - begun < _NEVER_S
    assert noted_s < _NEVER_S
    journal._thread.join(PATIENCE_S)  # it writes what it has, late
    assert _numbers(tmp_path / "journal.db") == [*range(1_001)]


def test_a_start_does_not_wait_for_a_disk_that_does_not_answer(tmp_path: Path) -> None:
    """It goes on without a state, says so, and writes once the disk is back."""
    opened(tmp_path).close()
    path = tmp_path / "journal.db"
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        journal = opened(tmp_path, QUICK._replace(locked_s=1_000.0, start_s=0.05))
        assert journal.last_state() is None
        assert _is_failing(journal)
        assert journal.trouble == "the disk does not answer"
        journal.note([switching(0)], state="0")
    assert is_written(journal)
    assert not _is_failing(journal)
    assert journal.close()
    assert state_of(path) == "0"


def test_what_memory_cannot_hold_is_told_as_lost(tmp_path: Path) -> None:
    """The oldest go, one entry says how many and why, the newest state is there."""
    journal = opened(tmp_path, QUICK._replace(entries_waiting_max=10, summaries_waiting_max=3))
    journal.note([switching(0)], state="0")
    assert is_written(journal)
    path = tmp_path / "journal.db"
    with _locked(path):
        for number in range(1, 51):
            hour = Summary("air", number, number + 1, 1, 0.0, 0.0, 0.0)
            journal.note([switching(number)], state=str(number), summaries=[hour])
        assert not is_written(journal)
    journal.close()
    lines = [line.entry for line in read_log(path, Query()).lines]
    assert _numbers(path) == [0, *range(41, 51)]
    assert [(entry.what, entry.at) for entry in lines[1:4]] == [
        ("on", NOON),
        ("entries lost", NOON + 41 * 60_000),
        ("off", NOON + 41 * 60_000),
    ]
    assert lines[2].detail.startswith(
        "40 entries before this moment could not be written and did not fit into memory: another"
    )
    assert state_of(path) == "50"
    with closing(sqlite3.connect(path)) as connection:
        hours = connection.execute("SELECT starts FROM summaries").fetchall()
    assert hours == [(48,), (49,), (50,)]


def test_a_question_about_lost_entries_is_answered_with_no(tmp_path: Path) -> None:
    """All that was noted is not on the disk, though all that is left is."""
    journal = opened(tmp_path, QUICK._replace(entries_waiting_max=10, retry_s_min=1_000.0))
    with _locked(tmp_path / "journal.db"):
        for number in range(20):
            journal.note([switching(number)])
        assert not is_written(journal)
    assert not is_written(journal)
    assert is_written(journal)  # of what came after, nothing is missing
    journal.close()


@pytest.mark.parametrize("what", ["file", "log", "file and log", "folder"])
def test_a_file_that_is_removed_under_us_is_begun_anew(tmp_path: Path, what: str) -> None:
    """Whatever somebody cleans up: the next entries are in a file that can be found, with the
    state, and it is told."""
    folder = tmp_path / "state"
    path = folder / "journal.db"
    told = Told()
    journal = opened(folder, told=told)
    journal.note_zone("Europe/Zurich")
    journal.note([switching(number) for number in range(10)], state="9")
    assert is_written(journal)
    if what == "folder":
        shutil.rmtree(folder)
    if what in {"file", "file and log"}:
        path.unlink()
    if what in {"log", "file and log"}:
        (folder / "journal.db-wal").unlink()
    journal.note([switching(10)])
    assert is_written(journal)
    assert "was removed or replaced while it was in use" in told.next()
    assert not journal.is_failing
    journal.close()
    assert integrity_of(path) == "ok"
    # Without the log alone, nothing is lost: the writer still had it open.
    assert _numbers(path) == ([*range(11)] if what == "log" else [10])
    assert state_of(path) == "9"
    journal = opened(folder)
    assert journal.last_state() == "9"
    journal.close()


def test_a_file_that_is_replaced_under_us_is_gone_on_with(tmp_path: Path) -> None:
    """Somebody restores a backup: it is the journal from then on."""
    backup = opened(tmp_path / "backup")
    backup.note([switching(100)], state="100")
    backup.close()
    journal = opened(tmp_path)
    journal.note([switching(0)], state="0")
    assert is_written(journal)
    # The log is still that of the file before; applied to this one, it would spoil it.
    (tmp_path / "backup" / "journal.db").replace(tmp_path / "journal.db")
    journal.note([switching(1)], state="1")
    assert is_written(journal)
    journal.close()
    assert _numbers(tmp_path / "journal.db") == [100, 1]
    assert state_of(tmp_path / "journal.db") == "1"
    assert integrity_of(tmp_path / "journal.db") == "ok"


def test_a_reader_that_never_ends_cannot_make_the_log_grow_for_ever(tmp_path: Path) -> None:
    """At its bound the log is not written any more until the reader is gone; that is told."""
    told = Told()
    journal = opened(tmp_path, QUICK._replace(log_bytes_max=200_000), told)
    journal.note([switching(0)])
    assert is_written(journal)
    path = tmp_path / "journal.db"
    with closing(sqlite3.connect(path, isolation_level=None)) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM entries").fetchone()
        numbers = iter(range(1, 10_000))
        for number in numbers:
            journal.note([switching(number, detail="x" * 1_900)], state=str(number))
            if not is_written(journal):
                break
        assert "another program reads it without an end" in told.next()
        assert (tmp_path / "journal.db-wal").stat().st_size < 300_000
    assert is_written(journal)
    assert told.next() == f"journal {path} is written again"
    journal.close()
    assert _numbers(path) == [*range(next(numbers))]


def test_a_full_file_refuses_the_batch_as_a_whole(tmp_path: Path) -> None:
    """SQLite's own bound on pages stands for a disk without space, whose error is the same.

    Source: https://www.sqlite.org/pragma.html#pragma_max_page_count: SQLITE_FULL.
    """
    path = tmp_path / "journal.db"
    file = JournalFile(path, Limits())
    first = Batch([switching(number) for number in range(10)], state="first")
    second = Batch([switching(number, detail="x" * 900) for number in range(10, 99)], state="2")
    file.write(first, begun_because="new", lost_because="")
    (pages,) = file._connection.execute("PRAGMA page_count").fetchone()
    file._connection.execute(f"PRAGMA max_page_count = {pages + 2}")
    with pytest.raises(sqlite3.OperationalError, match="full") as caught:
        file.write(second, begun_because="", lost_because="")
    assert caught.value.sqlite_errorcode == sqlite3.SQLITE_FULL
    assert (_numbers(path), state_of(path)) == ([*range(10)], "first")
    file._connection.execute("PRAGMA max_page_count = 100000")
    file.write(second, begun_because="", lost_because="")
    file.close()
    assert (_numbers(path), state_of(path)) == ([*range(99)], "2")


def _in_own_process(program: str, *words: str) -> str:
    """What a program says that changes its own process for good: its limits, its user."""
    done = subprocess.run(  # noqa: S603 - our own words
        [sys.executable, "-c", program, *words],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


_FILE_SIZE_LIMIT = """
import resource, sys
from pathlib import Path
from tests.journals import Told, is_written, opened, switching
told = Told()
journal = opened(Path(sys.argv[1]), told=told)
journal.note([switching(number) for number in range(10)], state="9")
assert is_written(journal)
_, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), hard))
for number in range(10, 200):
    journal.note([switching(number, detail="x" * 500)], state=str(number))
assert not is_written(journal)
assert journal.is_failing
print(told.next())
resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
assert is_written(journal)
print(told.next())
assert journal.close()
print(*told.rest())
"""


@pytest.mark.parametrize(
    "bytes_max",
    [
        1,  # nothing can be written at all
        40_000,  # the log takes some of it
    ],
)
def test_a_disk_that_reports_errors_is_tried_until_it_works(tmp_path: Path, bytes_max: int) -> None:
    """The kernel refuses writes beyond a size; then it does not. All is there, in order.

    Needs a process of its own, since the limit is the process's.
    """
    said = _in_own_process(_FILE_SIZE_LIMIT, str(tmp_path), str(bytes_max)).splitlines()
    path = tmp_path / "journal.db"
    assert said[0].startswith(f"journal {path} is not written: the disk reports an error")
    assert said[1:] == [f"journal {path} is written again", ""]
    assert _numbers(path) == [*range(200)]
    assert state_of(path) == "199"
    assert integrity_of(path) == "ok"


_READ_ONLY = """
import os, sys, tempfile
from pathlib import Path
from tests.journals import Told, entries_of, is_written, opened, switching
Path("/").as_uri()  # imports what it needs, while this user may read where Python is
if os.geteuid() == 0:  # modes do not bind root
    os.setgroups([]); os.setgid(65534); os.setuid(65534)
with tempfile.TemporaryDirectory() as name:
    folder = Path(name) / "state"
    journal = opened(folder)
    journal.note([switching(0)], state="0")
    assert journal.close()
    path = folder / "journal.db"
    if sys.argv[1] == "file":
        path.chmod(0o444)
    folder.chmod(0o555)
    told = Told()
    journal = opened(folder, told=told)
    print(journal.last_state(), journal.last_instant is not None, journal.is_failing)
    print(told.next().partition("is not written: ")[2])
    journal.note([switching(1)], state="1")
    assert not is_written(journal)
    print(len(entries_of(path)))
    folder.chmod(0o755)
    path.chmod(0o644)
    assert is_written(journal)
    assert journal.close()
    print(len(entries_of(path)))
"""


@pytest.mark.parametrize("what", ["folder", "file"])
def test_a_disk_that_became_read_only_still_tells_the_state(what: str) -> None:
    """What the controller remembered is known at the start, though nothing can be written.

    Needs a process of its own, as a user whom modes bind.
    """
    said = _in_own_process(_READ_ONLY, what).splitlines()
    assert said[0] == "0 True True"
    assert "permission" in said[1] or "read-only" in said[1]
    assert said[2:] == ["1", "2"]


def test_a_journal_of_a_folder_that_cannot_be_made_stops_nothing(tmp_path: Path) -> None:
    """A file where the folder should be; once it is gone, all that was noted is written."""
    (tmp_path / "state").write_text("in the way")
    told = Told()
    journal = opened(tmp_path / "state", told=told)
    journal.note([switching(0)], state="0")
    assert told.next().endswith("is not written: file exists")
    (tmp_path / "state").unlink()
    assert is_written(journal)
    journal.close()
    assert state_of(tmp_path / "state" / "journal.db") == "0"


def test_a_listener_whose_loop_has_ended_stops_nothing(tmp_path: Path) -> None:
    """What asyncio raises for a closed loop ends neither the thread nor the writing."""

    def ended(text: str) -> None:
        raise RuntimeError("Event loop is closed")

    (tmp_path / "journal.db").write_bytes(b"damaged" * 100)
    journal = opened(tmp_path, told=ended)  # type: ignore[arg-type]
    journal.note([switching(0)])
    assert is_written(journal)
    assert journal.close()


def test_the_writer_outlives_what_nobody_thought_of(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A mistake of ours is told like a disk's refusal, and the entries wait."""
    told = Told()
    journal = opened(tmp_path, told=told)
    path = tmp_path / "journal.db"

    def mistaken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a mistake of ours")

    with monkeypatch.context() as patch:
        patch.setattr(JournalFile, "write", mistaken)
        journal.note([switching(0)], state="0")
        assert told.next() == f"journal {path} is not written: a mistake of ours"
        assert not is_written(journal)
    assert is_written(journal)
    journal.close()
    assert _numbers(path) == [0]


def test_refusals_are_spaced_out(tmp_path: Path) -> None:
    """Each pause is twice the one before, up to the longest; a success makes them short again."""
    journal = opened(tmp_path, QUICK._replace(retry_s_min=1.0, retry_s_max=8.0))
    writer = journal._writer
    pauses = []
    with _locked(tmp_path / "journal.db"):
        journal.note([switching(0)])
        for _ in range(6):
            assert not is_written(journal)
            pauses.append(writer._pause_s)
    assert is_written(journal)
    with _locked(tmp_path / "journal.db"):
        journal.note([switching(1)])
        assert not is_written(journal)
        pauses.append(writer._pause_s)
    journal.close()
    assert pauses[0] in {1.0, 2.0}  # the note may have made an attempt of its own
    assert pauses[1:6] == [min(8.0, 2.0**power * pauses[0]) for power in range(1, 6)]
    assert pauses[6] in {1.0, 2.0}
