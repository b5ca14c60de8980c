"""Plain CSV of days: what it may say, and what it is told when it says otherwise.

All weather in here is invented.
"""

from __future__ import annotations

import pytest

from controller.core.units import day_number, parse_date
from controller.weather.csv_vocabulary import DAYS
from controller.weather.told_day import ToldDay
from controller.weather.weather import MissingRows
from tests.porch_weather import complaint_of, read
from tests.readme import ROOT

FIRST = day_number(parse_date("2026-07-01"))


def test_a_thermometers_two_readings_a_day_are_enough() -> None:
    """A date, the coolest and the warmest; the report says what else there is not."""
    weather = read("date,coolest_c,warmest_c\n2026-07-01,14.5,27\n2026-07-02,15,31.5\n")
    assert weather.days == (
        ToldDay(FIRST, coolest_c=14.5, warmest_c=27.0),
        ToldDay(FIRST + 1, coolest_c=15.0, warmest_c=31.5),
    )
    assert weather.stamps == ()
    assert not weather.is_typical_year
    assert [entry.words() for entry in weather.missing] == [
        "humidity is not in the file",
        "wind is not in the file",
        "global radiation is not in the file",
    ]
    assert weather.describe() == (
        "Weather from porch.csv (plain CSV of days); hours modelled from each day's coolest and "
        "warmest; humidity is not in the file; wind is not in the file; global radiation is not "
        "in the file."
    )


def test_a_weather_services_table_is_read_whole() -> None:
    """Facts in comments, columns in any order, units converted: 20 MJ/m² a day are 231.48 W/m²."""
    weather = read(
        "# latitude = 47.1\n# longitude = 8.3\n# elevation_m = 450\n# utc_offset_h = 1\n"
        "# wind_height_m = 2\n"
        "warmest_f,date,coolest_f,humidity_highest_pct,humidity_lowest_pct,humidity_pct,"
        "dew_point_f,wind_km_h,global_radiation_w_m2,sunshine_h\n"
        "86,2026-07-01,59,95,45,70,57.2,7.2,231.481481,9.5\n"
    )
    (day,) = weather.days
    assert day.radiation_mj_per_m2 == pytest.approx(20.0, abs=1e-6)
    assert day._replace(radiation_mj_per_m2=20.0) == ToldDay(
        FIRST,
        coolest_c=15.0,
        warmest_c=30.0,
        humidity_pct=70.0,
        humidity_highest_pct=95.0,
        humidity_lowest_pct=45.0,
        dew_point_c=14.0,
        wind_m_s=2.0,
        radiation_mj_per_m2=20.0,
        sunshine_h=9.5,
    )
    assert (weather.latitude, weather.longitude, weather.elevation_m) == (47.1, 8.3, 450.0)
    assert (weather.utc_offset_h, weather.wind_height_m) == (1.0, 2.0)
    assert weather.missing == ()


def test_empty_cells_and_days_left_out_are_not_known() -> None:
    """As in a file of hours: nothing is made up while reading, and the report counts the rows. A
    day whose radiation is missing has its sunshine."""
    weather = read(
        "date,coolest_c,warmest_c,dew_point_c,wind_mph,global_radiation_mj_m2,sunshine_h\n"
        "2026-07-01,14,27,,,21,9\n2026-07-03,,29,12,5,,9\n2026-07-04,,,12,5,,\n"
    )
    assert [day.number - FIRST for day in weather.days] == [0, 2, 3]
    assert [(day.coolest_c, day.warmest_c) for day in weather.days] == [
        (14.0, 27.0), (None, 29.0), (None, None),
    ]  # fmt: skip
    assert weather.missing == (
        MissingRows("air_temperature_c", 2, 0, is_absent=False),
        MissingRows("humidity_pct", 1, 0, is_absent=False),
        MissingRows("wind_m_s", 1, 0, is_absent=False),
        MissingRows("global_radiation_w_m2", 1, 0, is_absent=False),
    )
    assert weather.missing[0].words() == "air temperature missing in 2 rows"


OF_DAYS = "date, coolest_c, coolest_f, warmest_c, warmest_f, "
BOTH_KINDS = (
    "allowed: time, air_temperature_c, air_temperature_f, humidity_pct, wind_m_s, wind_km_h, "
    f"wind_mph, global_radiation_w_m2, pressure_kpa, pressure_hpa in a file of hours; {OF_DAYS}"
)


