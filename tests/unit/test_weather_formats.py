"""Which format a file is in, and the mistakes of EPW and TMY3 files."""

from __future__ import annotations

from pathlib import Path

import pvlib
import pytest

from controller.core.errors import BadWeatherError
from controller.core.units import HOUR_MS, parse_rfc3339
from controller.shell.weather_file import read_weather
from controller.weather.formats import parse_weather
from controller.weather.weather import MissingRows

TMY3 = (Path(pvlib.__file__).parent / "data" / "723170TYA.CSV").read_text()

EPW_HEADER = """\
LOCATION,Somewhere,-,CHE,invented,1,46.5,7.25,1.0,1200.0
DESIGN CONDITIONS,0
TYPICAL/EXTREME PERIODS,0
GROUND TEMPERATURES,0
HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0
COMMENTS 1,invented
COMMENTS 2,
DATA PERIODS,1,1,Data,Sunday,{first},{last}
"""


def epw(*hours: str, first: str = "2/28/2028", last: str = "3/1/2028") -> str:
    """An EPW text of these hours, each `year,month,day,hour,dry bulb`."""
    rows = []
    for hour in hours:
        *stamp, dry_bulb = hour.split(",")
        middle = ["0", "?9", dry_bulb, "9", "50", "88000", "0", "0", "300", "100", "0", "0"]
        rows.append(",".join([*stamp, *middle, "0", "0", "0", "0", "180", "2.5"]))
    return EPW_HEADER.format(first=first, last=last) + "\n".join(rows) + "\n"


def complaint_of(text: str, name: str = "year.weather") -> str:
    """The text of the error that the file causes."""
    with pytest.raises(BadWeatherError) as caught:
        parse_weather(text.encode(), name=name)
    return str(caught.value)


def tmy3_lines() -> list[str]:
    """The lines of the published year, to be changed."""
    return TMY3.rstrip("\n").split("\n")


def test_the_name_of_the_file_says_nothing(tmp_path: Path) -> None:
    """TMY3 text in a file called .epw is read as TMY3."""
    path = tmp_path / "greensboro.epw"
    path.write_text(TMY3)
    assert "TMY3" in read_weather(path).source


def test_a_leap_day_is_read_at_its_date() -> None:
    """An EPW with 29 February is a real year; hour 24 ends at 00:00 of the next day."""
    weather = parse_weather(
        epw("2028,2,28,24,4", "2028,2,29,1,5", "2028,2,29,2,6").encode(), name="leap.epw"
    )
    start = parse_rfc3339("2028-02-29T00:00:00+01:00")
    assert weather.stamps == (start, start + HOUR_MS, start + 2 * HOUR_MS)
    assert (weather.air_temperature_c, weather.wind_height_m) == ((4.0, 5.0, 6.0), 10.0)


def test_three_missing_hours_are_filled_and_four_are_not() -> None:
    """In a file of hours, up to three in a row lie on the line between their neighbours."""
    dry = ["10", "99.9", "99.9", "99.9", "14", "99.9", "99.9", "99.9", "99.9", "19"]
    rows = [f"2028,3,1,{hour},{value}" for hour, value in enumerate(dry, 1)]
    weather = parse_weather(epw(*rows).encode(), name="gaps.epw")
    assert weather.air_temperature_c == (10.0, 11.0, 12.0, 13.0, 14.0, None, None, None, None, 19.0)
    assert weather.missing == (MissingRows("air_temperature_c", 7, 3, is_absent=False),)
    assert weather.describe() == (
        "Weather from gaps.epw (EPW, Somewhere, CHE); "
        "air temperature missing in 7 rows, 3 filled from the neighbours."
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (epw("2028,3,1,1,5", "2028,3,1,3,5"), "line 10, year, month, day, hour"),  # one left out
        (epw("2028,3,1,1,5", "1999,3,1,2,5"), "the hour after 2028,3,1,1"),  # another year
        (epw("2027,2,29,1,5"), "a date, and an hour from 1 to 24"),  # no such day
        (epw("2028,3,1,0,5"), "a date, and an hour from 1 to 24"),  # hours start at 1
        (epw("2028,3,1,25,5"), "a date, and an hour from 1 to 24"),  # and end at 24
        (epw("2028,3,1,noon,5"), "a date, and an hour from 1 to 24"),  # a word
        (epw("2028,3,1,1,99.8"), "line 9, dry bulb temperature: found '99.8'"),  # not the marker
        (epw("2028,3,1,1,"), "found an empty cell"),  # EPW has a marker for that
        (epw(), "found no hours"),  # a header alone
        (EPW_HEADER.split("DATA")[0], "found no such line"),  # cut off in the header
        (epw("2028,3,1,1,5").replace("PERIODS,1,1", "PERIODS,1,4"), "'4' records an hour"),
        (epw("2028,3,1,1,5").replace(",46.5,", ",946.5,"), "line 1, latitude: found '946.5'"),
        (epw("2028,3,1,1,5").replace("1,46.5,7.25,1.0,1200.0", "1"), "line 1, LOCATION"),  # short
        (epw("2028,3,1,1,5")[:-30], "allowed: at least 22 (35 in a whole line)"),  # cut off
    ],
)
def test_a_broken_epw_is_told_where(text: str, told: str) -> None:
    """The error names line and column of the first cause."""
    assert told in complaint_of(text)


