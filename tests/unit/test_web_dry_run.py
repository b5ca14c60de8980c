"""Dry runs asked for by the page: what is refused and of which part, progress, lines, and ends."""

from __future__ import annotations

import asyncio
import json
import os
from itertools import count
from types import SimpleNamespace
from typing import Any

import pytest

from controller.core.errors import BusyError
from controller.shell.examples import example_text
from web.api.paper import _lines
from web.paper.desk import PaperDesk, PaperLimits
from web.paper.jobs import answer

PORCH, HOT = example_text("porch"), example_text("hot-afternoon")
YEARS = 3_660  # days: the longest run that may be asked for, which takes a while
SILENT = (
    '[[faults]]\nkind = "sensor_silent"\nsensor = "air"\n'
    'from = "2026-07-01T10:00"\nuntil = "2026-07-01T11:00"\n'
)


def _job(**more: object) -> dict[str, Any]:
    """A day of the porch, but for what is given otherwise."""
    asked = {
        "text": PORCH, "start": "2026-07-01", "days": 1, "weather": None, "faults": None,
        "compare": None, "plan_name": "this plan", "compare_name": "the other plan", "want": [],
    }  # fmt: skip
    return {"job": "dry-run", **asked, **more}


def _weather(text: str, encoding: str = "utf-8") -> dict[str, str]:
    return {"name": "july.csv", "text": text, "encoding": encoding}


# What is refused


@pytest.mark.parametrize(
    ("more", "about", "told"),
    [
        ({"weather": _weather("x")}, "weather", "july.csv: line 1, 'x', begins no format"),
        ({"weather": _weather("€", "latin-1")}, "weather", "send it as utf-8"),
        ({"faults": "?"}, "faults", "not TOML"),
        ({"faults": SILENT.replace("silent", "mute")}, "faults", "did you mean sensor_stuck?"),
        ({"faults": SILENT}, "faults", "a sensor 'air'; it uses none"),
        ({"text": "?"}, "plan", "1 error in the plan"),
        ({"compare": "?"}, "compare", "1 error in the plan"),
        ({"start": "2026-02-30"}, "start", "'2026-02-30' is not a date"),
        ({"start": "2026-07-01T06:00"}, "start", "has no offset from UTC"),
        ({"start": "0001-01-01"}, "start", "is outside of"),
        ({"start": "2026-02-30", "compare": HOT}, "start", "is not a date"),
    ],
)
def test_a_refusal_tells_which_part_it_is_about(
    more: dict[str, object], about: str, told: str
) -> None:
    """By the key of the request, so that a form can say it beside the field."""
    refused = answer(_job(**more))
    assert "result" not in refused
    assert refused["about"] == about
    assert told in refused["refused"]


def test_what_is_wrong_with_a_part_comes_with_it() -> None:
    """Findings of a plan, complaints about a script, each with its place."""
    plan = answer(_job(text=PORCH.replace('cycle = "15m on, 45m off"', 'cycle = "15x on"')))
    assert [one["where"] for one in plan["findings"]] == ["loads.pump.spans.1.cycle"]
    script = answer(_job(faults=SILENT.replace("until", "untill")))
    assert [one["where"] for one in script["complaints"]] == ["faults.0.until", "faults.0.untill"]
    assert all(one["message"] for one in script["complaints"])


@pytest.mark.parametrize(
    ("text", "compare", "unfit"), [(PORCH, HOT, "porch.toml"), (HOT, PORCH, "other.toml")]
)
def test_a_script_that_fits_one_plan_of_two_says_which_it_does_not_fit(
    text: str, compare: str, unfit: str
) -> None:
    """By the name under which each was sent."""
    refused = answer(
        _job(text=text, compare=compare, faults=SILENT, plan_name="porch.toml",
             compare_name="other.toml")
    )  # fmt: skip
    assert refused["about"] == "faults"
    (complaint,) = refused["complaints"]
    assert complaint["where"] == "faults.0 (sensor_silent)"
    assert complaint["message"].startswith(f"{unfit}: ")


