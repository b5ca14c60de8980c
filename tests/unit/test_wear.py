"""Relay wear: operations against the rated life, and when that is reached."""

from __future__ import annotations

import json
from zoneinfo import ZoneInfo

import pytest

from controller.core.units import DAY_MS, HOUR_MS, parse_rfc3339
from controller.core.wear import Tally, Wear, tally_from_json, wear_of
from controller.report.wear_text import about_words, wear_sentence

MIDNIGHT = parse_rfc3339("2026-07-01T00:00:00Z")


def _tally(days: float, *, a_day: int, is_trusted: bool = True) -> Tally:
    """An invented pump that ran so often each day, evenly, from midnight on."""
    tally = Tally()
    apart = DAY_MS // a_day
    number = 0
    for at in range(MIDNIGHT, MIDNIGHT + round(days * DAY_MS), apart):
        for what in ("on", "off"):
            number += 1
            tally.count(number, what=what, subject="pump", at=at, is_trusted=is_trusted)
    return tally


def _wear(tally: Tally, days: float, life: int = 100_000) -> Wear:
    [wear] = wear_of(tally, {"pump": life}, now=MIDNIGHT + round(days * DAY_MS))
    return wear


@pytest.mark.parametrize(
    ("days", "a_day"),
    [
        (0.5, None),  # no whole day yet
        (1, 48.0),
        (1.9, 48.0),  # the day that is not over does not count
        (10, 48.0),
        (60, 48.0),
    ],
)
def test_the_present_rate_is_that_of_whole_days(days: float, a_day: float | None) -> None:
    """Over four weeks at most."""
    assert _wear(_tally(days, a_day=48), days).a_day == a_day


def test_the_rate_follows_what_was_of_late() -> None:
    """Four weeks after the pump was given another cycle, the old one does not count."""
    tally = _tally(40, a_day=48)
    days = 40 + 28
    assert _wear(tally, days).a_day == 0.0
    assert _wear(tally, days).left_ms is None
    assert _wear(tally, 40 + 14).a_day == 24.0


def test_the_rest_lasts_as_long_as_the_rate_says() -> None:
    """100,000 operations at 48 a day are 2,083 days, of which ten have passed."""
    wear = _wear(_tally(10, a_day=48), 10)
    assert (wear.operations, wear.share, wear.since) == (480, 0.0048, MIDNIGHT)
    assert wear.left_ms == pytest.approx((100_000 - 480) / 48 * DAY_MS, abs=1)


def test_a_life_that_is_used_up_has_nothing_left() -> None:
    """Beyond it, too."""
    wear = _wear(_tally(10, a_day=48), 10, life=300)
    assert (wear.share, wear.left_ms) == (1.6, 0)


def test_without_a_trusted_clock_there_is_a_count_and_no_rate() -> None:
    """Neither now nor then."""
    tally = _tally(3, a_day=48, is_trusted=False)
    assert _wear(tally, 3)[1:] == (144, None, 100_000, None)
    [wear] = wear_of(_tally(3, a_day=48), {"pump": 9}, now=None)
    assert wear.a_day is None


def test_loads_come_in_the_plans_order_and_then_those_that_it_had() -> None:
    """One that never ran is there; one that left the plan has no rated life any more."""
    told = wear_of(_tally(1, a_day=4), {"lamp": 10, "fan": 20}, now=MIDNIGHT)
    assert [(one.load, one.operations, one.share) for one in told] == [
        ("lamp", 0, 0.0),
        ("fan", 0, 0.0),
        ("pump", 4, None),
    ]


def test_a_tally_that_was_kept_counts_on_as_before() -> None:
    """By way of the text in which it is kept."""
    tally = _tally(2, a_day=7)
    again = tally_from_json(json.loads(json.dumps(tally.as_json())))
    for one in (tally, again):
        one.count(99, what="on", subject="pump", at=MIDNIGHT, is_trusted=True)
    assert again.as_json() == tally.as_json()


@pytest.mark.parametrize(
    ("life", "sentence"),
    [
        (100_000, "pump: 480 of 100,000 rated operations (0.5 %) since Wed 1 Jul 2026. At 48 a day "
         "of late the rest lasts about 6 years."),
        (300, "pump: 480 of 300 rated operations (160 %) since Wed 1 Jul 2026. The rated life is "
         "used up: put a new relay in before it sticks."),
    ],
)  # fmt: skip
def test_wear_is_told_in_a_sentence(life: int, sentence: str) -> None:
    """As the command line tells it."""
    told = _wear(_tally(10, a_day=48), 10, life).as_json()
    assert wear_sentence(told, ZoneInfo("Etc/UTC")) == sentence


def test_a_first_day_is_told_as_such() -> None:
    """Nobody guesses from an hour."""
    told = _wear(_tally(0.5, a_day=48), 0.5).as_json()
    assert "No whole day is known yet" in wear_sentence(told, ZoneInfo("Etc/UTC"))


@pytest.mark.parametrize(
    ("length_ms", "words"),
    [
        (HOUR_MS, "about a day"),
        (12 * DAY_MS, "about 12 days"),
        (150 * DAY_MS, "about 5 months"),
        (2_190 * DAY_MS, "about 6 years"),
    ],
)
def test_long_times_are_told_roughly(length_ms: int, words: str) -> None:
    """Nobody plans a relay by the hour."""
    assert about_words(length_ms) == words
