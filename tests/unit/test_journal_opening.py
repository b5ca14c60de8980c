"""Opening the journal, whatever lies in its place: a start is never stopped by it."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from controller.shell.journal.opening import put_aside
from controller.shell.journal.schema import APPLICATION_ID, FORMAT, Standing, look_at
from tests.journals import Told, entries_of, integrity_of, is_written, opened, state_of, switching

_PAGE = 1024


def _filled(folder: Path, count: int = 2_000) -> Path:
    """A journal with so many entries, closed: one file."""
    journal = opened(folder)
    journal.note([switching(number) for number in range(count)], state='{"is": "kept"}')
    assert journal.close()
    return folder / "journal.db"


def _root_page(path: Path, table: str) -> int:
    with closing(sqlite3.connect(path)) as connection:
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_schema WHERE name = ?", (table,)
        ).fetchone()
    return int(page)


def _spoil(path: Path, page: int, pages: int = 1) -> None:
    with path.open("r+b") as file:
        file.seek((page - 1) * _PAGE)
        file.write(b"\xa5" * _PAGE * pages)


def _set_pragma(path: Path, name: str, value: int) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA {name} = {value}")


def _carries_on(folder: Path, told: Told) -> str | None:
    """Opens, notes, closes; the state that was found. Whatever was there, this works."""
    journal = opened(folder, told=told)
    state = journal.last_state()
    journal.note([switching(1)], state='{"is": "new"}')
    assert is_written(journal)
    assert not journal.is_failing
    assert journal.close()
    return state


@pytest.mark.parametrize(
    "content",
    [
        b"\0" * 5_000,  # a card that lost its content
        b"not a database, " * 1_000,
        b"SQLite format 3\0",  # the beginning of one
        b"SQLite format 3\0" + b"\xff" * 5_000,
    ],
)
def test_a_file_that_is_no_database_is_put_aside(tmp_path: Path, content: bytes) -> None:
    """It is kept under another name, untouched; a new journal says why it begins."""
    (tmp_path / "journal.db").write_bytes(content)
    told = Told()
    assert _carries_on(tmp_path, told) is None
    (aside,) = tmp_path.glob("journal-damaged-*.db")
    assert aside.read_bytes() == content
    (sentence,) = told.rest()
    assert f"was damaged and is kept as {aside.name}" in sentence
    assert "what the controller remembered is lost with it" in sentence
    assert entries_of(tmp_path / "journal.db") == [switching(1)]
    with closing(sqlite3.connect(tmp_path / "journal.db")) as connection:
        (why,) = connection.execute("SELECT detail FROM entries WHERE id = 1").fetchone()
    assert aside.name in why


def test_damage_that_leaves_the_state_readable_loses_no_state(tmp_path: Path) -> None:
    """The entries are put aside; what the controller remembered goes on."""
    path = _filled(tmp_path)
    _spoil(path, _root_page(path, "entries"))
    told = Told()
    assert _carries_on(tmp_path, told) == '{"is": "kept"}'
    assert "what the controller remembered is saved" in told.next()
    assert state_of(path) == '{"is": "new"}'


def test_damage_among_old_entries_is_found_at_the_start(tmp_path: Path) -> None:
    """Nobody writes there any more, so only a look through all of them finds it."""
    path = _filled(tmp_path, count=5_000)
    _spoil(path, path.read_bytes().index(b"Entry 2500.") // _PAGE + 1)
    told = Told()
    journal = opened(tmp_path, told=told)
    assert journal.last_state() == '{"is": "kept"}'
    assert "was damaged and is kept as" in told.next()
    journal.note([switching(1)])
    assert is_written(journal)
    journal.close()
    assert entries_of(path) == [switching(1)]
    assert state_of(path) == '{"is": "kept"}'


def test_a_sound_journal_is_looked_through_once(tmp_path: Path) -> None:
    """However many entries it has; then the writer rests."""
    _filled(tmp_path, count=5_000)
    told = Told()
    journal = opened(tmp_path, told=told)
    for _ in range(10):
        assert is_written(journal)
    assert journal._writer._looked_through is None
    journal.close()
    assert told.rest() == []
    assert len(entries_of(tmp_path / "journal.db")) == 5_000


def test_damage_of_the_state_is_told_as_its_loss(tmp_path: Path) -> None:
    """A start without memory is a start; a wrong memory would be worse."""
    path = _filled(tmp_path)
    _spoil(path, _root_page(path, "state"))
    told = Told()
    assert _carries_on(tmp_path, told) is None
    assert "lost with it" in told.next()


def test_a_journal_that_lacks_a_table_is_damaged(tmp_path: Path) -> None:
    """Somebody was at it with another program."""
    path = _filled(tmp_path, count=1)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TABLE days")
    assert look_at(path).standing is Standing.DAMAGED
    told = Told()
    assert _carries_on(tmp_path, told) == '{"is": "kept"}'
    assert "was damaged and is kept as" in told.next()


def test_a_single_flipped_bit_in_the_state_is_noticed(tmp_path: Path) -> None:
    """The packing has a checksum, which the file itself has not."""
    path = _filled(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        (packed,) = connection.execute("SELECT packed FROM state").fetchone()
        spoilt = bytes([*packed[:-6], packed[-6] ^ 1, *packed[-5:]])
        connection.execute("UPDATE state SET packed = ?", (spoilt,))
        connection.commit()
    assert _carries_on(tmp_path, Told()) is None


def test_damage_found_while_writing_is_put_aside_with_the_state_kept(tmp_path: Path) -> None:
    """The writer has the newest state in memory and writes it to the new file at once."""
    path = _filled(tmp_path)
    told = Told()
    journal = opened(tmp_path, told=told)
    page = _root_page(path, "days")
    _spoil(path, page)
    journal.note([switching(number) for number in range(5_000, 5_010)])
    assert is_written(journal)
    assert not journal.is_failing
    journal.close()
    assert "was damaged and is kept as" in told.next()
    assert entries_of(path) == [switching(number) for number in range(5_000, 5_010)]
    assert state_of(path) == '{"is": "kept"}'


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.9])
def test_a_file_cut_short_never_stops_a_start(tmp_path: Path, share: float) -> None:
    """Whatever is left of it, the journal goes on in a sound file."""
    path = _filled(tmp_path)
    os.truncate(path, int(path.stat().st_size * share))
    _carries_on(tmp_path, Told())
    assert integrity_of(path) == "ok"
    assert entries_of(path) == [switching(1)]


def test_only_the_newest_damaged_ones_are_kept(tmp_path: Path) -> None:
    """A dying card must not be filled with what it spoilt."""
    for number in range(6):
        path = tmp_path / "journal.db"
        path.write_bytes(b"%d" % number)
        os.utime(put_aside(path), (number, number))
    kept = sorted(path.read_bytes() for path in tmp_path.iterdir())
    assert kept == [b"3", b"4", b"5"]


def test_the_log_of_a_damaged_file_goes_with_it(tmp_path: Path) -> None:
    """Left behind, it would be taken for the new file's."""
    path = tmp_path / "journal.db"
    for suffix in ("", "-wal", "-journal", "-shm"):
        path.with_name(path.name + suffix).write_bytes(b"bad" + suffix.encode())
    aside = put_aside(path)
    assert {one.name: one.read_bytes() for one in tmp_path.iterdir()} == {
        aside.name: b"bad",
        f"{aside.name}-wal": b"bad-wal",
        f"{aside.name}-journal": b"bad-journal",
    }


