"""The hours that are modelled from a file of days. All weather in here is invented."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest

from controller.core.plan import Site
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, Instant, parse_rfc3339
from controller.core.water.air import saturation_kpa
from controller.core.water.missing_inputs import StandIn
from controller.core.water.radiation import from_sunshine_mj_per_m2, from_temperatures_mj_per_m2
from controller.core.water.wind import wind_at_2_m
from controller.weather.air_series import AirSeries
from controller.weather.air_source import AirSource, air_source
from controller.weather.air_words import assumption_sentences
from controller.weather.day_course import DayCourse
from controller.weather.days import AirDay, days_of_air
from controller.weather.file_series import series_makers
from controller.weather.fit import fit_findings
from controller.weather.formats import parse_weather
from controller.weather.hours import HourOfAir, hours_of_air

# Mean solar time is an hour ahead of UTC at 15° E, as is the standard time that goes by it.
PLACE = "# latitude = 47\n# longitude = 15\n# elevation_m = 450\n# utc_offset_h = 1\n"
SITE = Site.model_validate(
    {
        "latitude": 47.1,
        "longitude": 8.3,
        "timezone": "Europe/Zurich",
        "typical_day": {"coolest_c": 12.0, "warmest_c": 26.0},
    }
)
TEMPERATURES = "date,coolest_c,warmest_c\n"


def source(text: str, *, place: str = PLACE, site: Site = SITE) -> AirSource:
    """The air of a file of days."""
    return air_source(site, parse_weather(f"{place}{text}".encode(), name="invented.csv"))


def moment(day: str, hour: float) -> Instant:
    """That hour of the day at 15° E, by the sun and by the clock."""
    return parse_rfc3339(f"{day}T00:00:00+01:00") + round(hour * HOUR_MS)


def hours_on(air: AirSource, day: str, *, days: int = 1) -> list[HourOfAir]:
    """The hours of the local standard days from that one."""
    first = parse_rfc3339(f"{day}T00:00:00Z") - air.utc_offset_ms
    return hours_of_air(air, first=first, before=first + days * DAY_MS)


def day_on(air: AirSource, day: str) -> AirDay:
    """One local standard day."""
    first = parse_rfc3339(f"{day}T00:00:00Z") - air.utc_offset_ms
    hours = hours_of_air(air, first=first, before=first + DAY_MS)
    (told,) = days_of_air(hours, air, first=first, before=first + DAY_MS)
    return told


def series(air: AirSource, quantity: str) -> AirSeries:
    """What a sensor of that quantity hears."""
    assert air.weather is not None
    return series_makers(air, air.weather)[quantity]()


TWO_DAYS = f"{TEMPERATURES}2026-07-01,12,26\n2026-07-02,16,33\n"


# Temperature


@pytest.mark.parametrize(
    ("day", "hour", "temperature_c"),
    [
        ("2026-07-01", 5, 12.0),  # its coolest
        ("2026-07-01", 10, 19.0),  # halfway up
        ("2026-07-01", 15, 26.0),  # its warmest
        ("2026-07-01", 22, 21.0),  # halfway down to the coolest of tomorrow
        ("2026-07-02", 5, 16.0),
        ("2026-07-02", 15, 33.0),
        ("2026-07-01", 0, 26 - 14 * 0.7169),  # before the file: down from a day like the first
        ("2026-07-02", 24, 33 - 17 * 0.7169),  # after it: (1 - cos(9π/14)) / 2 of the way
    ],
)
def test_the_temperature_goes_through_both_readings_of_every_day(
    day: str, hour: float, temperature_c: float
) -> None:
    """Half a cosine from each to the next, as on a plan's typical day."""
    course = DayCourse(source(TWO_DAYS))
    assert course.temperature_c(moment(day, hour)) == pytest.approx(temperature_c, abs=1e-3)


def test_midnight_is_no_step() -> None:
    """Neither between two days of the file nor at its ends, for all that the weather changes."""
    course = DayCourse(source(TWO_DAYS + "2026-07-03,3,9\n"))
    for day in ("2026-07-01", "2026-07-02", "2026-07-03", "2026-07-04"):
        at = moment(day, 0)
        before, after = course.temperature_c(at - 1), course.temperature_c(at)
        assert before == pytest.approx(after, abs=1e-4)


def test_a_cold_front_passes_in_the_night() -> None:
    """The first hours of its day may be warmer than its own warmest; its readings stay its own."""
    air = source(f"{TEMPERATURES}2026-07-01,20,40\n2026-07-02,12,18\n")
    hours = hours_on(air, "2026-07-02")
    assert 18 < hours[0].temperature_c < 19
    day = day_on(air, "2026-07-02")
    assert (day.coolest_c, day.warmest_c) == (12.0, 18.0)


