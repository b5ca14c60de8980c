"""Hours and days of air: what each row counts for, and what stands in for what is missing."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest

from controller.core.plan import Site
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, parse_rfc3339, rfc3339
from controller.core.water.air import air_pressure_kpa, saturation_kpa
from controller.core.water.missing_inputs import StandIn
from controller.core.water.radiation import (
    clear_sky_mj_per_m2,
    from_temperatures_mj_per_m2,
    net_long_wave_hour_mj_per_m2,
)
from controller.core.water.reference_et import hour_et_mm
from controller.core.water.sun_path import sun_path
from controller.core.water.wind import wind_at_2_m
from controller.weather.air_source import AirSource, air_source
from controller.weather.air_words import assumption_sentences
from controller.weather.days import AirDay, days_of_air
from controller.weather.formats import parse_weather
from controller.weather.hours import HourOfAir, assumed_h, hours_of_air
from tests.typical_years import GREENSBORO, SAND_POINT, column, hours_of, source_of

SITE = Site.model_validate(
    {
        "latitude": 47.1,
        "longitude": 8.3,
        "timezone": "Europe/Zurich",
        "elevation_m": 450,
        "typical_day": {"coolest_c": 12.0, "warmest_c": 26.0},
    }
)
HEADINGS = "time,air_temperature_c,humidity_pct,wind_m_s,global_radiation_w_m2\n"


def source(rows: str, *, comments: str = "", site: Site = SITE) -> AirSource:
    """The air of a plain CSV file with these rows."""
    text = f"{comments}{HEADINGS}{rows}"
    return air_source(site, parse_weather(text.encode(), name="invented.csv"))


def hourly_rows(day: str, cells: str, *, hours: range = range(1, 25)) -> str:
    """A row at each of these hours of that UTC day (24 is the next midnight), all alike."""
    start = parse_rfc3339(f"{day}T00:00:00Z")
    return "".join(f"{rfc3339(start + hour * HOUR_MS)},{cells}\n" for hour in hours)


def hours_on(air: AirSource, day: str, *, days: int = 1) -> list[HourOfAir]:
    """The hours of the local standard days from that one."""
    first = parse_rfc3339(f"{day}T00:00:00Z") - air.utc_offset_ms
    return hours_of_air(air, first=first, before=first + days * DAY_MS)


def days_on(air: AirSource, first: str, before: str) -> list[AirDay]:
    """The days of the time between the two."""
    start, end = parse_rfc3339(first), parse_rfc3339(before)
    hours = hours_of_air(air, first=start, before=end)
    return days_of_air(hours, air, first=start, before=end)


# Rows


def test_a_row_counts_for_the_hour_that_ends_at_its_stamp() -> None:
    """TMY3's 13:00 row of 1 July is the hour from 12:00 to 13:00 local standard time."""
    start = GREENSBORO.start_of("2027-07-01") + 12 * HOUR_MS
    (hour,) = (hour for hour in hours_of(GREENSBORO) if hour.start == start)
    row = 181 * 24 + 12
    assert hour.end == start + HOUR_MS
    assert hour.temperature_c == column(GREENSBORO, "Dry-bulb (C)")[row]
    assert hour.humidity_pct == column(GREENSBORO, "RHum (%)")[row]
    assert hour.radiation_w_m2 == column(GREENSBORO, "GHI (W/m^2)")[row]
    wind = column(GREENSBORO, "Wspd (m/s)")[row]
    assert hour.wind_2m_m_s == pytest.approx(wind_at_2_m(wind, height_m=10.0))
    assert hour.assumed == ()


def test_an_hour_is_the_standard_s_equation_at_its_middle() -> None:
    """One hour of noon computed by hand from the row's values; the sky is clear to its limit."""
    air = source(
        hourly_rows("2026-07-01", "25.0,50,2.0,900"),
        comments="# utc_offset_h = 0\n# wind_height_m = 2\n# elevation_m = 450\n",
    )
    hour = hours_on(air, "2026-07-01")[11]
    saturated = saturation_kpa(25.0)
    path = sun_path(latitude=47.1, longitude=8.3, day_of_year=182)
    above = path.period_mj_per_m2(path.hour_angle_rad(11.5), length_h=1.0)
    clear = clear_sky_mj_per_m2(above, elevation_m=450)
    assert 900 * 0.0036 / clear == pytest.approx(1.0, abs=0.1)
    lost = net_long_wave_hour_mj_per_m2(
        temperature_c=25.0,
        vapour_kpa=saturated / 2,
        clearness=min(1.0, 900 * 0.0036 / clear),
    )
    expected = hour_et_mm(
        temperature_c=25.0,
        deficit_kpa=saturated / 2,
        wind_2m_m_s=wind_at_2_m(2.0, height_m=2.0),
        net_radiation_mj_per_m2=0.77 * 900 * 0.0036 - lost,
        air_kpa=air_pressure_kpa(450),
    )
    assert hour.et0_mm == pytest.approx(expected, rel=1e-12)


