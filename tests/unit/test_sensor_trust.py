"""A sensor that is wrong and could be true: what it can cost, and what `check` says of it."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from typing import Any

import pytest

from controller.core.plan import Plan
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.reading import ReadPlan
from controller.core.schedule import make_schedule
from controller.core.units import HOUR_MS, MINUTE_MS
from controller.core.year.walk import walk
from controller.dry_run.fault_script import read_fault_script
from controller.dry_run.water.water_account import StandAccount
from controller.paper.carrying_out import carry_out, period
from tests.worlds import GARDEN, Driver, load, ms, on_demand, plan_of, stand

SENSORS = {
    "air": {"measures": "air_temperature", "stale_after": "20m"},
    "damp": {"measures": "humidity", "stale_after": "20m"},
}
HOT = {**GARDEN, "typical_day": {"coolest_c": 20.0, "warmest_c": 36.0}}
JULY = date(2026, 7, 10)
NOON = make_schedule(plan_of(pump=load("off"))).calendar.midnight(20_644) + 12 * HOUR_MS


def garden(
    bounds: dict[str, str] | None = None,
    *,
    site: dict[str, Any] | None = None,
    anchor: str = "00:00",
    **keys: Any,
) -> Plan:
    """A pump on demand for grown heads with sensors of warmth and humidity."""
    pump = load(kind="pump") | {"spans": [on_demand(anchor, **(bounds or {}))]}
    heads = stand(**{"humidity": "damp", **keys})
    return plan_of(
        site=HOT if site is None else site, sensors=SENSORS, stands={"heads": heads}, pump=pump
    )


def rests_ms(driver: Driver) -> list[int]:
    """The rests that the driver has seen, whole ones only."""
    return [
        later.instant - earlier.instant
        for earlier, later in pairwise(driver.changes)
        if not earlier.is_on
    ]


# What it can cost


@pytest.mark.parametrize(
    ("air_c", "humidity_pct"),
    [
        (2.0, 40.0),  # a thermometer in a fridge of a corner
        (36.0, 100.0),  # a humidity sensor that dew has soaked
        (-60.0, 105.0),  # as far as a reading is believed
    ],
)
def test_a_lie_at_a_july_noon_costs_the_longest_rest_and_no_more(
    air_c: float, humidity_pct: float
) -> None:
    """The rests are drawn out by what the sensor says, and end where the plan's bound is."""
    honest, lied_to = (Driver(garden(), start=NOON, is_settled=True) for _ in range(2))
    honest.sense(air=36.0, damp=35.0)
    lied_to.sense(air=air_c, damp=humidity_pct)
    for driver in (honest, lied_to):
        driver.advance("6h")
    assert max(rests_ms(honest)[1:]) < max(rests_ms(lied_to)[1:]) <= 45 * MINUTE_MS


def test_a_lie_is_bounded_while_it_comes_and_goes() -> None:
    """A loose wire that shows the night's air every other minute adds no rest to a rest."""
    driver = Driver(garden(), start=NOON, is_settled=True)
    for minute in range(8 * 60):
        lies = minute % 2 == 0
        driver.poll(air=-20.0 if lies else 36.0, damp=100.0 if lies else 35.0)
        driver.advance("1m")
    assert len(rests_ms(driver)) > 10
    assert max(rests_ms(driver)) <= 45 * MINUTE_MS


def _heads(bounds: dict[str, str], faults: str) -> tuple[StandAccount, float]:
    """What became of the heads on a hot day, and the longest dry gap, s."""
    plan = garden(bounds, site=HOT)
    schedule = make_schedule(plan)
    start, end = period(schedule, JULY, 1)
    script = read_fault_script(faults.encode(), "faults.toml") if faults else None
    read = ReadPlan(plan, (), Lines("format = 1\n"))
    done = carry_out(read, schedule, start=start, end=end, script=script)
    assert done.water is not None
    gap = done.account.loads["pump"].longest_dry_gap
    assert gap is not None
    return done.water.stands["heads"], gap.length_ms / 1000


_LIE = """
[[faults]]
kind = "sensor_reads"
sensor = "air"
value = 2
from = "2026-07-10T09:00"
until = "2026-07-10T18:00"

[[faults]]
kind = "sensor_reads"
sensor = "damp"
value = 100
from = "2026-07-10T09:00"
until = "2026-07-10T18:00"
"""