@pytest.mark.parametrize(
    ("longitude", "offset_h", "warmest_utc"),
    [
        (15.0, 1.0, "2026-07-01T14:00:00Z"),
        (75.0, 8.0, "2026-07-01T10:00:00Z"),  # clocks 3 h ahead of the sun: warmest at 18:00
        (-157.5, 14.0, "2026-07-01T01:30:00Z"),  # the date of the other side of the date line
        (172.5, 12.75, "2026-07-01T03:30:00Z"),
        (-150.0, -10.0, "2026-07-02T01:00:00Z"),
    ],
)
def test_the_sun_tells_the_hour_and_the_clocks_the_date(
    longitude: float, offset_h: float, warmest_utc: str
) -> None:
    """Warmest at 15:00 mean solar time, on the date that people there write."""
    place = f"# latitude = 10\n# longitude = {longitude}\n# utc_offset_h = {offset_h}\n"
    rows = "2026-06-30,10,20\n2026-07-01,10,31\n2026-07-02,10,20\n"
    course = DayCourse(source(TEMPERATURES + rows, place=place))
    assert course.temperature_c(parse_rfc3339(warmest_utc)) == 31.0


def test_without_an_offset_the_day_is_the_suns() -> None:
    """The whole hour that is nearest to it: at 8.3° E an hour ahead of UTC."""
    air = source(TWO_DAYS, place="")
    assert air.utc_offset_ms == HOUR_MS
    assert day_on(air, "2026-07-01").date == date(2026, 7, 1)


# Sun


def test_a_days_radiation_is_shared_out_as_the_sun_stands() -> None:
    """24 MJ/m² and no more; none at night, most at noon, mornings like evenings."""
    air = source("date,coolest_c,warmest_c,global_radiation_mj_m2\n2026-07-01,12,26,24\n")
    hours = hours_on(air, "2026-07-01")
    radiation = [hour.radiation_w_m2 for hour in hours]
    assert sum(radiation) * 0.0036 == pytest.approx(24.0, abs=1e-9)
    assert day_on(air, "2026-07-01").radiation_mj_per_m2 == pytest.approx(24.0, abs=1e-9)
    assert radiation[0] == radiation[23] == 0.0
    assert max(radiation) in radiation[11:13]
    assert radiation[8] == pytest.approx(radiation[15], rel=0.05)
    assert {hour.assumed for hour in hours} == {(StandIn.HUMIDITY, StandIn.WIND)}


@pytest.mark.parametrize(
    ("latitude", "day", "lit"),
    [
        (78, "2026-06-21", 24),  # the sun does not set
        (78, "2026-12-21", 24),  # it does not rise: what is measured is twilight, of all hours
        (-78, "2026-12-21", 24),  # and the other way in the south
        (-47, "2026-06-21", 10),  # a winter's day in the south
        (0, "2026-03-20", 13),  # at the equator, whose sun is 7 minutes late then
    ],
)
def test_the_sum_is_kept_wherever_and_whenever(latitude: float, day: str, lit: int) -> None:
    """2 MJ/m² stay 2 MJ/m², spread over the hours that have sun."""
    place = f"# latitude = {latitude}\n# longitude = 15\n# utc_offset_h = 1\n"
    rows = f"date,coolest_c,warmest_c,global_radiation_mj_m2\n{day},-4,3,2\n"
    hours = hours_on(source(rows, place=place), day)
    radiation = [hour.radiation_w_m2 for hour in hours]
    assert sum(radiation) * 0.0036 == pytest.approx(2.0, abs=1e-9)
    assert sum(one > 0 for one in radiation) == lit


def test_sunshine_tells_the_radiation() -> None:
    """FAO-56, eq. 35; no longer than the sun is up, and where it does not rise there is none."""
    rows = "date,coolest_c,warmest_c,sunshine_h\n2026-07-01,12,26,{}\n"
    air = source(rows.format(9))
    sun = air.sun_of_day(air.day_number_at(moment("2026-07-01", 12)))
    expected = from_sunshine_mj_per_m2(
        sun.day_mj_per_m2(), sunshine_h=9, daylight_h=sun.daylight_hours
    )
    day = day_on(air, "2026-07-01")
    assert day.radiation_mj_per_m2 == pytest.approx(expected, abs=1e-9)
    assert day.assumed == (StandIn.HUMIDITY, StandIn.WIND, StandIn.SUNSHINE)
    assert "Radiation not known: judged by the hours of sunshine." in assumption_sentences(
        air, hours_on(air, "2026-07-01")
    )
    longest = day_on(source(rows.format(24)), "2026-07-01")
    assert longest.radiation_mj_per_m2 == pytest.approx(0.75 * sun.day_mj_per_m2())
    north = "# latitude = 78\n# longitude = 15\n# utc_offset_h = 1\n"
    night = source("date,coolest_c,warmest_c,sunshine_h\n2026-12-21,-20,-9,0\n", place=north)
    assert day_on(night, "2026-12-21").radiation_mj_per_m2 == 0.0


