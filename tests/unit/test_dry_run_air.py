"""The air of a dry run without a weather file: what it is, and what is said of it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from controller.core.orders import Why
from controller.core.plan import Plan
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.reading import ReadPlan
from controller.core.schedule import make_schedule
from controller.core.units import HOUR_MS
from controller.dry_run.air import air_of
from controller.paper.carrying_out import CarriedOut, carry_out, period
from controller.weather.weather import Weather
from tests.recorder import DryRun
from tests.worlds import GARDEN, MIDNIGHT, load, on_demand, plan_of, stand
from web.paper.day_run import day_run
from web.paper.group_run import Day, Groups

DAY = date(2026, 6, 1)
SITE = {**GARDEN, "typical_day": {"coolest_c": 18.0, "warmest_c": 34.0}}
SENSORS = {
    "air": {"measures": "air_temperature", "stale_after": "20m"},
    "damp": {"measures": "humidity", "stale_after": "20m"},
}
AS_STATED = (
    "No weather file: air between 18 °C (near sunrise) and 34 °C (mid-afternoon) every day, as "
    "the plan states."
)
OF_HUMIDITY = "Humidity not known: dew point taken as the coolest temperature of the day."


def garden(**keys: Any) -> Plan:
    """A pump on demand for one stand with a sensor of the air's warmth and one of its humidity."""
    pump = load() | {"spans": [on_demand()]}
    return plan_of(
        site=SITE, sensors=SENSORS, stands={"heads": stand(humidity="damp", **keys)}, pump=pump
    )


def carried_out(plan: Plan) -> CarriedOut:
    """The plan's day on paper, as the command line has it."""
    schedule = make_schedule(plan)
    start, end = period(schedule, DAY, 1)
    read = ReadPlan(plan, (), Lines("format = 1\n"))
    return carry_out(read, schedule, start=start, end=end)


def previewed(plan: Plan) -> tuple[int, str]:
    """How often the pump waters on the day of a preview, and what that says of the air."""
    schedule = make_schedule(plan)
    day = Day(DAY, *period(schedule, DAY, 1))
    done = day_run(ReadPlan(plan, (), Lines("format = 1\n")), schedule, Groups(schedule), day)
    return done.account.loads["pump"].starts, done.air_note


def test_a_stand_with_a_sensor_of_humidity_is_watered_on_demand() -> None:
    """The assumed air has a humidity, so that the dry run does what life does."""
    plan = garden()
    series = air_of(plan.site, None, first=DAY, last=DAY).series
    heard = DryRun(plan, "24h", start=MIDNIGHT, air=series).heard
    assert {line.rpartition(": ")[2] for line in heard.told()} == {Why.DEMAND.value}


def test_a_preview_waters_as_often_as_the_dry_run_and_says_what_it_assumed() -> None:
    """Both carry the demand out in the same air."""
    plan = garden()
    done = carried_out(plan)
    starts, note = previewed(plan)
    fixed = 48  # 15 min on, 15 min off, all day
    assert done.account.loads["pump"].starts == starts
    assert starts != fixed
    assert note == done.air_note == AS_STATED
    assert done.water is not None
    assert f"{OF_HUMIDITY.removesuffix('.')} (all the time)." in done.water.assumptions


def test_no_sensor_of_humidity_is_silent_in_the_assumed_air() -> None:
    """Nothing is told of readings that did not come."""
    assert [one.where for one in carried_out(garden()).findings if "sensor" in one.where] == []


@pytest.mark.parametrize(
    "plan",
    [
        plan_of(site=SITE, pump=load("15m on, 15m off")),  # no sensor at all
        plan_of(  # one that nothing goes by
            site=SITE, sensors=SENSORS, pump=load("15m on, 15m off")
        ),
        plan_of(  # a variant by warmth
            site=SITE,
            sensors=SENSORS,
            pump=load(
                "15m on, 15m off",
                variants=[
                    {
                        "name": "hot",
                        "sensor": "air",
                        "above": 30.0,
                        "until": 28.0,
                        "spans": [{"from": "10:00", "cycle": "20m on, 10m off"}],
                    }
                ],
            ),
        ),
    ],
)
def test_humidity_is_not_spoken_of_where_nothing_goes_by_it(plan: Plan) -> None:
    """A plan that asks for the warmth alone is told of the warmth alone."""
    air = air_of(plan.site, None, first=DAY, last=DAY)
    assert air.note_for(plan) == AS_STATED


def test_a_variant_by_humidity_is_in_force_while_the_assumed_air_is_damp() -> None:
    """18 to 34 °C: saturated at five, and at 15:00 a humidity of 2.064 / 5.319 kPa, 39 % (FAO-56,
    eq. 11), so that the night has the variant and the afternoon has not."""
    damp = {
        "name": "damp",
        "sensor": "damp",
        "above": 90.0,
        "until": 80.0,
        "spans": [{"from": "00:00", "cycle": "5m on, 55m off"}],
    }
    plan = plan_of(site=SITE, sensors=SENSORS, pump=load("15m on, 15m off", variants=[damp]))
    air = air_of(plan.site, None, first=DAY, last=DAY)
    afternoon_pct = air.series["humidity"].value_at(MIDNIGHT + 15 * HOUR_MS)
    assert afternoon_pct == pytest.approx(38.8, abs=0.1)
    heard = DryRun(plan, "24h", start=MIDNIGHT, air=air.series).heard
    by_hour = {line[:2]: line.rpartition(": ")[2] for line in heard.told()}
    assert by_hour["05"] == Why.VARIANT.value
    assert by_hour["15"] == Why.PLAN.value
    assert air.note_for(plan) == f"{AS_STATED} {OF_HUMIDITY}"


def test_a_weather_file_is_taken_as_it_is() -> None:
    """What a file leaves out stays unknown to sensors: only an assumed day is damp by itself."""
    file = Weather(
        source="porch.csv",
        is_typical_year=False,
        stamps=(MIDNIGHT,),
        air_temperature_c=(20.0,),
        humidity_pct=(None,),
        wind_m_s=(1.0,),
        global_radiation_w_m2=(0.0,),
        pressure_kpa=(96.0,),
        latitude=None,
        longitude=None,
        elevation_m=None,
        utc_offset_h=None,
        wind_height_m=10.0,
        missing=(),
    )
    plan = garden()
    air = air_of(plan.site, file, first=DAY, last=DAY)
    assert air.series["humidity"].value_at(MIDNIGHT) is None
    assert air.note_for(plan) == file.describe()


def test_series_are_named_before_they_are_made() -> None:
    """Who asks which quantities are known waits for none of them."""
    series = air_of(garden().site, None, first=DAY, last=DAY).series
    assert (list(series), len(series)) == (["air_temperature", "humidity"], 2)
    assert "light" not in series
    with pytest.raises(KeyError):
        series["light"]
