"""Reading the journal: what is asked for, in order, page by page; beside a living controller and
after its death.
"""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from controller.core.errors import UnusableFileError
from controller.core.journal_entry import Deed, Entry, Kind, whats_of
from controller.core.orders import Event
from controller.core.units import DAY_MS
from controller.shell.journal.read_log import ENTRIES_MAX, Query, read_facts, read_log
from controller.shell.journal.schema import FORMAT
from tests.journals import NOON, entries_of, is_written, opened, switching
from tests.readme import ROOT

MINUTE_MS = 60_000


def _note(at: int, what: str, subject: str = "", detail: str = "") -> Entry:
    return Entry(at, at - NOON, True, what, subject, "", detail)


def _journal_with(folder: Path, entries: list[Entry]) -> Path:
    journal = opened(folder)
    for entry in entries:
        journal.note([entry])
    assert journal.close()
    return folder / "journal.db"


_ALL = [
    _note(NOON, Deed.JOURNAL_BEGUN.value, detail="There was none in this place."),  # by itself
    _note(NOON, Deed.STARTED.value, detail="rootclock 0.1.0"),
    switching(0),
    switching(1, load="lamp"),
    _note(NOON + 2 * MINUTE_MS, "alarm", "float", "reservoir low"),
    switching(3),
    _note(NOON + 4 * MINUTE_MS, "hold began", "pump", "on, for 20 min (by Wren)"),
    _note(NOON + 5 * MINUTE_MS, "plan taken", detail="revision 3"),
    switching(6, load="lamp"),
    _note(NOON + 7 * MINUTE_MS, "alarm acknowledged", "float", "reservoir low"),
]


@pytest.mark.parametrize(
    ("query", "places"),
    [
        (Query(), range(10)),
        (Query(subject="pump"), [2, 5, 6]),
        (Query(subject="nobody"), []),
        (Query(kinds=frozenset({Kind.SWITCHED})), [2, 3, 5, 8]),
        (Query(kinds=frozenset({Kind.ALARMS})), [4, 9]),  # by the index of what is rare
        (Query(kinds=frozenset({Kind.ALARMS, Kind.SWITCHED})), [2, 3, 4, 5, 8, 9]),
        (Query(kinds=frozenset({Kind.HOLDS, Kind.PLAN})), [6, 7]),
        (Query(kinds=frozenset({Kind.STARTS})), [0, 1]),
        (Query(kinds=frozenset({Kind.HOLDS}), subject="lamp"), []),
        (Query(since=NOON + 3 * MINUTE_MS), range(5, 10)),  # half open: its own minute counts
        (Query(until=NOON + 3 * MINUTE_MS), range(5)),  # and here it does not
        (Query(since=NOON, until=NOON), []),
        (Query(since=NOON - DAY_MS, until=NOON + DAY_MS), range(10)),
        (Query(since=NOON + DAY_MS), []),
        (Query(find="RESERVOIR"), [4, 9]),  # large or small
        (Query(find="pump on"), [2]),  # subject and what, as they are shown
        (Query(find="%"), []),  # a text, and no pattern
        (Query(find="wren", subject="pump"), [6]),
        (Query(limit=3), [0, 1, 2]),
        (Query(limit=0), []),
        (Query(limit=3, is_newest_first=True), [9, 8, 7]),
        (Query(subject="pump", limit=1, is_newest_first=True), [6]),
        (Query(limit=2, after=4), [4, 5]),  # numbers count from 1
        (Query(limit=2, after=4, is_newest_first=True), [2, 1]),
        (Query(after=10), []),
        (Query(after=1, is_newest_first=True), []),
    ],
)
def test_a_query_finds_what_it_asks_for(tmp_path: Path, query: Query, places: list[int]) -> None:
    """Whole answers, in the order that was asked for."""
    path = _journal_with(tmp_path, _ALL[1:])
    assert [line.entry for line in read_log(path, query).lines] == [_ALL[place] for place in places]


