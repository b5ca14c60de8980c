"""`rootclock log` as it is typed: what it shows, exports and says when there is nothing."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from controller.cli.main import main
from controller.core.journal_entry import Entry
from controller.core.units import HOUR_MS, MINUTE_MS, parse_rfc3339
from tests.journals import is_written, opened, switching
from tests.readme import ROOT

START = parse_rfc3339("2026-07-01T20:00:00Z")  # 22:00 in Zurich


@pytest.fixture
def state(tmp_path: Path) -> Path:
    """The state folder of an invented garden: four hours of 15/15 over a midnight, and an
    alarm, a hold and a plan."""
    journal = opened(tmp_path)
    journal.note_zone("Europe/Zurich")
    journal.note([Entry(START, 0, True, "controller started", "", "", "rootclock 0.1.0")])
    for number in range(16):
        at = START + 14 * MINUTE_MS * number
        journal.note([switching(number, at=at)])
    later = START + 5 * HOUR_MS
    journal.note(
        [
            Entry(later, 1, True, "alarm", "float", "", "reservoir low"),
            Entry(later + 1, 2, True, "hold began", "pump", "", "on, for 20 min (by Wren)"),
            Entry(later + 2, 3, True, "plan taken", "", "", "revision 2"),
        ]
    )
    assert journal.close()
    return tmp_path


def _run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(["log", *words])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_it_shows_the_journal_by_day_in_the_sites_time(
    capsys: pytest.CaptureFixture[str], state: Path
) -> None:
    """Headed by days, in the zone of the plan, which is told."""
    code, out, err = _run(capsys, "--state", str(state))
    lines = out.splitlines()
    assert (code, err) == (0, "")
    assert lines[:4] == [
        "Wed 1 Jul 2026",
        "  22:00:00         Journal begun: There was none in this place.",
        "  22:00:00         Controller started: rootclock 0.1.0.",
        "  22:00:00  pump   on  Entry 0.",
    ]
    assert lines[-5:] == [
        "  03:00:00  float  Alarm: reservoir low.",
        "  03:00:00  pump   Hold began: on, for 20 min (by Wren).",
        "  03:00:00         Plan taken: revision 2.",
        "",
        "Times of Europe/Zurich.",
    ]
    assert "Thu 2 Jul 2026" in lines


def _subjects(out: str) -> list[str]:
    return [f"{row['subject']} {row['what']}".strip() for row in csv.DictReader(io.StringIO(out))]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        (["--only", "alarms"], ["float alarm"]),
        (["--only", "alarms", "--only", "plan"], ["float alarm", "plan taken"]),
        (["--only", "holds", "--load", "pump"], ["pump hold began"]),
        (["--find", "WREN"], ["pump hold began"]),
        (["--last", "2"], ["pump hold began", "plan taken"]),
        (["--load", "pump", "--last", "1"], ["pump hold began"]),
        (["--since", "2026-07-02T03:00"], ["float alarm", "pump hold began", "plan taken"]),
        (["--since", "2026-07-02 03:00:00", "--last", "1"], ["plan taken"]),
        (["--since", "2026-07-02T01:00:00Z", "--only", "plan"], ["plan taken"]),
        (["--since", "2026-07-02T03:00:00+02:00", "--only", "plan"], ["plan taken"]),
        (["--until", "2026-07-01", "--only", "plan"], []),  # all of the first day, and no more
        (["--since", "2026-07-02", "--until", "2026-07-02", "--only", "plan"], ["plan taken"]),
        (["--since", "2026-07-03"], []),
        (["--only", "variants"], []),
    ],
)
def test_it_finds_what_is_asked_for(
    capsys: pytest.CaptureFixture[str], state: Path, words: list[str], found: list[str]
) -> None:
    """Dates and times without an offset are the site's."""
    code, out, err = _run(capsys, "--state", str(state), "--csv", *words)
    assert (code, err) == (0, "")
    assert _subjects(out) == found


def test_a_date_counts_in_whole(capsys: pytest.CaptureFixture[str], state: Path) -> None:
    """Since and until one date: all of that day by the site's clocks, half of what is there."""
    _, out, _ = _run(
        capsys, "--state", str(state), "--csv", "--since", "2026-07-01", "--until", "2026-07-01"
    )
    rows = list(csv.DictReader(io.StringIO(out)))
    assert [row["utc"] for row in rows if row["subject"] == "pump"] == [
        "2026-07-01T20:00:00Z",
        "2026-07-01T20:15:00Z",
        "2026-07-01T20:30:00Z",
        "2026-07-01T20:45:00Z",
        "2026-07-01T21:00:00Z",
        "2026-07-01T21:15:00Z",
        "2026-07-01T21:30:00Z",
        "2026-07-01T21:45:00Z",
    ]