@pytest.mark.parametrize(
    ("header", "told"),
    [
        ("date,coolest_c,warmst_c", "did you mean warmest_c?"),  # a letter lost
        ("date,Tmin,Tmax", "did you mean coolest_c?"),  # a service's words
        ("day,min_temp_f,max_temp_f", "did you mean coolest_f?"),  # another's
        ("Date,low_c,high_c", "did you mean date?"),  # capitals
        ("date,coolest_c,warmest_c,RH_max", "did you mean humidity_highest_pct?"),
        ("date,coolest_c,warmest_c,rh min", "did you mean humidity_lowest_pct?"),
        ("date,coolest_c,warmest_c,rh", "did you mean humidity_pct?"),
        ("date,coolest_c,warmest_c,dewpoint", "did you mean dew_point_c?"),
        ("date,coolest_c,warmest_c,wspd_kmh", "did you mean wind_km_h?"),
        ("date,coolest_c,warmest_c,sun_hours", "did you mean sunshine_h?"),
        ("date,coolest_c,warmest_c,rad_watt", "did you mean global_radiation_w_m2?"),
        ("date,coolest_c,warmest_c,rs_mj", "did you mean global_radiation_mj_m2?"),
    ],
)
def test_an_unknown_column_is_told_what_it_likely_means(header: str, told: str) -> None:
    """And the columns of its kind of file; nothing else is wrong with it."""
    _, *lines = complaint_of(f"{header}\n2026-07-01,1,2,3\n")
    assert all(line.startswith("  line 1, header: found the column") for line in lines)
    assert all(f"allowed: {OF_DAYS}" in line for line in lines)
    assert any(told in line for line in lines)


@pytest.mark.parametrize(
    ("header", "told"),
    [
        ("date,coolest_c,warmest_c,rain_mm", "remove the column"),  # nothing like ours
        ("date;coolest_c;warmest_c", "part the columns by commas"),  # a spreadsheet's export
        ("date,air_temperature_c", "did you mean coolest_c?"),  # hours' column in a file of days
        ("time,coolest_c,warmest_c", "did you mean air_temperature_c?"),  # and the other way
    ],
)
def test_a_column_that_may_be_meant_for_either_kind_is_told_both(header: str, told: str) -> None:
    """What a file of hours may have, and what one of days may."""
    text = "\n".join(complaint_of(f"{header}\n2026-07-01,1,2,3\n"))
    assert "line 1, header: found the column" in text
    assert BOTH_KINDS in text
    assert told in text


@pytest.mark.parametrize(
    ("header", "told"),
    [
        ("date,coolest_c", "found 'date, coolest_c'"),  # no warmest
        ("date,warmest_f,humidity_pct", "found 'date, warmest_f, humidity_pct'"),  # no coolest
        ("coolest_c,warmest_c", "found 'coolest_c, warmest_c'"),  # no date
        ("humidity_pct,wind_m_s", "found 'humidity_pct, wind_m_s'"),  # of either kind, or of none
    ],
)
def test_a_header_that_fits_neither_kind_is_told_both(header: str, told: str) -> None:
    """What a file of hours needs, and what one of days does."""
    (line,) = complaint_of(f"{header}\n2026-07-01,1\n")[1:]
    assert line.startswith("  line 1, header: found ")
    assert told in line
    assert "allowed: time and at least one of air_temperature_c, " in line
    assert "in a file of hours; date, coolest_c or coolest_f, warmest_c or warmest_f" in line


@pytest.mark.parametrize(
    ("header", "told"),
    [
        ("date,coolest_c,coolest_f,warmest_c", "found coolest_f beside coolest_c"),
        ("date,date,coolest_c,warmest_c", "found date beside date"),
        (
            "date,coolest_c,warmest_c,global_radiation_w_m2,global_radiation_mj_m2",
            "found global_radiation_mj_m2 beside global_radiation_w_m2",
        ),
        ("date,time,coolest_c,warmest_c", "found time beside date"),  # hours or days?
        (
            "date,coolest_c,warmest_c,humidity_lowest_pct",
            "humidity_lowest_pct without humidity_highest_pct",
        ),
    ],
)
def test_columns_that_contradict_each_other_are_refused(header: str, told: str) -> None:
    """Which of the two is true cannot be known; of the lowest humidity alone nothing follows."""
    assert told in "\n".join(complaint_of(f"{header}\n2026-07-01,1,2,3,4\n"))


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("01.07.2026,14,27", "'01.07.2026' is not a date: write it like 2026-07-01"),
        ("2026-02-29,14,27", "is not a date"),  # no such day
        ("2026-07-01T00:00:00Z,14,27", "is not a date"),  # an instant
        ("1969-12-31,14,27", "is outside of 1970-01-02 to 2199-12-30"),  # a broken clock
        (",14,27", "is not a date"),  # forgotten
        ("2026-06-30,14,27", "'2026-06-30', not after 2026-07-01"),  # going back
        ("2026-07-01,14,27", "'2026-07-01', not after 2026-07-01"),  # twice
    ],
)
def test_a_bad_date_is_told_with_its_line(row: str, told: str) -> None:
    """Every row needs a date later than the one before."""
    lines = complaint_of(f"date,coolest_c,warmest_c\n2026-07-01,13,26\n{row}\n")
    assert lines[0] == "porch.csv: 1 mistake in the weather file"
    assert lines[1].startswith("  line 3, date: found ")
    assert told in lines[1]


