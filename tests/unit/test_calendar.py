"""A site's calendar: the dates of sun events, their absences, and what anchors give."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import date, datetime
from itertools import pairwise

import pytest

from controller.core.anchor import SunEvent, parse_anchor
from controller.core.calendar import Calendar, days_around, remember
from controller.core.sun import Absence, solar_midnight, solar_noon
from controller.core.units import (
    DAY_MS,
    HOUR_MS,
    date_of_number,
    day_number,
    instant_of,
    parse_rfc3339,
    rfc3339,
)
from tests.places import BY_NAME, Place
from tests.work import counted_work

UP, DOWN = Absence.SUN_STAYS_UP, Absence.SUN_STAYS_DOWN
RISE, SET, DAWN, DUSK = SunEvent.SUNRISE, SunEvent.SUNSET, SunEvent.DAWN, SunEvent.DUSK
MADE_UP = {
    "100 degrees west": Place("100 degrees west", -30.0, -100.0, "UTC"),
    "far west": Place("far west", 0.0, -179.9, "Etc/GMT-14"),
    "far north-west": Place("far north-west", 65.0, -179.9, "Etc/GMT-14"),
    "far east": Place("far east", 0.0, 179.9, "Etc/GMT+12"),
}


def calendar_of(name: str) -> Calendar:
    """The calendar of a named place, or of a made-up one."""
    return Calendar((MADE_UP.get(name) or BY_NAME[name]).site)


# Local times by ephem 4.2.1 (pressure 0, horizon -0:50 or -6, use_center), which is exact
# to a second; within 20 s of ours, near the polar circle within 60 s.
EVENTS = [
    # Reykjavik in June: the sun sets after midnight for two weeks, so one date has no sunset.
    ("Reykjavik", SET, "2025-06-14", "2025-06-14 23:59:11"),
    ("Reykjavik", SET, "2025-06-15", None),
    ("Reykjavik", SET, "2025-06-16", "2025-06-16 00:00:24"),
    ("Reykjavik", SET, "2025-06-21", "2025-06-21 00:03:54"),
    ("Reykjavik", RISE, "2025-06-21", "2025-06-21 02:55:07"),  # after the sunset of its date
    ("Reykjavik", SET, "2025-06-30", "2025-06-30 23:57:22"),
    ("Reykjavik", DUSK, "2025-06-21", UP),  # it never is 6 degrees down
    # Tromso: the last sunset before the midnight sun falls on the next date.
    ("Tromso", RISE, "2025-05-12", "2025-05-12 02:08:18"),
    ("Tromso", SET, "2025-05-14", "2025-05-14 23:39:23"),
    ("Tromso", RISE, "2025-05-16", "2025-05-16 01:28:43"),
    ("Tromso", SET, "2025-05-16", None),
    ("Tromso", SET, "2025-05-18", UP),
    ("Tromso", SET, "2025-06-21", UP),
    ("Tromso", RISE, "2025-06-21", UP),
    ("Tromso", RISE, "2025-12-21", DOWN),
    ("Tromso", SET, "2025-12-21", DOWN),
    ("Tromso", DAWN, "2025-12-21", "2025-12-21 09:31:24"),
    ("Tromso", DUSK, "2025-12-21", "2025-12-21 13:53:13"),
    # Two sunsets on one UTC date: the first counts.
    ("100 degrees west", SET, "2024-05-06", "2024-05-06 00:00:59"),
    ("100 degrees west", SET, "2024-05-07", "2024-05-07 00:00:13"),
    ("100 degrees west", SET, "2024-05-08", "2024-05-08 23:58:44"),
    # The date that the clocks show, on both sides of the date line.
    ("Kiritimati", RISE, "2026-01-01", "2026-01-01 06:32:28"),
    ("Pago Pago", RISE, "2026-01-01", "2026-01-01 05:57:57"),
    ("Uelen", RISE, "2026-03-20", "2026-03-20 05:21:52"),
    # A site as far from its zone's meridian as can be written: noon is two dates off.
    ("far west", RISE, "2026-03-22", "2026-03-22 08:03:20"),
    ("far east", RISE, "2026-03-20", "2026-03-20 06:04:26"),
    ("far north-west", SET, "2026-06-21", "2026-06-21 01:02:07"),
    # 30 December 2011 did not happen in Samoa, and has no events; its neighbours have.
    ("Apia", RISE, "2011-12-29", "2011-12-29 07:01:03"),
    ("Apia", RISE, "2011-12-30", None),
    ("Apia", SET, "2011-12-30", None),
    ("Apia", RISE, "2011-12-31", "2011-12-31 07:01:37"),
]


@pytest.mark.parametrize(("place", "event", "day", "expected"), EVENTS)
def test_an_event_belongs_to_the_date_on_which_it_falls(
    place: str, event: SunEvent, day: str, expected: str | Absence | None
) -> None:
    """A time, a reason, or None where it fell on a neighbour."""
    calendar = calendar_of(place)
    found = calendar.sun_event_on(event, date.fromisoformat(day))
    if not isinstance(expected, str):
        assert found is expected
        return
    assert isinstance(found, int)
    assert calendar.date_of(found).isoformat() == day
    by_ephem = datetime.fromisoformat(expected).replace(tzinfo=calendar.zone)
    assert abs(found - instant_of(by_ephem)) <= (60_000 if place == "Tromso" else 20_000)


def test_two_sunsets_of_one_date_both_belong_to_it() -> None:
    """At 00:00 and 23:59 UTC of 2024-05-07 (USNO, by way of astral's issue 102)."""
    calendar = calendar_of("100 degrees west")
    numbers = calendar.solar_days_of(SET, date(2024, 5, 7))
    assert [rfc3339(calendar.sun_time(SET, number).instant)[:16] for number in numbers] == [
        "2024-05-07T00:00",
        "2024-05-07T23:59",
    ]


def test_every_event_belongs_to_exactly_one_date(place: Place) -> None:
    """Three solar days every two months, all places: none is lost, none counts twice."""
    calendar = Calendar(place.site)
    for middle in range(day_number(date(2024, 1, 1)), day_number(date(2026, 1, 1)), 61):
        belonging = Counter(
            number
            for day in range(middle - 3, middle + 4)
            for number in calendar.solar_days_of(SET, date_of_number(day))
        )
        assert [belonging[middle + shift] for shift in (-1, 0, 1)] == [1, 1, 1]


def test_a_stand_in_belongs_to_the_date_of_its_noon() -> None:
    """Tromso's polar night and midnight sun: one solar day for each date."""
    calendar = calendar_of("Tromso")
    days = [date(2025, 6, 1), date(2025, 12, 21)]
    assert [calendar.solar_days_of(event, day) for event in SunEvent for day in days[:1]] == [
        [day_number(days[0])]
    ] * 4
    assert calendar.solar_days_of(RISE, days[1]) == [day_number(days[1])]


def test_stand_ins_are_solar_midnight_and_solar_noon() -> None:
    """The sunset of one day and the sunrise of the next are one midnight; polar night one noon."""
    calendar = calendar_of("Longyearbyen")
    june, january = day_number(date(2025, 6, 21)), day_number(date(2025, 1, 10))
    midnight = calendar.sun_time(SET, june)
    assert midnight == calendar.sun_time(RISE, june + 1)
    assert midnight.absence is UP
    assert abs(midnight.instant - solar_midnight(june, 15.65)) <= 500
    noon = calendar.sun_time(SET, january)
    assert noon == calendar.sun_time(RISE, january)
    assert noon.absence is DOWN
    assert abs(noon.instant - solar_noon(january, 15.65)) <= 500


@pytest.mark.parametrize(
    ("anchor", "start"),
    [
        ("06:30", "2026-07-01T04:30:00Z"),  # summer time
        ("06:30 + 12h", "2026-07-01T16:30:00Z"),  # later
        ("00:00 - 12h", "2026-06-30T10:00:00Z"),  # the day before
        ("23:59:59 + 12h", "2026-07-02T09:59:59Z"),  # the day after
    ],
)
def test_a_clock_anchor_starts_at_its_instant(anchor: str, start: str) -> None:
    """On the date asked for, with its offset in elapsed time."""
    found = calendar_of("Zurich").start_of(parse_anchor(anchor), day_number(date(2026, 7, 1)))
    assert found is not None
    assert rfc3339(found.instant) == start


def test_an_offset_is_elapsed_time() -> None:
    """22:00 + 8 h over the spring gap is 07:00 on the dial, not 06:00."""
    calendar = calendar_of("Zurich")
    found = calendar.start_of(parse_anchor("22:00 + 8h"), day_number(date(2026, 3, 28)))
    assert found is not None
    assert f"{calendar.local(found.instant):%m-%d %H:%M}" == "03-29 07:00"


def test_a_load_s_change_is_not_the_calendar_s_business() -> None:
    """Only timelines know when loads change."""
    assert calendar_of("Zurich").start_of(parse_anchor("lamp on"), 20_000) is None


@pytest.mark.parametrize(
    ("name", "day", "order"),
    [
        # Nearing the midnight sun, the four close in on midnight in this order.
        ("Tromso", "2025-06-21", [SET, DUSK, DAWN, RISE]),
        # Nearing the polar night, they close in on noon in this one.
        ("Longyearbyen", "2025-12-21", [DAWN, RISE, SET, DUSK]),
    ],
)
def test_stand_ins_of_one_instant_keep_the_order_of_the_season(
    name: str, day: str, order: list[SunEvent]
) -> None:
    """The later by continuity comes later, whatever the listing."""
    calendar, number = calendar_of(name), day_number(date.fromisoformat(day))
    starts = {}
    for event in SunEvent:
        morning = name == "Tromso" and event in {DAWN, RISE}
        start = calendar.start_of(parse_anchor(event.value), number + morning)
        assert start is not None
        starts[event] = start
    assert len({start.instant for start in starts.values()}) == 1
    assert sorted(SunEvent, key=lambda event: starts[event].precedence) == order


def test_days_around_reach_every_anchor_that_matters() -> None:
    """Three UTC days to either side, whole days for whole days."""
    begin = 20_000 * DAY_MS
    assert list(days_around(begin, begin + DAY_MS)) == list(range(19_997, 20_004))
    assert list(days_around(begin + HOUR_MS, begin + HOUR_MS)) == list(range(19_997, 20_004))


def test_what_was_computed_is_kept_until_the_memory_is_full(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Each key is computed once; the oldest is given up first."""
    monkeypatch.setattr("controller.core.calendar._REMEMBERED_MAX", 2)
    memory: dict[object, str] = {}
    computed: list[str] = []

    def compute(key: str) -> Callable[[], str]:
        return lambda: computed.append(key) or key  # type: ignore[func-returns-value]

    assert [remember(memory, key, compute(key)) for key in "abacab"] == list("abacab")
    assert computed == ["a", "b", "c", "a", "b"]


def test_midnights_are_computed_once() -> None:
    """Walks through a year look at them over and over."""
    calendar = calendar_of("Zurich")
    first = day_number(date(2026, 1, 1))
    calls = []
    for _ in range(2):
        with counted_work() as work:
            midnights = [calendar.midnight(first + number) for number in range(366)]
        calls.append(work.calls)
        assert sum(end - start != DAY_MS for start, end in pairwise(midnights)) == 2
    assert calls[1] < calls[0] / 3


def test_a_site_without_zone_of_that_name_has_no_calendar() -> None:
    """The error names it."""
    with pytest.raises(LookupError, match="'Mars/Olympus' is not a time zone"):
        Calendar(Place("Mars", 0.0, 0.0, "Mars/Olympus").site)


def test_a_calendar_shows_local_time() -> None:
    """Date and time of the site at an instant."""
    calendar = calendar_of("Kiritimati")
    at = parse_rfc3339("2026-07-01T10:00:00Z")
    assert (calendar.date_of(at), calendar.local(at).hour) == (date(2026, 7, 2), 0)
    assert calendar.midnight(day_number(date(2026, 7, 2))) == at
