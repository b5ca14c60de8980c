"""TMY3 as NREL published it, read by us and by pvlib.

Data: the two TMY3 files that pvlib ships (Greensboro, North Carolina, and Sand Point,
Alaska; NREL). Independent reader: pvlib.iotools.read_tmy3.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pvlib
import pytest

from controller.core.units import HOUR_MS, instant_of, parse_rfc3339
from controller.shell.weather_file import read_weather
from controller.weather.air_series import series_of
from controller.weather.weather import ColumnName, Weather

DATA = Path(pvlib.__file__).parent / "data"
GREENSBORO = "723170TYA.CSV"
SAND_POINT = "703165TY.csv"

# pvlib's names and units: °C, %, m/s, W/m², mbar.
PVLIB_COLUMNS: list[tuple[ColumnName, str, float]] = [
    ("air_temperature_c", "temp_air", 1.0),
    ("humidity_pct", "relative_humidity", 1.0),
    ("wind_m_s", "wind_speed", 1.0),
    ("global_radiation_w_m2", "ghi", 1.0),
    ("pressure_kpa", "pressure", 10.0),  # 1 kPa is 10 mbar
]


@cache
def ours(file: str) -> Weather:
    """The file as we read it."""
    return read_weather(DATA / file)


@cache
def theirs(file: str) -> tuple[Any, dict[str, Any]]:
    """The file as pvlib reads it, every month told as one of the year 2001."""
    data, station = pvlib.iotools.read_tmy3(DATA / file, coerce_year=2001, map_variables=True)
    return data, station


@pytest.mark.parametrize("file", [GREENSBORO, SAND_POINT])
@pytest.mark.parametrize(("column", "theirs_name", "per"), PVLIB_COLUMNS)
def test_every_hour_equals_what_pvlib_reads(
    file: str, column: ColumnName, theirs_name: str, per: float
) -> None:
    """All 8,760 values of a quantity are those of pvlib's reader."""
    data, _ = theirs(file)
    expected = [round(value / per, 6) for value in data[theirs_name].tolist()]
    assert list(ours(file).column(column)) == expected


@pytest.mark.parametrize("file", [GREENSBORO, SAND_POINT])
def test_every_stamp_equals_what_pvlib_reads(file: str) -> None:
    """Hours end at their stamp in local standard time, 24:00 being 00:00 of the next day."""
    data, _ = theirs(file)
    assert list(ours(file).stamps) == [instant_of(stamp) for stamp in data.index]


@pytest.mark.parametrize("file", [GREENSBORO, SAND_POINT])
def test_the_station_is_where_pvlib_reads_it(file: str) -> None:
    """Place, elevation and offset come from the first line."""
    _, station = theirs(file)
    weather = ours(file)
    assert (
        weather.latitude,
        weather.longitude,
        weather.elevation_m,
        weather.utc_offset_h,
    ) == (station["latitude"], station["longitude"], station["altitude"], station["TZ"])


def test_the_first_hours_of_greensboro_are_as_printed_in_the_file() -> None:
    """The first line of hours, read off the published file by eye.

    `01/01/1988,01:00 … Dry-bulb 10.0, RHum 77, Pressure 993, Wspd 6.2, GHI 0`; 01:00 at
    UTC-5 is 06:00 UTC.
    """
    weather = ours(GREENSBORO)
    assert [
        weather.stamps[0],
        weather.air_temperature_c[0],
        weather.humidity_pct[0],
        weather.pressure_kpa[0],
        weather.wind_m_s[0],
        weather.global_radiation_w_m2[0],
    ] == [parse_rfc3339("2001-01-01T06:00:00Z"), 10.0, 77.0, 99.3, 6.2, 0.0]


def test_radiation_is_the_mean_of_the_hour_that_ends_at_the_stamp() -> None:
    """Around each stamp's hour the sun was up where there is radiation.

    Independent ephemeris: pvlib's solar position. The sun must be above the horizon for some
    of the hour before the stamp; were the stamps the starts of hours, more than 200
    hours a year would have sunlight in the night.
    """
    data, station = theirs(GREENSBORO)
    sun = pvlib.solarposition.get_solarposition
    ends = sun(data.index, station["latitude"], station["longitude"])["elevation"].tolist()
    starts = [ends[-1], *ends[:-1]]
    radiation = ours(GREENSBORO).global_radiation_w_m2
    in_the_night = [
        index
        for index, watts in enumerate(radiation)
        if watts and max(starts[index], ends[index]) < -1.0
    ]
    following = [*ends[1:], ends[0]]
    misread = [
        index
        for index, watts in enumerate(radiation)
        if watts and max(ends[index], following[index]) < -1.0
    ]
    assert in_the_night == []
    assert len(misread) > 200


def test_series_stand_where_the_manual_says() -> None:
    """Temperature stands at its stamp, radiation in the middle of the hour that it is the mean of.

    Read off the published file by pvlib: the hours that end at 12:00 and 13:00 on 15 June, told
    here for 2026. Half past twelve lies in the middle of the second.
    """
    data, _ = theirs(GREENSBORO)
    noon, one = data.loc["2001-06-15 12:00:00-05:00"], data.loc["2001-06-15 13:00:00-05:00"]
    temperature = series_of(ours(GREENSBORO), "air_temperature_c")
    radiation = series_of(ours(GREENSBORO), "global_radiation_w_m2")
    at_noon = parse_rfc3339("2026-06-15T12:00:00-05:00")
    half_past = at_noon + HOUR_MS // 2
    assert temperature.value_at(at_noon) == noon["temp_air"]
    assert temperature.value_at(half_past) == pytest.approx(
        (noon["temp_air"] + one["temp_air"]) / 2
    )
    assert radiation.value_at(half_past) == one["ghi"]
    assert radiation.value_at(at_noon) == pytest.approx((noon["ghi"] + one["ghi"]) / 2)


def test_a_published_year_has_no_missing_hours() -> None:
    """NREL fills every hour of these columns (TMY3 users manual), so nothing is reported."""
    assert [ours(file).missing for file in (GREENSBORO, SAND_POINT)] == [(), ()]


def test_stamps_are_one_hour_apart() -> None:
    """A typical year is 8,760 hours in a row."""
    stamps = ours(SAND_POINT).stamps
    assert list(stamps) == list(range(stamps[0], stamps[0] + 8760 * HOUR_MS, HOUR_MS))
