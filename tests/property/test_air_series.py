"""Air series against oracles that step through every millisecond, or ask the calendar."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta, timezone

from hypothesis import given
from hypothesis import strategies as st

from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, Instant, instant_of, utc_datetime
from controller.weather.air_series import AirSeries, DatedSeries, YearSeries
from controller.weather.typical_year import CALENDAR_HOURS, HOURS_OF_YEAR

# Tenths, as weather files have them, so that thresholds are met exactly again and again; and
# neighbours of floats that cannot be told apart by a closed formula.
VALUES = st.one_of(
    st.integers(-30, 30).map(lambda tenths: tenths / 10),
    st.sampled_from([0.1, 0.1 + 2**-56, 0.3, 0.1 + 0.2, -0.0, 1e-300]),
    st.floats(-90, 60, allow_nan=False),
)
THRESHOLDS = st.lists(VALUES, max_size=3)


def side(value: float | None, thresholds: Sequence[float]) -> tuple[int, ...] | None:
    """Where the value stands: for each threshold below, at or above; None where unknown."""
    if value is None:
        return None
    return tuple((value > threshold) - (value < threshold) for threshold in thresholds)


def stepped_crossing(
    series: AirSeries, *, after: Instant, before: Instant, thresholds: Sequence[float]
) -> Instant | None:
    """The crossing found by asking for the value at every millisecond."""
    start = side(series.value_at(after), thresholds)
    for instant in range(after + 1, before):
        if side(series.value_at(instant), thresholds) != start:
            return instant
    return None


@st.composite
def points(
    draw: st.DrawFn, steps_ms: st.SearchStrategy[int]
) -> tuple[list[Instant], list[float | None]]:
    """Stamps in order and their values, some of them unknown."""
    values = draw(st.lists(st.one_of(VALUES, VALUES, VALUES, st.none()), min_size=1, max_size=60))
    stamps = [draw(st.integers(-100, 100))]
    for _ in values[1:]:
        stamps.append(stamps[-1] + draw(steps_ms))
    return stamps, values


@given(points(st.integers(1, 9)), THRESHOLDS, st.integers(-120, 120), st.integers(0, 500))
def test_a_crossing_is_the_one_that_stepping_finds(
    table: tuple[list[Instant], list[float | None]],
    thresholds: list[float],
    after: Instant,
    length_ms: int,
) -> None:
    """Found directly and found by stepping through the milliseconds are the same."""
    series = DatedSeries(*table)
    before = after + length_ms
    assert series.next_crossing(
        after=after, before=before, thresholds=thresholds
    ) == stepped_crossing(series, after=after, before=before, thresholds=thresholds)


@given(points(st.sampled_from([MINUTE_MS, HOUR_MS, 3 * HOUR_MS])), THRESHOLDS, st.data())
def test_over_hours_no_side_changes_before_the_crossing(
    table: tuple[list[Instant], list[float | None]], thresholds: list[float], data: st.DataObject
) -> None:
    """The side differs at the crossing, and at no point or instant asked for before it."""
    series = DatedSeries(*table)
    stamps = table[0]
    after = data.draw(st.integers(stamps[0] - HOUR_MS, stamps[-1] + HOUR_MS))
    before = data.draw(st.integers(after, stamps[-1] + 2 * HOUR_MS))
    crossing = series.next_crossing(after=after, before=before, thresholds=thresholds)
    start = side(series.value_at(after), thresholds)
    end = before if crossing is None else crossing
    if crossing is not None:
        assert after < crossing < before
        assert side(series.value_at(crossing), thresholds) != start
    probes = [*stamps, *(stamp + 1 for stamp in stamps), *(stamp - 1 for stamp in stamps), end - 1]
    if after + 1 < end:
        probes += data.draw(st.lists(st.integers(after + 1, end - 1), max_size=20))
    differing = [
        probe
        for probe in probes
        if after < probe < end and side(series.value_at(probe), thresholds) != start
    ]
    assert differing == []


@given(points(st.integers(1, 4 * HOUR_MS)), st.data())
def test_values_are_the_points_and_lie_between_them(
    table: tuple[list[Instant], list[float | None]], data: st.DataObject
) -> None:
    """At a stamp stands its value; between two known ones at most 3 h apart, one between both."""
    series = DatedSeries(*table)
    stamps, values = table
    assert [series.value_at(stamp) for stamp in stamps] == values
    index = data.draw(st.integers(0, len(stamps) - 1))
    if index + 1 < len(stamps) and stamps[index + 1] - stamps[index] > 1:
        instant = data.draw(st.integers(stamps[index] + 1, stamps[index + 1] - 1))
        value, ends = series.value_at(instant), (values[index], values[index + 1])
        known = [end for end in ends if end is not None]
        if len(known) < 2 or stamps[index + 1] - stamps[index] > 3 * HOUR_MS:
            assert value is None
        else:
            assert value is not None
            assert min(known) <= value <= max(known)


NUMBERED = [float(number) for number in range(HOURS_OF_YEAR)]
NUMBER_OF = {hour: number for number, hour in enumerate(CALENDAR_HOURS)}
OFFSETS_MINUTES = st.integers(-12 * 4, 14 * 4).map(lambda quarters: quarters * 15)


@given(st.integers(DAY_MS, 229 * 365 * DAY_MS), OFFSETS_MINUTES)
def test_a_typical_year_follows_the_calendar(instant: Instant, offset_minutes: int) -> None:
    """The full hour at or before any instant is the file's hour of that local standard time."""
    zone = timezone(timedelta(minutes=offset_minutes))
    moment = utc_datetime(instant).astimezone(zone)
    local = moment.replace(minute=0, second=0, microsecond=0)
    # The file calls midnight 24:00 of the day that ends.
    day = local - timedelta(hours=1)
    day_of_month = 28 if (day.month, day.day) == (2, 29) else day.day
    series = YearSeries(NUMBERED, utc_offset_ms=offset_minutes * MINUTE_MS)
    expected = NUMBER_OF[day.month, day_of_month, local.hour or 24]
    assert series.value_at(instant_of(local)) == expected


SAWTOOTH = [float(hour % 24) for hour in range(HOURS_OF_YEAR)]


@given(st.integers(0, 229 * 365 * DAY_MS), st.integers(0, 3 * DAY_MS), THRESHOLDS)
def test_a_crossing_in_a_typical_year_is_the_first_change_of_side(
    after: Instant, length_ms: int, thresholds: list[float]
) -> None:
    """Minute by minute up to the crossing nothing changes, and there it does."""
    series = YearSeries(SAWTOOTH, utc_offset_ms=HOUR_MS)
    before = after + length_ms
    crossing = series.next_crossing(after=after, before=before, thresholds=thresholds)
    start = side(series.value_at(after), thresholds)
    end = before if crossing is None else crossing
    probes = [*range(after + 1, end, 7 * MINUTE_MS), max(after, end - 1)]
    changed = [p for p in probes if side(series.value_at(p), thresholds) != start]
    assert changed == []
    if crossing is not None:
        assert after < crossing < before
        assert side(series.value_at(crossing), thresholds) != start
