"""The air of a dry run without a weather file: what it is, and what is said of it."""

from __future__ import annotations

from collections.abc import Sequence
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
from controller.weather.air_source import air_source
from controller.weather.hours import hours_of_air
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
OF_HUMIDITY = (
    "Humidity not known: dew point taken as the coolest temperature of the day, in dry places 2 to "
    "3 °C too high."
)


def garden(**keys: Any) -> Plan:
    """A pump on demand for one stand with a sensor of the air's warmth and one of its humidity."""
    pump = load() | {"spans": [on_demand()]}
    return plan_of(
        site=SITE, sensors=SENSORS, stands={"heads": stand(humidity="damp", **keys)}, pump=pump
    )


def carried_out(plan: Plan, weather: Weather | None = None) -> CarriedOut:
    """The plan's day on paper, as the command line has it."""
    schedule = make_schedule(plan)
    start, end = period(schedule, DAY, 1)
    read = ReadPlan(plan, (), Lines("format = 1\n"))
    return carry_out(read, schedule, start=start, end=end, weather=weather)


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
    assert OF_HUMIDITY in done.water.assumptions


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


def file_of(
    *, temperatures_c: Sequence[float | None], humidities_pct: Sequence[float | None]
) -> Weather:
    """A file of hours from 01:00 of the day on, whose other columns are whole."""
    rows = len(temperatures_c)
    return Weather(
        source="porch.csv",
        is_typical_year=False,
        stamps=tuple(MIDNIGHT + hour * HOUR_MS for hour in range(1, rows + 1)),
        air_temperature_c=tuple(temperatures_c),
        humidity_pct=tuple(humidities_pct),
        wind_m_s=(1.0,) * rows,
        global_radiation_w_m2=(0.0,) * rows,
        pressure_kpa=(96.0,) * rows,
        latitude=None,
        longitude=None,
        elevation_m=None,
        utc_offset_h=None,
        wind_height_m=10.0,
        missing=(),
    )


# Two invented days: coolest 14 °C at 05:00 of the first, 20 °C at 05:00 of the second.
TWO_DAYS_C = [
    coolest_c + 1.5 * abs((hour - 5) % 24 - (24 if hour < 5 else 0))
    for coolest_c in (14.0, 20.0)
    for hour in range(1, 25)
]


def test_humidity_that_a_file_leaves_out_is_that_of_a_dew_point_at_the_day_s_coolest() -> None:
    """Each day by its own: 14 °C has 1.598 kPa, 20 °C has 2.338 kPa, and the 29 °C of both days'
    15:00 and 11:00 hold 4.006 kPa (FAO-56, annex 2, table 2.3)."""
    file = file_of(temperatures_c=TWO_DAYS_C, humidities_pct=[None] * 48)
    humidity = air_of(garden().site, file, first=DAY, last=DAY).series["humidity"]
    assert (TWO_DAYS_C[14], TWO_DAYS_C[24 + 10]) == (29.0, 29.0)
    told = [humidity.value_at(MIDNIGHT + hour * HOUR_MS) for hour in (5, 15, 24 + 5, 24 + 11)]
    assert told == pytest.approx([100.0, 39.9, 100.0, 58.4], abs=0.1)


def test_sensors_read_the_humidity_that_plants_feel() -> None:
    """What stands in for missing hours is the same in both; what was measured stays."""
    known: list[float | None] = [60.0, None, 55.0] * 16
    gone: list[float | None] = [None if hour == 30 else c for hour, c in enumerate(TWO_DAYS_C)]
    file = file_of(temperatures_c=gone, humidities_pct=known)
    site = garden().site
    humidity = air_of(site, file, first=DAY, last=DAY).series["humidity"]
    hours = hours_of_air(air_source(site, file), first=MIDNIGHT, before=MIDNIGHT + 48 * HOUR_MS)
    at_stamps = [humidity.value_at(hour.end) for hour in hours]
    felt = [hour.humidity_pct for hour in hours]
    assert at_stamps[30] == known[30]  # without a temperature
    assert at_stamps == pytest.approx(felt, abs=1e-12)
    assert [at_stamps[place] for place, one in enumerate(known) if one is not None] == [
        one for one in known if one is not None
    ]


