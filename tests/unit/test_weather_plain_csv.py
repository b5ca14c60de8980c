"""Plain CSV weather: what it may say, and what it is told when it says otherwise."""

from __future__ import annotations

import pytest

from controller.core.units import HOUR_MS, MINUTE_MS, parse_rfc3339
from controller.weather.weather import MissingRows, Weather
from tests.porch_weather import complaint_of, read

START = parse_rfc3339("2026-07-01T06:00:00+02:00")


def test_a_whole_file_is_read() -> None:
    """Comments state facts, columns are found by name in any order, units are converted."""
    weather = read(
        "# a logger on the porch, invented\n"
        "# latitude = 47.1\n# longitude: 8.3\n# elevation m = 450\n# wind_height_m = 2\n"
        "humidity_pct,time,air_temperature_f,wind_km_h,pressure_hpa,global_radiation_w_m2\n"
        "80,2026-07-01T06:00:00+02:00,50,3.6,960,120\n"
        '"70","2026-07-01T07:00:00+02:00","59","7.2","961","240"\n'
    )
    assert weather == Weather(
        source="porch.csv (plain CSV)",
        is_typical_year=False,
        stamps=(START, START + HOUR_MS),
        air_temperature_c=(10.0, 15.0),
        humidity_pct=(80.0, 70.0),
        wind_m_s=(1.0, 2.0),
        global_radiation_w_m2=(120.0, 240.0),
        pressure_kpa=(96.0, 96.1),
        latitude=47.1,
        longitude=8.3,
        elevation_m=450.0,
        utc_offset_h=2.0,
        wind_height_m=2.0,
        missing=(),
    )


def test_columns_that_are_not_there_are_unknown_and_named() -> None:
    """A file of temperatures alone is enough; the report says what it lacks."""
    weather = read(
        "time,air_temperature_c\n2026-07-01T06:00:00+02:00,10\n2026-07-01T07:00:00+02:00,11\n"
    )
    assert weather.humidity_pct == (None, None)
    assert weather.wind_height_m == 10.0
    assert [entry.words() for entry in weather.missing] == [
        "humidity is not in the file",
        "wind is not in the file",
        "global radiation is not in the file",
        "pressure is not in the file",
    ]


@pytest.mark.parametrize(
    ("text", "offset_h"),
    [
        ("2026-07-01T06:00:00-03:30 2026-07-01T07:00:00-03:30", -3.5),  # half an hour
        ("2026-10-25T02:30:00+02:00 2026-10-25T02:30:00+01:00", None),  # clocks set back between
        ("2026-07-01T06:00:00Z 2026-07-01T07:00:00Z", None),  # UTC tells nothing of the place
    ],
)
def test_local_standard_time_is_the_offset_that_all_rows_share(
    text: str, offset_h: float | None
) -> None:
    """The offset of the rows is that of the file only where it is one and the same."""
    first, second = text.split()
    weather = read(f"time,humidity_pct\n{first},50\n{second},51\n")
    assert weather.utc_offset_h == offset_h


def test_a_comment_overrides_the_offset_of_the_rows() -> None:
    """Rows in summer time say +02:00; the standard time of the place is what the file states."""
    weather = read(
        "# utc_offset_h = 1\ntime,humidity_pct\n"
        "2026-07-01T06:00:00+02:00,50\n2026-07-01T07:00:00+02:00,51\n"
    )
    assert weather.utc_offset_h == 1.0


def test_short_gaps_are_filled_and_long_ones_stay_unknown() -> None:
    """Known rows 3 h apart are joined by a line, those further apart are not."""
    rows = ["10", "", "", "13", "", "", "", "17", ""]
    text = "time,air_temperature_c\n" + "".join(
        f"2026-07-01T{6 + hour:02}:00:00Z,{cell}\n" for hour, cell in enumerate(rows)
    )
    weather = read(text)
    assert weather.air_temperature_c == (10.0, 11.0, 12.0, 13.0, None, None, None, 17.0, None)
    assert weather.missing[0] == MissingRows("air_temperature_c", 6, 2, is_absent=False)
    assert weather.missing[0].words() == (
        "air temperature missing in 6 rows, 2 filled from the neighbours"
    )


