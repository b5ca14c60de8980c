"""Series of the air: points, gaps, sides of thresholds, and the typical year."""

from __future__ import annotations

import pytest

from controller.core.units import HOUR_MS, MINUTE_MS, Instant, parse_rfc3339
from controller.weather.air_series import AirSeries, DatedSeries, YearSeries, series_of
from controller.weather.formats import parse_weather
from controller.weather.typical_year import CALENDAR_HOURS, HOURS_OF_YEAR


def crossings(
    series: AirSeries, thresholds: list[float], *, after: Instant, before: Instant
) -> list[Instant]:
    """Every crossing in turn, each found from the one before."""
    found: list[Instant] = []
    at = after
    while True:
        crossing = series.next_crossing(after=at, before=before, thresholds=thresholds)
        if crossing is None:
            return found
        assert at < crossing < before
        found.append(crossing)
        at = crossing


def test_values_lie_on_the_line_between_their_neighbours() -> None:
    """Both end points belong to the series, nothing outside does."""
    series = DatedSeries([0, HOUR_MS], [10.0, 16.0])
    assert [
        series.value_at(at) for at in (-1, 0, 10 * MINUTE_MS, HOUR_MS - 1, HOUR_MS, HOUR_MS + 1)
    ] == [None, 10.0, 11.0, 10.0 + 6.0 * (1 - 1 / HOUR_MS), 16.0, None]


def test_points_more_than_three_hours_apart_are_not_joined() -> None:
    """Three hours are a line, one millisecond more is unknown between the points."""
    near = DatedSeries([0, 3 * HOUR_MS], [0.0, 3.0])
    far = DatedSeries([0, 3 * HOUR_MS + 1], [0.0, 3.0])
    assert near.value_at(HOUR_MS) == 1.0
    assert [far.value_at(at) for at in (0, 1, HOUR_MS, 3 * HOUR_MS + 1)] == [0.0, None, None, 3.0]


def test_a_crossing_is_the_first_millisecond_on_the_other_side() -> None:
    """From 30 to 33 in 3 ms the value is 31, 32, 33: it arrives at 32, and leaves it."""
    series = DatedSeries([0, 3, 6], [30.0, 33.0, 30.0])
    assert crossings(series, [32.0], after=0, before=7) == [2, 3, 4, 5]
    assert crossings(series, [31.5], after=0, before=7) == [2, 5]
    assert crossings(series, [31.5, 32.0], after=0, before=7) == [2, 3, 4, 5]


def test_a_plateau_at_a_threshold_is_one_side_of_its_own() -> None:
    """Arriving and leaving are told, staying is not."""
    series = DatedSeries([0, 10, 20, 30], [30.0, 32.0, 32.0, 30.0])
    assert crossings(series, [32.0], after=0, before=100) == [10, 21, 31]


def test_a_touch_is_told_twice() -> None:
    """A peak that only meets the threshold arrives and leaves."""
    series = DatedSeries([0, 10, 20], [30.0, 32.0, 30.0])
    assert crossings(series, [32.0], after=0, before=20) == [10, 11]


def test_becoming_known_and_unknown_is_told() -> None:
    """Unknown stretches have their own crossings, with and without thresholds."""
    series = DatedSeries([0, 10, 20, 30, 40], [1.0, 1.0, None, 1.0, 1.0])
    assert crossings(series, [], after=-5, before=100) == [0, 11, 30, 41]
    assert crossings(series, [9.0], after=-5, before=100) == [0, 11, 30, 41]
    assert crossings(series, [], after=-5, before=30) == [0, 11]


def test_a_touch_far_ahead_is_not_passed_over() -> None:
    """Days that stay within the thresholds are passed over whole; one that meets one is not."""
    values = [20.0] * 100
    values[30], values[80] = 18.0, 22.0
    series = DatedSeries(range(0, 1000, 10), values)
    assert crossings(series, [18.0, 22.0], after=0, before=900) == [300, 301, 800, 801]


