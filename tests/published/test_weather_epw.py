"""EPW written by its data dictionary, read by us and by pvlib.

Format: EnergyPlus, Auxiliary Programs, "EnergyPlus Weather File (EPW) Data Dictionary".
Independent reader: pvlib.iotools.read_epw. Hours: NREL's TMY3 year of Greensboro, North
Carolina, that pvlib ships.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import Any

import pvlib
import pytest

from controller.core.units import HOUR_MS, instant_of, parse_rfc3339
from controller.shell.weather_file import read_weather
from controller.weather.air_series import series_of
from controller.weather.formats import parse_weather
from controller.weather.weather import ColumnName, MissingRows, Weather

TMY3 = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"

HEADER = """\
LOCATION,Greensboro Piedmont Triad,NC,USA,TMY3,723170,36.10,-79.95,-5.0,273.0
DESIGN CONDITIONS,0
TYPICAL/EXTREME PERIODS,0
GROUND TEMPERATURES,0
HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0
COMMENTS 1,written from a TMY3 file
COMMENTS 2,
DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31
"""

# Two hours of an invented place, written by hand along the data dictionary (fields N1 to N28
# in order); its second hour has every missing marker of the five quantities.
FRAGMENT = """\
LOCATION,Höhenberg,-,CHE,invented,000001,46.50,7.25,1.0,1200.0
DESIGN CONDITIONS,0
TYPICAL/EXTREME PERIODS,0
GROUND TEMPERATURES,0
HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0
COMMENTS 1,invented
COMMENTS 2,invented
DATA PERIODS,1,1,Data,Wednesday,7/1/2026,7/1/2026
2026,7,1,12,0,?9?9?9,24.5,11.0,43,88250,1290,1322,380,905,800,170,0,0,0,0,225,3.4,2,1,30.0,7777,9,999999999,20,0.10,0,88,0.2,0,1
2026,7,1,13,60,?9?9?9,99.9,99.9,999,999999,9999,9999,9999,9999,9999,9999,999999,999999,999999,9999,999,999,99,99,9999,99999,9,999999999,999,.999,999,99,999,999,99
2026,7,1,14,0,?9?9?9,26.5,11.0,39,88150,1290,1322,380,855,800,170,0,0,0,0,225,4.4,2,1,30.0,7777,9,999999999,20,0.10,0,88,0.2,0,1
"""


@cache
def epw_text() -> str:
    """The TMY3 year as EPW: the fields of the data dictionary, 35 a line."""
    with TMY3.open(newline="") as file:
        next(file)
        hours = list(csv.DictReader(file))
    lines = []
    for row in hours:
        month, day, year = row["Date (MM/DD/YYYY)"].split("/")
        hour = int(row["Time (HH:MM)"][:2])
        pressure_pa = int(row["Pressure (mbar)"]) * 100
        cells = [
            *(year, int(month), int(day), hour, 0, "?9?9?9"),
            *(row["Dry-bulb (C)"], row["Dew-point (C)"], row["RHum (%)"], pressure_pa),
            *(row["ETR (W/m^2)"], row["ETRN (W/m^2)"], 9999),
            *(row["GHI (W/m^2)"], row["DNI (W/m^2)"], row["DHI (W/m^2)"]),
            *(999999, 999999, 999999, 9999, row["Wdir (degrees)"], row["Wspd (m/s)"]),
            *(row["TotCld (tenths)"], row["OpqCld (tenths)"], 9999, 99999, 9, 999999999),
            *(999, 0.999, 999, 99, 999, 999, 99),
        ]
        lines.append(",".join(map(str, cells)))
    return HEADER + "\n".join(lines) + "\n"


@cache
def ours() -> Weather:
    """The EPW year as we read it."""
    return parse_weather(epw_text().encode(), name="greensboro.epw")


@pytest.fixture(scope="module")
def theirs(tmp_path_factory: pytest.TempPathFactory) -> tuple[Any, dict[str, Any]]:
    """The EPW year as pvlib reads it, every month told as one of the year 2001."""
    path = tmp_path_factory.mktemp("epw") / "greensboro.epw"
    path.write_text(epw_text())
    data, station = pvlib.iotools.read_epw(path, coerce_year=2001)
    return data, station


@pytest.mark.parametrize(
    ("column", "theirs_name", "per"),
    [
        ("air_temperature_c", "temp_air", 1.0),
        ("humidity_pct", "relative_humidity", 1.0),
        ("wind_m_s", "wind_speed", 1.0),
        ("global_radiation_w_m2", "ghi", 1.0),
        ("pressure_kpa", "atmospheric_pressure", 1000.0),  # pvlib leaves it in Pa
    ],
)
def test_every_hour_equals_what_pvlib_reads(
    theirs: tuple[Any, dict[str, Any]], column: ColumnName, theirs_name: str, per: float
) -> None:
    """All 8,760 values of a quantity are those of pvlib's reader."""
    expected = [round(value / per, 6) for value in theirs[0][theirs_name].tolist()]
    assert list(ours().column(column)) == expected


