"""The examiner: a plan judged in a process of its own, which may be ended at any time.

Each test starts a Python of its own (0.3 s).
"""

from __future__ import annotations

import asyncio
import json
import os
from pathlib import Path

import pytest

from controller.cli.main import main
from controller.core.errors import PlanRefusedError
from controller.core.plan_text.reading import read_plan
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, parse_rfc3339, rfc3339
from controller.shell.examples import example_text
from controller.shell.plan_store.examination import Examination
from controller.shell.plan_store.examiner import LIMITS, ExaminerLimits, examine

PORCH = example_text("porch")
NOW = parse_rfc3339("2026-07-01T09:30:00Z")


def examined(
    text: str | bytes, *, now: int = NOW, limits: ExaminerLimits = LIMITS, days: int = 3
) -> Examination:
    """The examination of a plan by the real process."""
    data = text.encode() if isinstance(text, str) else text
    return asyncio.run(examine(data, source="plan.toml", now=now, days=days, limits=limits))


def refusal_of(
    text: str | bytes, *, limits: ExaminerLimits = LIMITS, days: int = 3
) -> PlanRefusedError:
    """Why a plan is refused."""
    with pytest.raises(PlanRefusedError) as caught:
        examined(text, limits=limits, days=days)
    return caught.value


def children() -> str:
    """The process numbers of this process's children, as the kernel lists them, but for those
    that other tests have left to it: a helper of multiprocessing lives as long as we do."""
    listed = [path.parent.name for path in Path("/proc").glob("[0-9]*/stat") if _is_ours(path)]
    return " ".join(number for number in listed if number not in _BEFORE)


def _is_ours(stat: Path) -> bool:
    """Whether a process is a child of this one (proc(5)); one that is gone by now is none."""
    try:
        parent = stat.read_text(errors="replace").rpartition(")")[2].split()[1]
    except (FileNotFoundError, ProcessLookupError):
        return False
    return int(parent) == os.getpid()


_BEFORE: set[str] = set()


@pytest.fixture(autouse=True)
def _others() -> None:
    _BEFORE.clear()
    _BEFORE.update(children().split())