def test_29_february_has_the_hours_of_the_28th() -> None:
    """A typical year in a leap year: same rows, and the days after go on with 1 March."""
    air = source_of(GREENSBORO)
    first = GREENSBORO.start_of("2028-02-28")
    hours = hours_of_air(air, first=first, before=first + 3 * DAY_MS)
    temperatures = [hour.temperature_c for hour in hours]
    assert temperatures[:24] == temperatures[24:48]
    rows = column(GREENSBORO, "Dry-bulb (C)")
    assert temperatures[48:] == rows[59 * 24 : 60 * 24]
    assert [day.date for day in days_of_air(
        hours, air, first=first, before=first + 3 * DAY_MS
    )] == [date(2028, 2, 28), date(2028, 2, 29), date(2028, 3, 1)]  # fmt: skip


def test_a_year_s_end_goes_on_with_its_beginning() -> None:
    """31 December and 1 January follow each other without a gap, sky included."""
    first = GREENSBORO.start_of("2026-12-31")
    hours = hours_of_air(source_of(GREENSBORO), first=first, before=first + 2 * DAY_MS)
    assert hours[24:] == list(hours_of(GREENSBORO)[:24])
    assert hours[23].temperature_c == column(GREENSBORO, "Dry-bulb (C)")[-1]


def test_rows_shorter_than_an_hour_make_hours() -> None:
    """Four rows of a quarter of an hour are one hour of their means."""
    rows = "".join(
        f"2026-07-01T11:{minute}:00Z,{20 + index},50,{index},{400 + 100 * index}\n"
        for index, minute in enumerate(["15", "30", "45"])
    )
    air = source(rows + "2026-07-01T12:00:00Z,23,70,3,700\n", comments="# utc_offset_h = 0\n")
    (hour,) = (hour for hour in hours_on(air, "2026-07-01") if hour.assumed == ())
    assert (hour.end - hour.start, hour.end) == (HOUR_MS, parse_rfc3339("2026-07-01T12:00:00Z"))
    assert (hour.temperature_c, hour.humidity_pct, hour.radiation_w_m2) == (21.5, 55.0, 550.0)


def test_a_long_row_counts_for_all_its_time() -> None:
    """Of rows 2 h apart each tells 2 h, and the water of both hours."""
    rows = "".join(f"2026-07-01T{hour:02}:00:00Z,25,50,2,600\n" for hour in range(2, 24, 2))
    air = source(rows, comments="# utc_offset_h = 0\n# wind_height_m = 2\n")
    double = [hour for hour in hours_on(air, "2026-07-01") if not hour.assumed]
    assert {hour.end - hour.start for hour in double} == {2 * HOUR_MS}
    single = source(
        hourly_rows("2026-07-01", "25,50,2,600"),
        comments="# utc_offset_h = 0\n# wind_height_m = 2\n",
    )
    noon = [hour.et0_mm for hour in hours_on(single, "2026-07-01")][10:12]
    assert double[5].et0_mm == pytest.approx(sum(noon), rel=0.01)


def test_a_row_over_midnight_is_cut_there() -> None:
    """A row from 23:30 to 00:30 counts for half an hour on either day."""
    rows = "2026-07-01T22:30:00Z,20,50,2,0\n2026-07-01T23:30:00Z,20,50,2,0\n"
    air = source(rows + "2026-07-02T00:30:00Z,10,50,2,0\n", comments="# utc_offset_h = 0\n")
    hours = hours_on(air, "2026-07-01", days=2)
    midnight = parse_rfc3339("2026-07-02T00:00:00Z")
    around = [hour for hour in hours if midnight in (hour.start, hour.end)]
    assert [(hour.temperature_c, hour.end - hour.start) for hour in around] == [
        (10.0, 30 * MINUTE_MS),
        (10.0, HOUR_MS),  # with the unknown half hour that follows
    ]