@pytest.mark.parametrize(
    ("cells", "column", "told"),
    [
        ("27,14,,,,,", "warmest_c",
         "found '14', less than the coolest, '27'; allowed: the coolest of its day or more; "
         "look whether the two are in each other's place"),
        ("14,27,45,95,,,", "humidity_lowest_pct", "found '95', more than the highest, '45'"),
        ("14,27,95,45,99,,", "humidity_pct", "found '99', more than the highest, '95'"),
        ("14,27,95,45,30,,", "humidity_pct", "found '30', less than the lowest, '45'"),
        ("14,27,,,,28,", "dew_point_c", "found '28', more than the warmest, '27'"),
        ("14,27,,,,,24.5", "sunshine_h", "found '24.5'; allowed: 0 to 24 h"),
        ("-91,27,,,,,", "coolest_c", "allowed: -90 to 60 °C"),
        ("14,71,,,,,", "warmest_c", "check the unit"),
        ("14,27,111,45,,,", "humidity_highest_pct", "allowed: 0 to 110 %"),
        ('"14,5",27,,,,,', "coolest_c", "did you mean 14.5?"),
    ],
)  # fmt: skip
def test_a_bad_cell_is_told_with_line_column_and_mend(cells: str, column: str, told: str) -> None:
    """What air cannot be, and what contradicts its own row."""
    header = (
        "date,coolest_c,warmest_c,humidity_highest_pct,humidity_lowest_pct,humidity_pct,"
        "dew_point_c,sunshine_h"
    )
    lines = complaint_of(f"{header}\n2026-07-01,14,27,,,,,\n2026-07-02,{cells}\n")
    assert lines[0] == "porch.csv: 1 mistake in the weather file"
    assert lines[1].startswith(f"  line 3, {column}: found ")
    assert told in lines[1]


def test_a_coolest_that_is_the_warmest_is_a_day_like_any_other() -> None:
    """Fog all day: the bound belongs to what is allowed, and the highest humidity may be 100 %."""
    (day,) = read(
        "date,coolest_c,warmest_c,humidity_highest_pct,humidity_lowest_pct,humidity_pct,"
        "dew_point_c,sunshine_h\n2026-11-01,4,4,100,100,100,4,0\n"
    ).days
    assert (day.coolest_c, day.warmest_c, day.humidity_pct, day.sunshine_h) == (4, 4, 100, 0)


@pytest.mark.parametrize(
    ("name", "cell", "told"),
    [
        ("global_radiation_mj_m2", "49.1", "allowed: 0 to 49 MJ/m²"),  # more than falls above air
        ("global_radiation_w_m2", "570", "allowed: 0 to 567.13 W/m²"),
        ("global_radiation_mj_m2", "-1", "check the unit"),
        ("wind_m_s", "111", "allowed: 0 to 110 m/s"),
    ],
)
def test_a_day_has_no_more_than_can_be(name: str, cell: str, told: str) -> None:
    """A day's limits, in the unit of the column."""
    (line,) = complaint_of(f"date,coolest_c,warmest_c,{name}\n2026-07-01,14,27,{cell}\n")[1:]
    assert line.startswith(f"  line 2, {name}: found ")
    assert told in line


def test_mistakes_of_all_columns_are_told_together_in_line_order() -> None:
    """A bad date, a bad cell and a contradiction."""
    lines = complaint_of(
        "date,coolest_c,warmest_c\nyesterday,14,27\n2026-07-02,14,x\n2026-07-03,20,19\n"
    )
    assert [line.split(":")[0] for line in lines[1:]] == [
        "  line 2, date",
        "  line 3, warmest_c",
        "  line 4, warmest_c",
    ]


def test_rows_of_hours_that_lie_a_day_apart_are_told_of_files_of_days() -> None:
    """A time a day with one temperature tells no afternoon; the error says what would."""
    (line,) = complaint_of(
        "time,air_temperature_c\n2026-07-01T08:00:00Z,20\n2026-07-02T08:00:00Z,21\n"
    )[1:]
    assert "no two rows within 3 h" in line
    assert "a file of days has date, coolest_c and warmest_c" in line


def test_the_file_in_readme_is_read() -> None:
    """Three invented days, of which one has no humidity."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    weather = read(text.partition("```csv\n")[2].partition("```")[0])
    assert [day.has_humidity for day in weather.days] == [True, False, True]
    assert [day.warmest_c for day in weather.days] == [33.0, 34.5, 36.0]
    assert [one.words() for one in weather.missing] == ["humidity missing in 1 row"]


def test_readme_names_every_column_of_a_file_of_days() -> None:
    """And no column is renamed without it."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    told = text.partition("Columns of days are ")[2].partition("The hours are modelled")[0]
    short = {"coolest_f", "warmest_f", "dew_point_f"}  # told as "(or `_f`)"
    assert {name for name in DAYS.names if f"`{name}`" not in told} == short