def test_both_borders_of_the_search_are_open() -> None:
    """A crossing at `after` or at `before` is not told."""
    series = DatedSeries([0, 10, 20], [30.0, 32.0, 34.0])
    assert series.next_crossing(after=9, before=10, thresholds=[32.0]) is None
    assert series.next_crossing(after=9, before=11, thresholds=[32.0]) == 10
    assert series.next_crossing(after=10, before=11, thresholds=[32.0]) is None
    assert series.next_crossing(after=10, before=12, thresholds=[32.0]) == 11
    assert series.next_crossing(after=5, before=5, thresholds=[31.0]) is None


def test_a_series_without_points_never_changes() -> None:
    """A column that the file does not have is unknown for ever."""
    series = DatedSeries([0, 10], [None, None])
    assert series.value_at(5) is None
    assert series.next_crossing(after=0, before=10**12, thresholds=[1.0]) is None


def numbered_year() -> YearSeries:
    """A typical year at UTC-5 whose every hour holds its own number."""
    return YearSeries([float(n) for n in range(HOURS_OF_YEAR)], utc_offset_ms=-5 * HOUR_MS)


def number_of(month: int, day: int, hour: int) -> float:
    """The number of the hour that ends then."""
    return float(CALENDAR_HOURS.index((month, day, hour)))


@pytest.mark.parametrize(
    ("instant", "hour"),
    [
        ("2026-01-01T01:00:00-05:00", (1, 1, 1)),  # the first line of the file
        ("2026-01-01T00:00:00-05:00", (12, 31, 24)),  # the year's end is its beginning
        ("2026-12-31T23:00:00-05:00", (12, 31, 23)),  # one before
        ("2026-02-28T24:00:00", (2, 28, 24)),  # midnight before 1 March, a common year
        ("2026-03-01T01:00:00-05:00", (3, 1, 1)),
        ("2028-02-29T00:00:00-05:00", (2, 28, 24)),  # a leap year: the 28th ends
        ("2028-02-29T01:00:00-05:00", (2, 28, 1)),  # and comes again
        ("2028-02-29T15:00:00-05:00", (2, 28, 15)),
        ("2028-03-01T00:00:00-05:00", (2, 28, 24)),
        ("2028-03-01T01:00:00-05:00", (3, 1, 1)),
        ("2028-12-31T23:00:00-05:00", (12, 31, 23)),  # still in step after the leap day
        ("2000-07-04T12:00:00-05:00", (7, 4, 12)),  # a leap year by 400
        ("2100-07-04T12:00:00-05:00", (7, 4, 12)),  # no leap year by 100
        ("2026-07-04T12:00:00-04:00", (7, 4, 11)),  # summer time is not the file's time
    ],
)
def test_a_typical_year_is_told_for_any_year(instant: str, hour: tuple[int, int, int]) -> None:
    """Local standard month, day and hour find the hour of the file."""
    text = instant.replace("2026-02-28T24:00:00", "2026-03-01T00:00:00-05:00")
    assert numbered_year().value_at(parse_rfc3339(text)) == number_of(*hour)


def test_the_leap_day_starts_from_where_the_28th_ended() -> None:
    """Half past midnight on 29 February is midway between 24:00 and 01:00 of the 28th."""
    value = numbered_year().value_at(parse_rfc3339("2028-02-29T00:30:00-05:00"))
    assert value == (number_of(2, 28, 24) + number_of(2, 28, 1)) / 2


