"""The journal as the controller uses it: handed over, written, read back."""

from __future__ import annotations

import asyncio
import os
import sqlite3
import struct
import threading
from contextlib import closing
from pathlib import Path

import pytest

from controller.core.journal_entry import Entry, Summary
from controller.daemon import ports
from controller.shell.journal.backlog import TEXT_LENGTH_MAX
from controller.shell.journal.read_log import read_facts
from tests.journals import NOON, QUICK, Told, entries_of, is_written, opened, state_of, switching


def test_it_is_the_journal_that_the_loop_asks_for(tmp_path: Path) -> None:
    """The port's protocol fits; the type checker holds the signatures."""
    journal = opened(tmp_path)
    port: ports.Journal = journal
    port.note([switching(0)])
    assert not journal.is_failing
    journal.close()


def test_what_was_noted_is_read_back_as_it_was(tmp_path: Path) -> None:
    """Every field of an entry survives, unusual values included."""
    noted = [
        switching(0),
        Entry(NOON + 1, 5, False, "alarm", "float", "", "reservoir low: 3 °C — ‘ü’ 水", None),
        Entry(-5, 0, False, "controller started"),  # a board that believes to be before 1970
    ]
    journal = opened(tmp_path)
    journal.note(noted)
    assert journal.close()
    assert entries_of(tmp_path / "journal.db") == noted


def test_a_new_journal_says_that_it_begins(tmp_path: Path) -> None:
    """Whoever reads from the first line on knows that there was nothing before it."""
    journal = opened(tmp_path)
    journal.note([switching(0)])
    journal.close()
    with closing(sqlite3.connect(tmp_path / "journal.db")) as connection:
        rows = connection.execute("SELECT at, what, detail FROM entries ORDER BY id").fetchall()
    assert rows == [
        (NOON, "journal begun", "There was none in this place."),
        (NOON, "on", "Entry 0."),
    ]


def test_the_next_start_finds_the_state_that_was_noted_last(tmp_path: Path) -> None:
    """Also in a process that opens the journal and notes nothing."""
    journal = opened(tmp_path)
    assert journal.last_state() is None
    journal.note([switching(0)], state='{"first": 1}')
    journal.note([switching(1)], state='{"pump": "on"}')
    journal.note([switching(2)])
    journal.close()
    for _ in range(2):
        journal = opened(tmp_path)
        assert journal.last_state() == '{"pump": "on"}'
        assert journal.close()


@pytest.mark.parametrize(
    "state",
    [
        "",  # nothing at all
        "a\0b",  # C would end here
        "\ud800 half a character",  # no UTF-8
        "x" * 3_000_000,  # far more than 18 loads have
    ],
)
def test_any_state_comes_back_exactly(tmp_path: Path, state: str) -> None:
    """The controller's memory is never changed on its way."""
    journal = opened(tmp_path)
    journal.note([], state=state)
    journal.close()
    journal = opened(tmp_path)
    assert journal.last_state() == state
    journal.close()


def test_the_last_time_that_can_be_believed_is_known(tmp_path: Path) -> None:
    """Entries of an untrusted clock do not count, wherever they stand."""
    journal = opened(tmp_path)
    assert journal.last_instant is None
    journal.note([switching(5), switching(1), switching(90, trusted=False)])
    journal.close()
    journal = opened(tmp_path)
    assert journal.last_instant == NOON + 5 * 60_000
    journal.close()


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("NUL \0 inside", r"NUL \x00 inside"),  # SQL's functions would end at it
        ("half \udc80", r"half \udc80"),  # a file name that is no UTF-8
        ("bell \a, line\nfeed", "bell \a, line\nfeed"),  # UTF-8 has them; who shows it decides
    ],
)
def test_text_that_a_database_cannot_hold_is_written_out(
    tmp_path: Path, given: str, kept: str
) -> None:
    """Unusual text is stored readably, in every field, and never a crash."""
    journal = opened(tmp_path)
    journal.note([Entry(NOON, 1, True, given, given, given, given)])
    journal.note_zone(given)
    assert journal.close()
    assert entries_of(tmp_path / "journal.db") == [Entry(NOON, 1, True, kept, kept, kept, kept)]
    assert read_facts(tmp_path / "journal.db").zone == kept


