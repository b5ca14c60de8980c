"""What the journal says in sum: starts, time on, lateness, and what a load did at a moment."""

from __future__ import annotations

from pathlib import Path

import pytest

from controller.core.journal_entry import Entry
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS
from controller.shell.journal.figures import (
    LatenessFound,
    SwitchCount,
    lateness,
    state_at,
    switch_counts,
)
from tests.journals import NOON, opened


def _at(minute: int, what: str, subject: str = "pump", *, late_ms: float | None = None) -> Entry:
    at = NOON + minute * MINUTE_MS
    return Entry(at, minute * MINUTE_MS, True, what, subject, "plan", late_ms=late_ms)


def _journal_with(folder: Path, entries: list[Entry]) -> Path:
    journal = opened(folder)
    journal.note(entries)
    assert journal.close()
    return folder / "journal.db"


def _counts(path: Path, since: int, until: int) -> dict[str, SwitchCount]:
    """By minutes after noon."""
    return switch_counts(path, since=NOON + since * MINUTE_MS, until=NOON + until * MINUTE_MS)


# 15 min on, 15 min off, from noon on; a lamp from 12:10 to 12:50.
_HOUR = [
    _at(0, "controller started", ""),
    _at(0, "on"),
    _at(10, "on", "lamp"),
    _at(15, "off"),
    _at(30, "on"),
    _at(45, "off"),
    _at(50, "off", "lamp"),
    _at(60, "on"),
]


@pytest.mark.parametrize(
    ("since", "until", "pump", "lamp"),
    [
        (0, 60, (2, 30), (1, 40)),  # the start at 13:00 belongs to the next hour
        (0, 61, (3, 30), (1, 40)),  # on at the end counts until the newest entry, its own
        (1, 60, (1, 29), (1, 40)),  # a start before the stretch is none of it, the time is
        (5, 35, (1, 15), (1, 25)),  # cut at both ends
        (16, 29, (0, 0), (0, 13)),  # between two waterings
        (46, 49, (0, 0), (0, 3)),
    ],
)
def test_starts_and_time_on_are_those_within_the_stretch(
    tmp_path: Path, since: int, until: int, pump: tuple[int, int], lamp: tuple[int, int]
) -> None:
    """Counted by hand from the list above; the stretch is half open."""
    assert _counts(_journal_with(tmp_path, _HOUR), since, until) == {
        "pump": SwitchCount(pump[0], pump[1] * MINUTE_MS),
        "lamp": SwitchCount(lamp[0], lamp[1] * MINUTE_MS),
    }


def test_a_load_told_on_again_has_not_started_again(tmp_path: Path) -> None:
    """A controller that is asked again tells the state of every load; the relay rests."""
    entries = [_at(0, "on"), _at(5, "on"), _at(10, "off"), _at(12, "off")]
    assert _counts(_journal_with(tmp_path, entries), 0, 60) == {
        "pump": SwitchCount(1, 10 * MINUTE_MS)
    }


def test_time_on_ends_with_the_controllers_last_word(tmp_path: Path) -> None:
    """A death at some moment after 12:07 opened the relay; the new controller's on is a start."""
    entries = [
        _at(0, "on"),
        _at(7, "alarm", "float"),
        _at(40, "controller started", ""),
        _at(40, "on"),
        _at(45, "off"),
    ]
    assert _counts(_journal_with(tmp_path, entries), 0, 60) == {
        "pump": SwitchCount(2, 12 * MINUTE_MS)
    }


def test_a_clock_that_was_set_back_makes_no_time_negative(tmp_path: Path) -> None:
    """What cannot be told is not counted, and takes nothing from the rest."""
    entries = [_at(0, "on"), _at(-300, "off"), _at(10, "on"), _at(20, "off")]
    assert _counts(_journal_with(tmp_path, entries), -600, 60) == {
        "pump": SwitchCount(2, 10 * MINUTE_MS)
    }


def test_a_stretch_without_entries_has_no_counts(tmp_path: Path) -> None:
    """Nothing is known, so nothing is said."""
    assert _counts(_journal_with(tmp_path, _HOUR), -3 * 24 * 60, -2 * 24 * 60) == {}


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


@pytest.mark.parametrize(
    ("minute", "switching", "notices"),
    [
        (0, None, []),  # just before the first
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
    then = state_at(path, "pump", NOON + minute * MINUTE_MS)
    assert (then.switching and then.switching.entry) == (
        None if switching is None else entries[switching]
    )
    assert [notice.entry for notice in then.notices] == [entries[place] for place in notices]


def test_the_notices_since_are_bounded(tmp_path: Path) -> None:
    """The newest fifty of a bad week."""
    bad = [_at(minute, "alarm", "float") for minute in range(1, 200)]
    path = _journal_with(tmp_path, [_at(0, "off"), *bad])
    then = state_at(path, "pump", NOON + DAY_MS)
    assert [notice.entry for notice in then.notices] == bad[-50:]


def test_a_load_that_nobody_knows_did_nothing(tmp_path: Path) -> None:
    """A slip in the name is no crash."""
    path = _journal_with(tmp_path, _HOUR)
    assert state_at(path, "pmup", NOON + HOUR_MS) == (None, ())