def test_radiation_that_is_measured_goes_before_sunshine() -> None:
    """Day by day: where its cell is empty, the hours of sunshine tell."""
    air = source(
        "date,coolest_c,warmest_c,global_radiation_mj_m2,sunshine_h\n"
        "2026-07-01,12,26,20,3\n2026-07-02,12,26,,3\n"
    )
    assert day_on(air, "2026-07-01").radiation_mj_per_m2 == pytest.approx(20.0, abs=1e-9)
    assert StandIn.SUNSHINE not in day_on(air, "2026-07-01").assumed
    assert StandIn.SUNSHINE in day_on(air, "2026-07-02").assumed


# Humidity and wind


@pytest.mark.parametrize(
    ("cells", "vapour_kpa"),
    [
        # FAO-56, example 5: 18 to 25 °C, 54 to 82 %, 68 % on the mean.
        ("82,54,68,", 1.70),
        ("82,54,,", 1.70),
        ("82,,68,", 1.69),
        (",54,68,", 1.78),
        (",,68,", 1.78),
        # Table 2.3 of its annex 2: 1.705 kPa saturate at 15 °C.
        ("82,54,68,15", 1.705),
        # Nothing told: the dew point is the coolest (eq. 48); 18 °C have 2.064 kPa.
        (",,,", 2.064),
        (",54,,", 2.064),
    ],
)
def test_vapour_comes_from_the_best_that_is_told_and_stays_all_day(
    cells: str, vapour_kpa: float
) -> None:
    """Humidity follows the temperature, at most to saturation."""
    head = "date,coolest_c,warmest_c,humidity_highest_pct,humidity_lowest_pct,humidity_pct,"
    air = source(f"{head}dew_point_c\n2026-07-01,18,25,{cells}\n")
    hours = hours_on(air, "2026-07-01")
    for hour in hours:
        saturated_kpa = saturation_kpa(hour.temperature_c)
        expected = min(100.0, 100 * vapour_kpa / saturated_kpa)
        assert hour.humidity_pct == pytest.approx(expected, abs=0.4)
    is_assumed = StandIn.HUMIDITY in hours[0].assumed
    assert is_assumed == (cells in {",,,", ",54,,"})


def test_wind_is_that_of_2_m_all_day() -> None:
    """10 m is where a station's sensor stands unless the file says otherwise."""
    air = source("date,coolest_c,warmest_c,wind_km_h\n2026-07-01,18,25,10.8\n")
    winds = {hour.wind_2m_m_s for hour in hours_on(air, "2026-07-01")}
    assert winds == {wind_at_2_m(1.0, height_m=10.0) * 3.0}


# What the file does not tell


def test_temperatures_alone_make_a_day() -> None:
    """Humidity, wind and sun by FAO-56's procedures, each said; Hargreaves' figure beside it."""
    day = day_on(source(TWO_DAYS), "2026-07-02")
    assert day.assumed == (StandIn.HUMIDITY, StandIn.WIND, StandIn.RADIATION)
    air = source(TWO_DAYS)
    above = air.sun_of_day(air.day_number_at(day.start)).day_mj_per_m2()
    expected = from_temperatures_mj_per_m2(above, warmest_c=33, coolest_c=16)
    assert day.radiation_mj_per_m2 == pytest.approx(expected, abs=1e-9)
    assert day.et0_daily_mm is not None
    assert day.et0_hargreaves_mm is not None
    assert day.et0_mm == pytest.approx(day.et0_daily_mm, rel=0.1)


@pytest.mark.parametrize(
    "column", ["dew_point_c", "wind_m_s", "global_radiation_mj_m2", "sunshine_h"]
)
def test_hargreaves_is_for_temperatures_alone(column: str) -> None:
    """Whatever else is told is worth more than his rule; the day's own figure stays."""
    day = day_on(source(f"date,coolest_c,warmest_c,{column}\n2026-07-01,12,26,9\n"), "2026-07-01")
    assert day.et0_hargreaves_mm is None
    assert day.et0_daily_mm is not None


