"""Lengths, instants and dates: texts both ways, borders, and what is refused."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from controller.core.errors import BadDurationError, BadInstantError
from controller.core.units import (
    DAY_MS,
    DURATION_MS_MAX,
    HOUR_MS,
    MINUTE_MS,
    SECOND_MS,
    date_of_number,
    day_number,
    duration_text,
    instant_of,
    parse_date,
    parse_duration_ms,
    parse_rfc3339,
    rfc3339,
    shown,
    utc_datetime,
)

FORM = "write hours, minutes and seconds like 1h30m, 15m or 90s"


@pytest.mark.parametrize(
    ("text", "length_ms"),
    [
        ("90s", 90 * SECOND_MS),  # contract.md
        ("15m", 15 * MINUTE_MS),  # contract.md
        ("1h", HOUR_MS),  # contract.md
        ("1h30m", 90 * MINUTE_MS),  # contract.md
        ("2m30s", 150 * SECOND_MS),  # contract.md
        ("1h0m5s", HOUR_MS + 5 * SECOND_MS),  # a unit of zero
        ("90m", 90 * MINUTE_MS),  # more than sixty of one unit
        ("1h 30m", 90 * MINUTE_MS),  # a space between the units
        (" 15m\n", 15 * MINUTE_MS),  # space around
        ("0s", 0),  # the shortest
        ("0h", 0),  # the same in hours
        ("2.5s", 2_500),  # tenths
        ("0.001s", 1),  # the finest
        ("0.05s", 50),  # hundredths, not 5 ms
        ("168h", DURATION_MS_MAX),  # the longest
        ("604800s", DURATION_MS_MAX),  # the longest in seconds
        ("10080m", DURATION_MS_MAX),  # the longest in minutes
        ("015m", 15 * MINUTE_MS),  # a leading zero is decimal
    ],
)
def test_a_duration_is_read(text: str, length_ms: int) -> None:
    """The length in ms, whatever the mixture of units."""
    assert parse_duration_ms(text) == length_ms


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("15min", f"'15min' is not a duration: {FORM} (did you mean 15m?)"),  # another unit's name
        ("15", f"'15' is not a duration: {FORM} (did you mean 15m or 15s?)"),  # the unit forgotten
        ("15 m", f"'15 m' is not a duration: {FORM} (did you mean 15m?)"),  # a space too many
        ("90S", f"'90S' is not a duration: {FORM} (did you mean 90s?)"),  # capitals
        (
            "1 hour and 30 minutes",
            f"'1 hour and 30 minutes' is not a duration: {FORM} (did you mean 1h30m?)",
        ),  # a sentence
        ("24:00", f"'24:00' is not a duration: {FORM}"),  # a clock time
        ("", f"'' is not a duration: {FORM}"),  # nothing
        ("  ", f"'  ' is not a duration: {FORM}"),  # nothing that shows
        ("-5m", f"'-5m' is not a duration: {FORM}"),  # negative
        ("30m1h", f"'30m1h' is not a duration: {FORM}"),  # the wrong way round
        ("15m15m", f"'15m15m' is not a duration: {FORM}"),  # twice
        ("1.5h", f"'1.5h' is not a duration: {FORM}"),  # only seconds have a fraction
        ("0.0005s", f"'0.0005s' is not a duration: {FORM}"),  # finer than a millisecond
        ("1e3s", f"'1e3s' is not a duration: {FORM}"),  # an exponent
        ("nan", f"'nan' is not a duration: {FORM}"),  # a float's name
        ("１５m", f"'１５m' is not a duration: {FORM}"),  # digits of another width
        ("١٥", f"'١٥' is not a duration: {FORM}"),  # digits of another script
        ("15m\0", rf"'15m\x00' is not a duration: {FORM}"),  # NUL
        ("\ud80015m", rf"'\ud80015m' is not a duration: {FORM}"),  # half a character
        ("168h0.001s", "'168h0.001s' is longer than a week (168h)"),  # 1 ms too long
        ("9999h", "'9999h' is longer than a week (168h)"),  # the longest that is read
        ("20000 minutes", f"'20000 minutes' is not a duration: {FORM}"),  # 20000m would not do
        ("99999999999999", f"'99999999999999' is not a duration: {FORM}"),  # nor would this with m
        ("700000", f"'700000' is not a duration: {FORM}"),  # more than a week even in seconds
        ("20000", f"'20000' is not a duration: {FORM} (did you mean 20000s?)"),  # not in minutes
    ],
)
def test_a_duration_is_refused(text: str, message: str) -> None:
    """The error says what was found, how to write it, and only what would be accepted."""
    with pytest.raises(BadDurationError) as caught:
        parse_duration_ms(text)
    assert str(caught.value) == message


def test_a_huge_text_is_refused_in_few_words() -> None:
    """Ten megabytes make an error of a line."""
    with pytest.raises(BadDurationError) as caught:
        parse_duration_ms("15m" * 3_500_000)
    assert str(caught.value) == f"'{'15m' * 20}"[:60] + f"… is not a duration: {FORM}"


@pytest.mark.parametrize(
    ("length_ms", "text"),
    [
        (0, "0s"),  # nothing still has a unit
        (1, "0.001s"),  # the finest
        (2_500, "2.5s"),  # no zeros at the end
        (59_999, "59.999s"),  # not rounded up to a minute
        (MINUTE_MS, "1m"),  # no zero seconds
        (90 * MINUTE_MS, "1h30m"),  # two units
        (HOUR_MS + 5_010, "1h5.01s"),  # no zero minutes
        (DAY_MS, "24h"),  # no days
        (-90 * SECOND_MS, "-1m30s"),  # before an anchor
    ],
)
def test_a_length_is_written(length_ms: int, text: str) -> None:
    """As a plan writes it, with the fewest units."""
    assert duration_text(length_ms) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("15m", "'15m'"),  # text in quotes
        ("it's", '"it\'s"'),  # a quote inside
        ("a\nb", r"'a\nb'"),  # one line
        ("a\u202eb", r"'a\u202eb'"),  # no turning of the reading direction
        ("\ud800", r"'\ud800'"),  # half a character
        ("é °", "'é °'"),  # what can be read stays
        ("x" * 100, "'" + "x" * 59 + "…"),  # bounded
        (15, "15"),  # a number without quotes
        (1e309, "inf"),  # too large for a float
        ([1] * 100, "[" + "1, " * 19 + "1,…"),  # a list, bounded
    ],
)
def test_a_foreign_value_is_shown_in_one_bounded_line(value: object, text: str) -> None:
    """Whatever it is, it can be printed."""
    assert shown(value) == text


def test_a_value_that_python_refuses_to_print_is_shown_all_the_same() -> None:
    """An integer of over 4300 digits (0xfff... in a plan), and a list without bottom."""
    nested: list[object] = []
    for _ in range(100_000):
        nested = [nested]
    assert [shown(value) for value in (1 << 60_000, [-1 << 60_000], nested)] == [
        "a value too large to print"
    ] * 3


@pytest.mark.parametrize(
    ("text", "instant"),
    [
        ("1970-01-01T00:00:00Z", 0),  # where counting starts
        ("2026-07-01T04:00:00Z", 1_782_878_400_000),  # UTC
        ("2026-07-01T06:00:00+02:00", 1_782_878_400_000),  # the same with an offset
        ("2026-07-01T04:00:00-00:00", 1_782_878_400_000),  # RFC 3339: UTC, local zone unknown
        ("2026-07-01t04:00:00z", 1_782_878_400_000),  # RFC 3339: small letters are allowed
        ("2026-07-01 04:00:00Z", 1_782_878_400_000),  # RFC 3339: a space for readability
        ("2026-07-01T04:00Z", 1_782_878_400_000),  # without seconds, as people type it
        ("2026-07-01T04:00:00.25Z", 1_782_878_400_250),  # a fraction
        ("2026-07-01T04:00:00.001000000Z", 1_782_878_400_001),  # zeros after it add nothing
        ("2026-07-01T09:45:00+05:45", 1_782_878_400_000),  # a zone of 45 minutes
        ("1970-01-01T00:00:00+14:00", -14 * HOUR_MS),  # the earliest
        ("2199-12-31T23:59:59.999-12:00", 7_258_161_599_999),  # nearly the latest
    ],
)
def test_an_instant_is_read(text: str, instant: int) -> None:
    """RFC 3339, to the millisecond."""
    assert parse_rfc3339(text) == instant


LIKE = "write it like 2026-07-01T06:00:00+02:00"
FINER = "is finer than a millisecond, the finest step here"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", f"'' is not an instant: {LIKE}"),  # nothing
        ("tomorrow", f"'tomorrow' is not an instant: {LIKE}"),  # a word
        ("2026-07-01", f"'2026-07-01' is not an instant: {LIKE}"),  # a date
        (
            "2026-07-01T06:00:00",
            "'2026-07-01T06:00:00' has no offset from UTC: add Z or +02:00",
        ),  # local time of nowhere
        ("2026-07-01T06:00:00Z\0", rf"'2026-07-01T06:00:00Z\x00' is not an instant: {LIKE}"),  # NUL
        ("2026-07-01X06:00:00Z", f"'2026-07-01X06:00:00Z' is not an instant: {LIKE}"),  # an X for T
        ("20260701T060000Z", f"'20260701T060000Z' is not an instant: {LIKE}"),  # ISO 8601 only
        (
            "2026-W27-3T06:00+02:00",
            f"'2026-W27-3T06:00+02:00' is not an instant: {LIKE}",
        ),  # a week's date
        ("2026-07-01T06Z", f"'2026-07-01T06Z' is not an instant: {LIKE}"),  # no minutes
        (
            "2026-07-01T06:00:00,5Z",
            f"'2026-07-01T06:00:00,5Z' is not an instant: {LIKE}",
        ),  # a comma for the point
        (
            "2026-07-01T06:00:00+0200",
            f"'2026-07-01T06:00:00+0200' is not an instant: {LIKE}",
        ),  # no colon
        (
            "2026-07-01T06:00:00+02:00:30",
            f"'2026-07-01T06:00:00+02:00:30' is not an instant: {LIKE}",
        ),  # an offset with seconds
        (
            "2026-07-01T24:00:00Z",
            f"'2026-07-01T24:00:00Z' is not an instant: {LIKE}",
        ),  # no such hour in RFC 3339
        (
            "2026-02-30T00:00:00Z",
            f"'2026-02-30T00:00:00Z' is not an instant: {LIKE}",
        ),  # no such day
        (
            "2016-12-31T23:59:60Z",
            f"'2016-12-31T23:59:60Z' is not an instant: {LIKE}",
        ),  # a leap second: POSIX time has none
        ("2026-07-01T06:00:00.0001Z", f"'2026-07-01T06:00:00.0001Z' {FINER}"),  # 0.1 ms
        ("2026-07-01T06:00:00.0000001Z", f"'2026-07-01T06:00:00.0000001Z' {FINER}"),  # 100 ns
        (
            "２０２６-07-01T06:00:00Z",
            f"'２０２６-07-01T06:00:00Z' is not an instant: {LIKE}",
        ),  # wide
        ("\ud800", rf"'\ud800' is not an instant: {LIKE}"),  # half a character
        (
            "1969-12-31T23:59:59Z",
            "'1969-12-31T23:59:59Z' is outside of the years 1970 to 2199",
        ),  # too early
        (
            "2200-01-01T00:00:00Z",
            "'2200-01-01T00:00:00Z' is outside of the years 1970 to 2199",
        ),  # too late
        (
            "0001-01-01T00:00:00+23:59",
            "'0001-01-01T00:00:00+23:59' is outside of the years 1970 to 2199",
        ),  # before datetime's own beginning
        (
            "9999-12-31T23:59:59-23:59",
            "'9999-12-31T23:59:59-23:59' is outside of the years 1970 to 2199",
        ),  # after its end
        ("2" * 10_000_000, f"'{'2' * 59}… is not an instant: {LIKE}"),  # huge
    ],
)
def test_an_instant_is_refused(text: str, message: str) -> None:
    """The error says what was found and how to write it."""
    with pytest.raises(BadInstantError) as caught:
        parse_rfc3339(text)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("instant", "text"),
    [
        (0, "1970-01-01T00:00:00Z"),  # no fraction where there is none
        (1, "1970-01-01T00:00:00.001Z"),  # a millisecond
        (-1, "1969-12-31T23:59:59.999Z"),  # before 1970
        (951_782_400_000, "2000-02-29T00:00:00Z"),  # a leap day of a century
        (1_782_878_400_100, "2026-07-01T04:00:00.100Z"),  # three digits or none
    ],
)
def test_an_instant_is_written(instant: int, text: str) -> None:
    """RFC 3339 in UTC, with Z."""
    assert rfc3339(instant) == text


def test_an_instant_of_a_datetime_is_rounded_down() -> None:
    """To the millisecond, before 1970 as after it."""
    moment = datetime(2026, 7, 1, 6, 0, 0, 1_999, tzinfo=timezone(timedelta(hours=2)))
    assert instant_of(moment) == 1_782_878_400_001
    assert instant_of(datetime(1969, 12, 31, 23, 59, 59, 999_999, tzinfo=UTC)) == -1


def test_a_datetime_without_zone_has_no_instant() -> None:
    """Local time of nowhere is refused, not taken for UTC."""
    with pytest.raises(BadInstantError) as caught:
        instant_of(datetime(2026, 7, 1, 6))  # noqa: DTZ001  the error is the point
    assert str(caught.value) == "2026-07-01T06:00:00 has no offset from UTC: add Z or +02:00"


def test_a_utc_datetime_is_the_instant_again() -> None:
    """Both ways, to the millisecond."""
    assert utc_datetime(1_782_878_400_001) == datetime(2026, 7, 1, 4, 0, 0, 1_000, tzinfo=UTC)
    assert instant_of(utc_datetime(-1)) == -1


@pytest.mark.parametrize("text", ["1970-01-02", "2000-02-29", "2026-07-01", "2199-12-30"])
def test_a_date_is_read(text: str) -> None:
    """From the first to the last that can be computed, leap days included."""
    assert parse_date(text).isoformat() == text


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("2026-7-1", "'2026-7-1' is not a date: write it like 2026-07-01"),  # no zeros
        ("01.07.2026", "'01.07.2026' is not a date: write it like 2026-07-01"),  # another order
        ("2026-02-29", "'2026-02-29' is not a date: write it like 2026-07-01"),  # no leap year
        ("20260701", "'20260701' is not a date: write it like 2026-07-01"),  # ISO 8601 only
        ("2026-W27-3", "'2026-W27-3' is not a date: write it like 2026-07-01"),  # a week's date
        ("2026-07-01\n", r"'2026-07-01\n' is not a date: write it like 2026-07-01"),  # more
        ("2026-07-01\0", r"'2026-07-01\x00' is not a date: write it like 2026-07-01"),  # NUL
        (
            "２０２６-07-01",
            "'２０２６-07-01' is not a date: write it like 2026-07-01",
        ),  # wide digits
        ("", "'' is not a date: write it like 2026-07-01"),  # nothing
        ("1970-01-01", "1970-01-01 is outside of 1970-01-02 to 2199-12-30"),  # a day too early
        ("2199-12-31", "2199-12-31 is outside of 1970-01-02 to 2199-12-30"),  # a day too late
        ("0001-01-01", "0001-01-01 is outside of 1970-01-02 to 2199-12-30"),  # the first of all
        ("9999-12-31", "9999-12-31 is outside of 1970-01-02 to 2199-12-30"),  # the last of all
    ],
)
def test_a_date_is_refused(text: str, message: str) -> None:
    """The error says what was found and what is allowed."""
    with pytest.raises(BadInstantError) as caught:
        parse_date(text)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("number", "day"),
    [
        (-1, date(1969, 12, 31)),  # before the count
        (0, date(1970, 1, 1)),  # its start
        (11_016, date(2000, 2, 29)),  # a leap day of a century
        (20_635, date(2026, 7, 1)),  # `date -d 2026-07-01 +%s` / 86400
    ],
)
def test_days_are_numbered_from_1970(number: int, day: date) -> None:
    """A date and its number lead to each other."""
    assert (day_number(day), date_of_number(number)) == (number, day)
