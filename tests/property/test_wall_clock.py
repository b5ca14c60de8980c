"""Any local time of any zone, against the zone's own answers second by second."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from hypothesis import assume, given
from hypothesis import strategies as st

from controller.core.units import HOUR_MS, day_number, instant_of
from controller.core.wall_clock import (
    instant_of_local,
    load_zone,
    local_datetime,
    local_day,
    local_midnight,
)
from tests.oracle import clock_second, dial
from tests.strategies import ZONES, clock_changes, examples, local_dates

# PEP 495: fold=0 reads a skipped time with the offset before, a repeated one as the first.


@st.composite
def local_times(draw: st.DrawFn) -> tuple[str, date, int]:
    """A zone, a date and a second of the day, often beside a change of the clocks."""
    zone = draw(st.sampled_from(ZONES))
    day = draw(local_dates(zone))
    second = draw(
        st.one_of(
            st.integers(0, 86_399),
            st.integers(0, 47).map(lambda half_hours: half_hours * 1_800),
            st.integers(0, 48).map(lambda half_hours: max(0, half_hours * 1_800 - 1)),
        )
    )
    return zone, day, second


@examples(70)
@given(local_times())
def test_a_local_time_is_its_first_occurrence_or_the_end_of_its_gap(
    local_time: tuple[str, date, int],
) -> None:
    """As found by asking the zone about every hour and second around."""
    name, day, second = local_time
    expected = clock_second(ZoneInfo(name), day, second) * 1_000
    assert instant_of_local(load_zone(name), day, second * 1_000) == expected


@examples(50)
@given(local_times())
def test_pep_495_agrees_where_the_time_exists(local_time: tuple[str, date, int]) -> None:
    """fold=0 gives the same instant; where it does not show the time, there is a gap."""
    name, day, second = local_time
    zone = load_zone(name)
    wanted = datetime(day.year, day.month, day.day, tzinfo=zone) + timedelta(seconds=second)
    found = instant_of_local(zone, day, second * 1_000)
    if local_datetime(zone, instant_of(wanted)).replace(tzinfo=None) == wanted.replace(tzinfo=None):
        assert found == instant_of(wanted)
    else:
        before, after = local_datetime(zone, found - 1), local_datetime(zone, found)
        assert before.replace(tzinfo=None) < wanted.replace(tzinfo=None)
        assert after.replace(tzinfo=None) > wanted.replace(tzinfo=None)


@examples(40)
@given(st.sampled_from(ZONES), st.data())
def test_local_dates_follow_one_another(name: str, data: st.DataObject) -> None:
    """Each midnight is the first instant of its date; none is before the one before it."""
    zone, day = load_zone(name), data.draw(local_dates(name))
    numbers = range(day_number(day) - 2, day_number(day) + 3)
    midnights = [local_midnight(zone, number) for number in numbers]
    assert midnights == sorted(midnights)
    for number, (begin, following) in zip(numbers, pairwise(midnights), strict=False):
        first, end = local_day(zone, number)
        assert first == begin
        assert end >= following
        if begin < following:
            assert day_number(local_datetime(zone, begin).date()) == number
            assert day_number(local_datetime(zone, end - 1).date()) == number
        assert day_number(local_datetime(zone, begin - 1).date()) < number
        assert day_number(local_datetime(zone, end).date()) > number


@examples(10)
@given(st.sampled_from(ZONES), st.integers(1971, 2037), st.data())
def test_around_a_change_every_second_of_the_dial_has_its_instant(
    name: str, year: int, data: st.DataObject
) -> None:
    """The seconds around both ends of the gap, or of the repeated stretch."""
    changes = clock_changes(name, year)
    assume(changes)
    zone, hour = load_zone(name), data.draw(st.sampled_from(changes)) - 3_600
    offsets = [
        dial(zone, second) - datetime.fromtimestamp(second, UTC) for second in (hour, hour + 3_600)
    ]
    change = next(
        second
        for second in range(hour, hour + 3_601)
        if dial(zone, second) - datetime.fromtimestamp(second, UTC) == offsets[1]
    )
    for offset in offsets:
        edge = datetime.fromtimestamp(change, UTC) + offset
        for shift in (-1, 0, 1):
            shown = edge + timedelta(seconds=shift)
            second_of_day = (shown.hour * 60 + shown.minute) * 60 + shown.second
            assert instant_of_local(zone, shown.date(), second_of_day * 1_000) == (
                clock_second(zone, shown.date(), second_of_day) * 1_000
            )


@examples(20)
@given(st.sampled_from(ZONES), st.data())
def test_a_day_is_as_long_as_its_offsets_say(name: str, data: st.DataObject) -> None:
    """Twenty-four hours, and the difference of the offsets at its two midnights."""
    zone, day = load_zone(name), data.draw(local_dates(name))
    number = day_number(day)
    begin, end = local_midnight(zone, number), local_midnight(zone, number + 1)
    first, last = local_datetime(zone, begin), local_datetime(zone, end)
    assume(
        first.date() == day and (first.hour, first.minute, last.hour, last.minute) == (0, 0, 0, 0)
    )
    before, after = first.utcoffset(), last.utcoffset()
    assert before is not None
    assert after is not None
    assume(last.date() == day + timedelta(days=1))
    assert end - begin == 24 * HOUR_MS - (after - before) // timedelta(milliseconds=1)