def test_events_that_are_too_long_are_not_sent(monkeypatch: pytest.MonkeyPatch) -> None:
    """With what to ask for instead; as long as they may be, they are."""
    events = answer(_job(want=["events"]))["result"]["events"]
    monkeypatch.setattr("web.paper.dry_run.EVENTS_LENGTH_MAX", len(events))
    assert answer(_job(want=["events"]))["result"]["events"] == events
    monkeypatch.setattr("web.paper.dry_run.EVENTS_LENGTH_MAX", len(events) - 1)
    assert "ask for fewer days" in answer(_job(want=["events"]))["refused"]


# Progress


def _shares(monkeypatch: pytest.MonkeyPatch, step_s: float, **more: object) -> list[float]:
    """What a run tells of itself where each look at the clock comes so much later."""
    clock = count()
    time = SimpleNamespace(monotonic=lambda: next(clock) * step_s)
    monkeypatch.setattr("web.paper.progress.time", time)
    told: list[dict[str, Any]] = []
    assert "result" in answer(_job(**more), told.append)
    assert {key for one in told for key in one} <= {"progress"}
    return [one["progress"] for one in told]


def test_progress_rises_to_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """At every change where the clock runs fast; of two plans each has a half."""
    alone = _shares(monkeypatch, 1.0, days=2)
    assert len(alone) > 100
    assert alone == sorted(alone)
    assert 0.0 <= alone[0] < 0.05
    assert 0.95 < alone[-1] <= 1.0
    both = _shares(monkeypatch, 1.0, days=2, compare=PORCH)
    assert both == [*(share / 2 for share in alone), *((1 + share) / 2 for share in alone)]