def test_a_dry_run_shows_what_a_lie_costs_the_roots() -> None:
    """The air of the run stays hot while the sensors lie, so that the roots pay; a shorter longest
    rest lets them pay less."""
    honest, _ = _heads({"longest_rest": "40m"}, "")
    lied_to, gap_s = _heads({"longest_rest": "40m"}, _LIE)
    careful, careful_gap_s = _heads({"longest_rest": "12m"}, _LIE)
    lefts = [_least_left(one) for one in (lied_to, careful, honest)]
    assert lefts == sorted(lefts)
    assert lefts[0] < lefts[2] - 0.05
    assert gap_s <= 40 * 60
    assert careful_gap_s <= 15 * 60


def _least_left(told: StandAccount) -> float:
    assert told.driest is not None
    return told.driest.left_share.likely


# What `check` says of it


def notes(plan: Plan, *, first: date = date(2026, 1, 1)) -> list[tuple[str, str, str]]:
    """The findings of the year."""
    return [(one.level, one.where, one.message) for one in walk(make_schedule(plan), first)]


def test_a_longest_rest_beyond_what_the_driest_roots_hold_is_told() -> None:
    """As a note, with both figures and the air that they are for."""
    ((level, where, message),) = notes(garden())
    assert (level, where) == ("note", "loads.pump.spans.0.longest_rest")
    assert message.startswith(
        "pump: a sensor that wrongly reads cool or damp air draws rests out, to longest_rest at "
        "the most, 45m; in the hottest hours, at "
    )
    assert " °C, the driest roots of heads hold " in message


@pytest.mark.parametrize(
    "plan",
    [
        garden({"longest_rest": "8m"}),  # what the driest roots hold in the hottest hour
        garden(medium_ml=5_000.0),  # roots with hours of water
        garden(air=None, humidity=None),  # no sensor that could lie: another finding's matter
        garden(
            {"longest_rest": "30m"},
            site={**GARDEN, "typical_day": {"coolest_c": -9.0, "warmest_c": -5.0}},
        ),
    ],
)
def test_nothing_is_told_where_the_roots_would_bear_it(plan: Plan) -> None:
    """A note is for what a grower should know of this plan."""
    assert notes(plan) == []


def test_a_demand_of_the_night_alone_is_not_judged_by_the_day() -> None:
    """The hottest hours belong to another span, with a cycle of its own."""
    pump = load("06:00 | 15m on, 15m off", kind="pump")
    pump["spans"] = [*pump["spans"], on_demand("22:00")]
    plan = plan_of(site=HOT, sensors=SENSORS, stands={"heads": stand()}, pump=pump)
    assert notes(plan) == []


def test_summer_is_in_january_in_the_south() -> None:
    """The same garden, turned over the equator, is told of the same air."""
    north, south = (
        _held(garden(site={**GARDEN, "latitude": latitude, "elevation_m": 0}))
        for latitude in (35.0, -35.0)
    )
    assert abs(north - south) <= 4


def test_sown_plants_are_judged_when_they_are_grown() -> None:
    """At four weeks and at six, whichever asks more, and in the sun of those days."""
    sown = garden(age_days=None, sown=date(2026, 5, 29))
    winter = garden(age_days=None, sown=date(2026, 11, 20))
    held = [_held(plan) for plan in (sown, garden(age_days=28), garden(age_days=42))]
    assert abs(held[0] - min(held[1:])) <= 1
    assert _held(winter) > held[0]


def _held(plan: Plan) -> int:
    """How long the roots are said to hold, min."""
    ((_, _, message),) = notes(plan)
    return int(message.split(" hold ")[1].split()[0])


def test_under_lamps_the_room_s_air_is_what_counts() -> None:
    """A cellar at 24 °C is no hotter in July."""
    lamp = load("00:00 | on", kind="lamp")
    keys: dict[str, Any] = {
        "place": "under-lamps",
        "lamp": "lamp",
        "ppfd_umol": 250.0,
        "air_c": 24.0,
    }
    pump = load(kind="pump") | {"spans": [on_demand(longest_rest="6h")]}
    heads = stand(humidity="damp", **keys)
    plan = plan_of(site=HOT, sensors=SENSORS, stands={"heads": heads}, lamp=lamp, pump=pump)
    ((_, _, message),) = notes(plan)
    assert "in the hottest hours, at 24 °C, the driest roots" in message


def test_an_hour_of_sun_at_noon_is_not_forgotten() -> None:
    """A wrong thermometer does not hide the sun: rests at noon stay shorter than at night."""
    rests = []
    for start in (NOON - ms("12h"), NOON):
        driver = Driver(garden(), start=start, is_settled=True)
        driver.sense(air=12.0, damp=60.0)
        driver.advance("3h")
        rests.append(max(rests_ms(driver)[1:]))
    assert rests[1] < rests[0]