def test_nothing_stands_in_where_the_file_has_no_temperature_either() -> None:
    """Then a sensor is silent, as it is outside of the file."""
    file = file_of(temperatures_c=[20.0, None, 22.0], humidities_pct=[None] * 3)
    humidity = air_of(garden().site, file, first=DAY, last=DAY).series["humidity"]
    at_rows = [humidity.value_at(MIDNIGHT + hour * HOUR_MS) for hour in (0, 1, 2, 3, 4)]
    assert [value is None for value in at_rows] == [True, False, True, False, True]


def test_a_stand_is_watered_on_demand_in_a_file_without_humidity() -> None:
    """The whole dry run, whose account tells once what stood in, with the limit of it."""
    file = file_of(temperatures_c=TWO_DAYS_C, humidities_pct=[None] * 48)
    plan = garden()
    series = air_of(plan.site, file, first=DAY, last=DAY).series
    heard = DryRun(plan, "20h", start=MIDNIGHT + 2 * HOUR_MS, air=series).heard
    assert {line.rpartition(": ")[2] for line in heard.told()} == {Why.DEMAND.value}
    done = carried_out(plan, file)
    assert done.air_note == file.describe()
    assert done.water is not None
    assert [one for one in done.water.assumptions if one.startswith("Humidity")] == [
        "Humidity not known: dew point taken as the coolest temperature of the day, in dry places "
        "2 to 3 °C too high."
    ]


@pytest.mark.parametrize("has_lift", [False, True])
def test_a_plan_without_plants_is_told_once_what_stood_in(*, has_lift: bool) -> None:
    """Of a file, whose days are told: in the findings. Of the assumed day, on which no other figure
    rests: beside the air, where a sensor goes by its humidity."""
    file = file_of(temperatures_c=TWO_DAYS_C, humidities_pct=[None] * 48)
    damp = {
        "name": "damp",
        "sensor": "damp",
        "above": 90.0,
        "until": 80.0,
        "spans": [{"from": "00:00", "cycle": "5m on, 55m off"}],
    }
    pump = load("15m on, 15m off", variants=[damp])
    if has_lift:
        pump["lift"] = {
            "height_m": 1.0,
            "shut_off_head_m": 2.0,
            "free_flow_l_per_h": 900.0,
            "hose_bore_mm": 13.0,
            "hose_length_m": 2.0,
        }
    plan = plan_of(site=SITE, sensors=SENSORS, pump=pump)
    in_file, assumed = carried_out(plan, file), carried_out(plan)
    assert in_file.air_note == file.describe()
    notes = [one.message for one in in_file.findings if "taken for granted" in one.message]
    assert [OF_HUMIDITY[1:].removesuffix(".") in note for note in notes] == [True]
    assert assumed.air_note == f"{AS_STATED} {OF_HUMIDITY}"
    assert [one for one in assumed.findings if "taken for granted" in one.message] == []


def test_a_humidity_is_made_once_a_file() -> None:
    """Whoever looks for advice carries out many runs in the same air."""
    file = file_of(temperatures_c=TWO_DAYS_C, humidities_pct=[None] * 48)
    site = garden().site
    one, other = (air_of(site, file, first=DAY, last=DAY).series["humidity"] for _ in range(2))
    assert one is other


def test_series_are_named_before_they_are_made() -> None:
    """Who asks which quantities are known waits for none of them."""
    series = air_of(garden().site, None, first=DAY, last=DAY).series
    assert (list(series), len(series)) == (["air_temperature", "humidity"], 2)
    assert "light" not in series
    with pytest.raises(KeyError):
        series["light"]