def test_an_endless_text_is_cut_and_says_so(tmp_path: Path) -> None:
    """No entry can fill the disk."""
    journal = opened(tmp_path)
    journal.note([switching(0, detail="x" * 1_000_000)])
    journal.close()
    (entry,) = entries_of(tmp_path / "journal.db")
    assert entry.detail.startswith("xxx")
    assert entry.detail.endswith("… (1,000,000 characters)")
    assert len(entry.detail) < TEXT_LENGTH_MAX


@pytest.mark.parametrize(
    "entry",
    [
        Entry(2**70, 0, True, "on", "pump"),  # more than SQLite's 64 bits
        Entry(2**62, 0, True, "on", "pump"),  # a year that no calendar shows
        Entry(NOON, -(2**80), True, "on", "pump"),
    ],
)
def test_a_time_that_cannot_be_keeps_nothing_from_being_written(
    tmp_path: Path, entry: Entry
) -> None:
    """It is stored as an untrusted 0; the entry and its neighbours are all there."""
    journal = opened(tmp_path)
    journal.note([switching(1), entry, switching(2)], state="{}")
    assert journal.close()
    strange = Entry(0, 0, False, "on", "pump")
    assert entries_of(tmp_path / "journal.db") == [switching(1), strange, switching(2)]


@pytest.mark.parametrize("late_ms", [float("inf"), float("nan")])
def test_a_lateness_that_is_no_number_is_none(tmp_path: Path, late_ms: float) -> None:
    """JSON and averages have no place for them."""
    journal = opened(tmp_path)
    journal.note([switching(1)._replace(late_ms=late_ms)])
    journal.close()
    assert entries_of(tmp_path / "journal.db") == [switching(1)._replace(late_ms=None)]


def test_summaries_have_a_table_of_their_own(tmp_path: Path) -> None:
    """Hour by hour, by sensor; readable with any SQLite."""
    journal = opened(tmp_path)
    hour = Summary("air", NOON, NOON + 3_600_000, 60, 19.5, 20.25, 21.0)
    journal.note([], summaries=[hour, hour._replace(sensor="wa\0ter")])
    journal.close()
    with closing(sqlite3.connect(tmp_path / "journal.db")) as connection:
        rows = connection.execute(
            "SELECT sensor, starts, ends, count, least, mean, most FROM summaries"
        ).fetchall()
    assert rows == [tuple(hour), tuple(hour._replace(sensor=r"wa\x00ter"))]


def test_the_zone_of_the_plan_taken_last_is_known(tmp_path: Path) -> None:
    """Who reads the journal shows times as the site's clocks do."""
    journal = opened(tmp_path)
    journal.note_zone("Europe/Zurich")
    journal.note_zone("America/Lima")
    journal.close()
    assert read_facts(tmp_path / "journal.db").zone == "America/Lima"