def test_humidity_over_100_percent_is_saturation() -> None:
    """Sensors in fog read too much; air does not hold it."""
    air = source(hourly_rows("2026-07-01", "10,105,2,0"), comments="# utc_offset_h = 0\n")
    assert {hour.humidity_pct for hour in hours_on(air, "2026-07-01")} == {100.0}


# What stands in


def test_humidity_that_is_missing_comes_from_the_coolest_temperature() -> None:
    """The dew point is the coolest of the day; at that hour the air is saturated."""
    rows = hourly_rows("2026-07-01", "12,,2,0", hours=range(1, 7))
    rows += hourly_rows("2026-07-01", "24,,2,300", hours=range(7, 25))
    hours = hours_on(source(rows, comments="# utc_offset_h = 0\n"), "2026-07-01")
    assert [hour.humidity_pct for hour in hours[:6]] == pytest.approx([100.0] * 6)
    share = 100 * saturation_kpa(12) / saturation_kpa(24)
    assert [hour.humidity_pct for hour in hours[6:]] == pytest.approx([share] * 18)
    assert {hour.assumed for hour in hours} == {(StandIn.HUMIDITY,)}


def test_wind_that_is_missing_is_2_m_s() -> None:
    """At 2 m, however high the file's sensor stands."""
    hours = hours_on(
        source(
            hourly_rows("2026-07-01", "20,50,,0"),
            comments="# utc_offset_h = 0\n# wind_height_m = 10\n",
        ),
        "2026-07-01",
    )
    assert {hour.wind_2m_m_s for hour in hours} == {2.0}
    assert {hour.assumed for hour in hours} == {(StandIn.WIND,)}


def test_radiation_that_is_missing_comes_from_temperatures() -> None:
    """A day of 12 to 28 °C has Hargreaves' radiation, shared out as the sun stands."""
    rows = hourly_rows("2026-07-01", "12,60,2,", hours=range(1, 7))
    rows += hourly_rows("2026-07-01", "28,60,2,", hours=range(7, 25))
    air = source(rows, comments="# utc_offset_h = 0\n")
    hours = hours_on(air, "2026-07-01")
    above = sun_path(latitude=47.1, longitude=8.3, day_of_year=182).day_mj_per_m2()
    total = sum(hour.radiation_w_m2 for hour in hours) * 0.0036
    expected = from_temperatures_mj_per_m2(above, warmest_c=28, coolest_c=12)
    assert total == pytest.approx(expected, rel=1e-9)
    assert expected / above == pytest.approx(0.16 * 4)  # eq. 50: the root of 16 °C
    assert {hour.assumed for hour in hours} == {(StandIn.RADIATION,)}
    assert hours[0].radiation_w_m2 == 0


def warm_days(*days: tuple[str, float], hole: range = range(0)) -> str:
    """Days of hours, all hours of a day equally warm; on 2 July without the hours of the hole."""
    return "".join(
        hourly_rows(
            day,
            f"{warmth_c},60,2,300",
            hours=range(hour, hour + 1),
        )
        for day, warmth_c in days
        for hour in range(1, 25)
        if day != "2026-07-02" or hour not in hole
    )


@pytest.mark.parametrize("warmth_c", [36, 39])
def test_a_hole_in_a_hot_spell_is_as_hot_as_the_days_around_it(warmth_c: int) -> None:
    """Ten hours of 2 July are not in the file: the 1st had 38 °C, the 3rd 40 °C. The assumed day,
    of 12 to 26 °C, would have cooled the afternoon. A row after a hole tells 3 hours."""
    around = ("2026-07-01", 38), ("2026-07-03", 40)
    rows = warm_days(around[0], ("2026-07-02", warmth_c), around[1], hole=range(9, 19))
    hours = hours_on(source(rows, comments="# utc_offset_h = 0\n"), "2026-07-02")
    assert [hour.temperature_c for hour in hours] == [warmth_c] * 8 + [39] * 8 + [warmth_c] * 6
    near = (StandIn.CLEAR_SKY, StandIn.NEAR_TEMPERATURE, StandIn.HUMIDITY, StandIn.WIND)
    assert [hour.assumed for hour in hours] == [()] * 8 + [near] * 8 + [()] * 6
    assert {round(hour.humidity_pct, 3) for hour in hours[8:16]} == {
        round(100 * saturation_kpa(warmth_c) / saturation_kpa(39), 3)
    }