def test_a_newer_journal_is_left_alone_and_one_beside_it_used(tmp_path: Path) -> None:
    """Going back to an older rootclock loses nothing, and waters."""
    path = _filled(tmp_path)
    _set_pragma(path, "user_version", FORMAT + 1)
    before = path.read_bytes()
    told = Told()
    assert _carries_on(tmp_path, told) is None
    assert told.rest() == [
        f"journal {path}: journal.db was written by a newer rootclock (format 2, this one knows "
        "1); it is left alone, and journal-format-1.db is used."
    ]
    assert path.read_bytes() == before
    assert _carries_on(tmp_path, told) == '{"is": "new"}'
    assert entries_of(tmp_path / "journal-format-1.db") == [switching(1), switching(1)]
    assert sorted(one.name for one in tmp_path.iterdir()) == ["journal-format-1.db", "journal.db"]


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    """It may be somebody's address book."""
    path = tmp_path / "journal.db"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE people (name TEXT)")
    before = path.read_bytes()
    told = Told()
    _carries_on(tmp_path, told)
    assert "is another program's database; it is left alone" in told.next()
    assert path.read_bytes() == before


def test_two_strangers_in_its_places_are_told_and_stop_nothing(tmp_path: Path) -> None:
    """There is nowhere left to write: it is failing, and says what to do."""
    for name in ("journal.db", "journal-format-1.db"):
        with closing(sqlite3.connect(tmp_path / name)) as connection:
            connection.execute("CREATE TABLE people (name TEXT)")
    told = Told()
    journal = opened(tmp_path, told=told)
    assert journal.is_failing
    assert told.next().endswith("journal-format-1.db: move them away")
    journal.note([switching(0)])
    assert not journal.close()