def test_pages_join_without_gap_or_double(tmp_path: Path) -> None:
    """The number of a page's last line asks for the next, in both directions."""
    path = _journal_with(tmp_path, _ALL[1:])
    for is_newest_first in (False, True):
        query = Query(limit=3, is_newest_first=is_newest_first)
        found = []
        while lines := read_log(path, query).lines:
            assert len(lines) <= 3
            found += [line.entry for line in lines]
            query = query._replace(after=lines[-1].number)
        assert found == (_ALL[::-1] if is_newest_first else _ALL)


def test_an_answer_is_bounded_whatever_is_asked(tmp_path: Path) -> None:
    """A year in one answer would take the page's memory."""
    journal = opened(tmp_path)
    for part in range(3):
        journal.note([switching(part * 5_000 + number) for number in range(5_000)])
        assert is_written(journal)
    journal.close()
    page = read_log(tmp_path / "journal.db", Query(limit=10**9))
    assert len(page.lines) == ENTRIES_MAX
    assert len(entries_of(tmp_path / "journal.db")) == 15_000


def test_every_deed_and_event_is_of_a_kind() -> None:
    """A new one must be given its kind, or nobody who filters would ever see it."""
    everything = [*Deed, *Event]
    assert sorted(what for kind in Kind for what in whats_of(kind)) == sorted(
        what.value for what in everything
    )


def test_the_rare_are_found_by_their_index(tmp_path: Path) -> None:
    """Alarms of a year are found without reading its switchings."""
    path = _journal_with(tmp_path, _ALL[1:])
    plans: list[str] = []
    with closing(sqlite3.connect(path)) as connection:
        for where in ("what IN (?) AND what NOT IN ('on', 'off')", "what IN (?)"):
            steps = connection.execute(
                f"EXPLAIN QUERY PLAN SELECT * FROM entries WHERE {where}",  # noqa: S608
                ("alarm",),
            ).fetchall()
            plans.append(" ".join(str(step[-1]) for step in steps))
    assert "USING INDEX rare" in plans[0]
    assert "USING INDEX" not in plans[1]


def test_times_are_found_where_the_clock_was_set_back(tmp_path: Path) -> None:
    """Days that were shown twice, or out of order, are all found, and no other is."""
    days = [0, 1, 2, 3, -9_000, -8_999, 1, 2, 4]  # a boot in the past, then a step to day 1
    entries = [switching(number, at=NOON + day * DAY_MS) for number, day in enumerate(days)]
    path = _journal_with(tmp_path, entries)
    for first in range(-1, 6):
        for last in range(first, 6):
            query = Query(since=NOON + first * DAY_MS, until=NOON + last * DAY_MS)
            found = entries_of(path, query)
            assert found == [
                entry
                for entry, day in zip(entries, days, strict=True)
                if first <= day + (entry.tick / DAY_MS) < last
            ]


def test_what_the_journal_is_about_is_known_beforehand(tmp_path: Path) -> None:
    """Names for a slip of the finger, and no zone where none was noted."""
    facts = read_facts(_journal_with(tmp_path, _ALL[1:]))
    assert facts == (None, ("float", "lamp", "pump"), "")


# Beside the controller, and after its death


def test_a_living_journal_is_read_and_not_disturbed(tmp_path: Path) -> None:
    """Readers see what is written so far, and the writer sees no reader."""
    journal = opened(tmp_path)
    path = tmp_path / "journal.db"
    for number in range(50):
        journal.note([switching(number)])
        assert is_written(journal)
        assert entries_of(path) == [switching(earlier) for earlier in range(number + 1)]
    assert not journal.is_failing
    assert journal.close()


