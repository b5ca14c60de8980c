"""The command line as people and scripts use it: outputs, exit codes, nothing lost."""

from __future__ import annotations

import argparse
import csv
import io
import json
import subprocess
import sys
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from controller import __version__
from controller.cli.main import build_parser, main
from tests.readme import ROOT

EXAMPLES = ROOT / "controller" / "examples"
PORCH = str(EXAMPLES / "porch.toml")
HOT = str(EXAMPLES / "hot-afternoon.toml")


def _run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(words)
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def _usage_error(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    with pytest.raises(SystemExit) as caught:
        main(words)
    assert caught.value.code == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    return captured.err


def _broken_plan(folder: Path) -> Path:
    plan = folder / "plan.toml"
    text = Path(PORCH).read_text(encoding="utf-8")
    plan.write_text(text.replace("line = 17", "line = 170"), encoding="utf-8")
    return plan


# Help and usage


def test_every_command_has_help(capsys: pytest.CaptureFixture[str]) -> None:
    """--help of the whole and of each command says something and exits with 0."""
    for words in ([], ["check"], ["day"], ["schema"], ["example"], ["dry-run"]):
        with pytest.raises(SystemExit) as caught:
            main([*words, "--help"])
        assert caught.value.code == 0
        assert "usage: rootclock" in capsys.readouterr().out


def test_the_version_is_the_packages(capsys: pytest.CaptureFixture[str]) -> None:
    """One version, told."""
    with pytest.raises(SystemExit) as caught:
        main(["--version"])
    assert caught.value.code == 0
    assert capsys.readouterr().out == f"rootclock {__version__}\n"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ([], "COMMAND"),  # nothing asked
        (["chek"], "there is no 'chek' (did you mean check?); there are check, day, "),  # a slip
        (["plan", "propse"], "there is no 'propse' (did you mean propose?)"),
        (["xyz"], "there is no 'xyz'; there are check, "),  # like none of them
        (["check"], "PLAN"),  # no plan
        (["day", PORCH], "--on"),  # no date
        (["day", PORCH, "--on", "2026-02-30"], "not a date"),  # no such date
        (["day", PORCH, "--on", "0001-01-01"], "outside of 1970-01-02"),
        (["day", PORCH, "--on", "9999-12-31"], "outside of 1970-01-02"),
        (["dry-run", PORCH, "--days", "1"], "--from"),
        (["dry-run", PORCH, "--from", "2026-07-01", "--days", "0"], "number from 1"),
        (["dry-run", PORCH, "--from", "2026-07-01", "--days", "-3"], "number from 1"),
        (["dry-run", PORCH, "--from", "2026-07-01", "--days", "1e9"], "number from 1"),
        (["dry-run", PORCH, "--from", "2026-07-01", "--days", "99999999999"], "number from 1"),
        (["dry-run", PORCH, "--from", "2026-07-01T06:00", "--days", "1"], "no offset from UTC"),
        (["dry-run", PORCH, "--from", "tomorrow", "--days", "1"], "not a date"),
    ],
)
def test_wrong_usage_ends_with_2_and_says_what_is_wrong(
    capsys: pytest.CaptureFixture[str], words: list[str], says: str
) -> None:
    """Usage errors go to standard error and leave standard output empty."""
    assert says in _usage_error(capsys, *words)


# check


def test_check_of_every_example_finds_no_error(capsys: pytest.CaptureFixture[str]) -> None:
    """The plans that we ship are fit to run, in any year."""
    for path in sorted(EXAMPLES.glob("*.toml")):
        for year in ("2026-01-01", "2028-01-01"):
            code, out, err = _run(capsys, "check", str(path), "--year-from", year)
            assert (code, err) == (0, "")
            assert out.splitlines()[-1].startswith("Fit to run: ")


