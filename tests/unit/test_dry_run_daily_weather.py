"""A dry run and advice in a file of days, which they take like any other. Invented weather."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest

from controller.advice.question import question_of
from controller.advice.summer import summer_of
from controller.core.errors import NoAdviceError
from controller.core.orders import Why
from controller.core.plan import Plan
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.reading import ReadPlan
from controller.core.schedule import make_schedule
from controller.core.units import HOUR_MS, parse_rfc3339
from controller.dry_run.air import air_of
from controller.dry_run.water.water_json import water_json
from controller.paper.carrying_out import CarriedOut, carry_out, period
from controller.report.ink import Ink
from controller.report.water_text import water_lines
from controller.weather.formats import parse_weather
from controller.weather.weather import Weather
from tests.advice_gardens import unwatched
from tests.recorder import DryRun
from tests.worlds import GARDEN, MIDNIGHT, load, on_demand, plan_of, stand
from web.paper.jobs import answer

PLAIN = Ink(is_colour=False)
DAY = date(2026, 6, 1)
# At 0° E and in UTC, so that the sun's hours are the clocks'.
HEAT = """\
date,coolest_c,warmest_c
2026-05-31,14,26
2026-06-01,16,34
2026-06-02,20,38
2026-06-03,15,22
"""
SENSORS = {
    "air": {"measures": "air_temperature", "stale_after": "20m"},
    "damp": {"measures": "humidity", "stale_after": "20m"},
}


def file_of(text: str = HEAT) -> Weather:
    """A file of days."""
    return parse_weather(text.encode(), name="heat.csv")


def garden(*spans: dict[str, Any], **pump: Any) -> Plan:
    """A pump for one stand with a sensor of the air's warmth and one of its humidity."""
    own = {"spans": list(spans)} if spans else {}
    return plan_of(
        site=GARDEN,
        sensors=SENSORS,
        stands={"heads": stand(humidity="damp")},
        pump=load("15m on, 15m off", **pump) | own,
    )


def carried_out(plan: Plan, *, start: date = DAY, days: int = 1) -> CarriedOut:
    """The plan on paper in the file, as the command line has it."""
    schedule = make_schedule(plan)
    first, end = period(schedule, start, days)
    read = ReadPlan(plan, (), Lines("format = 1\n"))
    return carry_out(read, schedule, start=first, end=end, weather=file_of())


def test_a_stand_is_watered_on_demand_all_day() -> None:
    """Both sensors read from first to last; nothing falls back to the fixed cycle."""
    plan = garden(on_demand())
    series = air_of(plan.site, file_of(), first=DAY, last=DAY).series
    heard = DryRun(plan, "24h", start=MIDNIGHT, air=series).heard
    assert {line.rpartition(": ")[2] for line in heard.told()} == {Why.DEMAND.value}
    done = carried_out(plan)
    assert [one.where for one in done.findings if "sensor" in one.where] == []


def test_a_hotter_day_is_watered_more() -> None:
    """2 June, 20 to 38 °C, against 3 June, 15 to 22 °C."""
    hot, mild = (
        carried_out(garden(on_demand()), start=date(2026, 6, day)).account.loads["pump"].starts
        for day in (2, 3)
    )
    assert hot > mild


def test_a_variant_is_in_force_from_the_minute_at_which_its_threshold_is_passed() -> None:
    """16 to 34 °C from 05:00 to 15:00: 25 °C at 10:00, and on the way down to 20 °C 27 °C at
    22:00."""
    hot = {
        "name": "hot",
        "sensor": "air",
        "above": 25.0,
        "until": 24.0,
        "spans": [{"from": "00:00", "cycle": "25m on, 5m off"}],
    }
    plan = garden(variants=[hot])
    series = air_of(plan.site, file_of(), first=DAY, last=DAY).series
    crossing = series["air_temperature"].next_crossing(
        after=MIDNIGHT + 5 * HOUR_MS, before=MIDNIGHT + 24 * HOUR_MS, thresholds=[25.0]
    )
    assert crossing is not None
    assert crossing - MIDNIGHT == pytest.approx(10 * HOUR_MS, abs=1)
    heard = DryRun(plan, "24h", start=MIDNIGHT, air=series).heard
    reasons = {line[:2]: line.rpartition(": ")[2] for line in heard.told()}
    assert (reasons["09"], reasons["10"]) == (Why.PLAN.value, Why.VARIANT.value)
    assert reasons["22"] == Why.VARIANT.value