def test_a_file_of_hours_has_no_figure_of_its_days_means() -> None:
    """Its hours are measured: there is nothing to check them by."""
    air = source("time,air_temperature_c\n2026-07-01T00:00:00Z,20\n2026-07-01T01:00:00Z,21\n")
    day = day_on(air, "2026-07-01")
    assert (day.et0_daily_mm, day.et0_hargreaves_mm) == (None, None)


@pytest.mark.parametrize(
    ("rows", "day", "extremes_c", "assumed"),
    [
        # Between two days: their mean; the sky of a day without temperatures is the assumed one.
        ("2026-07-01,10,20\n2026-07-03,14,30\n", "2026-07-02", (12, 25),
         (StandIn.NEAR_TEMPERATURE, StandIn.CLEAR_SKY)),
        # Two days after the last: like it.
        ("2026-07-01,10,20\n", "2026-07-03", (10, 20),
         (StandIn.NEAR_TEMPERATURE, StandIn.CLEAR_SKY)),
        ("2026-07-01,10,20\n", "2026-06-28", (10, 20),
         (StandIn.NEAR_TEMPERATURE, StandIn.CLEAR_SKY)),
        # Four days: the plan's typical day.
        ("2026-07-01,10,20\n", "2026-07-05", (12, 26), (StandIn.TEMPERATURE, StandIn.CLEAR_SKY)),
        # One reading of a day is kept, the other is its neighbours', but never beyond it.
        ("2026-07-01,10,20\n2026-07-02,,31\n", "2026-07-02", (10, 31),
         (StandIn.NEAR_TEMPERATURE, StandIn.CLEAR_SKY)),
        ("2026-07-01,10,20\n2026-07-02,23,\n", "2026-07-02", (23, 23),
         (StandIn.NEAR_TEMPERATURE, StandIn.CLEAR_SKY)),
        ("2026-07-01,,8\n", "2026-07-01", (8, 8), (StandIn.TEMPERATURE, StandIn.CLEAR_SKY)),
    ],
)  # fmt: skip
def test_days_that_are_not_told_are_like_the_nearest(
    rows: str, day: str, extremes_c: tuple[float, float], assumed: tuple[StandIn, ...]
) -> None:
    """Within three days, before and after; else the assumed day stands in, as in files of hours."""
    told = day_on(source(TEMPERATURES + rows), day)
    assert (told.coolest_c, told.warmest_c) == pytest.approx(extremes_c)
    assert set(told.assumed) == {*assumed, StandIn.HUMIDITY, StandIn.WIND}
    assert told.et0_hargreaves_mm is None


def test_a_run_over_the_files_dates_in_summer_is_within_them() -> None:
    """Its first hour is the last of the standard day before; nothing stands in for its warmth, and
    sensors read there."""
    air = source(TWO_DAYS)
    first = parse_rfc3339("2026-07-01T00:00:00+02:00")
    hours = hours_of_air(air, first=first, before=first + 2 * DAY_MS)
    within = [hour for hour in hours if first <= hour.start < first + 2 * DAY_MS]
    assert len(within) == 48
    assert {hour.assumed for hour in within} == {
        (StandIn.HUMIDITY, StandIn.WIND, StandIn.RADIATION)
    }
    days = days_of_air(hours, air, first=first, before=first + 2 * DAY_MS)
    assert [day.date for day in days] == [date(2026, 7, 1), date(2026, 7, 2)]
    assert series(air, "air_temperature").value_at(first) is not None


@pytest.mark.parametrize(
    ("first", "before", "hours"),
    [
        ("2026-03-29T00:00:00+01:00", "2026-03-30T00:00:00+02:00", 23),  # clocks put forward
        ("2026-10-25T00:00:00+02:00", "2026-10-26T00:00:00+01:00", 25),  # and back
    ],
)
def test_a_day_on_which_the_clocks_change_is_one_day(first: str, before: str, hours: int) -> None:
    """Of 23 or 25 hours in the run, told whole by its standard day."""
    day = first[:10]
    air = source(f"{TEMPERATURES}{day},5,15\n")
    start, end = parse_rfc3339(first), parse_rfc3339(before)
    made = hours_of_air(air, first=start, before=end)
    assert sum(start <= hour.start < end for hour in made) == hours
    (told,) = days_of_air(made, air, first=start, before=end)
    assert (told.date.isoformat(), told.coolest_c, told.warmest_c) == (day, 5.0, 15.0)


# What sensors read