def test_a_missing_value_of_tmy3_is_filled_and_counted() -> None:
    """-9900 is not measured (TMY3 users manual): two hours lie between 6.2 and 5.7 m/s."""
    lines = tmy3_lines()
    headings = lines[1].split(",")
    for line in (3, 4):
        cells = lines[line].split(",")
        cells[headings.index("Wspd (m/s)")] = "-9900"
        lines[line] = ",".join(cells)
    weather = parse_weather("\n".join(lines).encode(), name="year")
    assert weather.wind_m_s[:4] == pytest.approx((6.2, 6.2 - 0.5 / 3, 6.2 - 1.0 / 3, 5.7))
    assert weather.missing == (MissingRows("wind_m_s", 2, 2, is_absent=False),)


def test_a_missing_hour_of_tmy3_is_told_at_its_line() -> None:
    """Without line 100 the next stamp is not the one that belongs there."""
    lines = tmy3_lines()
    del lines[99]
    text = complaint_of("\n".join(lines))
    assert "line 100, date and time: found '01/05/1988,03:00'" in text
    assert "allowed: 01/05/YYYY,02:00 here" in text


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ("-5.0,36.100", "-5.0,136.100", "line 1, latitude: found '136.100'"),  # off the globe
        ("Dry-bulb (C)", "Dry-bulb (F)", "line 2, Dry-bulb (C): found no such column"),
        ("01/01/1988,02:00", "1/1/1988,2:00", "a spreadsheet may have rewritten the dates"),
        (",NC,-5.0,36.100,-79.950,273", "", "line 1, station"),  # a short first line
        ("\n12/31/1980,24:00", "\n", "line 8762, date and time"),  # the last line is damaged
    ],
)
def test_a_broken_tmy3_is_told_where(before: str, after: str, told: str) -> None:
    """The error names line and column of the first cause."""
    assert told in complaint_of(TMY3.replace(before, after, 1))


def test_a_short_tmy3_is_told_how_many_hours_it_has() -> None:
    """A download that broke off between lines lacks hours."""
    text = complaint_of("\n".join(tmy3_lines()[:100]))
    assert "found 98 lines of hours; allowed: 8,760" in text


def test_a_marker_beside_a_bad_cell_is_not_a_mistake() -> None:
    """Only the cell that is no temperature is told, not the hour that was not measured."""
    text = complaint_of(epw("2028,3,1,1,99.9", "2028,3,1,2,hot"))
    assert text.startswith("year.weather: 1 mistake in the weather file\n  line 10, dry bulb")


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "nothing in it"),  # empty
        (b"# only a comment\n", "nothing in it"),
        (b"PK\x03\x04rest", "a zip archive or a spreadsheet"),  # .xlsx
        (b"\x1f\x8brest", "compressed by gzip"),
        ("time,humidity_pct\n".encode("utf-16"), "UTF-16"),  # Windows "Unicode text"
        (b"time,humidity_pct\n2026\0", "line 2 holds a NUL"),  # a damaged card
        (b"<!DOCTYPE html>\n<html>", "line 1, '<!DOCTYPE html>', begins no format"),  # a web page
        (b"name,age\nx,1\n", "begins no format that is read"),  # another table
        ("time,humidity_pct\nhöher,1\n".encode("latin-1"), "not UTF-8"),  # encoding guessed wrong
    ],
)
def test_a_file_that_is_no_weather_is_told_what_it_is(data: bytes, told: str) -> None:
    """The error says what the file seems to be."""
    with pytest.raises(BadWeatherError) as caught:
        parse_weather(data, name="thing")
    assert str(caught.value).startswith("thing: ")
    assert told in str(caught.value)


@pytest.mark.parametrize("name", ["nowhere.csv", "", "a\0b"])
def test_a_path_that_cannot_be_opened_is_told(tmp_path: Path, name: str) -> None:
    """No such file, a directory, and a name that no file can have are each an error."""
    with pytest.raises(BadWeatherError, match="give the path of a TMY3, EPW or plain CSV file"):
        read_weather(tmp_path / name)
