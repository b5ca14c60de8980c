"""Outputs that cannot be written, streams that are closed, and files that must not be lost."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from controller.cli.main import main
from tests.readme import ROOT

PORCH = str(ROOT / "controller" / "examples" / "porch.toml")
DAY = ("--from", "2026-07-01", "--days", "1")
SAYS_MUCH = {
    "help": ("--help",),
    "check": ("check", PORCH),
    "check in JSON": ("check", PORCH, "--json"),
    "day": ("day", PORCH, "--on", "2026-07-01"),
    "schema": ("schema",),
    "example": ("example", "porch"),
    "dry-run": ("dry-run", PORCH, *DAY),
    "dry-run in JSON": ("dry-run", PORCH, *DAY, "--json"),
}


def _shell(script: str, *words: str, is_buffered: bool = True) -> subprocess.CompletedProcess[str]:
    """Runs rootclock with its streams as the script says."""
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONUNBUFFERED"}
    if not is_buffered:
        environment["PYTHONUNBUFFERED"] = "1"
    return subprocess.run(  # noqa: S603 - our own words
        ["/bin/sh", "-c", f'exec "$0" -m controller "$@" {script}', sys.executable, *words],
        cwd=ROOT, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("name", SAYS_MUCH)
def test_a_full_disk_under_the_output_is_told_in_a_line(name: str) -> None:
    """Whoever keeps what it prints learns that it is not all there: exit code 1."""
    done = _shell(">/dev/full", *SAYS_MUCH[name])
    assert done.stderr == "rootclock: standard output: no space left on device\n"
    assert done.returncode == 1


def test_a_full_disk_is_told_as_well_where_nothing_is_buffered() -> None:
    """Then it is the printing that fails, and not the end."""
    done = _shell(">/dev/full", "schema", is_buffered=False)
    assert done.stderr == "rootclock: standard output: no space left on device\n"
    assert done.returncode == 1


def test_a_command_does_its_work_with_its_output_closed() -> None:
    """The exit code is what was asked for, and nothing is said of streams."""
    for words in (("check", PORCH), ("dry-run", PORCH, *DAY), ("--help",)):
        done = _shell("<&- >&-", *words)
        assert (done.returncode, done.stderr) == (0, "")


def test_what_goes_wrong_never_stands_in_the_output() -> None:
    """With standard error closed, it is lost: programs read the other one."""
    done = _shell("2>&-", "check", "nowhere.toml", "--json")
    assert (done.returncode, done.stdout) == (1, "")


def test_an_events_file_never_takes_the_number_of_a_closed_stream(tmp_path: Path) -> None:
    """What is printed goes nowhere, and not into a file that was opened since."""
    events = tmp_path / "events.csv"
    done = _shell("<&- >&- 2>&-", "dry-run", PORCH, *DAY, "--events", str(events))
    assert done.returncode == 0
    rows = events.read_text(encoding="utf-8").splitlines()
    assert rows[0] == "utc,load,state,reason"
    assert all(row.startswith("2026-0") for row in rows[1:])


# Files


def _told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    code = main(words)
    captured = capsys.readouterr()
    assert (code, captured.out) == (1, "")
    return captured.err


@pytest.mark.parametrize("option", ["--events", "--picture"])
@pytest.mark.parametrize("read", ["plan", "--compare", "--weather", "--faults"])
def test_a_file_that_is_read_is_never_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], option: str, read: str
) -> None:
    """Not by another way to it either: the file stays, and the line says what it is."""
    file, way = tmp_path / "file.toml", tmp_path / "way"
    file.write_bytes(Path(PORCH).read_bytes())
    way.symlink_to(file)
    words = [str(file)] if read == "plan" else [PORCH, read, str(file)]
    told = _told(capsys, "dry-run", *words, *DAY, option, str(way))
    assert told.endswith(", which would be lost; name another file\n")
    assert file.read_bytes() == Path(PORCH).read_bytes()
    assert way.is_symlink()


def test_two_outputs_are_two_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Else the second would take the place of the first."""
    name = str(tmp_path / "run")
    told = _told(capsys, "dry-run", PORCH, *DAY, "--events", name, "--picture", name)
    assert told == (
        f"rootclock: picture {name}: is the events file as well, which would be lost; "
        "name another file\n"
    )
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "words",
    [
        ("advise", *DAY, "--picture"),
        ("rehearse", "--speed", "1000", "--mock", "--events"),
    ],
    ids=lambda words: words[0],
)
def test_advice_and_rehearsals_leave_the_plan_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    """They too write files that somebody names."""
    plan = tmp_path / "plan.toml"
    plan.write_bytes(Path(PORCH).read_bytes())
    told = _told(capsys, words[0], str(plan), *words[1:], str(plan))
    assert "is the plan as well" in told
    assert plan.read_bytes() == Path(PORCH).read_bytes()


def test_a_device_may_take_what_it_likes(capsys: pytest.CaptureFixture[str]) -> None:
    """What is no ordinary file cannot be lost: both outputs may go into the void."""
    words = ("--events", "/dev/null", "--picture", "/dev/null")
    assert main(("dry-run", PORCH, *DAY, *words)) == 0
    assert capsys.readouterr().err == ""


# Words


@pytest.mark.parametrize(
    "words",
    [
        ("why", "p\udcff"),
        ("hold", "p\udcff", "on", "--for", "1m"),
        ("hold", "pump", "\ud800", "--for", "1m"),
        ("release", "p\udcff"),
        ("acknowledge", "p\udcff"),
        ("log", "--load", "p\udcff"),
        ("log", "--find", "p\udcff"),
        ("plan", "propose", PORCH, "--note", "p\udcff"),
        ("advise", PORCH, "--load", "p\udcff"),
    ],
    ids=" ".join,
)
def test_bytes_that_are_no_text_are_wrong_usage(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    """They could be sent to no controller, and stand in no journal."""
    with pytest.raises(SystemExit) as caught:
        main(words)
    assert caught.value.code == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "has bytes that are no UTF-8 text: retype it" in captured.err


def test_a_file_s_name_may_have_any_bytes(tmp_path: Path) -> None:
    """The system allows it, so we do."""
    plan = tmp_path / "p\udcff.toml"
    plan.write_bytes(Path(PORCH).read_bytes())
    assert main(("check", str(plan))) == 0