def test_a_thermometer_reads_both_ends_of_every_day() -> None:
    """To the digit, so that a threshold at the day's warmest is met; and no step at midnight."""
    heard = series(source(TWO_DAYS), "air_temperature")
    assert heard.value_at(moment("2026-07-01", 5)) == 12.0
    assert heard.value_at(moment("2026-07-02", 15)) == 33.0
    course = DayCourse(source(TWO_DAYS))
    for quarter in range(4 * 48):
        at = moment("2026-07-01", quarter / 4)
        assert heard.value_at(at) == pytest.approx(course.temperature_c(at), abs=0.15)


def test_humidity_and_light_are_those_that_plants_feel() -> None:
    """At whole hours and in the middle of each."""
    air = source(
        "date,coolest_c,warmest_c,dew_point_c,sunshine_h\n2026-07-01,12,26,10,9\n"
        "2026-07-02,16,33,15,12\n"
    )
    humidity, light = series(air, "humidity"), series(air, "light")
    course = DayCourse(air)
    for hour in hours_on(air, "2026-07-01", days=2):
        middle = hour.start + 30 * MINUTE_MS
        assert light.value_at(middle) == hour.radiation_w_m2
        number = air.day_number_at(hour.start)
        expected = course.humidity_pct(hour.start, number=number)
        assert humidity.value_at(hour.start) == pytest.approx(expected, abs=1e-9)
        assert humidity.value_at(middle) == pytest.approx(hour.humidity_pct, abs=1.5)


def test_sensors_are_silent_on_days_that_the_file_does_not_tell() -> None:
    """As in a file of hours; a light meter too where the sun is only judged by temperatures."""
    air = source(
        "date,coolest_c,warmest_c,sunshine_h\n2026-07-01,12,26,\n2026-07-03,12,,9\n"
        "2026-07-05,12,26,9\n"
    )
    noons = [moment(f"2026-07-0{day}", 12) for day in range(1, 7)]
    told = {
        quantity: [series(air, quantity).value_at(noon) is not None for noon in noons]
        for quantity in ("air_temperature", "humidity", "light")
    }
    assert told == {
        "air_temperature": [True, False, False, False, True, False],
        "humidity": [True, False, False, False, True, False],
        "light": [False, False, True, False, True, False],
    }
    heard = series(air, "air_temperature")
    end = moment("2026-07-01", 24)
    assert heard.value_at(end - 1) is not None
    assert heard.value_at(end) is None


def test_points_follow_each_other_where_the_sun_keeps_the_clocks_hours() -> None:
    """And where it does not: none is there twice."""
    for longitude in (15.0, 8.3, -157.5):
        air = source(TWO_DAYS, place=f"# latitude = 10\n# longitude = {longitude}\n")
        heard = series(air, "air_temperature")
        start = air.start_of_day(air.day_number_at(moment("2026-07-01", 12)))
        quarters = range(start - HOUR_MS, start + 2 * DAY_MS, 15 * MINUTE_MS)
        known = [value for at in quarters if (value := heard.value_at(at)) is not None]
        assert len(known) == len(quarters)
        assert all(abs(b - a) < 1.2 for a, b in pairwise(known))


# Whether it fits


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ("2026-01-01,0,5,12,\n2026-01-02,0,5,30,\n2026-01-03,0,5,30,\n",
         "the weather file has 12.0 MJ/m² of radiation, where 9.5 MJ/m² fall above the air, on "
         "2026-01-01, and on 2 more days of the file"),
        ("2026-01-01,0,5,,10\n", "the weather file has 10.0 h of sunshine, where the sun is up for "
         "8.4 h, on 2026-01-01"),
    ],
)  # fmt: skip
def test_more_sun_than_there_is_is_a_warning(rows: str, told: str) -> None:
    """Another unit, another place or another date; the run goes on."""
    head = "date,coolest_c,warmest_c,global_radiation_mj_m2,sunshine_h\n"
    air = source(head + rows, site=SITE.model_copy(update={"longitude": 15.0}))
    assert air.weather is not None
    (found,) = fit_findings(SITE.model_copy(update={"longitude": 15.0}), air.weather)
    assert (found.level, found.message) == ("warning", told)


def test_twilight_is_no_mistake() -> None:
    """A little in the polar night, and sunshine until the sun is quite down."""
    place = "# latitude = 78\n# longitude = 15\n"
    head = "date,coolest_c,warmest_c,global_radiation_mj_m2,sunshine_h\n"
    air = source(f"{head}2026-12-21,-20,-9,0.3,0.4\n", place=place)
    assert air.weather is not None
    site = Site(latitude=78, longitude=15, timezone="UTC")
    assert fit_findings(site, air.weather) == []