def test_reading_leaves_no_file_behind(tmp_path: Path) -> None:
    """A closed journal stays one file, so that its user alone makes what belongs to it."""
    path = _journal_with(tmp_path, _ALL[1:])
    before = {one.name: one.stat().st_mtime_ns for one in tmp_path.iterdir()}
    read_log(path, Query())
    assert {one.name: one.stat().st_mtime_ns for one in tmp_path.iterdir()} == before


def _left_by_the_dead(folder: Path) -> Path:
    """A journal whose newest entries are in its log still, as a killed controller leaves it."""
    journal = opened(folder / "living")
    journal.note(_ALL[1:])
    assert is_written(journal)
    shutil.copytree(folder / "living", folder / "dead")
    journal.close()
    return folder / "dead" / "journal.db"


@pytest.mark.parametrize("has_index", [True, False])
def test_a_dead_controllers_journal_is_read_whole(tmp_path: Path, has_index: bool) -> None:
    """With its log and, after a power cut, without the index of the log."""
    path = _left_by_the_dead(tmp_path)
    if not has_index:
        path.with_name("journal.db-shm").unlink()
    page = read_log(path, Query())
    assert [line.entry for line in page.lines] == _ALL
    assert page.remark == ""


_AS_NOBODY = """
import os, shutil, sys, tempfile
from pathlib import Path
from controller.shell.journal.read_log import Query, read_log
Path("/").as_uri()  # imports what it needs, while this user may read where Python is
given = Path(sys.argv[1])
with tempfile.TemporaryDirectory() as name:
    folder = Path(name)
    folder.chmod(0o755)
    for file in given.iterdir():
        shutil.copy(file, folder)
        (folder / file.name).chmod(0o644)
    child = os.fork()
    if child == 0:
        if os.geteuid() == 0:  # modes do not bind root
            os.setgroups([]); os.setgid(65534); os.setuid(65534)
        else:
            folder.chmod(0o555)
        page = read_log(folder / "journal.db", Query())
        print(len(page.lines), page.remark)
        sys.stdout.flush()
        os._exit(0)
    os.waitpid(child, 0)
    folder.chmod(0o755)
    print(*sorted(file.name for file in folder.iterdir()))
"""


@pytest.mark.parametrize(
    ("left", "says"),
    [
        # A controller that lives, or was killed: all is there, by the index that it left.
        (("journal.db", "journal.db-wal", "journal.db-shm"), "10 "),
        # After an orderly end.
        (("journal.db",), "10 "),
    ],
)
def test_whoever_may_only_read_reads_all_of_it(
    tmp_path: Path, left: tuple[str, ...], says: str
) -> None:
    """A folder that the reader may not write in is no obstacle, and stays as it is.

    Needs a process of its own, as a user whom modes bind.
    """
    path = _left_by_the_dead(tmp_path)
    if len(left) == 1:
        with closing(sqlite3.connect(path)) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    for file in path.parent.iterdir():
        if file.name not in left:
            file.unlink()
    assert _as_nobody(path.parent).splitlines() == [says, " ".join(sorted(left))]