def test_the_account_says_what_stands_in_and_whose_days_they_are() -> None:
    """Two of the run's days are in the file, one is like its last; the note says so."""
    done = carried_out(garden(), start=date(2026, 6, 2), days=3)
    assert done.air_note == (
        "Weather from heat.csv (plain CSV of days), which tells of Sun 31 May 2026 to Wed 3 Jun "
        "2026 and of 2 of this run's 3 days: for the others its nearest days stand in; hours "
        "modelled from each day's coolest and warmest; humidity is not in the file; wind is not in "
        "the file; global radiation is not in the file."
    )
    assert done.water is not None
    assert list(done.water.assumptions) == [
        "Humidity not known: dew point taken as the coolest temperature of the day, in dry places "
        "2 to 3 °C too high.",
        "Wind not known: taken as 2 m/s.",
        "Sun not known: judged by the day's warmest and coolest temperature (48.0 of 72 h).",
        "Sun not known: taken as that of the assumed sky, 100 % of a cloudless one (24.0 of 72 h).",
        "Height above sea level not known: taken as 0 m.",
    ]


def test_the_days_figures_stand_beside_the_sum_of_their_hours() -> None:
    """In JSON and in words; the file's own temperatures on either."""
    plan = garden()
    done = carried_out(plan, days=2)
    assert done.water is not None
    told = json.loads(json.dumps(water_json(done.water)))["days"]
    assert [(day["coolest_c"], day["warmest_c"]) for day in told] == [(16, 34), (20, 38)]
    for day in told:
        assert day["et0_mm"] == pytest.approx(day["et0_daily_mm"], rel=0.1)
        assert day["et0_hargreaves_mm"] == pytest.approx(day["et0_daily_mm"], rel=0.2)
    text = water_lines(make_schedule(plan), done.account, done.water, width=300, ink=PLAIN)
    (heat,) = (line for line in text if "ET0" in line and "2 Jun" in line)
    hot = told[1]
    assert (
        f"Tue 2 Jun: 20 to 38 °C, mean humidity {hot['humidity_pct']:.0f} %, sun "
        f"{hot['radiation_mj_per_m2']:.0f} MJ/m², ET0 {hot['et0_mm']:.1f} mm (what short grass "
        f"would drink); {hot['et0_daily_mm']:.1f} mm by the day's means, "
        f"{hot['et0_hargreaves_mm']:.1f} mm by its temperatures alone (Hargreaves)"
    ) in heat


# Advice


def test_the_summer_of_a_file_of_days_is_its_thirstiest() -> None:
    """Two days in a row that ask most; of all its days if it has no more."""
    plan = garden()
    assert summer_of(plan, file_of(), days=2) == (date(2026, 6, 1), 2)
    assert summer_of(plan, file_of(), days=92) == (date(2026, 5, 31), 4)


@pytest.mark.parametrize(
    ("start", "is_told"),
    [
        ("2026-05-30T23:00:00Z", True),  # its last hour is the file's first
        ("2026-05-29T23:00:00Z", False),
        ("2026-06-03T23:00:00Z", True),
        ("2026-06-04T01:00:00Z", False),
    ],
)
def test_advice_is_about_the_files_days(start: str, *, is_told: bool) -> None:
    """From the midnight before the first to the one after the last."""
    read = ReadPlan(garden(), (), Lines(""))
    ask: dict[str, Any] = {"days": 1, "tries": (), "samples": 1, "seed": 1, "watch": unwatched}
    if is_told:
        assert question_of(read, file_of(), start=parse_rfc3339(start), **ask).air.days
        return
    with pytest.raises(NoAdviceError) as refused:
        question_of(read, file_of(), start=parse_rfc3339(start), **ask)
    assert "heat.csv (plain CSV of days) has weather from 2026-05-31T00:00:00Z" in str(
        refused.value
    )


# The page


def test_the_page_takes_a_file_of_days() -> None:
    """As its form sends it: name, text and encoding."""
    text = (
        'format = 1\n[site]\nlatitude = 47.1\nlongitude = 0.0\ntimezone = "Etc/UTC"\n'
        '[loads.pump]\nkind = "pump"\nline = 17\nactive = "low"\n'
        'longest_on = "45m"\n[[loads.pump.spans]]\nfrom = "00:00"\ncycle = "15m on, 15m off"\n'
    )
    asked: dict[str, Any] = {
        "job": "dry-run", "text": text, "start": "2026-06-01", "days": 2, "faults": None,
        "weather": {"name": "heat.csv", "text": HEAT, "encoding": "utf-8"},
        "compare": None, "plan_name": "this plan", "compare_name": "the other plan", "want": [],
    }  # fmt: skip
    run = answer(asked)["result"]
    assert "hours modelled from each day's coolest and warmest" in json.dumps(run)
    refused = answer({**asked, "weather": {**asked["weather"], "text": HEAT.replace("34", "14")}})
    assert refused["about"] == "weather"
    assert "less than the coolest, '16'" in refused["refused"]
