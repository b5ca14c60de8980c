"""Work on paper without a process: days, spans, differences, documents, and what is refused."""

from __future__ import annotations

import asyncio
import io
import json
import tomllib
from collections import OrderedDict
from datetime import date
from typing import Any

import pytest

from controller.core.plan_text.reading import read_plan
from controller.core.schedule import Schedule, make_schedule
from controller.core.units import DAY_MS, HOUR_MS, parse_rfc3339
from controller.shell.examples import example_names, example_text
from web.difference import difference_of
from web.paper import checking, preview
from web.paper.day_json import day_text, spans_of
from web.paper.day_run import DayRun
from web.paper.days import ChosenDay
from web.paper.desk import PaperDesk, PaperLimits
from web.paper.frames import frame_of, next_answer, read_frame
from web.paper.jobs import answer
from web.paper.shares import share_of, whole
from web.problems import Problem

PORCH = example_text("porch")
NOW = 1_782_900_000_000  # 2026-07-01T10:00:00Z


def _previewed(text: str, running: str | None, now: int, *parts: str, shares: int = 1) -> Any:
    job = {"job": "preview", "text": text, "running": running, "now": now, "parts": list(parts)}
    answers = [answer({**job, "share": [number, shares]})["result"] for number in range(shares)]
    return json.loads(whole([share_of(one) for one in answers]))


def test_spans_tell_their_place_in_the_plan() -> None:
    """So that an editor knows which to change."""
    schedule = make_schedule(read_plan(PORCH.encode(), "porch").plan)
    spans = spans_of(schedule, schedule.loads[0].own, date(2026, 7, 1))
    assert [(span["from"], span["place"]) for span in spans] == [
        ("sunrise - 30m", 0),
        ("sunset + 1h", 1),
    ]


def test_what_toml_has_and_json_has_not_is_text() -> None:
    """A half-made plan may hold anything."""
    text = "a = 2026-07-01\nb = inf\nc = nan\nd = 07:32:00\ne = 9007199254740993\nf = true\n"
    document = {
        "a": "2026-07-01", "b": "inf", "c": "nan", "d": "07:32:00",
        "e": "9007199254740993", "f": True,
    }  # fmt: skip
    for given, wanted in ((text, document), ("a = ", None), ("a = " + "[" * 5_000, None)):
        told = answer({"job": "check", "text": given, "now": NOW})["result"]
        assert told["document"] == wanted
        faults = answer({"job": "faults", "text": given, "plan": None})["result"]
        assert faults["document"] == wanted


_TOO_HIGH = PORCH.replace("line = 17", "line = 99")
_SET = {"do": "set", "at": "loads.pump.watts", "value": 23}


