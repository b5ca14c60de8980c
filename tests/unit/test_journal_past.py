"""What a load did at a moment, why, and how everything stood then."""

from __future__ import annotations

from pathlib import Path

import pytest

from controller.core.journal_entry import Entry
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS
from controller.shell.journal.past import Away, Past, read_past
from tests.journals import NOON, opened


def _at(minute: int, what: str, subject: str = "pump", detail: str = "") -> Entry:
    at = NOON + minute * MINUTE_MS
    return Entry(at, minute * MINUTE_MS, True, what, subject, "plan", detail)


def _journal_with(folder: Path, entries: list[Entry]) -> Path:
    journal = opened(folder)
    journal.note(entries)
    assert journal.close()
    return folder / "journal.db"


@pytest.mark.parametrize(
    ("minute", "switching", "notices"),
    [
        (-1, None, []),  # before the first
        (0, 0, []),  # what is switched at that very moment counts
        (1, 0, []),
        (45, 2, [3, 5]),  # resting, and what came between: a float and its end
        (91, 6, []),
        (24 * 60, 6, [7]),
    ],
)
def test_what_a_load_did_at_a_moment_is_known_with_its_reasons(
    tmp_path: Path, minute: int, switching: int | None, notices: list[int]
) -> None:
    """Why did it not water at 3: the last switching before, and what was noted since."""
    entries = [
        _at(0, "on"),
        _at(10, "on", "lamp"),
        _at(15, "off"),
        _at(20, "alarm", "float"),
        _at(25, "off", "lamp"),
        _at(40, "alarm over", "float"),
        _at(90, "on"),
        _at(100, "everything stopped", ""),
    ]
    path = _journal_with(tmp_path, entries)
    then = read_past(path, "pump", NOON + minute * MINUTE_MS)
    assert (then.switching and then.switching.entry) == (
        None if switching is None else entries[switching]
    )
    assert [notice.entry for notice in then.notices] == [entries[place] for place in notices]


def test_the_notices_since_are_bounded(tmp_path: Path) -> None:
    """The newest fifty of a bad week."""
    bad = [_at(minute, "alarm", "float") for minute in range(1, 200)]
    path = _journal_with(tmp_path, [_at(0, "off"), *bad])
    then = read_past(path, "pump", NOON + DAY_MS)
    assert [notice.entry for notice in then.notices] == bad[-50:]


def test_a_load_that_nobody_knows_did_nothing(tmp_path: Path) -> None:
    """A slip in the name is no crash."""
    path = _journal_with(tmp_path, [_at(0, "on")])
    assert read_past(path, "pmup", NOON + HOUR_MS) == Past(None)


def test_what_stood_is_told_by_what_began_it(tmp_path: Path) -> None:
    """Long before the last switching, too; what ended by then does not stand."""
    entries = [
        _at(-90, "alarm", "float", "reservoir low"),
        _at(-80, "alarm", "floor", "leak"),
        _at(-70, "alarm over", "float", "reservoir low"),
        _at(-60, "hold began", "fan", "on for 1h"),
        _at(-50, "everything stopped", "", "by Wren"),
        _at(-40, "stop released", "", "by Wren"),
        _at(0, "off"),
        _at(20, "hold ended", "fan", "its time is over"),
        _at(30, "on"),
    ]
    path = _journal_with(tmp_path, entries)
    stood = [line.entry for line in read_past(path, "pump", NOON + 10 * MINUTE_MS).stood]
    assert stood == [entries[1], entries[3]]
    following = read_past(path, "pump", NOON + 10 * MINUTE_MS).following
    assert following is not None
    assert following.entry == entries[8]


@pytest.mark.parametrize(
    ("minute", "away"),
    [
        (5, None),
        (12, Away(NOON + 10 * MINUTE_MS, is_certain=True)),  # ended in order
        (20, None),  # started again at that very moment
        (31, Away(NOON + 30 * MINUTE_MS, is_certain=False)),  # died after its last entry
        (41, None),
    ],
)
def test_where_no_controller_ran_nothing_is_claimed(
    tmp_path: Path, minute: int, away: Away | None
) -> None:
    """An orderly end is certain; a death is known only by the start that follows on it."""
    entries = [
        _at(0, "controller started", ""),
        _at(1, "on"),
        _at(10, "controller ended", ""),
        _at(20, "controller started", ""),
        _at(20, "on"),
        _at(30, "off"),
        _at(40, "controller started", ""),
        _at(40, "on"),
    ]
    path = _journal_with(tmp_path, entries)
    assert read_past(path, "pump", NOON + minute * MINUTE_MS).away == away