def test_check_tells_errors_as_json_with_their_lines(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The list has level, place, line, message and mend of every finding."""
    code, out, err = _run(capsys, "check", str(_broken_plan(tmp_path)), "--json")
    assert (code, err) == (1, "")
    (finding,) = json.loads(out)
    assert finding["level"] == "error"
    assert finding["where"] == "loads.pump.line"
    assert (
        finding["line"]
        == Path(PORCH)
        .read_text(encoding="utf-8")
        .splitlines()
        .index("line = 17                    # GPIO line, BCM number")
        + 1
    )
    assert "170" in finding["message"]
    assert finding["mend"]


def test_findings_of_the_year_have_lines_too(capsys: pytest.CaptureFixture[str]) -> None:
    """What the walk finds is attributed to the plan's lines."""
    far_north = EXAMPLES / "far-north.toml"
    code, out, _ = _run(capsys, "check", str(far_north), "--json", "--year-from", "2026-01-01")
    lines = far_north.read_text(encoding="utf-8").splitlines()
    warning = next(f for f in json.loads(out) if f["level"] == "warning")
    assert code == 0
    assert warning["where"] == "loads.lamp.spans"
    assert lines[warning["line"] - 1].startswith("[[loads.lamp.spans]]")


@pytest.mark.parametrize("command", ["check", "day", "dry-run"])
def test_a_plan_that_is_not_there_is_told(capsys: pytest.CaptureFixture[str], command: str) -> None:
    """A missing file is the world's fault: exit code 1, one line."""
    more = {"check": [], "day": ["--on", "2026-07-01"],
            "dry-run": ["--from", "2026-07-01", "--days", "1"]}[command]  # fmt: skip
    code, out, err = _run(capsys, command, "nowhere/plan.toml", *more)
    assert (code, out) == (1, "")
    assert err == "rootclock: plan nowhere/plan.toml: no such file or directory\n"


def test_commands_that_need_a_plan_refuse_a_broken_one(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The errors come on standard error, and nothing is done."""
    plan = str(_broken_plan(tmp_path))
    events = tmp_path / "events.csv"
    code, out, err = _run(
        capsys, "dry-run", plan, "--from", "2026-07-01", "--days", "1", "--events", str(events)
    )
    assert (code, out) == (1, "")
    assert "error: loads.pump.line" in err
    assert "nothing was done" in err
    assert not events.exists()


# schema and example


def test_schema_is_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The schema is one JSON object on standard output."""
    code, out, err = _run(capsys, "schema")
    assert (code, err) == (0, "")
    assert json.loads(out)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_examples_are_listed_and_printed(capsys: pytest.CaptureFixture[str]) -> None:
    """An example's text is the file, byte for byte."""
    _, listed, _ = _run(capsys, "example")
    names = [line.split()[0] for line in listed.splitlines()]
    weather = [path.name for path in EXAMPLES.glob("*.csv")]
    assert names == sorted([*(path.stem for path in EXAMPLES.glob("*.toml")), *weather])
    code, out, _ = _run(capsys, "example", "porch")
    assert (code, out) == (0, Path(PORCH).read_text(encoding="utf-8"))
    for name in weather:
        code, out, _ = _run(capsys, "example", name)
        assert (code, out) == (0, (EXAMPLES / name).read_text(encoding="utf-8"))


def test_an_example_that_is_not_there_is_told_with_the_likely_one(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A slip in the name gets an answer."""
    code, _, err = _run(capsys, "example", "proch")
    assert code == 1
    assert "did you mean porch?" in err


# dry-run


def _json(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, Any]:
    code, out, err = _run(capsys, "dry-run", *words, "--json")
    assert err == ""
    return code, json.loads(out)


def test_the_account_has_what_the_contract_asks(capsys: pytest.CaptureFixture[str]) -> None:
    """Keys and units of `dry-run --json`."""
    code, account = _json(capsys, PORCH, "--from", "2026-07-01", "--days", "7")
    assert code == 0
    assert account["from_utc"] == "2026-06-30T22:00:00Z"
    assert account["to_utc"] == "2026-07-07T22:00:00Z"
    pump = account["loads"]["pump"]
    for key in ("on_s", "switches", "longest_dry_gap_s", "longest_on_s", "energy_kwh"):
        assert key in pump
    assert pump["longest_dry_gap_s"] == 45 * 60
    assert pump["energy_kwh"] == pytest.approx(pump["on_s"] / 3600 * 22 / 1000)


def test_an_instant_starts_a_run_of_whole_days(capsys: pytest.CaptureFixture[str]) -> None:
    """From an instant on, a day is 24 hours, also over a change of the clocks."""
    _, account = _json(capsys, PORCH, "--from", "2026-03-28T12:00:00+01:00", "--days", "2")
    assert (account["from_utc"], account["to_utc"]) == (
        "2026-03-28T11:00:00Z",
        "2026-03-30T11:00:00Z",
    )


def test_local_dates_are_as_long_as_they_are(capsys: pytest.CaptureFixture[str]) -> None:
    """The date on which clocks go forward has 23 hours."""
    _, account = _json(capsys, PORCH, "--from", "2026-03-29", "--days", "1")
    assert (account["from_utc"], account["to_utc"]) == (
        "2026-03-28T23:00:00Z",
        "2026-03-29T22:00:00Z",
    )


def test_events_are_csv_with_one_row_a_change(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """First the state at the start, then every change in time order, none at the end."""
    events = tmp_path / "events.csv"
    code, account = _json(
        capsys, PORCH, "--from", "2026-07-01", "--days", "2", "--events", str(events)
    )
    rows = list(csv.DictReader(io.StringIO(events.read_text(encoding="utf-8"))))
    assert code == 0
    assert list(rows[0]) == ["utc", "load", "state", "reason"]
    assert rows[0]["utc"] == account["from_utc"]
    assert len(rows) == 1 + account["loads"]["pump"]["switches"]
    assert [row["utc"] for row in rows] == sorted(row["utc"] for row in rows)
    assert rows[-1]["utc"] < account["to_utc"]
    states = [row["state"] for row in rows]
    assert all(before != after for before, after in pairwise(states))
    assert all(row["reason"] for row in rows)


def test_a_broken_limit_makes_exit_code_1(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A plan that does not hold what it states fails, so that a script can tell."""
    plan = tmp_path / "plan.toml"
    text = Path(PORCH).read_text(encoding="utf-8")
    plan.write_text(text.replace('longest_dry_gap = "50m"', 'longest_dry_gap = "40m"'), "utf-8")
    code, account = _json(capsys, str(plan), "--from", "2026-07-01", "--days", "1")
    assert code == 1
    (broken,) = [f for f in account["findings"] if f["level"] == "error"]
    assert broken["where"] == "loads.pump.limits.longest_dry_gap"
    assert broken["line"] is not None


def test_a_fault_script_changes_the_account(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """An afternoon without power is a dry gap, told with its notices."""
    script = tmp_path / "faults.toml"
    script.write_text(
        '[[faults]]\nkind = "power_out"\nfrom = "2026-07-01T13:00"\nuntil = "2026-07-01T16:30"\n',
        "utf-8",
    )
    code, account = _json(
        capsys, PORCH, "--from", "2026-07-01", "--days", "1", "--faults", str(script)
    )
    assert code == 1  # the plan states 50 min, and roots were dry for hours
    assert account["loads"]["pump"]["longest_dry_gap_s"] >= 3.5 * 3600
    told = [notice["event"] for notice in account["notices"]]
    assert told[:2] == ["power lost", "power back"]
    assert "recovery watering began" in told


def test_two_plans_are_compared(capsys: pytest.CaptureFixture[str]) -> None:
    """The second plan's account stands beside the first's, in JSON and in text."""
    words = ("--from", "2026-07-12", "--days", "1", "--compare", HOT)
    _, account = _json(capsys, PORCH, *words)
    assert account["compared"]["plan"] == HOT
    assert account["compared"]["loads"]["pump"]["starts"] > 0
    code, out, _ = _run(capsys, "dry-run", PORCH, *words)
    assert code == 0
    assert "porch.toml" in out
    assert "hot-afternoon.toml" in out


def test_the_picture_is_svg(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """A whole SVG document, alone and for two plans."""
    for more in ([], ["--compare", HOT]):
        picture = tmp_path / "picture.svg"
        words = ["--from", "2026-07-01", "--days", "3", "--picture", str(picture), *more]
        code, _, _ = _run(capsys, "dry-run", PORCH, *words)
        text = picture.read_text(encoding="utf-8")
        assert code == 0
        assert text.startswith(("<svg", "<?xml"))
        assert text.rstrip().endswith("</svg>")


@pytest.mark.parametrize("option", ["--events", "--picture"])
def test_a_file_that_cannot_be_written_is_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, option: str
) -> None:
    """A folder that is not there: exit code 1 and the reason."""
    target = str(tmp_path / "no" / "file")
    code, _, err = _run(
        capsys, "dry-run", PORCH, "--from", "2026-07-01", "--days", "1", option, target
    )
    assert code == 1
    assert "no such file or directory" in err


def test_a_run_beyond_the_last_date_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """The end of computable time is told, not met."""
    code, _, err = _run(capsys, "dry-run", PORCH, "--from", "2199-12-30", "--days", "5")
    assert code == 1
    assert "2199-12-30" in err


# As a process


def test_it_stops_quietly_when_nobody_reads_its_output() -> None:
    """`rootclock schema | head -0` is no error worth a traceback."""
    with subprocess.Popen(
        [sys.executable, "-m", "controller", "schema"],
        cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    ) as process:  # fmt: skip
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        told = process.stderr.read()
    assert told == ""


def test_events_go_into_a_pipe_as_they_happen() -> None:
    """What is no ordinary file is written to, never replaced."""
    words = ["dry-run", PORCH, "--from", "2026-07-01", "--days", "1", "--json"]
    done = subprocess.run(  # noqa: S603 - our own words
        [sys.executable, "-m", "controller", *words, "--events", "/dev/stderr"],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stderr.startswith("utc,load,state,reason\n")
    assert json.loads(done.stdout)["loads"]["pump"]["switches"] == done.stderr.count("\n") - 2


def test_a_dry_run_loads_only_what_is_asked_of_it() -> None:
    """Nothing that draws, and no reader of files that nobody names."""
    code = (
        "import sys; from controller.cli.main import main\n"
        f"main(['dry-run', {PORCH!r}, '--from', '2026-07-01', '--days', '1'])\n"
        "unasked = ('report.picture', 'report.events_csv', 'dry_run.fault_script', "
        "'weather.formats')\n"
        "print([one for one in unasked if f'controller.{one}' in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(  # noqa: S603 - our own words
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stderr == "[]\n"


def test_every_option_is_documented() -> None:
    """No option without a help text, but those whose name says all; commands in commands too."""
    undocumented = [
        f"{name} {action.option_strings or action.dest}"
        for name, command in _commands(build_parser(), "rootclock")
        for action in command._actions
        if not (action.help or action.dest == "load")
        and not isinstance(action, argparse._SubParsersAction)
    ]
    assert undocumented == []


def _commands(
    parser: argparse.ArgumentParser, name: str
) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for word, command in action.choices.items():
                yield f"{name} {word}", command
                yield from _commands(command, f"{name} {word}")
