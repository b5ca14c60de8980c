"""`rootclock why LOAD --at WHEN`: why it did not water at three, asked of the journal alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from controller.cli.main import main
from controller.core.errors import RootclockError
from controller.core.journal_entry import Entry
from controller.core.moments import parse_moment
from controller.core.units import HOUR_MS, MINUTE_MS, parse_rfc3339, rfc3339
from controller.core.wall_clock import load_zone
from tests.journals import opened

EVENING = parse_rfc3339("2026-07-01T20:00:00Z")  # 22:00 in Zurich
STOPPED = EVENING + 4 * HOUR_MS + 45 * MINUTE_MS  # 02:45 there


@pytest.fixture
def state(tmp_path: Path) -> Path:
    """An invented night: the pump ran, and somebody stopped everything at 02:45."""
    journal = opened(tmp_path)
    journal.note_zone("Europe/Zurich")
    journal.note(
        [
            Entry(EVENING, 0, True, "on", "pump", "plan", "Watering until 22:15."),
            Entry(EVENING + 15 * MINUTE_MS, 1, True, "off", "pump", "plan", "Resting."),
            Entry(STOPPED - 1, 2, True, "on", "pump", "plan", "Watering until 03:00."),
            Entry(STOPPED, 3, True, "everything stopped", "", "", "by Wren"),
            Entry(STOPPED, 3, True, "off", "pump", "stop switch", "Everything is stopped."),
            Entry(STOPPED + 1, 4, True, "alarm", "float", "", "reservoir low"),
            Entry(STOPPED + HOUR_MS, 5, True, "on", "pump", "plan", "Watering until 04:00."),
        ]
    )
    assert journal.close()
    return tmp_path


def _why(
    capsys: pytest.CaptureFixture[str], state: Path, *words: str
) -> tuple[int, list[str], str]:
    code = main(["why", *words, "--state", str(state)])
    captured = capsys.readouterr()
    return code, captured.out.splitlines(), captured.err


def test_it_tells_the_switching_before_what_was_noted_since_and_the_next(
    capsys: pytest.CaptureFixture[str], state: Path
) -> None:
    """Everything that a person needs to see why."""
    code, lines, err = _why(capsys, state, "pump", "--at", "2026-07-02T03:00")
    assert (code, err) == (0, "")
    assert lines == [
        "pump was off, for 15 min by then:",
        "",
        "Thu 2 Jul 2026",
        "  02:45:00         Everything stopped: by Wren.",
        "  02:45:00  pump   off Everything is stopped.",
        "  02:45:00  float  Alarm: reservoir low.",
        "  03:45:00  pump   on  Watering until 04:00.",
        "",
        "Times of Europe/Zurich.",
    ]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        pytest.param(("pmp", "--at", "2026-07-02T03:00"), "did you mean pump?", id="a typo"),
        pytest.param(("pump", "--at", "2026-07-01"), "begins after that time", id="too early"),
    ],
)
def test_what_it_does_not_know_it_says(
    capsys: pytest.CaptureFixture[str], state: Path, words: tuple[str, ...], told: str
) -> None:
    """And exit code 1."""
    code, lines, err = _why(capsys, state, *words)
    assert (code, lines) == (1, [])
    assert told in err


def test_a_time_gone_by_is_of_one_load(capsys: pytest.CaptureFixture[str], state: Path) -> None:
    """Wrong usage otherwise."""
    assert _why(capsys, state, "--at", "03:00")[0] == 2


@pytest.mark.parametrize(
    ("now", "text", "meant"),
    [
        pytest.param("2026-07-02T06:00:00Z", "03:00", "2026-07-02T01:00:00Z", id="this morning"),
        pytest.param("2026-07-02T00:30:00Z", "03:00", "2026-07-01T01:00:00Z", id="yesterday's"),
        pytest.param("2026-07-02T01:00:00Z", "03:00", "2026-07-02T01:00:00Z", id="just now"),
        pytest.param("2026-07-02T01:00:00Z", "03:00:01", "2026-07-01T01:00:01Z", id="not yet"),
    ],
)
def test_a_time_of_day_alone_is_the_last_one(now: str, text: str, meant: str) -> None:
    """Nobody types a date at six in the morning."""
    moment = parse_moment(text)
    found = moment.in_zone(load_zone("Europe/Zurich"), now=parse_rfc3339(now), is_end=False)
    assert rfc3339(found) == meant


def test_no_such_time_of_day_is_told() -> None:
    """With what is allowed."""
    with pytest.raises(RootclockError, match="no such time"):
        parse_moment("25:00")