def test_what_cannot_be_read_is_told(tmp_path: Path) -> None:
    """After a power cut, a log without an index is read only by who may make one: the others
    are told that the newest entries are missing, and how to see them."""
    path = _left_by_the_dead(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    journal = opened(path.parent)
    journal.note([switching(7)])
    assert is_written(journal)
    shutil.copytree(path.parent, tmp_path / "cut")
    journal.close()
    (tmp_path / "cut" / "journal.db-shm").unlink()
    told, files = _as_nobody(tmp_path / "cut").splitlines()
    assert told.startswith("10 the newest entries lie in ")
    assert told.endswith("as the user that the controller runs as, or with sudo")
    assert files == "journal.db journal.db-wal"


def _as_nobody(folder: Path) -> str:
    done = subprocess.run(  # noqa: S603 - our own words
        [sys.executable, "-c", _AS_NOBODY, str(folder)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


# What is no journal


def test_a_journal_without_entries_has_none(tmp_path: Path) -> None:
    """The controller has started and nothing has happened yet."""
    opened(tmp_path).close()
    assert read_log(tmp_path / "journal.db", Query()).lines == ()
    assert read_facts(tmp_path / "journal.db") == (None, (), "")


def test_a_place_without_a_journal_is_told(tmp_path: Path) -> None:
    """It is no fault: nothing was recorded there."""
    with pytest.raises(UnusableFileError, match="there is none; nothing was recorded there"):
        read_log(tmp_path / "journal.db", Query())
    (tmp_path / "journal.db").touch()
    with pytest.raises(UnusableFileError, match="it is empty"):
        read_log(tmp_path / "journal.db", Query())


@pytest.mark.parametrize("content", [b"no database at all" * 100, b"\0" * 3_000])
def test_a_damaged_file_is_told(tmp_path: Path, content: bytes) -> None:
    """With what will become of it."""
    (tmp_path / "journal.db").write_bytes(content)
    with pytest.raises(UnusableFileError, match=r"damaged.*the controller puts it aside"):
        read_log(tmp_path / "journal.db", Query())


def test_damage_in_the_middle_is_told(tmp_path: Path) -> None:
    """Also if it shows only when the entries are fetched."""
    path = _journal_with(tmp_path, [switching(number) for number in range(300)])
    data = bytearray(path.read_bytes())
    for start in range(len(data) // 2, len(data)):
        data[start] ^= 0x5A
    path.write_bytes(data)
    with pytest.raises(UnusableFileError, match="damaged"):
        entries_of(path)


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE entries SET at = 'yesterday'",
        "UPDATE entries SET at = 9223372036854775807",  # no calendar shows it
        "UPDATE entries SET detail = x'00ff'",
        "UPDATE entries SET late_ms = 'soon'",
    ],
)
def test_entries_that_were_never_stored_like_that_are_damage(tmp_path: Path, change: str) -> None:
    """Nothing that stands in a file makes a reader crash."""
    path = _journal_with(tmp_path, _ALL[1:])
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(change)
        connection.commit()
    with pytest.raises(UnusableFileError, match="entry 1 is damaged"):
        read_log(path, Query())


def test_bytes_that_are_no_text_are_shown_as_such(tmp_path: Path) -> None:
    """A damaged letter is no reason to show nothing."""
    path = _journal_with(tmp_path, _ALL[1:])
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE entries SET detail = CAST(x'41ff42' AS TEXT) WHERE id = 3")
        connection.commit()
    assert read_log(path, Query()).lines[2].entry.detail == "A�B"


def test_the_journal_of_a_newer_rootclock_is_refused_kindly(tmp_path: Path) -> None:
    """Unless the controller has begun one beside it, which is read then."""
    path = _journal_with(tmp_path, _ALL[1:])
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA user_version = {FORMAT + 1}")
    with pytest.raises(UnusableFileError, match=r"newer rootclock \(format 2\); read it with that"):
        read_log(path, Query())
    journal = opened(tmp_path)
    journal.note([switching(0)])
    journal.close()
    assert entries_of(path) == [switching(0)]


def test_another_programs_database_is_refused(tmp_path: Path) -> None:
    """Nobody looks into other people's files."""
    path = tmp_path / "journal.db"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE entries (id INTEGER)")
    with pytest.raises(UnusableFileError, match="another program's database"):
        read_log(path, Query())


def test_a_journal_that_is_held_by_somebody_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reader waits for a while, and then says why it shows nothing."""
    monkeypatch.setattr("controller.shell.journal.reading._LOCKED_S", 0.01)
    path = _journal_with(tmp_path, _ALL[1:])
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        other.execute("DELETE FROM entries")
        path.with_name("journal.db-shm").touch()  # so that the lock is asked for
        with pytest.raises(UnusableFileError, match="another program keeps it locked"):
            read_log(path, Query())
        other.execute("ROLLBACK")
