"""Weather files that nobody means well by: an error in words, never a crash, never for long."""

from __future__ import annotations

from math import isfinite
from pathlib import Path

import pvlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from controller.core.errors import BadWeatherError
from controller.core.plan import Site
from controller.core.units import DAY_MS
from controller.shell.weather_file import read_weather
from controller.weather.air_series import SeriesName, series_of
from controller.weather.air_source import air_source
from controller.weather.cells import LIMITS
from controller.weather.file_series import series_makers
from controller.weather.formats import FILE_BYTES_MAX, parse_weather
from controller.weather.hours import hours_of_air
from controller.weather.weather import COLUMN_NAMES, Weather
from tests.work import counted_work

# Of a refusal, in calls: the worst of these has 1.4 million, less than a second.
CALLS_MAX = 2_000_000

TMY3 = (Path(pvlib.__file__).parent / "data" / "703165TY.csv").read_bytes()

EPW = b"""\
LOCATION,H\xf6henberg,-,CHE,invented,1,46.50,7.25,1.0,1200.0
DESIGN CONDITIONS,0
TYPICAL/EXTREME PERIODS,0
GROUND TEMPERATURES,0
HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0
COMMENTS 1,invented
COMMENTS 2,invented
DATA PERIODS,1,1,Data,Wednesday,7/1/2026,7/1/2026
2026,7,1,12,0,?9?9?9,24.5,11.0,43,88250,1290,1322,380,905,800,170,0,0,0,0,225,3.4,2,1
2026,7,1,13,0,?9?9?9,99.9,99.9,999,999999,9999,9999,9999,9999,9999,9999,0,0,0,0,999,999,9
2026,7,1,14,0,?9?9?9,26.5,11.0,39,88150,1290,1322,380,855,800,170,0,0,0,0,225,4.4,2,1
"""

CSV = b"""\
# latitude = 47.1
# wind_height_m = 2
time,air_temperature_c,humidity_pct,wind_km_h,global_radiation_w_m2,pressure_hpa
2026-07-01T10:00:00+02:00,20.5,60,3.6,500,960
2026-07-01T11:00:00+02:00,21.5,,7.2,600,961
2026-07-01T12:00:00+02:00,"22.5",58,,700,961
"""

DAYS = b"""\
# longitude = 8.3
date,coolest_c,warmest_c,humidity_highest_pct,humidity_lowest_pct,wind_mph,sunshine_h
2026-06-30,12.5,24,95,50,3,8.5
2026-07-01,13,,,48,,
2026-07-03,"15.5",31,90,,4,13
"""

SITE = Site(latitude=47.1, longitude=8.3, timezone="UTC")
SERIES: tuple[SeriesName, ...] = ("air_temperature_c", "humidity_pct", "global_radiation_w_m2")


def must_be_read_or_refused(data: bytes) -> None:
    """The bytes give a weather that is whole and plausible, or an error in words."""
    try:
        weather = parse_weather(data, name="file")
    except BadWeatherError as error:
        text = str(error)
        assert text.startswith("file: ")
        assert len(text) < 10_000
        assert all(char == "\n" or char.isprintable() for char in text)
        return
    if weather.days:
        must_be_whole_days(weather)
        return
    for name in COLUMN_NAMES:
        low, high = LIMITS[name]
        column = weather.column(name)
        assert len(column) == len(weather.stamps) > 0
        known = [value for value in column if value is not None]
        assert all(low <= value <= high for value in known)
    assert list(weather.stamps) == sorted(set(weather.stamps))
    for series_name in SERIES:
        series_of(weather, series_name).value_at(weather.stamps[0])


def must_be_whole_days(weather: Weather) -> None:
    """Every value of a file of days is within what can be, and its hours are numbers."""
    numbers = [day.number for day in weather.days]
    assert numbers == sorted(set(numbers))
    for day in weather.days:
        for name, (low, high) in LIMITS.items():
            value = getattr(day, name, None)
            assert value is None or low <= value <= high
    source = air_source(SITE, weather)
    first = source.start_of_day(numbers[0])
    for hour in hours_of_air(source, first=first, before=first + DAY_MS):
        assert isfinite(hour.et0_mm)
    for make in series_makers(source, weather).values():
        make().value_at(first)