def test_how_long_ago_counts_from_now(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """The last hour, by this computer's clock."""
    journal = opened(tmp_path)
    now = time.time_ns() // 1_000_000
    for minutes in (90, 45):
        journal.note([Entry(now - minutes * MINUTE_MS, 0, True, "on", "pump", "plan")])
    journal.close()
    _, out, _ = _run(capsys, "--state", str(tmp_path), "--csv", "--since", "1h")
    assert len(_subjects(out)) == 1
    _, out, _ = _run(capsys, "--state", str(tmp_path), "--csv", "--since", "2h", "--until", "1h")
    assert len(_subjects(out)) == 2  # with the line that the journal begins with


def test_json_lines_are_read_by_a_program(capsys: pytest.CaptureFixture[str], state: Path) -> None:
    """One object a line, oldest first."""
    code, out, err = _run(capsys, "--state", str(state), "--jsonl")
    objects = [json.loads(line) for line in out.splitlines()]
    assert (code, err) == (0, "")
    assert [one["number"] for one in objects] == [*range(1, 22)]
    assert objects[-1]["detail"] == "revision 2"


def test_a_long_journal_is_exported_whole(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """More than one answer holds, joined without gap or double; and the newest of it."""
    journal = opened(tmp_path)
    for part in range(2):
        journal.note([switching(part * 6_000 + number) for number in range(6_000)])
        assert is_written(journal)
    journal.close()
    for words, first in (([], 0), (["--last", "11000"], 1_000)):
        _, out, _ = _run(capsys, "--state", str(tmp_path), "--jsonl", *words)
        details = [json.loads(line)["detail"] for line in out.splitlines()]
        assert details[-(12_000 - first) :] == [
            f"Entry {number}." for number in range(first, 12_000)
        ]
        assert len(details) == 12_000 - first + (first == 0)


def test_a_terminal_gets_the_newest(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Fifty, with a word on how to see more; all of them since a moment."""
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    monkeypatch.setenv("NO_COLOR", "1")
    journal = opened(tmp_path)
    journal.note([switching(number) for number in range(300)])
    journal.close()
    _, out, _ = _run(capsys, "--state", str(tmp_path))
    assert out.count("Entry ") == 50
    assert "Entry 299." in out
    assert out.endswith(" The newest 50; --last 500 shows more.\n")
    _, out, _ = _run(capsys, "--state", str(tmp_path), "--since", "2026-01-01")
    assert out.count("Entry ") == 300


# What cannot be shown


def test_a_place_without_a_journal_is_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """One line, exit code 1, nothing on standard output."""
    code, out, err = _run(capsys, "--state", str(tmp_path))
    assert (code, out) == (1, "")
    assert err == (
        f"rootclock: journal {tmp_path}/journal.db: there is none; nothing was recorded there so "
        "far\n"
    )


def test_a_slip_in_a_name_gets_an_answer(capsys: pytest.CaptureFixture[str], state: Path) -> None:
    """What the journal knows, and what was likely meant."""
    code, out, _ = _run(capsys, "--state", str(state), "--load", "pmup")
    assert code == 0
    assert out == ("The journal does not know 'pmup' (did you mean pump?). It knows float, pump.\n")
    _, out, _ = _run(capsys, "--state", str(state), "--load", "float", "--only", "holds")
    assert out == "The journal has no such entries.\n"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--since", "yesterday"], "or how long ago: 24h"),
        (["--since", "0001-01-01"], "0001-01-01 is outside of 1970-01-02 to 2199-12-30\n"),
        (["--since", "2026-02-30"], "not a date"),
        (["--since", "2026-07-01T25:00"], "no such time of day"),
        (["--since", "2026-07-01T06:00:00.0001Z"], "finer than a millisecond"),
        (["--since", "400h"], "longer than a week"),
        (["--since", "1e9"], "no moment"),
        (["--last", "0"], "not a number from 1 to"),
        (["--last", "-5"], "not a number from 1 to"),
        (["--last", "٣"], "not a number from 1 to"),
        (["--only", "alarm"], "there is no 'alarm' (did you mean alarms?)"),
        (["--csv", "--jsonl"], "not allowed with"),
    ],
)
def test_wrong_usage_ends_with_2(
    capsys: pytest.CaptureFixture[str], words: list[str], says: str
) -> None:
    """What was found, and what is allowed."""
    with pytest.raises(SystemExit) as caught:
        main(["log", *words])
    assert caught.value.code == 2
    assert says in capsys.readouterr().err


def test_a_stretch_that_ends_before_it_begins_is_wrong_usage(
    capsys: pytest.CaptureFixture[str], state: Path
) -> None:
    """An empty answer would look like an empty night."""
    code, out, err = _run(
        capsys, "--state", str(state), "--since", "2026-07-02", "--until", "2026-07-01"
    )
    assert (code, out) == (2, "")
    assert err == "rootclock log: --since is not before --until\n"


def test_without_a_zone_in_the_journal_the_computers_is_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A controller that never took a plan noted none."""
    monkeypatch.setenv("TZ", "Asia/Kathmandu")
    journal = opened(tmp_path)
    journal.note([switching(0, at=START)])
    journal.close()
    _, out, _ = _run(capsys, "--state", str(tmp_path))
    assert "01:45:00  pump  on" in out  # UTC+05:45
    assert out.endswith("does not know the site's time zone; times of Asia/Kathmandu.\n")


@pytest.mark.parametrize("noted", ["Mars/Olympus", "right/Europe/Zurich", ""])
def test_a_zone_that_nobody_knows_is_as_good_as_none(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, noted: str
) -> None:
    """The journal may come from a machine with other zones, or be spoilt."""
    monkeypatch.setenv("TZ", "Nowhere/At_all")
    journal = opened(tmp_path)
    journal.note_zone(noted)
    journal.note([switching(0, at=START)])
    journal.close()
    code, out, _ = _run(capsys, "--state", str(tmp_path))
    assert code == 0
    assert out.endswith("does not know the site's time zone; times of UTC.\n")


def test_a_time_that_cannot_be_believed_is_explained(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The mark at the time has its words at the end."""
    journal = opened(tmp_path)
    journal.note_zone("Europe/Zurich")
    journal.note([switching(0, at=START, trusted=False)])
    journal.close()
    _, out, _ = _run(capsys, "--state", str(tmp_path))
    assert "  22:00:00? pump  on  Entry 0." in out
    assert "? The controller's clock was not trusted at that time." in out


def test_the_services_journal_is_read_by_who_may_not_write_it(
    capsys: pytest.CaptureFixture[str], state: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where no folder is told, the service's goes before one's own."""
    monkeypatch.delenv("ROOTCLOCK_STATE", raising=False)
    monkeypatch.setattr("controller.shell.places.SERVICE_STATE", state)
    code, out, _ = _run(capsys, "--csv", "--only", "plan")
    assert (code, _subjects(out)) == (0, ["plan taken"])


# As a process


def _process(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Takes most of a second: an interpreter starts."""
    return subprocess.run(  # noqa: S603 - our own words
        [sys.executable, "-m", "controller", "log", *words],
        cwd=ROOT,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_it_finds_the_journal_where_the_environment_says(state: Path) -> None:
    """ROOTCLOCK_STATE, and without it one's own state folder."""
    done = _process("--only", "plan", "--csv", ROOTCLOCK_STATE=str(state))
    assert _subjects(done.stdout) == ["plan taken"]
    (state / "own" / "rootclock").mkdir(parents=True)
    (state / "journal.db").rename(state / "own" / "rootclock" / "journal.db")
    done = _process(
        "--only", "plan", "--csv", ROOTCLOCK_STATE="", XDG_STATE_HOME=str(state / "own")
    )
    assert _subjects(done.stdout) == ["plan taken"]


def test_a_reader_that_has_enough_ends_it_quietly(tmp_path: Path) -> None:
    """As `head` does; more is written than a pipe holds."""
    journal = opened(tmp_path)
    journal.note([switching(number, detail="x" * 200) for number in range(5_000)])
    journal.close()
    with subprocess.Popen(  # noqa: S603 - our own words
        [sys.executable, "-m", "controller", "log", "--state", str(tmp_path), "--csv"],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.readline() == b"utc,what,subject,why,detail,late_ms,clock_trusted\n"
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait() == 1