@pytest.mark.parametrize(
    "content",
    [
        b"",  # made, and nothing written yet
        b"x",  # too short for SQLite to be anything
    ],
)
def test_a_file_whose_making_was_cut_short_is_made_anew(tmp_path: Path, content: bytes) -> None:
    """There is nothing in it that anybody could miss."""
    (tmp_path / "journal.db").write_bytes(content)
    told = Told()
    _carries_on(tmp_path, told)
    assert told.rest() == []
    assert entries_of(tmp_path / "journal.db") == [switching(1)]


@pytest.mark.parametrize("what", ["folder", "dangling link"])
def test_what_is_no_file_is_told_and_stops_nothing(tmp_path: Path, what: str) -> None:
    """Failing, with a reason; and recovered once it is out of the way."""
    path = tmp_path / "journal.db"
    if what == "folder":
        path.mkdir()
    else:
        path.symlink_to(tmp_path / "nowhere" / "journal.db")
    told = Told()
    journal = opened(tmp_path, told=told)
    assert journal.is_failing
    assert "is not written" in told.next()
    journal.note([switching(0)])
    if what == "folder":
        path.rmdir()
    else:
        path.unlink()
    assert is_written(journal)
    assert journal.close()
    assert entries_of(path) == [switching(0)]


@pytest.mark.parametrize(
    "name", ["with space?mode=ro#x", "100%25.d", "ä 水", os.fsdecode(b"\xff\xfe")]
)
def test_any_folder_name_will_do(tmp_path: Path, name: str) -> None:
    """Paths become addresses for SQLite and are written as such, also where they are no text."""
    folder = tmp_path / name
    _carries_on(folder, Told())
    assert entries_of(folder / "journal.db") == [switching(1)]


def test_a_journal_carries_its_mark(tmp_path: Path) -> None:
    """Application id and format stand in the file's first bytes, where `file` finds them.

    Source: https://www.sqlite.org/fileformat2.html, section 1.3: offsets 68 and 60.
    """
    header = _filled(tmp_path, count=1).read_bytes()[:100]
    assert header[68:72] == APPLICATION_ID.to_bytes(4, "big")
    assert header[60:64] == FORMAT.to_bytes(4, "big")
    assert look_at(tmp_path / "journal.db").standing is Standing.OURS
    assert look_at(tmp_path / "nothing.db").standing is Standing.NOTHING
