"""The walk through a year: what season and clocks do to a plan."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from controller.core.findings import Finding
from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.year.walk import walk

_TROMSO = {"latitude": 69.65, "longitude": 18.96, "timezone": "Europe/Oslo"}
_ZURICH = {"latitude": 47.38, "longitude": 8.54, "timezone": "Europe/Zurich"}


def _findings(
    site: dict[str, Any], spans: list[tuple[str, str]], **more: Any
) -> list[tuple[str, str, str]]:
    return [(found.level, found.where, found.message) for found in _walk(site, spans, **more)]


def _walk(site: dict[str, Any], spans: list[tuple[str, str]], **more: Any) -> list[Finding]:
    loads = more.pop("loads", {})
    pump = {"kind": "pump", "line": 17, "active": "low", **more}
    pump["spans"] = [{"from": anchor, "cycle": cycle} for anchor, cycle in spans]
    plan = Plan.model_validate({"format": 1, "site": site, "loads": {"pump": pump, **loads}})
    return walk(make_schedule(plan), date(2026, 1, 1))


def test_a_plain_plan_has_nothing_to_remark() -> None:
    """A plan tied to the sun at a middle latitude brings no surprise in the year."""
    spans = [("sunrise - 30m", "15m on, 15m off"), ("sunset + 1h", "15m on, 45m off")]
    assert _findings(_ZURICH, spans) == []


def test_dates_without_sun_are_told_with_where_the_anchor_stands() -> None:
    """Beyond the polar circle each absence is a note with its dates."""
    found = _findings(_TROMSO, [("sunrise", "15m on, 15m off")])
    assert found == [
        (
            "note",
            "site.latitude",
            "from 1 Jan 2026 to 14 Jan 2026 (14 days), from 28 Nov 2026 to 1 Jan 2027 (35 days) "
            "there is no sunrise: the sun stays down; the anchor stands at solar noon",
        ),
        (
            "note",
            "site.latitude",
            "from 19 May 2026 to 25 Jul 2026 (68 days) there is no sunrise: the sun stays up; "
            "the anchor stands at solar midnight",
        ),
    ]


def test_twilight_that_does_not_end_is_told_as_such() -> None:
    """Where the sun sets but never far, dusk is missing for another reason than sunset."""
    site = {"latitude": 62.0, "longitude": 10.0, "timezone": "Europe/Oslo"}
    found = _findings(site, [("dusk", "15m on, 15m off")])
    assert len(found) == 1
    assert "there is no dusk: the sun never comes 6° under the horizon" in found[0][2]


def test_spans_that_change_their_order_are_told_with_what_rules_then() -> None:
    """Under the midnight sun, sunset + 1h comes after the next sunrise - 30m."""
    spans = [("sunrise - 30m", "15m on, 15m off"), ("sunset + 1h", "15m on, 45m off")]
    warnings = [message for level, _, message in _findings(_TROMSO, spans) if level == "warning"]
    assert warnings == [
        "pump: from 16 May 2026 to 27 Jul 2026 (73 days) the spans follow each other otherwise "
        "than usual; of the 24 hours of 21 Jun it is `sunrise - 30m` (15m on, 15m off) for "
        "1 h 30 min, `sunset + 1h` (15m on, 45m off) for 22 h 30 min"
    ]


def test_a_clock_time_that_crosses_sunrise_is_told_for_its_season() -> None:
    """06:30 is before sunrise in winter and after it in summer."""
    found = _findings(_ZURICH, [("06:30", "15m on, 15m off"), ("sunrise", "10m on, 10m off")])
    assert found
    assert {(level, where) for level, where, _ in found} == {("warning", "loads.pump.spans")}
    assert found[0][2].startswith("pump: from ")
    assert "`06:30` (15m on, 15m off) for " in found[0][2]


@pytest.mark.parametrize(
    ("anchor", "expected"),
    [
        # The last Sunday of March: 02:00 to 03:00 does not exist.
        ("02:30", "pump: on 29 Mar 2026 the clocks skip 02:30: the span starts at 03:00 instead"),
        # The last Sunday of October: 02:00 to 03:00 comes twice.
        ("02:30", "pump: on 25 Oct 2026 the clocks show 02:30 twice: the span starts at the first"),
    ],
)
def test_clock_times_that_the_zone_moves_are_notes(anchor: str, expected: str) -> None:
    """A span whose start is skipped or repeated is told with what becomes of it."""
    notes = [m for level, _, m in _findings(_ZURICH, [(anchor, "15m on, 15m off")])]
    assert expected in notes


def test_a_clock_time_beside_the_change_is_no_finding() -> None:
    """Only times that the dial skips or repeats are told."""
    assert _findings(_ZURICH, [("03:00", "15m on, 15m off")]) == []


def test_waterings_that_run_together_are_told_where_longest_on_cuts_them() -> None:
    """20 min at the end of the night and 20 min at the start of the day are 40 min."""
    spans = [("00:00", "10m off, 20m on"), ("06:00", "20m on, 10m off")]
    found = _findings(_ZURICH, spans, longest_on="30m")
    notes = [(where, message) for level, where, message in found if level == "note"]
    assert notes == [
        (
            "loads.pump.longest_on",
            "pump: where spans meet, waterings run together 366 times in the year, longest 40m "
            "on 1 Jan 2026 from 05:40; longest_on cuts them at 30m",
        )
    ]


def test_rests_that_run_together_are_told() -> None:
    """45 min rest at the end of the night and 15 min at the start of the day are an hour."""
    spans = [("06:00", "15m off, 15m on"), ("21:00", "15m on, 45m off")]
    found = _findings(_ZURICH, spans)
    assert found == [
        (
            "warning",
            "loads.pump.spans",
            "pump: where spans meet, the roots stay dry for up to 1 h on 1 Jan 2026 from 05:15, "
            "longer than any cycle's own rest of 45 min",
        )
    ]


def test_an_anchor_that_never_happens_is_an_error() -> None:
    """A pump that follows a lamp which is always on would never start."""
    lamp = {
        "kind": "lamp",
        "line": 22,
        "active": "low",
        "spans": [{"from": "00:00", "cycle": "on"}],
    }
    found = _walk(_ZURICH, [("lamp on", "15m on, 15m off")], loads={"lamp": lamp})
    assert [(f.level, f.where, f.message) for f in found] == [
        ("error", "loads.pump.spans.0.from", "pump: `lamp on` never happens in the year")
    ]
    assert found[0].mend.startswith("let lamp change to that state every day")


def test_an_anchor_that_is_missing_on_some_dates_is_a_warning() -> None:
    """A lamp that lengthens only short days has no `on` in the midnight sun."""
    lamp = {
        "kind": "lamp",
        "line": 22,
        "active": "low",
        "spans": [
            {"from": "sunset", "cycle": "on"},
            {"from": "22:00", "cycle": "off"},
            {"from": "sunrise", "cycle": "off"},
        ],
    }
    spans = [("00:00", "15m on, 45m off"), ("lamp on", "15m on, 15m off")]
    found = _walk(_TROMSO, spans, loads={"lamp": lamp})
    missing = [f for f in found if f.where == "loads.pump.spans.1.from"]
    assert [f.level for f in missing] == ["warning"]
    assert missing[0].message == (
        "pump: `lamp on` does not happen on 16 May 2026, from 19 May 2026 to 25 Jul 2026 (68 days)"
    )
