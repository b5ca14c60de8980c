"""Work on paper without a process: bands, differences, documents, and what is refused."""

from __future__ import annotations

import asyncio
import io
from datetime import date
from itertools import pairwise
from typing import Any

import pytest

from controller.cli.carrying_out import period
from controller.core.plan_text.reading import read_plan
from controller.core.schedule import make_schedule
from controller.core.units import SECOND_MS
from controller.shell.examples import example_names, example_text
from web.difference import difference_of
from web.paper.bands import planned_bands, spans_of
from web.paper.checking import document_of
from web.paper.desk import PaperDesk, PaperLimits
from web.paper.frames import frame_of, next_frame, read_frame
from web.paper.jobs import answer
from web.problems import Problem

PORCH = example_text("porch")
NOW = 1_782_900_000_000  # 2026-07-01T10:00:00Z


@pytest.mark.parametrize("name", example_names())
@pytest.mark.parametrize("day", [date(2026, 3, 29), date(2026, 7, 1), date(2026, 10, 25)])
def test_planned_bands_are_the_timeline(name: str, day: date) -> None:
    """Asked second by second at the borders: on within, off right before and after.

    The days are of 23, 24 and 25 hours where the zone follows Directive 2000/84/EC.
    """
    schedule = make_schedule(read_plan(example_text(name).encode(), name).plan)
    start, end = period(schedule, day, 1)
    for load in schedule.loads:
        bands = planned_bands(load.own, start, end)
        assert all(before[1] < after[0] for before, after in pairwise(bands))
        for first_s, last_s in bands:
            first, last = start + int(first_s * SECOND_MS), start + int(last_s * SECOND_MS)
            assert first < last
            assert load.own.state_at(first)
            assert load.own.state_at(last - 1)
            assert first == start or not load.own.state_at(first - 1)
            assert last == end or not load.own.state_at(last)


def test_spans_tell_their_place_in_the_plan() -> None:
    """So that an editor knows which to change."""
    schedule = make_schedule(read_plan(PORCH.encode(), "porch").plan)
    spans = spans_of(schedule, schedule.loads[0], date(2026, 7, 1))
    assert [(span["from"], span["place"]) for span in spans] == [
        ("sunrise - 30m", 0),
        ("sunset + 1h", 1),
    ]


def test_what_toml_has_and_json_has_not_is_text() -> None:
    """A half-made plan may hold anything."""
    text = "a = 2026-07-01\nb = inf\nc = nan\nd = 07:32:00\ne = 9007199254740993\nf = true\n"
    assert document_of(text) == {
        "a": "2026-07-01", "b": "inf", "c": "nan", "d": "07:32:00",
        "e": "9007199254740993", "f": True,
    }  # fmt: skip
    assert document_of("a = ") is None
    assert document_of("a = " + "[" * 5_000) is None


def test_a_difference_numbers_lines_on_both_sides() -> None:
    """With three lines around, as unified diffs have it."""
    before = {"revision": 1, "text": "a\nb\nc\nd\ne\nf\n"}
    after = {"revision": 2, "text": "a\nb\nc\nd\nE\nf\ng\n"}
    told = difference_of(before, after)
    keys = ("sign", "before", "after", "text")
    assert [tuple(line[key] for key in keys) for line in told["lines"]] == [
        (" ", 2, 2, "b"),
        (" ", 3, 3, "c"),
        (" ", 4, 4, "d"),
        ("-", 5, None, "e"),
        ("+", None, 5, "E"),
        (" ", 6, 6, "f"),
        ("+", None, 7, "g"),
    ]  # fmt: skip
    assert told["text"].startswith("--- revision 1\n+++ revision 2\n@@ -2,5 +2,6 @@\n")
    assert difference_of(before, before)["lines"] == []
    with pytest.raises(Problem, match="too long"):
        difference_of(before, {"revision": 2, "text": "\n" * 6_000})


@pytest.mark.parametrize("now", [0, NOW, 2**53])
def test_any_clock_can_be_asked(now: int) -> None:
    """A board's clock may be far out; a preview is not the place to say so."""
    job = {"job": "preview", "text": PORCH, "running": None, "now": now,
           "parts": ["next", "hottest", "odd", "year"]}  # fmt: skip
    told = answer(job)["result"]
    assert [day["part"] for day in told["days"]] == ["next", "hottest"]
    assert told["running"] is None
    assert [day["compared"] for day in told["days"]] == [None, None]


def test_a_plan_in_force_that_cannot_be_read_is_not_compared_with() -> None:
    """It is of another version, and the new one is what matters."""
    job = {"job": "preview", "text": PORCH, "running": "?", "now": NOW, "parts": ["next"]}
    assert answer(job)["result"]["running"] is None


@pytest.mark.parametrize(
    ("job", "told"),
    [
        ({"job": "edit", "text": PORCH, "edits": [{"do": "set", "at": "x.y", "value": 1}]}, "x"),
        ({"job": "edit", "text": PORCH, "edits": [{"do": "set", "at": "", "value": 1}]}, "place"),
        ({"job": "edit", "text": PORCH, "edits": [{"do": "set", "at": "format"}]}, "None"),
        ({"job": "edit", "text": PORCH, "edits": [{"do": "add", "at": "loads.x"}]}, "None"),
        ({"job": "edit", "text": "?", "edits": []}, "plan"),
    ],
)
def test_what_does_not_fit_is_refused(job: dict[str, Any], told: str) -> None:
    """In words; the worker lives on."""
    assert told in answer(job)["refused"]


def test_frames_are_read_as_they_were_written() -> None:
    """One after the other; the end is told."""
    stream = io.BytesIO(frame_of({"a": "ü"}) + frame_of([1]))
    assert [read_frame(stream) for _ in range(3)] == [{"a": "ü"}, [1], None]

    async def other_way() -> Any:
        reader = asyncio.StreamReader()
        reader.feed_data(frame_of({"b": None}))
        return await next_frame(reader)

    assert asyncio.run(other_way()) == {"b": None}


def test_a_job_that_takes_too_long_is_ended_and_the_next_one_done() -> None:
    """By a new worker; slow, for two are started."""
    job = {"job": "check", "text": PORCH, "now": NOW}

    async def work() -> tuple[str, Any]:
        desk = PaperDesk(PaperLimits(small_job_s=0.01))
        with pytest.raises(Exception, match="took longer") as caught:
            await desk.small_job(job)
        patient = PaperDesk()
        result = await patient.small_job(job)
        await desk.close()
        await patient.close()
        return type(caught.value).__name__, result["is_fit"]

    assert asyncio.run(work()) == ("PaperError", True)


def test_a_worker_that_cannot_live_is_told() -> None:
    """With less memory than Python's libraries need; the page goes on."""

    async def work() -> str:
        desk = PaperDesk(PaperLimits(small_job_bytes=40 * 1024 * 1024))
        try:
            await desk.small_job({"job": "check", "text": PORCH, "now": NOW})
        except Exception as error:  # noqa: BLE001 - which it is, is what is looked at
            return type(error).__name__
        finally:
            await desk.close()
        return "nothing"

    assert asyncio.run(work()) in {"PaperError", "Problem"}