@pytest.mark.parametrize(
    ("day", "warmth_c"), [("2026-07-04", 31.0), ("2026-07-05", 31.0), ("2026-07-06", 31.0)]
)
def test_a_day_near_the_end_of_a_file_is_like_its_last(day: str, warmth_c: float) -> None:
    """For three days; what stands in is told by what heads a report, and so not here."""
    air = source(warm_days(("2026-07-03", 31)), comments="# utc_offset_h = 0\n")
    hours = hours_on(air, day)
    assert {hour.temperature_c for hour in hours} == {warmth_c}
    assert {hour.assumed[1] for hour in hours} == {StandIn.NEAR_TEMPERATURE}
    assert assumption_sentences(air, hours)[0].startswith("Humidity not known: ")
    later = hours_on(air, "2026-07-07")
    assert {hour.assumed[1] for hour in later} == {StandIn.TEMPERATURE}


def test_hours_outside_of_the_file_are_those_of_the_assumed_day() -> None:
    """All four quantities stand in, and the temperature stays within the stated day's."""
    air = source(hourly_rows("2026-07-01", "40,50,2,600"), comments="# utc_offset_h = 0\n")
    hours = hours_on(air, "2026-08-01")
    everything = (StandIn.CLEAR_SKY, StandIn.TEMPERATURE, StandIn.HUMIDITY, StandIn.WIND)
    assert {hour.assumed for hour in hours} == {everything}
    assert min(hour.temperature_c for hour in hours) == pytest.approx(12.0, abs=0.2)
    assert max(hour.temperature_c for hour in hours) == pytest.approx(26.0, abs=0.2)


@pytest.mark.parametrize("share", [1.0, 0.6])
def test_without_a_file_the_sky_has_the_stated_share(share: float) -> None:
    """Radiation is that share of a cloudless sky's; the day counts by the sun's nearest hour."""
    air = air_source(SITE, None, clear_sky_share=share)
    assert air.utc_offset_ms == HOUR_MS
    hours = hours_on(air, "2026-07-01")
    above = sun_path(latitude=47.1, longitude=8.3, day_of_year=182).day_mj_per_m2()
    clear = clear_sky_mj_per_m2(above, elevation_m=450)
    total = sum(hour.radiation_w_m2 for hour in hours) * 0.0036
    assert total == pytest.approx(share * clear, rel=1e-9)
    assert 3.0 < sum(hour.et0_mm for hour in hours) < 7.0


def test_without_a_stated_day_season_and_latitude_decide() -> None:
    """July asks for more than January."""
    air = air_source(Site(latitude=47.1, longitude=8.3, timezone="Europe/Zurich"), None)
    summer = sum(hour.et0_mm for hour in hours_on(air, "2026-07-15"))
    winter = sum(hour.et0_mm for hour in hours_on(air, "2026-01-15"))
    assert summer > 3 * winter > 0


def test_what_stands_in_is_told_in_hours_and_sentences() -> None:
    """Half a day of the file without wind, half without the file; the height is unknown. What has
    no hours beside it held all the time."""
    rows = hourly_rows("2026-07-01", "20,50,,0", hours=range(1, 13))
    site = Site(latitude=47.1, longitude=8.3, timezone="Europe/Zurich")
    air = source(rows, comments="# utc_offset_h = 0\n", site=site)
    hours = hours_on(air, "2026-07-01")
    assert assumed_h(hours) == {
        StandIn.TEMPERATURE: 12.0,
        StandIn.HUMIDITY: 12.0,
        StandIn.WIND: 24.0,
        StandIn.CLEAR_SKY: 12.0,
    }
    assert assumption_sentences(air, hours) == [
        "Temperature not known: taken from the assumed day (12.0 of 24 h).",
        "Humidity not known: dew point taken as the coolest temperature of the day, in dry places "
        "2 to 3 °C too high (12.0 of 24 h).",
        "Wind not known: taken as 2 m/s.",
        "Sun not known: taken as that of the assumed sky, 100 % of a cloudless one (12.0 of 24 h).",
        "Height above sea level not known: taken as 0 m.",
    ]


def test_a_whole_file_assumes_nothing() -> None:
    """The typical years have every value of every hour."""
    for year in (GREENSBORO, SAND_POINT):
        assert assumption_sentences(source_of(year), hours_of(year)) == []


# Places and days