def test_the_trial_runs_are_those_of_the_dry_run(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Three days from the local date of now and the year's hottest day, the figures as
    `rootclock dry-run --json` has them."""
    plan = tmp_path / "plan.toml"
    plan.write_text(PORCH)
    found = examined(PORCH)
    assert (found.findings, found.is_fit, found.broken_limits) == ((), True, ())
    assert [run.name for run in found.runs] == ["next days", "hottest day"]
    for run, first, days in zip(found.runs, ("2026-07-01", "2026-07-21"), (3, 1), strict=True):
        assert main(["dry-run", str(plan), "--from", first, "--days", str(days), "--json"]) == 0
        told = json.loads(capsys.readouterr().out)
        pump = told["loads"]["pump"]
        assert (rfc3339(run.start), rfc3339(run.end)) == (told["from_utc"], told["to_utc"])
        (figures,) = run.loads
        assert figures.longest_dry_gap_from is not None
        assert (figures.name, figures.kind, figures.starts) == ("pump", "pump", pump["starts"])
        assert figures.on_ms == pump["on_s"] * 1000
        assert figures.longest_dry_gap_ms == pump["longest_dry_gap_s"] * 1000 == 45 * MINUTE_MS
        assert rfc3339(figures.longest_dry_gap_from) == pump["longest_dry_gap_from_utc"]
        assert run.air == told["air"]


def test_the_hottest_day_is_the_hemisphere_s() -> None:
    """20 January south of the equator, of the next year once it has passed."""
    south = PORCH.replace("latitude = 47.1", "latitude = -33.9").replace(
        "Europe/Zurich", "Australia/Sydney"
    )
    _, hottest = examined(south.replace("longitude = 8.3", "longitude = 151.2")).runs
    assert rfc3339(hottest.start) == "2027-01-19T13:00:00Z"
    assert hottest.end - hottest.start == DAY_MS


@pytest.mark.parametrize("now", [0, -HOUR_MS, 10**15], ids=["1970", "before", "far ahead"])
def test_a_clock_that_is_far_out_keeps_no_plan_from_being_examined(now: int) -> None:
    """A board that has just started may believe that it is 1970."""
    assert examined(PORCH, now=now).is_fit


def test_a_broken_limit_is_told_and_does_not_refuse() -> None:
    """Whether it matters is for whoever asks; the finding has its line in the plan."""
    found = examined(PORCH.replace('longest_dry_gap = "50m"', 'longest_dry_gap = "30m"'))
    assert found.is_fit
    (broken,) = found.broken_limits
    assert broken.where == "loads.pump.limits.longest_dry_gap"
    assert broken.line == PORCH[: PORCH.index("longest_dry_gap")].count("\n") + 1


def test_the_walk_through_the_year_is_part_of_it() -> None:
    """As `rootclock check` tells it: beyond the polar circle the sun stays away."""
    found = examined(example_text("far-north"))
    assert any("sunset" in finding.message for finding in found.findings)


@pytest.mark.parametrize(
    "text",
    [
        "nonsense",
        PORCH.replace("line = 17", "line = 17\nline = 18"),  # told twice
        PORCH.replace("Europe/Zurich", "Europe/Zurick"),
        b"\xff\xfe\0",
        b"",
    ],
)
def test_a_plan_with_errors_is_refused_with_all_of_them(text: str | bytes) -> None:
    """They are those of reading it here."""
    data = text.encode() if isinstance(text, str) else text
    with pytest.raises(PlanRefusedError) as here:
        read_plan(data, "plan.toml")
    there = refusal_of(text)
    assert (there.source, there.findings) == (here.value.source, here.value.findings)


@pytest.mark.parametrize(
    "data",
    [
        b"a = " + b"[" * 260_000,  # nested until no stack is left
        b"[" * 300_000,  # larger than plans can be
        b'"' + b"\\" * 250_000,
        b"a.b." * 60_000,
    ],
)
def test_a_text_that_is_made_to_harm_is_refused(data: bytes) -> None:
    """In words, by the process that may die of it."""
    assert refusal_of(data, limits=LIMITS._replace(wall_s=30.0)).findings[0].level == "error"


def told(error: PlanRefusedError) -> str:
    """The only thing that a refusal says."""
    (finding,) = error.findings
    return finding.message


def test_an_examination_that_takes_too_long_is_ended() -> None:
    """The plan is refused for it, and no process is left."""
    error = refusal_of(PORCH, limits=LIMITS._replace(wall_s=0.05))
    assert told(error) == "examining the plan took longer than 0.05 s and was ended"
    assert children() == ""


def test_an_examiner_that_hangs_is_killed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It reads nothing, answers nothing and hears no polite signal."""
    (tmp_path / "deaf_examiner.py").write_text(
        "import signal\n"
        "signal.signal(signal.SIGTERM, signal.SIG_IGN)\n"
        "while True:\n"
        "    signal.pause()\n"
    )
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setattr("controller.shell.plan_store.examiner._MODULE", "deaf_examiner")
    error = refusal_of(b"#" * 250_000, limits=LIMITS._replace(wall_s=0.2))  # fills the pipe
    assert told(error) == "examining the plan took longer than 0.2 s and was ended"
    assert children() == ""


def many_loads() -> str:
    """A plan with as many loads as a board has lines, each with a second on and a second off."""
    start, rest = PORCH.split("[loads.pump]", 1)
    load = "[loads.pump]" + rest.split("# What a dry run")[0]
    loads = [
        load.replace("loads.pump", f"loads.pump{line}").replace("line = 17", f"line = {line}")
        for line in range(54)
    ]
    text = start + "".join(loads)
    return text.replace('"15m on, 15m off"\n', '"1s on, 1s off"\n').replace('"5s"', '"1s"')


def test_an_examination_that_takes_too_much_of_the_processor_is_ended() -> None:
    """Four million changes a day, for a season. Slow (2 s): the least limit is a second."""
    error = refusal_of(many_loads(), limits=LIMITS._replace(cpu_s=1), days=90)
    assert told(error) == (
        "examining the plan took more than 1 s of the processor, or the memory ran out, and it "
        "was ended"
    )
    assert children() == ""


def test_an_examination_that_needs_too_much_memory_is_ended() -> None:
    """Less than the process has already: what a large plan asks for besides is refused."""
    error = refusal_of(many_loads(), limits=LIMITS._replace(memory_bytes=16 * 1024 * 1024))
    assert told(error) == "examining the plan needs more than 16 MB of memory"


def test_whoever_stops_waiting_leaves_no_process_behind() -> None:
    """The daemon is told to end while a plan is examined."""

    async def give_up() -> None:
        with pytest.raises(TimeoutError):  # wait_for cancels what it waits for
            await asyncio.wait_for(
                examine(PORCH.encode(), source="plan.toml", now=NOW, days=3), 0.1
            )

    asyncio.run(give_up())
    assert children() == ""


def test_an_examiner_that_cannot_be_started_refuses(monkeypatch: pytest.MonkeyPatch) -> None:
    """In words; a missing interpreter stands for a machine without memory for a process."""
    monkeypatch.setattr("sys.executable", "/nowhere/python")
    assert told(refusal_of(PORCH)) == ("the plan cannot be examined now: no such file or directory")


@pytest.mark.parametrize(
    ("program", "says"),
    [
        ("print('[]')", "exit code 0"),  # JSON of another shape
        ("print('x' * 5_000_000)", "exit code 0"),  # more than is read
        ("raise RuntimeError('oh')", "RuntimeError: oh"),
        ("import os, sys; os.close(0); sys.exit(7)", "exit code 7"),
        ("import os; os.abort()", "exit code -6"),
    ],
)
def test_an_examiner_that_breaks_down_refuses(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, program: str, says: str
) -> None:
    """Whatever our own process does, it is told as our fault, and the plan is not taken."""
    (tmp_path / "broken_examiner.py").write_text(program)
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setattr("controller.shell.plan_store.examiner._MODULE", "broken_examiner")
    assert told(refusal_of(PORCH)) == (
        f"examining the plan failed ('{says}'): this is a fault of rootclock"
    )


def test_it_runs_after_everybody_else(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its process is nice, is the first to go where memory runs out, and leaves no core dump."""
    spy = tmp_path / "spy.py"
    spy.write_text(
        "import os, resource, runpy, sys\n"
        "from pathlib import Path\n"
        "runpy.run_module('controller.cli.examine_command', run_name='examine')['main']()\n"
        "limits = [resource.getrlimit(kind)[1] for kind in\n"
        "    (resource.RLIMIT_CPU, resource.RLIMIT_AS, resource.RLIMIT_CORE)]\n"
        "seen = (os.getpriority(os.PRIO_PROCESS, 0), os.sched_getscheduler(0) == os.SCHED_BATCH,\n"
        "    Path('/proc/self/oom_score_adj').read_text().strip(), limits)\n"
        f"Path({str(tmp_path / 'seen')!r}).write_text(repr(seen))\n"
    )
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setattr("controller.shell.plan_store.examiner._MODULE", "spy")
    assert examined(PORCH).is_fit
    assert (tmp_path / "seen").read_text() == repr(
        (10, True, "1000", [LIMITS.cpu_s, LIMITS.memory_bytes, 0])
    )


def test_the_local_date_is_the_site_s() -> None:
    """At 23:30 UTC it is the next day in Zurich already."""
    run = examined(PORCH, now=parse_rfc3339("2026-07-01T23:30:00Z"), days=1).runs[0]
    assert rfc3339(run.start) == "2026-07-01T22:00:00Z"