def test_progress_is_told_now_and_then(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not more often than five times a second; of a short run, not at all."""
    often = len(_shares(monkeypatch, 1.0, days=2))
    assert len(_shares(monkeypatch, 0.0625, days=2)) == often // 4  # 0.2 s are 3.2 such steps
    assert _shares(monkeypatch, 0.0, days=2) == []


# Lines


async def _read_all(desk: PaperDesk, job: dict[str, Any]) -> list[Any]:
    data = b"".join([line async for line in _lines(desk, job)])
    assert data.endswith(b"\n")
    return [json.loads(line) for line in data.splitlines()]


def test_lines_end_with_the_account_or_the_problem() -> None:
    """Each is one JSON object; the last has the outcome, whichever that is."""

    async def work() -> list[list[Any]]:
        desk = PaperDesk()
        try:
            return [await _read_all(desk, _job(days=days, text=text))
                    for text, days in ((PORCH, 60), ("?", 1))]  # fmt: skip
        finally:
            await desk.close()

    fine, refused = asyncio.run(work())
    assert [*fine[-1]] == ["told"]
    assert fine[-1]["told"] == answer(_job(days=60))["result"]
    assert all([*line] == ["done"] and 0 <= line["done"] <= 1 for line in fine[:-1])
    (line,) = refused
    problem = line["problem"]
    assert (problem["status"], problem["about"]) == (422, "plan")
    assert problem["type"] == "/api/v1/problems/plan-refused"
    assert problem["findings"][0]["line"] == 1


def test_lines_tell_that_too_many_run() -> None:
    """As a problem of the service and not of what was asked."""

    async def work() -> list[Any]:
        desk = PaperDesk(PaperLimits(dry_runs_max=0))
        return await _read_all(desk, _job())

    (line,) = asyncio.run(work())
    assert line["problem"]["status"] == 503
    assert "other dry runs are at work" in line["problem"]["detail"]


# Ends


class _Started:
    """A long run at work: its task, and the worker's number, once that has told of progress."""

    def __init__(self, desk: PaperDesk) -> None:
        self._told = asyncio.Event()
        self.desk = desk
        self.task = asyncio.ensure_future(
            desk.dry_run(_job(days=YEARS), lambda _: self._told.set())
        )

    async def pid(self) -> int:
        async with asyncio.timeout(60):
            await self._told.wait()
        (worker,) = self.desk._workers
        return worker.pid


def _is_gone(pid: int) -> bool:
    """Whether no process has this number, not even one that nobody has waited for."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    return False


def test_a_run_that_nobody_wants_any_more_leaves_no_worker() -> None:
    """The process is gone by the time that the end is told, and its place is free again."""

    async def work() -> tuple[bool, bool, Any]:
        desk = PaperDesk(PaperLimits(dry_runs_max=1))
        run = _Started(desk)
        pid = await run.pid()
        was_there = not _is_gone(pid)
        with pytest.raises(BusyError, match="other dry runs"):
            await desk.dry_run(_job())
        run.task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await run.task
        is_gone = _is_gone(pid) and not desk._workers
        told = await desk.dry_run(_job())
        await desk.close()
        return was_there, is_gone, told

    was_there, is_gone, told = asyncio.run(work())
    assert was_there
    assert is_gone
    assert told == answer(_job())["result"]


def test_a_run_that_is_cancelled_before_it_began_leaves_no_worker() -> None:
    """At each turn of the loop from the question until the worker is known."""

    async def work(turns: int) -> tuple[bool, int, set[int]]:
        desk = PaperDesk()
        task = asyncio.ensure_future(desk.dry_run(_job(days=YEARS)))
        for _ in range(turns):
            await asyncio.sleep(0)  # a turn, and no time
        was_known = bool(desk._workers)
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task
        return was_known, desk._dry_runs, {worker.pid for worker in desk._workers}

    for turns in range(10_000):
        was_known, runs, workers = asyncio.run(work(turns))
        assert (runs, workers, _children()) == (0, set(), set()), turns
        if was_known:
            break
    assert was_known
    assert turns > 3


def _children() -> set[int]:
    """The numbers of this process's own children. Source: proc(5), /proc/pid/task/tid/children."""
    path = f"/proc/{os.getpid()}/task/{os.getpid()}/children"
    with open(path, encoding="ascii") as file:  # noqa: PTH123 - a file of the kernel
        return {int(pid) for pid in file.read().split()}


def test_lines_that_nobody_reads_on_end_the_worker() -> None:
    """As when a browser's window is closed in the middle of a run."""

    async def work() -> tuple[Any, bool]:
        desk = PaperDesk()
        lines = _lines(desk, _job(days=YEARS))
        first = json.loads(await anext(lines))
        (worker,) = desk._workers
        await lines.aclose()
        is_gone = _is_gone(worker.pid) and not desk._workers
        await desk.close()
        return first, is_gone

    first, is_gone = asyncio.run(work())
    assert 0 < first["done"] < 1
    assert is_gone


def test_closing_ends_what_runs() -> None:
    """Whoever waits is told why, and no process is left."""

    async def work() -> bool:
        desk = PaperDesk()
        run = _Started(desk)
        pid = await run.pid()
        await desk.close()
        is_gone = _is_gone(pid)
        with pytest.raises(BusyError, match="the page ends"):
            await run.task
        with pytest.raises(BusyError, match="the page ends"):
            await desk.dry_run(_job())
        return is_gone

    assert asyncio.run(work())


def test_closing_ends_small_jobs_too() -> None:
    """They are told the same, and not that there was no memory for them."""

    async def work() -> set[int]:
        desk = PaperDesk()
        asked = asyncio.ensure_future(desk.small_job({"job": "check", "text": PORCH, "now": 0}))
        for _ in range(10_000):
            await asyncio.sleep(0)  # a turn, and no time
            if desk._workers:
                break
        await desk.close()
        with pytest.raises(BusyError, match="the page ends"):
            await asked
        return {worker.pid for worker in desk._workers}

    assert asyncio.run(work()) == set()


def test_closing_ends_what_is_about_to_begin() -> None:
    """At each turn of the loop from the question until the worker is known."""

    async def work(turns: int) -> tuple[bool, set[int]]:
        desk = PaperDesk()
        task = asyncio.ensure_future(desk.dry_run(_job(days=YEARS)))
        for _ in range(turns):
            await asyncio.sleep(0)  # a turn, and no time
        was_known = bool(desk._workers)
        await desk.close()
        with pytest.raises(BusyError, match="the page ends"):
            await task
        return was_known, {worker.pid for worker in desk._workers}

    for turns in range(10_000):
        was_known, workers = asyncio.run(work(turns))
        assert (workers, _children()) == (set(), set()), turns
        if was_known:
            break
    assert was_known
    assert turns > 3