def test_written_means_on_the_disk_for_good(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The log is synchronised before the answer, and so is the folder that names it."""
    synchronised: list[str] = []
    fsync = os.fsync

    def noted_fsync(handle: int) -> None:
        fsync(handle)
        synchronised.append(Path(f"/proc/self/fd/{handle}").readlink().name)

    monkeypatch.setattr(os, "fsync", noted_fsync)
    journal = opened(tmp_path / "state")
    journal.note([switching(0)])
    assert is_written(journal)
    assert synchronised == ["journal.db-wal", "state"]
    journal.close()


def test_nothing_is_synchronised_unasked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cards live longer; a power cut may take what was noted in the last half minute."""

    def refuse(handle: int) -> None:
        raise AssertionError("nobody asked")

    journal = opened(tmp_path)
    monkeypatch.setattr(os, "fsync", refuse)
    journal.note([switching(0)])
    assert journal.close()


def test_many_may_ask_at_once_and_one_may_give_up(tmp_path: Path) -> None:
    """Each gets an answer; who was cancelled disturbs nobody."""

    async def ask() -> list[bool]:
        journal = opened(tmp_path)
        journal.note([switching(0)])
        gone = asyncio.create_task(journal.written())
        await asyncio.sleep(0)
        gone.cancel()
        answers = await asyncio.gather(*(journal.written() for _ in range(20)))
        journal.close()
        return answers

    assert asyncio.run(ask()) == [True] * 20


def test_who_asked_in_a_loop_that_ended_stops_nothing(tmp_path: Path) -> None:
    """The answer has nowhere to go; the journal writes on."""
    journal = opened(tmp_path)
    with closing(sqlite3.connect(tmp_path / "journal.db", isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")

        async def ask_and_leave() -> None:
            question = asyncio.create_task(journal.written())
            await asyncio.sleep(0)
            question.cancel()

        asyncio.run(ask_and_leave())
    journal.note([switching(0)])
    assert is_written(journal)
    journal.close()


def test_closing_writes_what_waits_and_may_be_repeated(tmp_path: Path) -> None:
    """Notes after the end are not taken, and questions are answered."""
    journal = opened(tmp_path)
    journal.note([switching(number) for number in range(500)], state="end")
    assert journal.close()
    assert journal.close()
    journal.note([switching(500)], state="too late")
    assert is_written(journal)
    assert entries_of(tmp_path / "journal.db") == [switching(number) for number in range(500)]
    assert state_of(tmp_path / "journal.db") == "end"
    assert [thread.name for thread in threading.enumerate() if thread.name == "journal"] == []


def test_a_closed_journal_is_one_file(tmp_path: Path) -> None:
    """What was written is copied out of the log, so a copy of the file is a backup."""
    journal = opened(tmp_path)
    journal.note([switching(0)])
    journal.close()
    assert [path.name for path in tmp_path.iterdir()] == ["journal.db"]


def test_its_folder_is_made(tmp_path: Path) -> None:
    """A first start needs no preparation."""
    told = Told()
    journal = opened(tmp_path / "a" / "b", told=told)
    journal.note([switching(0)])
    assert journal.close()
    assert told.rest() == []


def _commits_in(log: Path) -> int:
    """How many transactions a write-ahead log holds.

    Source: https://www.sqlite.org/fileformat2.html, section 4.1: a header of 32 bytes, then
    frames with a header of 24, whose bytes 4 to 8 are not zero at the end of a transaction.
    """
    data = log.read_bytes()
    (page_bytes,) = struct.unpack_from(">I", data, 8)
    frames = range(32, len(data), 24 + page_bytes)
    return sum(struct.unpack_from(">I", data, frame + 4) != (0,) for frame in frames)


def test_hand_overs_that_wait_together_are_one_transaction(tmp_path: Path) -> None:
    """While another program holds the file, hand-overs gather; then they are written at once."""
    journal = opened(tmp_path, QUICK._replace(locked_s=20.0))
    journal.note([switching(0)])
    assert is_written(journal)
    log = tmp_path / "journal.db-wal"
    before = _commits_in(log)
    with closing(sqlite3.connect(tmp_path / "journal.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        journal.note([switching(1)], state="1")  # the writer takes this one, and waits
        for number in range(2, 40):
            journal.note([switching(number)], state=str(number))
        other.execute("ROLLBACK")
        assert is_written(journal)
        assert before + 1 <= _commits_in(log) <= before + 2
    journal.close()
    assert entries_of(tmp_path / "journal.db") == [switching(number) for number in range(40)]
    assert state_of(tmp_path / "journal.db") == "39"