@st.composite
def mutated(draw: st.DrawFn, original: bytes) -> bytes:
    """The file after one to four changes: cut, overwritten, inserted, removed, repeated."""
    data = original
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(data)))
        end = draw(st.integers(start, min(len(data), start + 200)))
        pieces = st.one_of(
            st.binary(max_size=8),
            st.sampled_from(
                [
                    b",",
                    b'"',
                    b"\n",
                    b"\r",
                    b"-",
                    b"1e309",
                    b"nan",
                    b"\0",
                    b"_1",
                    b"\xff",
                    b"#",
                    b";",
                ]
            ),
        )
        change = draw(st.sampled_from(["cut", "put", "insert", "remove", "repeat"]))
        if change == "cut":
            data = data[:start]
        elif change == "put":
            piece = draw(pieces)
            data = data[:start] + piece + data[start + len(piece) :]
        elif change == "insert":
            data = data[:start] + draw(pieces) + data[start:]
        elif change == "remove":
            data = data[:start] + data[end:]
        else:
            data = data[:end] + data[start:end] + data[end:]
    return data


@given(st.binary(max_size=2000))
def test_random_bytes_are_refused_in_words(data: bytes) -> None:
    """No bytes crash the reader."""
    must_be_read_or_refused(data)


@given(
    st.sampled_from([b"LOCATION,", *(text[: text.index(b"2026")] for text in (EPW, CSV, DAYS))]),
    st.binary(max_size=500),
)
def test_random_bytes_after_a_true_beginning_are_refused_in_words(
    beginning: bytes, data: bytes
) -> None:
    """A recognised format does not make the reader more trusting."""
    must_be_read_or_refused(beginning + data)


@given(mutated(CSV))
def test_a_damaged_plain_csv_is_read_or_refused(data: bytes) -> None:
    """What survives the damage is whole and plausible."""
    must_be_read_or_refused(data)


@given(mutated(DAYS))
def test_a_damaged_file_of_days_is_read_or_refused(data: bytes) -> None:
    """What survives the damage is whole and plausible."""
    must_be_read_or_refused(data)


@given(mutated(EPW))
def test_a_damaged_epw_is_read_or_refused(data: bytes) -> None:
    """What survives the damage is whole and plausible."""
    must_be_read_or_refused(data)


# A year of hours takes a tenth of a second each time, so fewer examples than elsewhere.
@settings(max_examples=20, deadline=None)
@given(mutated(TMY3))
def test_a_damaged_tmy3_is_read_or_refused(data: bytes) -> None:
    """What survives the damage is whole and plausible."""
    must_be_read_or_refused(data)


def test_the_undamaged_files_are_read() -> None:
    """The tests above start from files that are right, so they reach the readers."""
    for data in (TMY3, EPW, CSV):
        assert parse_weather(data, name="file").air_temperature_c[0] is not None
    assert len(parse_weather(DAYS, name="file").days) == 3


HEADER = b"time,air_temperature_c\n"


@pytest.mark.parametrize(
    ("data", "told"),
    [
        pytest.param(b"," * 10_000_000, "longer than 20,000 characters", id="one endless line"),
        pytest.param(b"time,\n" * 3_000_000, "more than 600,000 lines", id="endless short lines"),
        pytest.param(b"x" * (FILE_BYTES_MAX + 1), "larger than 20 MB", id="a byte too many"),
        pytest.param(b"time," + b"rain," * 3_000, "found 3002 columns", id="endless columns"),
        pytest.param(b"# a = 1\n" * 200_000 + HEADER, "200000 lines", id="endless comments"),
        pytest.param(HEADER + b"x,y\n" * 200_000, "more than 20 mistakes", id="endless mistakes"),
        pytest.param(HEADER + b'"' + b"x\n" * 200_000, "quote without", id="endless open quote"),
        pytest.param(HEADER + b"\n" * 200_000 + b"x", "line 200002, row", id="endless blank lines"),
        pytest.param(
            DAYS + b"2026-07-04,9,8,1,2,,\n" * 200_000,
            "found 200,003 rows",
            id="endless days",
        ),
        pytest.param(
            EPW + b"1\n" * 200_000, "more than 20 mistakes", id="endless short lines of EPW"
        ),
        pytest.param(
            EPW + b"2026,7,1,99,0,?,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1\n" * 100_000,
            "more than 20 mistakes",
            id="endless bad hours of EPW",
        ),
        pytest.param(
            TMY3[: TMY3.index(b"\n", 200) + 1] + b"1,2\n" * 200_000,
            "line 3, date and time",
            id="endless bad hours of TMY3",
        ),
    ],
)
def test_endless_files_are_refused_soon(data: bytes, told: str) -> None:
    """Each is refused after a bounded work, of which a slow board does its share in seconds."""
    with counted_work() as work, pytest.raises(BadWeatherError) as caught:
        parse_weather(data, name="file")
    assert told in str(caught.value)
    assert work.calls < CALLS_MAX


def test_no_more_than_the_limit_is_read_from_an_endless_device() -> None:
    """A device that never ends is read up to the limit, then refused."""
    with pytest.raises(BadWeatherError, match="larger than 20 MB"):
        read_weather(Path("/dev/zero"))