def test_crossings_go_on_over_the_end_of_the_year() -> None:
    """Only the last hour of the year is warm: it is passed every New Year, at any distance."""
    values = [0.0] * (HOURS_OF_YEAR - 1) + [10.0]
    series = YearSeries(values, utc_offset_ms=0)
    assert crossings(
        series,
        [5.0, 10.0],
        after=parse_rfc3339("2027-06-01T00:00:00Z"),
        before=parse_rfc3339("2029-01-01T00:00:00Z"),
    ) == [
        parse_rfc3339("2027-12-31T23:30:00Z"),
        parse_rfc3339("2027-12-31T23:30:00.001Z"),
        parse_rfc3339("2028-01-01T00:00:00Z"),
        parse_rfc3339("2028-01-01T00:00:00.001Z"),
        parse_rfc3339("2028-01-01T00:30:00Z"),
        parse_rfc3339("2028-01-01T00:30:00.001Z"),
        parse_rfc3339("2028-12-31T23:30:00Z"),
        parse_rfc3339("2028-12-31T23:30:00.001Z"),
    ]


def test_an_unknown_part_of_a_typical_year_is_unknown_every_year() -> None:
    """A gap in June is left and entered in each calendar year."""
    values: list[float | None] = [1.0] * HOURS_OF_YEAR
    start = CALENDAR_HOURS.index((6, 10, 12))
    values[start : start + 6] = [None] * 6
    series = YearSeries(values, utc_offset_ms=0)
    assert crossings(
        series,
        [],
        after=parse_rfc3339("2026-01-01T00:00:00Z"),
        before=parse_rfc3339("2028-01-01T00:00:00Z"),
    ) == [
        parse_rfc3339("2026-06-10T11:00:00.001Z"),
        parse_rfc3339("2026-06-10T18:00:00Z"),
        parse_rfc3339("2027-06-10T11:00:00.001Z"),
        parse_rfc3339("2027-06-10T18:00:00Z"),
    ]


def test_an_hour_known_once_a_year_is_found_in_the_next() -> None:
    """From December the next known hour is in June, a year's end lying between."""
    values: list[float | None] = [None] * HOURS_OF_YEAR
    values[CALENDAR_HOURS.index((6, 10, 12))] = 1.0
    series = YearSeries(values, utc_offset_ms=0)
    start, end = parse_rfc3339("2026-12-01T00:00:00Z"), parse_rfc3339("2028-01-01T00:00:00Z")
    assert crossings(series, [], after=start, before=end) == [
        parse_rfc3339("2027-06-10T12:00:00Z"),
        parse_rfc3339("2027-06-10T12:00:00.001Z"),
    ]


def test_an_hour_known_at_the_turn_of_the_year_is_found() -> None:
    """The last hour of the year ends in the first millisecond of the next."""
    values: list[float | None] = [None] * HOURS_OF_YEAR
    values[-1] = 1.0
    series = YearSeries(values, utc_offset_ms=0)
    start, end = parse_rfc3339("2026-12-01T00:00:00Z"), parse_rfc3339("2027-12-01T00:00:00Z")
    assert crossings(series, [], after=start, before=end) == [
        parse_rfc3339("2027-01-01T00:00:00Z"),
        parse_rfc3339("2027-01-01T00:00:00.001Z"),
    ]


def test_outside_of_the_years_that_can_be_told_all_is_unknown() -> None:
    """Before 1969 and after 2200 there is no value, and no crash."""
    series = numbered_year()
    far_ms = 10**14
    assert [series.value_at(at) for at in (-far_ms, far_ms)] == [None, None]
    assert series.next_crossing(after=far_ms, before=2 * far_ms, thresholds=[1.0]) is None


def test_radiation_stands_in_the_middle_of_its_time() -> None:
    """A mean over the hour before the stamp is the value at half past; temperature is not."""
    weather = parse_weather(
        b"time,global_radiation_w_m2,air_temperature_c\n2026-07-01T10:00:00Z,500,20\n"
        b"2026-07-01T11:00:00Z,600,21\n2026-07-01T12:00:00Z,700,22\n",
        name="porch.csv",
    )
    radiation = series_of(weather, "global_radiation_w_m2")
    temperature = series_of(weather, "air_temperature_c")
    at = parse_rfc3339("2026-07-01T10:30:00Z")
    assert [radiation.value_at(at - HOUR_MS), radiation.value_at(at)] == [500.0, 600.0]
    assert temperature.value_at(at) == 20.5
