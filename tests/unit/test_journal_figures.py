"""What the journal says in sum: lateness, and how often relays switched."""

from __future__ import annotations

from pathlib import Path

import pytest

from controller.core.errors import UnusableFileError
from controller.core.journal_entry import Entry
from controller.core.units import MINUTE_MS
from controller.core.wear import Tally
from controller.shell.journal.figures import LatenessFound, lateness, read_worn
from controller.shell.journal.journal_file import JournalFile
from controller.shell.journal.limits import Limits
from tests.journals import NOON, QUICK, opened, switching
from tests.unit.test_journal_trimming import write


def _at(minute: int, what: str, subject: str = "pump", *, late_ms: float | None = None) -> Entry:
    at = NOON + minute * MINUTE_MS
    return Entry(at, minute * MINUTE_MS, True, what, subject, "plan", late_ms=late_ms)


def _journal_with(folder: Path, entries: list[Entry]) -> Path:
    journal = opened(folder)
    journal.note(entries)
    assert journal.close()
    return folder / "journal.db"


def test_lateness_is_ranked(tmp_path: Path) -> None:
    """By the nearest rank: of 1 to 200 ms, the 100th and the 198th.

    Source: the definition of the nearest-rank percentile, from memory.
    """
    entries = [_at(0, "on", late_ms=float((number * 7) % 200 + 1)) for number in range(200)]
    entries.append(_at(0, "alarm", "float"))
    path = _journal_with(tmp_path, entries)
    assert lateness(path, since=NOON, until=NOON + 1) == LatenessFound(200, 100.0, 198.0, 200.0)
    assert lateness(path, since=NOON + 1, until=NOON + 2) == LatenessFound(0, None, None, None)


def test_a_single_lateness_is_all_of_its_figures(tmp_path: Path) -> None:
    """No rank lies outside of the list."""
    path = _journal_with(tmp_path, [_at(0, "on", late_ms=2.5)])
    assert lateness(path, since=0, until=NOON + 1) == LatenessFound(1, 2.5, 2.5, 2.5)


def _operations(tally: Tally) -> dict[str, int]:
    return {name: load.operations for name, load in tally.loads.items()}


def test_operations_are_counted_by_load(tmp_path: Path) -> None:
    """Told on again is none; after a start of the controller it is one, for its end opened the
    relay."""
    entries = [
        _at(0, "controller started", ""),
        _at(0, "on"),
        _at(1, "on"),
        _at(2, "on", "lamp"),
        _at(3, "off"),
        _at(4, "on"),
        _at(5, "alarm", "float"),
        _at(6, "controller started", ""),
        _at(6, "on"),
        _at(6, "off", "fan"),
    ]
    path = _journal_with(tmp_path, entries)
    assert _operations(read_worn(path)) == {"pump": 3, "lamp": 1, "fan": 0}


def test_counting_goes_on_from_what_is_known(tmp_path: Path) -> None:
    """A pump that is on at the end of one count has not operated at the start of the next."""
    path = _journal_with(tmp_path, [_at(0, "on")])
    known = read_worn(path)
    _journal_with(tmp_path, [_at(1, "on"), _at(2, "off"), _at(3, "on")])
    assert _operations(read_worn(path, known)) == {"pump": 2}


def test_another_journal_in_its_place_is_counted_afresh(tmp_path: Path) -> None:
    """What was damaged was put aside; the new one knows only its own."""
    path = _journal_with(tmp_path, [switching(number) for number in range(20)])
    known = read_worn(path)
    assert _operations(known) == {"pump": 10}
    for part in tmp_path.iterdir():
        part.unlink()
    _journal_with(tmp_path, [switching(number, at=NOON + 1) for number in range(40)])
    assert _operations(read_worn(path, known)) == {"pump": 20}


@pytest.mark.parametrize("is_known", [True, False])
def test_counts_survive_that_the_oldest_entries_go(tmp_path: Path, *, is_known: bool) -> None:
    """Whether somebody counted before they went or only afterwards."""
    path = tmp_path / "journal.db"
    file = JournalFile(path, QUICK._replace(bytes_max=60_000))
    known: Tally | None = None
    for part in range(30):
        write(file, [switching(part * 40 + number) for number in range(40)])
        if is_known and part % 7 == 0:
            known = read_worn(path, known)
    tally = read_worn(path, known)
    file.close()
    assert _operations(tally) == {"pump": 600}
    assert tally.loads["pump"].since == NOON


def test_a_count_that_is_damaged_is_told(tmp_path: Path) -> None:
    """And not taken for none."""
    path = tmp_path / "journal.db"
    file = JournalFile(path, Limits(bytes_max=60_000))
    for part in range(30):
        write(file, [switching(part * 40 + number) for number in range(40)])
    file._connection.execute("UPDATE facts SET fact = '[]' WHERE name = 'worn'")
    file.close()
    with pytest.raises(UnusableFileError, match="count of switchings is damaged"):
        read_worn(path)