def test_rows_may_stand_at_irregular_times() -> None:
    """A gap is filled by time, not by rows: 10 min of 40 is a quarter of the way."""
    weather = read(
        "time,air_temperature_c\n2026-07-01T06:00:00+02:00,10\n"
        "2026-07-01T06:10:00+02:00,\n2026-07-01T06:40:00+02:00,14\n"
    )
    assert weather.stamps == (START, START + 10 * MINUTE_MS, START + 40 * MINUTE_MS)
    assert weather.air_temperature_c == (10.0, 11.0, 14.0)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_all_three_line_ends_are_read(end: str) -> None:
    """Files from any system are read, with a byte order mark and blank lines too."""
    lines = ["\ufefftime,humidity_pct", "2026-07-01T06:00:00Z,50", "", "2026-07-01T07:00:00Z,51"]
    assert read(end.join(lines) + end + end).humidity_pct == (50.0, 51.0)


@pytest.mark.parametrize(
    ("header", "likely"),
    [
        ("time,air_temprature_c", "did you mean air_temperature_c?"),  # a slip
        ("time,Air_Temperature_C", "did you mean air_temperature_c?"),  # capitals
        ("time,temp_f", "did you mean air_temperature_f?"),  # another name
        ("time,RH", "did you mean humidity_pct?"),  # another word
        ("timestamp,humidity_pct", "did you mean time?"),  # a logger's word
        ("time,ghi,humidity_pct", "did you mean global_radiation_w_m2?"),  # a trade word
        ("time,pressure_mbar", "did you mean pressure_hpa?"),  # the same unit, older name
        ("time,humidty_pct", "did you mean humidity_pct?"),  # a letter lost
        ("time,humidity_pct,presure_kpa", "did you mean pressure_kpa?"),  # another
        ("time,rain_mm,humidity_pct", "remove the column"),  # nothing like ours
        ("time;air_temperature_c", "part the columns by commas"),  # a spreadsheet's export
    ],
)
def test_an_unknown_column_is_told_what_it_likely_means(header: str, likely: str) -> None:
    """The error names line, column, all allowed names and the likely one."""
    text = "\n".join(complaint_of(f"{header}\n2026-07-01T06:00:00Z,1\n"))
    assert text.startswith("porch.csv: ")
    assert "line 1, header: found the column" in text
    assert "allowed: time, air_temperature_c, air_temperature_f, humidity_pct" in text
    assert likely in text


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("2026-07-01T06:00:00,20", "has no offset from UTC"),  # local time without its offset
        ("01.07.2026 06:00,20", "is not an instant"),  # a spreadsheet's date
        ("2026-02-30T06:00:00Z,20", "is not an instant"),  # no such day
        ("0001-01-01T00:00:00Z,20", "outside of the years 1970 to 2199"),  # a broken clock
        ("9999-12-31T23:59:59Z,20", "outside of the years 1970 to 2199"),  # the far end
        ("2026-07-01T04:00:00Z,20", "not after 2026-07-01T05:00:00Z"),  # going back
        ("2026-07-01T05:00:00Z,20", "not after 2026-07-01T05:00:00Z"),  # twice
    ],
)
def test_a_bad_time_is_told_with_its_line(row: str, told: str) -> None:
    """Every row needs an instant later than the one before."""
    lines = complaint_of(f"time,air_temperature_c\n2026-07-01T05:00:00Z,20\n{row}\n")
    assert lines[0] == "porch.csv: 1 mistake in the weather file"
    assert lines[1].startswith("  line 3, time: found ")
    assert told in lines[1]


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("61", "check the unit"),  # above what air can be
        ("-91", "check the unit"),  # below it
        ("abc", "write a number"),  # a word
        ("nan", "write a number"),  # Python would take these four for numbers
        ("inf", "write a number"),
        ("1_0", "write a number"),
        ("١٢", "write a number"),
        ("1e309", "write a number"),  # too large to be any
        ("1e300", "check the unit"),  # a number, but no air's
        ('"21,5"', "did you mean 21.5?"),  # decimal comma
        ("-9900", "check the unit"),  # the missing marker of another format
    ],
)
def test_a_bad_cell_is_told_with_line_column_and_range(cell: str, told: str) -> None:
    """The error names line, column, what was found, what is allowed, and how to mend it."""
    lines = complaint_of(
        f"time,air_temperature_c\n2026-07-01T05:00:00Z,20\n2026-07-01T06:00:00Z,{cell}\n"
    )
    assert lines[1].startswith("  line 3, air_temperature_c: found ")
    assert "allowed: -90 to 60 °C, or nothing where nothing was measured" in lines[1]
    if cell != "1e309":
        assert told in lines[1]


