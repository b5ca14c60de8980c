"""Rows of a picture: local dates on a dial of 24 hours, and their light."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core import daylight
from controller.core.anchor import SunEvent
from controller.core.calendar import Calendar
from controller.core.plan import Site
from controller.core.sun import Absence
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, Instant, day_number, parse_date
from controller.core.wall_clock import local_datetime
from controller.dry_run.account_keeper import midnight_after
from controller.report.picture.day_rows import DayRow, DialSpan, day_row
from controller.report.picture.recording import Day
from tests.places import PLACES, Place
from tests.planned_runs import load, schedule_of

H, M = HOUR_MS, MINUTE_MS


def row_of(timezone: str, day: str) -> DayRow:
    """The row of a local date."""
    calendar = Calendar(Site(latitude=0.0, longitude=0.0, timezone=timezone))
    begin = calendar.midnight(day_number(parse_date(day)))
    return day_row(calendar, Day(begin, midnight_after(calendar, begin)))


def test_an_ordinary_day_lies_on_the_dial_as_it_passes() -> None:
    """One stretch from 0 to 24 h."""
    row = row_of("Europe/Zurich", "2026-06-01")
    assert row.is_plain
    assert list(row.spans(row.begin, row.end)) == [DialSpan(0, DAY_MS)]
    assert list(row.spans(row.begin + H, row.begin + 2 * H)) == [DialSpan(H, 2 * H)]
    assert row.clock_change is None


@pytest.mark.parametrize(
    ("timezone", "day", "spans", "skipped"),
    [
        # Clocks put forward from 02:00 to 03:00
        ("Europe/Zurich", "2026-03-29", [(0, 2, 0), (3, 24, 0)], [(2, 3)]),
        # and back from 03:00 to 02:00.
        ("Europe/Zurich", "2026-10-25", [(0, 2, 0), (2, 3, 1), (2, 3, 2), (3, 24, 0)], []),
        # Half an hour back at Lord Howe
        (
            "Australia/Lord_Howe",
            "2026-04-05",
            [(0, 1.5, 0), (1.5, 2, 1), (1.5, 2, 2), (2, 24, 0)],
            [],
        ),
        # and two hours back at Troll.
        ("Antarctica/Troll", "2026-10-25", [(0, 1, 0), (1, 3, 1), (1, 3, 2), (3, 24, 0)], []),
        # A day without a midnight,
        ("Africa/Cairo", "2026-04-24", [(1, 24, 0)], [(0, 1)]),
        # one whose last hour is skipped, one whose last hour comes twice,
        ("America/Nuuk", "2026-03-28", [(0, 23, 0)], [(23, 24)]),
        ("America/Nuuk", "2026-10-24", [(0, 23, 0), (23, 24, 1), (23, 24, 2)], []),
        # one whose midnight comes twice,
        ("America/Havana", "2026-11-01", [(0, 1, 1), (0, 1, 2), (1, 24, 0)], []),
        # and one whose clocks went back over midnight (until 2011).
        (
            "America/St_Johns",
            "2010-11-07",
            [
                (0, 1 / 60, 1),
                (23 + 1 / 60, 24, 1),
                (0, 1 / 60, 2),
                (1 / 60, 23 + 1 / 60, 0),
                (23 + 1 / 60, 24, 2),
            ],
            [],
        ),
    ],
)
def test_changes_of_the_clocks_are_told_honestly(
    timezone: str,
    day: str,
    spans: list[tuple[float, float, int]],
    skipped: list[tuple[float, float]],
) -> None:
    """What comes twice is told apart by its turn, what does not come is told as skipped
    (dates: tz database)."""
    row = row_of(timezone, day)
    found = list(row.spans(row.begin, row.end))
    assert found == [DialSpan(round(a * H), round(b * H), turn) for a, b, turn in spans]
    assert list(row.skipped) == [(round(a * H), round(b * H)) for a, b in skipped]
    assert not row.is_plain


def test_a_change_of_the_clocks_is_found_where_it_is() -> None:
    """The doubled hour lasts two; after a skip there is one moment."""
    back = row_of("Europe/Zurich", "2026-10-25")
    assert back.clock_change == (back.begin + 2 * H, back.begin + 4 * H)
    forward = row_of("Europe/Zurich", "2026-03-29")
    assert forward.clock_change == (forward.begin + 2 * H, forward.begin + 2 * H)
    at_the_start = row_of("Africa/Cairo", "2026-04-24")
    assert at_the_start.clock_change == (at_the_start.begin, at_the_start.begin)
    at_the_end = row_of("America/Nuuk", "2026-03-28")
    assert at_the_end.clock_change == (at_the_end.end - 1, at_the_end.end - 1)


@given(
    place=st.sampled_from(PLACES),
    number=st.integers(day_number(parse_date("2007-01-01")), day_number(parse_date("2035-01-01"))),
    part=st.floats(0, 1, exclude_max=True),
)
def test_every_instant_lies_where_the_clocks_show_it(
    place: Place, number: int, part: float
) -> None:
    """At any place and date: the dial's time is the wall clock's, and no time is lost."""
    calendar = Calendar(place.site)
    begin = calendar.midnight(number)
    row = day_row(calendar, Day(begin, midnight_after(calendar, begin)))
    spans = list(row.spans(row.begin, row.end))
    assert sum(span.high_ms - span.low_ms for span in spans) == row.end - row.begin
    instant = row.begin + int(part * (row.end - row.begin))
    (span,) = row.spans(instant, instant + 1)
    clock = local_datetime(calendar.zone, instant)
    seconds = (clock.hour * 60 + clock.minute) * 60 + clock.second
    assert span.low_ms == seconds * 1000 + clock.microsecond // 1000


@given(
    place=st.sampled_from(PLACES),
    number=st.integers(day_number(parse_date("2020-01-01")), day_number(parse_date("2030-01-01"))),
)
def test_daylight_begins_and_ends_with_the_sun_of_the_date(place: Place, number: int) -> None:
    """Each border of daylight within a date is a sunrise or sunset of the calendar; where
    the sun stays up or down, there is none."""
    calendar = Calendar(place.site)
    begin = calendar.midnight(number)
    end = midnight_after(calendar, begin)
    borders = {
        edge
        for stretch in daylight.sun_up(calendar, begin, end)
        for edge in stretch
        if begin < edge < end
    }
    day = calendar.date_of(begin)
    events = [calendar.sun_event_on(e, day) for e in (SunEvent.SUNRISE, SunEvent.SUNSET)]
    happening = {event for event in events if isinstance(event, int)}
    # A date may have a second sunset just before midnight where it moves past it.
    assert happening - {begin} <= borders
    if all(event is Absence.SUN_STAYS_UP for event in events):
        assert borders == set()


def hours(stretches: list[tuple[Instant, Instant]], begin: Instant) -> list[tuple[float, float]]:
    """Stretches in hours after a beginning."""
    return [((start - begin) / H, (end - begin) / H) for start, end in stretches]


def test_the_sun_that_stays_up_shines_without_a_break() -> None:
    """Two June days at 69.65 degrees north are one stretch of light; in December none."""
    calendar = Calendar(Site(latitude=69.65, longitude=18.96, timezone="Europe/Oslo"))
    june = calendar.midnight(day_number(parse_date("2026-06-20")))
    assert hours(daylight.sun_up(calendar, june, june + 48 * H), june) == [(0.0, 48.0)]
    december = calendar.midnight(day_number(parse_date("2026-12-20")))
    assert daylight.sun_up(calendar, december, december + 48 * H) == []
    assert daylight.length_ms(daylight.not_night(calendar, december, december + 48 * H)) > 0


def test_a_sun_that_sets_after_midnight_lights_both_ends_of_a_date() -> None:
    """Reykjavik, 21 June 2025: there, from 17 to 27 June, the sun sets within two minutes
    after midnight (computed with astral and skyfield)."""
    calendar = Calendar(Site(latitude=64.15, longitude=-21.94, timezone="Atlantic/Reykjavik"))
    begin = calendar.midnight(day_number(parse_date("2025-06-21")))
    first, second = daylight.sun_up(calendar, begin, begin + DAY_MS)
    assert first[0] == begin
    assert first[1] - begin < 5 * M
    assert second[1] == begin + DAY_MS


def test_the_light_of_a_plan_with_lamps_is_the_lamps() -> None:
    """Overlapping lamps are one light; without lamps the sun is."""
    lamps = {
        "a": load("6h on, 18h off", kind="lamp", start="01:00"),
        "b": load("6h on, 18h off", kind="lamp", start="05:00"),
        "c": load("1h on, 23h off", kind="lamp", start="20:00"),
    }
    schedule = schedule_of({"pump": load("off"), **lamps})
    begin = schedule.calendar.midnight(day_number(parse_date("2026-06-01")))
    lit = daylight.light(schedule, begin, begin + DAY_MS)
    assert hours(lit, begin) == [(1.0, 11.0), (20.0, 21.0)]
    without = schedule_of({"pump": load("off")})
    assert daylight.light(without, begin, begin + DAY_MS) == daylight.sun_up(
        without.calendar, begin, begin + DAY_MS
    )