def test_the_file_s_place_counts_where_it_states_one() -> None:
    """Its sun shone there; the site's height is used only where the file has none."""
    air = source_of(GREENSBORO)
    assert (air.latitude, air.longitude, air.elevation_m) == (36.1, -79.95, 273.0)
    assert air.utc_offset_ms == -5 * HOUR_MS
    own = source(hourly_rows("2026-07-01", "20,50,2,0"))
    assert (own.latitude, own.longitude, own.elevation_m) == (47.1, 8.3, 450.0)
    assert own.elevation_is_known


@pytest.mark.parametrize(
    ("comments", "zone", "offset_h"),
    [
        ("# utc_offset_h = -3.5\n", "Z", -3.5),
        ("", "+02:00", 2.0),  # the offset that all of its times share
    ],
)
def test_days_are_counted_in_the_file_s_standard_time(
    comments: str, zone: str, offset_h: float
) -> None:
    """As a comment states it, or else as its times have it."""
    air = source(f"2026-07-01T12:00:00{zone},20,50,2,0\n2026-07-01T13:00:00{zone},20,50,2,0\n",
                 comments=comments)  # fmt: skip
    assert air.utc_offset_ms == offset_h * HOUR_MS
    hours = hours_on(air, "2026-07-01")
    assert (hours[0].start + air.utc_offset_ms) % DAY_MS == 0


def test_a_run_over_summer_days_has_as_many_days() -> None:
    """Midnight to midnight of summer time: two dates, each told from standard midnight."""
    days = days_on(source_of(GREENSBORO), "2026-07-01T04:00:00Z", "2026-07-03T04:00:00Z")
    assert [day.date for day in days] == [date(2026, 7, 1), date(2026, 7, 2)]
    hours = hours_of(GREENSBORO)[181 * 24 : 183 * 24]
    for index, day in enumerate(days):
        own = hours[24 * index : 24 * index + 24]
        assert day.et0_mm == pytest.approx(sum(hour.et0_mm for hour in own), abs=1e-12)
        assert day.end - day.start == DAY_MS
        assert day.warmest_c == max(hour.temperature_c for hour in own)
        assert day.coolest_c == min(hour.temperature_c for hour in own)
        assert day.humidity_pct == pytest.approx(sum(hour.humidity_pct for hour in own) / 24)
        radiation = sum(hour.radiation_w_m2 for hour in own) * 0.0036
        assert day.radiation_mj_per_m2 == pytest.approx(radiation)
        assert day.assumed == ()


@pytest.mark.parametrize(
    ("first", "before", "dates"),
    [
        ("2026-07-01T13:00:00Z", "2026-07-01T15:00:00Z", [1]),  # a morning: no noon in it
        ("2026-07-01T17:00:00Z", "2026-07-02T17:00:00Z", [1]),  # from noon to noon
        ("2026-07-01T17:00:01Z", "2026-07-02T17:00:01Z", [2]),
        ("2026-07-01T05:00:00Z", "2026-07-04T05:00:00Z", [1, 2, 3]),
    ],
)
def test_days_are_those_whose_noon_is_in_the_run(first: str, before: str, dates: list[int]) -> None:
    """Noon of local standard time is 17:00 UTC here; half open like every interval."""
    days = days_on(source_of(GREENSBORO), first, before)
    assert [day.date for day in days] == [date(2026, 7, one) for one in dates]


def test_dew_stays_in_the_sum_of_a_day() -> None:
    """Nights below 0 lower their days, as the standard has it; a consumer can leave them out."""
    hours = hours_of(GREENSBORO)
    dew = [hour for hour in hours if hour.et0_mm < 0]
    assert len(dew) > 500
    assert all(hour.radiation_w_m2 < 200 for hour in dew)
    first, before = hours[0].start, hours[-1].end
    days = days_of_air(hours, source_of(GREENSBORO), first=first, before=before)
    total = sum(day.et0_mm for day in days)
    assert total == pytest.approx(sum(hour.et0_mm for hour in hours))
    assert total < sum(max(0.0, hour.et0_mm) for hour in hours)


def test_hours_follow_each_other() -> None:
    """A year has 8,760 of them, and the first and the last are the run's whole days."""
    hours = hours_of(SAND_POINT)
    assert len(hours) == 8760
    assert all(a.end == b.start for a, b in pairwise(hours))
    assert hours[0].start == SAND_POINT.start_of("2027-01-01")