@pytest.mark.parametrize(
    ("jobs", "read"),
    [
        pytest.param([{"job": "preview", "text": PORCH}], [PORCH], id="a preview"),
        pytest.param([{"job": "preview", "text": _TOO_HIGH}], [_TOO_HIGH], id="one with errors"),
        pytest.param(
            [
                {"job": job, "text": text}
                for job in ("check", "preview")
                for text in (PORCH, _TOO_HIGH)
            ],
            [PORCH, _TOO_HIGH],
            id="a check, then a preview",
        ),
        pytest.param(
            [
                {"job": "edit", "text": PORCH, "edits": [_SET]},
                {"job": "preview", "text": PORCH.replace("watts = 22", "watts = 23")},
            ],
            [PORCH, PORCH.replace("watts = 22", "watts = 23")],
            id="an edit, then a preview",
        ),
        pytest.param(
            [
                {"job": "edit", "text": PORCH, "edits": [{**_SET, "value": 30 + n}]}
                for n in range(9)
            ],
            [PORCH, *(PORCH.replace("watts = 22", f"watts = 3{number}") for number in range(9))],
            id="many edits of one text",
        ),
    ],
)
def test_a_text_is_read_once(
    jobs: list[dict[str, Any]], read: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """For its findings, for its plan and for what the page shows of it; one with errors too."""
    taken, loads = [], tomllib.loads

    def noted(text: str) -> dict[str, Any]:
        if "\n" in text:  # and is no example for an error's words
            taken.append(text)
        return loads(text)

    monkeypatch.setattr(checking, "_known", OrderedDict())
    monkeypatch.setattr(tomllib, "loads", noted)
    for job in jobs:
        asked = {"running": None, "now": NOW, "parts": ["next"], "share": [0, 1]}
        assert "result" in answer({**asked, **job})
    assert taken == read


def test_the_plan_in_force_is_told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """However often another is edited beside it; of very many days the last are kept."""
    told = []

    def noted(schedule: Schedule, one: ChosenDay, done: DayRun, **more: Any) -> bytes:
        told.append((one.day.isoformat(), more.get("is_running", False)))
        return day_text(schedule, one, done, **more)

    monkeypatch.setattr(preview, "_kept", OrderedDict())
    monkeypatch.setattr(preview, "day_text", noted)
    first, *others = [
        _previewed(PORCH.replace("15m on, 15m off", f"{minutes}m on, 15m off"), PORCH, NOW, "next")
        for minutes in (14, 13, 12)
    ]
    assert [one["running"] for one in others] == [first["running"]] * 2
    assert told == [("2026-07-01", is_running) for is_running in (True, False, False, False)]
    for number in range(20):
        _previewed(PORCH, PORCH, NOW + number * DAY_MS, "next")
    assert len(preview._kept) == preview._KEPT_MAX


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
    told = _previewed(PORCH, None, now, "next", "hottest", "odd", "year")
    parts = [day["part"] for day in told["days"]]
    assert parts == ["next", "hottest", *["odd"] * (len(parts) - 2)]
    assert len(parts) > 3
    assert told["running"] is None
    assert {day["compared"] for day in told["days"]} == {None}
    assert all("changed" not in load for day in told["days"] for load in day["loads"])


def test_a_date_of_two_parts_is_told_once() -> None:
    """For the first of them, with the reasons of both."""
    solstice = parse_rfc3339("2026-06-21T10:00:00Z")
    days = _previewed(PORCH, None, solstice, "next", "hottest", "odd")["days"]
    assert len({day["date"] for day in days}) == len(days) == 5
    assert (days[0]["part"], days[0]["why"]) == ("next", "the longest day of the year")
    hottest = parse_rfc3339(f"{days[1]['date']}T10:00:00Z")
    (day,) = _previewed(PORCH, None, hottest, "next", "hottest")["days"]
    assert (day["part"], day["why"]) == ("next", "the hottest day of a typical year")


def test_odd_days_are_carried_out_like_the_others() -> None:
    """By the very code, so that each tells what it tells as the next day; a day on which the
    clocks go forward has 23 hours (Directive 2000/84/EC)."""
    for name in example_names():
        text = example_text(name)
        for odd in _previewed(text, None, NOW, "odd")["days"]:
            noon = parse_rfc3339(odd["from_utc"]) + 12 * HOUR_MS
            (alone,) = _previewed(text, None, noon, "next")["days"]
            # Its water is reckoned in fewer steps (see `test_web_water`), which may tell another
            # of the moments at which roots were equally dry.
            for day in (odd, alone):
                day["findings"] = [{**one, "message": ""} for one in day["findings"]]
            water = {"water": odd["water"]}
            assert (alone["water"] is None) is (odd["water"] is None)
            assert {**alone, **water, "part": "odd", "why": odd["why"]} == odd
            length_h = (parse_rfc3339(odd["to_utc"]) - parse_rfc3339(odd["from_utc"])) / HOUR_MS
            wanted = {"the clocks go forward": 23, "the clocks go back": 25}
            assert length_h == wanted.get(odd["why"], 24)


def test_what_changed_is_marked() -> None:
    """A load that waters otherwise, and one that the plan in force has not."""
    text = example_text("greenhouse")
    edited = text.replace(
        '{ from = "sunset", cycle = "10m on, 50m off" }', '{ from = "sunset", cycle = "off" }'
    ).replace("[loads.fan", "[loads.breeze").replace("[[loads.fan", "[[loads.breeze")  # fmt: skip
    told = _previewed(edited, text, NOW, "next")
    changed = {load["name"]: load["changed"] for load in told["days"][0]["loads"]}
    assert changed.pop("columns_1_3")
    assert changed.pop("breeze")
    before = {load["name"]: load["on"] for load in told["running"]["days"][0]["loads"]}
    after = {load["name"]: load["on"] for load in told["days"][0]["loads"]}
    assert changed == {name: after[name] != before[name] for name in changed}
    assert all("changed" not in load for load in told["running"]["days"][0]["loads"])
    assert "breeze" in told["days"][0]["compared"]


def test_spans_of_variants_are_told() -> None:
    """As they would start on the date, whether or not the variant holds."""
    (day,) = _previewed(example_text("hot-afternoon"), None, NOW, "next")["days"]
    variants = {load["name"]: load["variants"] for load in day["loads"]}
    hot, seedlings = variants["pump"]
    assert (hot["name"], seedlings["name"]) == ("hot", "seedlings")
    assert hot["spans"] == [
        {
            "start_utc": "2026-07-01T08:00:00Z",
            "from": "10:00",
            "cycle": "20m on, 10m off",
            "place": 0,
        },
        {
            "start_utc": "2026-07-01T19:00:00Z",
            "from": "21:00",
            "cycle": "15m on, 30m off",
            "place": 1,
        },
    ]


def test_a_plan_in_force_that_cannot_be_read_is_not_compared_with() -> None:
    """It is of another version, and the new one is what matters."""
    assert _previewed(PORCH, "?", NOW, "next")["running"] is None


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
        return await next_answer(reader)

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
