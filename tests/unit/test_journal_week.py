"""The week at a glance: local days, waterings, gaps that were longer than usual."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, parse_rfc3339, rfc3339
from controller.core.wall_clock import load_zone
from controller.report.ink import Ink
from controller.report.journal_week import week_bounds, week_told
from controller.report.week_text import week_lines

ZURICH = load_zone("Europe/Zurich")


def _history(now: int, on: list[tuple[int, int]], since: int, **more: Any) -> dict[str, Any]:
    """What the controller tells of one pump, in instants."""
    return {
        "timezone": "Europe/Zurich",
        "since_utc": rfc3339(since),
        "until_utc": rfc3339(now),
        "known_from_utc": rfc3339(since),
        "ordered_from_utc": rfc3339(now),
        "is_whole": True,
        "lateness": {},
        "away": [],
        "marks": [],
        "loads": [
            {
                "name": "pump",
                "kind": "pump",
                "on": [[start - since, end - since] for start, end in on],
                "differs": [],
            }
        ],
        **more,
    }


def _half_hours(since: int, now: int) -> list[tuple[int, int]]:
    """15 min on, 15 min off."""
    return [(at, min(now, at + 15 * MINUTE_MS)) for at in range(since, now, 30 * MINUTE_MS)]


@pytest.mark.parametrize(
    ("now", "lengths_h", "waterings"),
    [
        # Clocks go back on 25 October 2026: a day of 25 hours has 50 half hours.
        ("2026-10-28T12:00:00Z", [24, 24, 24, 25, 24, 24, 24], [48, 48, 48, 50, 48, 48, 26]),
        # And forward on 29 March 2026: 46 in 23 hours.
        ("2026-03-30T22:00:00Z", [24, 24, 24, 24, 23, 24, 24], [48, 48, 48, 48, 46, 48, 0]),
    ],
)
def test_days_are_as_long_as_the_sites(
    now: str, lengths_h: list[int], waterings: list[int]
) -> None:
    """Local midnight to local midnight; a watering belongs to the day in which it starts."""
    at = parse_rfc3339(now)
    bounds = week_bounds(ZURICH, at)
    week = week_told(_history(at, _half_hours(bounds.since, at), bounds.since), bounds.days)
    lengths = [
        (parse_rfc3339(day["to_utc"]) - parse_rfc3339(day["from_utc"])) / HOUR_MS
        for day in week["days"]
    ]
    assert lengths == lengths_h
    assert [day["loads"][0]["starts"] for day in week["days"]] == waterings
    assert [day["is_over"] for day in week["days"]] == [True] * 6 + [False]
    on_s = sum(day["loads"][0]["on_s"] for day in week["days"])
    shown = at - parse_rfc3339(week["days"][0]["from_utc"])
    assert on_s == pytest.approx(shown / 2000, abs=900)


def _week(on: list[tuple[int, int]], now: int, **more: Any) -> dict[str, Any]:
    bounds = week_bounds(ZURICH, now)
    return week_told(_history(now, on, bounds.since, **more), bounds.days)


NOW = parse_rfc3339("2026-07-08T10:00:00Z")
SINCE = week_bounds(ZURICH, NOW).since


def test_a_gap_half_as_long_again_as_usual_is_told() -> None:
    """Three waterings missed are a gap of 105 min among gaps of 15."""
    hole = SINCE + 3 * DAY_MS + 12 * HOUR_MS
    on = [one for one in _half_hours(SINCE, NOW) if not hole <= one[0] < hole + 90 * MINUTE_MS]
    week = _week(on, NOW)
    assert week["loads"][0]["long_gap_s"] == 1350.0
    long_gaps = [gap for day in week["days"] for gap in day["loads"][0]["long_gaps"]]
    assert long_gaps == [
        {
            "from_utc": rfc3339(hole - 15 * MINUTE_MS),
            "to_utc": rfc3339(hole + 90 * MINUTE_MS),
            "length_s": 6300.0,
            "is_over": True,
        }
    ]
    [lines] = [line for line in week_lines(week, Ink(False)) if "longer" in line]
    assert lines.strip() == "longer than usual: 1 h 45 min"


def test_days_before_the_journal_are_not_told_as_days_without_water() -> None:
    """Nobody knows what was before; the day in which it begins is told from there."""
    begin = parse_rfc3339("2026-07-07T10:00:00Z")
    week = _week([(begin, begin + 15 * MINUTE_MS)], NOW, known_from_utc=rfc3339(begin))
    lines = [line.strip() for line in week_lines(week, Ink(False))]
    assert [line.split(maxsplit=3)[3] for line in lines if "Jul" in line] == [
        *(["not known: the journal begins later"] * 5),
        "1 watering, 15 min on, longest dry gap 23 h 45 min",
        "0 waterings, 0 s on, longest dry gap 23 h 45 min",
    ]


def test_a_gap_that_goes_on_is_told_while_it_does() -> None:
    """A pump that died an hour ago."""
    on = [one for one in _half_hours(SINCE, NOW) if one[0] < NOW - HOUR_MS]
    [gap] = _week(on, NOW)["days"][-1]["loads"][0]["long_gaps"]
    assert (gap["to_utc"], gap["is_over"], gap["length_s"]) == (rfc3339(NOW), False, 3600 + 900)


def test_a_gap_over_days_is_told_on_each_of_them() -> None:
    """Also on a day on which nothing at all happened."""
    hole = SINCE + 3 * DAY_MS - 6 * HOUR_MS
    on = [one for one in _half_hours(SINCE, NOW) if not hole <= one[0] < hole + 2 * DAY_MS]
    days = _week(on, NOW)["days"]
    assert [len(day["loads"][0]["long_gaps"]) for day in days] == [0, 1, 1, 1, 0, 0, 0]
    assert days[2]["loads"][0]["starts"] == 0
    assert days[2]["loads"][0]["longest_gap_s"] == 2 * 86_400 + 900


def test_of_few_gaps_nobody_can_say_what_is_usual() -> None:
    """A lamp that was lit three times."""
    on = [(SINCE + day * DAY_MS, SINCE + day * DAY_MS + HOUR_MS) for day in (0, 1, 5)]
    week = _week(on, NOW)
    assert week["loads"][0]["long_gap_s"] is None
    assert [gap for day in week["days"] for gap in day["loads"][0]["long_gaps"]] == []


def test_a_load_on_over_midnight_started_once() -> None:
    """And counts on both days for the time that passed there."""
    midnight = week_bounds(ZURICH, NOW).since + 3 * DAY_MS
    days = _week([(midnight - HOUR_MS, midnight + 2 * HOUR_MS)], NOW)["days"]
    told = [(day["loads"][0]["starts"], day["loads"][0]["on_s"]) for day in days]
    assert told == [(0, 0), (1, 3600), (0, 7200), (0, 0), (0, 0), (0, 0), (0, 0)]


def test_alarms_and_differences_are_told_by_day() -> None:
    """Cut at midnight, where they reach over it."""
    midnight = SINCE + 2 * DAY_MS
    mark = {"number": 1, "utc": rfc3339(midnight + 5), "what": "alarm", "subject": "floor"}
    history = _history(NOW, [], SINCE, marks=[mark])
    history["loads"][0]["differs"] = [
        {
            "from_ms": midnight - SINCE - HOUR_MS,
            "to_ms": midnight - SINCE + HOUR_MS,
            "ordered": "on",
            "why": "leak",
        }
    ]
    days = week_told(history, week_bounds(ZURICH, NOW).days)["days"]
    assert [day["alarms"] for day in days] == [0, 1, 0, 0, 0, 0, 0]
    cuts = [
        [(one["from_s"], one["to_s"]) for one in day["loads"][0]["differs"]] for day in days[:3]
    ]
    assert cuts == [[(82_800.0, 86_400.0)], [(0.0, 3_600.0)], []]