def test_night_radiation_below_zero_is_told_what_it_is() -> None:
    """A sensor's -2 W/m² at night is refused, with the reason and the mend."""
    lines = complaint_of(
        "time,global_radiation_w_m2\n2026-07-01T01:00:00Z,-2\n2026-07-01T02:00:00Z,0\n"
    )
    assert "sensors read a little below zero at night: write 0" in lines[1]


def test_mistakes_of_all_columns_are_told_together_in_line_order() -> None:
    """Two bad cells and a bad time come in the order of their lines."""
    lines = complaint_of(
        "time,air_temperature_c,humidity_pct\n2026-07-01T05:00:00Z,20,50\n"
        "2026-07-01T06:00:00Z,20,120\n2026-07-01T07:00:00Z,99,50\nlater,20,50\n"
    )
    assert lines[0] == "porch.csv: 3 mistakes in the weather file"
    assert [line.split(":")[0] for line in lines[1:]] == [
        "  line 3, humidity_pct",
        "  line 4, air_temperature_c",
        "  line 5, time",
    ]


def test_only_the_first_twenty_mistakes_are_told() -> None:
    """A file of rubbish gets twenty lines and is told that there are more."""
    rows = "".join(f"2026-07-01T{hour:02}:00:00Z,x,y\n" for hour in range(24))
    lines = complaint_of(f"time,air_temperature_c,humidity_pct\n{rows}")
    assert lines[0] == "porch.csv: more than 20 mistakes in the weather file"
    assert [line.split(":")[0] for line in lines[1:21]] == [
        f"  line {line}, {column}"
        for line in range(2, 12)
        for column in ("air_temperature_c", "humidity_pct")
    ]
    assert lines[21:] == ["  and more: only the first 20 are told"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("time,humidity_pct\n2026-07-01T05:00:00Z,50,1\n", "line 2, row: found 3 cells"),  # more
        ("time,humidity_pct\n2026-07-01T05:00:00Z\n", "line 2, row: found 1 cell;"),  # fewer
        ("time,humidity_pct\n", "found no rows"),  # a header alone
        ("time\n2026-07-01T05:00:00Z\n", "at least one of air_temperature_c"),  # no quantity
        ("humidity_pct\n50\n", "allowed: time and at least one of"),  # no time
        ("time,wind_m_s,wind_mph\na,1,2\n", "found wind_mph beside wind_m_s"),  # which one?
        ("time,time,humidity_pct\na,b,1\n", "found time beside time"),  # which one?
        ('time,humidity_pct\n"2026-07-01,50\n', "look for a quote without its partner"),  # open
        ("time,,humidity_pct\na,b,1\n", "a column without a name"),  # a stray comma
        (
            "time,humidity_pct\n2026-07-01T00:00:00Z,50\n2026-07-02T00:00:00Z,50\n",
            "no two rows within 3 h",  # daily values
        ),
    ],
)
def test_a_file_that_does_not_hold_together_is_refused(text: str, told: str) -> None:
    """Headers, row widths and steps are checked before any value is used."""
    assert told in "\n".join(complaint_of(text))


@pytest.mark.parametrize(
    ("comment", "told"),
    [
        (
            "# wind_hight_m = 2",
            "did you mean wind_height_m?",
        ),  # a slip that would cost 25 % of wind
        ("# latitude = 123", "allowed: -90 to 90 degrees"),  # off the globe
        ("# latitude = north", "found 'north'"),  # a word
        ("# elevation_m =", "found nothing"),  # forgotten
        ("# latitude = 47\n# latitude = 48", "keep one of them"),  # which one?
        ("# wind_height_m = 0", "allowed: 0.1 to 200 m"),  # on the ground
    ],
)
def test_a_fact_in_a_comment_is_checked(comment: str, told: str) -> None:
    """A comment that means to state a fact must state it rightly."""
    text = f"{comment}\ntime,humidity_pct\n2026-07-01T05:00:00Z,50\n2026-07-01T06:00:00Z,50\n"
    assert told in "\n".join(complaint_of(text))


def test_other_comments_are_passed_over() -> None:
    """Whatever else the lines before the header say is for people."""
    weather = read(
        "# porch = south side\n#\n# battery changed: May\n\n"
        "time,humidity_pct\n2026-07-01T05:00:00Z,50\n2026-07-01T06:00:00Z,50\n"
    )
    assert weather.latitude is None