def test_every_stamp_is_an_hour_after_the_label_of_pvlib(
    theirs: tuple[Any, dict[str, Any]],
) -> None:
    """Hour 1 is labelled 00:00 by pvlib, its start, and stamped 01:00 by us, its end."""
    assert list(ours().stamps) == [instant_of(stamp) + HOUR_MS for stamp in theirs[0].index]


def test_the_station_is_where_pvlib_reads_it(theirs: tuple[Any, dict[str, Any]]) -> None:
    """Place, elevation and offset come from the LOCATION line."""
    station = theirs[1]
    weather = ours()
    assert (
        weather.latitude,
        weather.longitude,
        weather.elevation_m,
        weather.utc_offset_h,
    ) == (station["latitude"], station["longitude"], station["altitude"], station["TZ"])


def test_one_year_in_two_formats_is_one_weather() -> None:
    """The TMY3 file and the EPW file of the same hours give the same columns and stamps."""
    tmy3 = read_weather(TMY3)
    epw = ours()
    assert epw.is_typical_year
    assert tmy3.is_typical_year
    assert (epw.stamps, epw.air_temperature_c, epw.humidity_pct, epw.wind_m_s) == (
        tmy3.stamps,
        tmy3.air_temperature_c,
        tmy3.humidity_pct,
        tmy3.wind_m_s,
    )
    assert epw.global_radiation_w_m2 == tmy3.global_radiation_w_m2
    assert epw.pressure_kpa == tmy3.pressure_kpa


def test_a_fragment_with_a_year_is_read_at_its_dates() -> None:
    """Hour 12 at UTC+1 ends at 11:00 UTC; the markers of the data dictionary are missing.

    One missing hour lies midway between its neighbours, by hand: 25.5 °C, 41 %, 3.9 m/s,
    880 W/m², 88.2 kPa.
    """
    weather = parse_weather(FRAGMENT.encode("latin-1"), name="fragment.epw")
    start = parse_rfc3339("2026-07-01T11:00:00Z")
    assert not weather.is_typical_year
    assert weather.stamps == (start, start + HOUR_MS, start + 2 * HOUR_MS)
    assert weather.air_temperature_c == (24.5, 25.5, 26.5)
    assert weather.humidity_pct == (43.0, 41.0, 39.0)
    assert weather.wind_m_s == pytest.approx((3.4, 3.9, 4.4))
    assert weather.global_radiation_w_m2 == (905.0, 880.0, 855.0)
    assert weather.pressure_kpa == pytest.approx((88.25, 88.2, 88.15))
    assert {entry[1:] for entry in weather.missing} == {MissingRows("wind_m_s", 1, 1, False)[1:]}
    assert weather.source == "fragment.epw (EPW, Höhenberg, CHE)"


def test_dry_bulb_stands_for_the_indicated_time() -> None:
    """The temperature of the fragment at 11:00 UTC is its hour 12's, at 11:30 between two."""
    weather = parse_weather(FRAGMENT.encode(), name="fragment.epw")
    series = series_of(weather, "air_temperature_c")
    start = parse_rfc3339("2026-07-01T11:00:00Z")
    assert [series.value_at(start + minutes * 60_000) for minutes in (-1, 0, 30, 120, 121)] == [
        None,
        24.5,
        25.0,
        26.5,
        None,
    ]
