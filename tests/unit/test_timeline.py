"""Timelines by example: borders, days of the clock change, followed lamps, polar seasons."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from typing import Any

import pytest

from controller.core.spans_in_force import LOOK_DAYS, Piece
from controller.core.timeline import Look, Timeline
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, day_number, parse_rfc3339, rfc3339
from tests.oracle import Oracle
from tests.places import BY_NAME, Place
from tests.timelines import Spans, cut_holes, plan_of, stretches_of, timelines_of

M = MINUTE_MS


def timeline_of(place: str | Place, *spans: tuple[str, str], **lamps: Spans) -> Timeline:
    """The timeline of a pump with these spans, beside some lamps."""
    where = BY_NAME[place] if isinstance(place, str) else place
    return timelines_of(plan_of(where, **lamps, pump=spans))["pump"]


def utc(text: str) -> int:
    """The instant of `MM-DD HH:MM[:SS]` in 2026, UTC."""
    return parse_rfc3339(f"2026-{text}Z")


def texts(changes: Any) -> list[str]:
    """Changes as `MM-DDTHH:MM:SS on`, in UTC."""
    return [f"{rfc3339(at)[5:-1]} {'on' if is_on else 'off'}" for at, is_on in changes]


# Borders

DAY_AND_NIGHT = (("06:00", "15m on, 15m off"), ("21:00", "15m on, 45m off"))  # UTC-like below
UTC_PLACE = Place("the meridian", 47.0, 0.0, "UTC")


@pytest.mark.parametrize(
    ("at", "span", "is_on", "until"),
    [
        ("07-01 05:59:59.999", 1, False, "07-01 06:00:00"),  # the night's last millisecond
        ("07-01 06:00:00", 0, True, "07-01 06:15:00"),  # the border belongs to the day
        ("07-01 06:14:59.999", 0, True, "07-01 06:15:00"),  # the last of a watering
        ("07-01 06:15:00", 0, False, "07-01 06:30:00"),  # the first of a rest
        ("07-01 20:59:59.999", 0, False, "07-01 21:00:00"),  # the day's last millisecond
        ("07-01 21:00:00", 1, True, "07-01 21:15:00"),  # the night begins afresh
        ("07-02 05:45:00", 1, False, "07-02 06:00:00"),  # a rest that the day ends
    ],
)
def test_a_border_belongs_to_what_begins(at: str, span: int, is_on: bool, until: str) -> None:
    """Half-open at both ends, of spans and of steps."""
    timeline = timeline_of(UTC_PLACE, *DAY_AND_NIGHT)
    look = timeline.look(utc(at))
    assert (look.piece.span, look.is_on, look.until, look.is_change) == (
        span,
        is_on,
        utc(until),
        True,
    )
    assert timeline.state_at(utc(at)) is is_on


def test_changes_are_those_between_two_instants() -> None:
    """After the start and before the end; what happens at either belongs to others."""
    timeline = timeline_of(UTC_PLACE, *DAY_AND_NIGHT)
    start, end = utc("07-01 06:00"), utc("07-01 07:00")
    inner = ["07-01T06:15:00 off", "07-01T06:30:00 on", "07-01T06:45:00 off"]
    assert texts(timeline.changes(start, end)) == inner
    assert texts(timeline.changes(start - 1, end + 1)) == [
        "07-01T06:00:00 on",
        *inner,
        "07-01T07:00:00 on",
    ]
    assert list(timeline.changes(start, start)) == []
    assert list(timeline.changes(start - 1, start)) == []


def test_a_watering_that_meets_the_next_span_runs_on() -> None:
    """No change is told where the state stays the same over a border."""
    timeline = timeline_of(UTC_PLACE, ("06:00", "40m on, 20m off"), ("06:30", "10m on, 50m off"))
    assert texts(timeline.changes(utc("07-01 05:59"), utc("07-01 07:00"))) == [
        "07-01T06:00:00 on",
        "07-01T06:40:00 off",
    ]
    look = timeline.look(utc("07-01 06:10"))
    assert (look.piece.span, rfc3339(look.until)) == (0, "2026-07-01T06:40:00Z")


def test_a_cycle_of_four_steps_repeats_until_its_span_ends() -> None:
    """Every step of every period, from one inside the first to one cut by the next span."""
    timeline = timeline_of(
        UTC_PLACE, ("06:00", "2m on, 3m off, 4m on, 11m off"), ("08:30", "1h off, 1h on")
    )
    start, end = utc("07-01 06:00"), utc("07-01 08:30")
    expected = [
        (start + (20 * period + minute) * M, is_on)
        for period in range(8)
        for minute, is_on in ((0, True), (2, False), (5, True), (9, False))
    ]
    within = [(at, is_on) for at, is_on in expected if start + 3 * M < at < end]
    assert list(timeline.changes(start + 3 * M, end + M)) == within


def test_a_change_at_a_border_where_the_state_goes_on_is_none() -> None:
    """The 12:00 span would rest from 13:00 on, just when the next begins with water."""
    timeline = timeline_of(
        UTC_PLACE, ("06:00", "on"), ("12:00", "1h on, 1h off"), ("13:00", "2h on, 30m off")
    )
    assert timeline.look(utc("07-01 11:00")).until == utc("07-01 15:00")
    assert timeline.look(utc("07-01 12:30")).until == utc("07-01 15:00")
    assert next(timeline.changes(utc("07-01 11:00"), utc("07-02 00:00")))[0] == utc("07-01 15:00")


def test_a_cycle_starts_afresh_with_each_span_and_each_day() -> None:
    """Seven hours do not divide a day: the last rest is cut."""
    timeline = timeline_of(UTC_PLACE, ("04:00", "1h on, 6h off"))
    assert texts(timeline.changes(utc("07-01 04:00"), utc("07-02 05:00:01"))) == [
        "07-01T05:00:00 off",
        "07-01T11:00:00 on",
        "07-01T12:00:00 off",
        "07-01T18:00:00 on",
        "07-01T19:00:00 off",
        "07-02T01:00:00 on",
        "07-02T02:00:00 off",
        "07-02T04:00:00 on",
        "07-02T05:00:00 off",
    ]


def test_of_two_that_start_together_the_later_listed_wins() -> None:
    """In either order, at every border of the day."""
    on_last = timeline_of(UTC_PLACE, ("06:00", "off"), ("05:00 + 1h", "on"))
    off_last = timeline_of(UTC_PLACE, ("06:00", "on"), ("05:00 + 1h", "off"))
    for at in (utc("07-01 05:59"), utc("07-01 06:00"), utc("07-01 23:00")):
        assert (on_last.state_at(at), off_last.state_at(at)) == (True, False)


def test_the_state_began_where_its_segment_did_but_not_before_its_span() -> None:
    """Since when a state lasts, within the piece in force."""
    timeline = timeline_of(UTC_PLACE, *DAY_AND_NIGHT)
    for at, since in (("06:20", "06:15"), ("21:10", "21:00"), ("21:50", "21:15")):
        instant = utc(f"07-01 {at}")
        piece = timeline.piece_at(instant)
        assert timeline.state_began(piece, instant) == utc(f"07-01 {since}")


def test_without_a_change_in_sight_a_look_ends_at_the_end_of_sight() -> None:
    """Steady days without end: eight days on, and no change."""
    timeline = timeline_of(UTC_PLACE, ("06:00", "on"), ("21:00", "on"))
    at = utc("07-01 12:00")
    piece = Piece(utc("07-01 06:00"), utc("07-01 21:00"), 0, timeline.spans[0].cycle)
    assert timeline.look(at) == Look(piece, True, at + LOOK_DAYS * DAY_MS, False)
    assert list(timeline.changes(at, at + 400 * DAY_MS)) == []


# Days on which the clocks are moved


@pytest.mark.parametrize(
    ("place", "day", "waterings"),
    [
        ("Zurich", "2026-03-28", 24),  # an ordinary day
        ("Zurich", "2026-03-29", 23),  # an hour is skipped
        ("Zurich", "2026-10-25", 25),  # an hour is repeated
        ("Lord Howe", "2026-10-04", 24),  # half an hour is skipped, and the last hour is cut
        ("Lord Howe", "2026-04-05", 25),  # half an hour is repeated, and begins another
        ("Troll", "2026-03-29", 22),  # two hours are skipped
        ("Troll", "2026-10-25", 26),  # two hours are repeated
        ("Santiago", "2026-09-06", 23),  # without midnight
        ("Cairo", "2026-04-24", 23),  # without midnight
        ("Cairo", "2026-10-29", 25),  # its last hour comes twice
    ],
)
def test_a_day_has_as_many_hours_as_pass(place: str, day: str, waterings: int) -> None:
    """One watering an hour from midnight on, none shortened or stretched by the dial."""
    timeline = timeline_of(place, ("00:00", "15m on, 45m off"))
    calendar = timeline._calendar
    number = day_number(date.fromisoformat(day))
    begin, end = calendar.midnight(number), calendar.midnight(number + 1)
    starts = [at for at, is_on in timeline.changes(begin - 1, end) if is_on]
    assert starts == [begin + hour * HOUR_MS for hour in range(waterings)]


def test_a_skipped_start_moves_to_the_end_of_the_gap() -> None:
    """02:30 does not exist in Zurich on 29 March 2026, and comes twice on 25 October."""
    timeline = timeline_of("Zurich", ("02:30", "on"), ("04:00", "off"))
    assert texts(timeline.changes(utc("03-28 12:00"), utc("03-30 12:00"))) == [
        "03-29T01:00:00 on",
        "03-29T02:00:00 off",
        "03-30T00:30:00 on",
        "03-30T02:00:00 off",
    ]
    assert texts(timeline.changes(utc("10-24 12:00"), utc("10-25 12:00"))) == [
        "10-25T00:30:00 on",
        "10-25T03:00:00 off",
    ]


def test_a_date_that_a_zone_skips_has_no_start_of_its_own() -> None:
    """Samoa had no 30 December 2011; the 31st begins as listed for midnight."""
    timeline = timeline_of("Apia", ("06:00", "on"), ("18:00", "off"))
    begin, end = parse_rfc3339("2011-12-29T00:00:00Z"), parse_rfc3339("2012-01-01T00:00:00Z")
    assert [f"{rfc3339(at)[:16]} {is_on}" for at, is_on in timeline.changes(begin, end)] == [
        "2011-12-29T04:00 False",  # 28 December, 18:00 at -10
        "2011-12-29T16:00 True",  # 29 December, 06:00
        "2011-12-30T04:00 False",  # 29 December, 18:00
        "2011-12-30T16:00 True",  # 31 December, 06:00 at +14
        "2011-12-31T04:00 False",  # 31 December, 18:00
        "2011-12-31T16:00 True",  # 1 January, 06:00
    ]
    midnight = timeline_of("Apia", ("00:00", "on"), ("18:00", "off"))
    assert midnight.state_at(parse_rfc3339("2011-12-30T10:00:00Z")) is True


# Loads that follow lamps

LAMP: Spans = (("05:00", "on"), ("23:00", "off"))


@pytest.mark.parametrize(
    ("place", "spans", "day", "to_on", "expected"),
    [
        (UTC_PLACE, LAMP, "2026-07-01", True, "2026-07-01T05:00:00Z"),  # everyday
        (UTC_PLACE, LAMP, "2026-07-01", False, "2026-07-01T23:00:00Z"),  # everyday
        (
            UTC_PLACE,
            (("00:00", "on"), ("12:00", "off")),
            "2026-07-01",
            True,
            "2026-07-01T00:00:00Z",
        ),  # at midnight: the date that begins has it
        (
            UTC_PLACE,
            (("00:00", "on"), ("12:00", "off")),
            "2026-06-30",
            True,
            "2026-06-30T00:00:00Z",
        ),  # not the date that ends
        (UTC_PLACE, (("00:00", "on"), ("12:00", "on")), "2026-07-01", True, None),  # always on
        (
            UTC_PLACE,
            (("22:00", "4h on, 4h off"),),
            "2026-07-01",
            True,
            "2026-07-01T06:00:00Z",
        ),  # on since yesterday at midnight, so the first is a later one
        (
            UTC_PLACE,
            (("06:00", "2h on, 1h off"),),
            "2026-07-01",
            False,
            "2026-07-01T02:00:00Z",
        ),  # the first of many, from yesterday's cycle
        (
            BY_NAME["Zurich"],
            (("02:30", "on"), ("12:00", "off")),
            "2026-03-29",
            True,
            "2026-03-29T01:00:00Z",
        ),  # skipped on that date: at the end of the gap
        (
            BY_NAME["Cairo"],
            (("00:00", "on"), ("12:00", "off")),
            "2026-04-24",
            True,
            "2026-04-23T22:00:00Z",
        ),  # a date that begins at 01:00
        (
            BY_NAME["Apia"],
            (("00:00", "on"), ("12:00", "off")),
            "2011-12-30",
            True,
            None,
        ),  # a date that never was
        (
            BY_NAME["Apia"],
            (("00:00", "on"), ("12:00", "off")),
            "2011-12-31",
            True,
            "2011-12-30T10:00:00Z",
        ),  # and the one that took its place
        (
            BY_NAME["St. John's"],
            (("23:00 + 90m", "on"), ("12:00", "off")),
            "2006-10-28",
            True,
            "2006-10-28T03:00:00Z",
        ),  # 00:30, from the date before
        (
            BY_NAME["St. John's"],
            (("23:02 + 1h", "on"), ("12:00", "off")),
            "2006-10-29",
            True,
            None,
        ),  # the clocks went back at 00:01: they show 23:02 of the 28th once more
        (
            BY_NAME["St. John's"],
            (("12:00", "off"), ("23:02 + 1h", "on"), ("23:30 + 1h", "off")),
            "2006-10-28",
            True,
            "2006-10-28T02:32:00Z",
        ),  # so that date has two, of which the first counts
    ],
)
def test_a_lamp_s_first_change_on_a_date(
    place: Place, spans: Spans, day: str, to_on: bool, expected: str | None
) -> None:
    """While the clocks show that date; none where it does not change to that state."""
    timeline = timelines_of(plan_of(place, lamp=spans))["lamp"]
    found = timeline.first_change_on(day_number(date.fromisoformat(day)), to_on=to_on)
    assert (None if found is None else rfc3339(found)) == expected


def test_a_pump_follows_a_lamp_that_follows_a_lamp() -> None:
    """Two levels, each with an offset; a shift of the first moves all."""
    lamps = {
        "first": (("05:00", "on"), ("21:00", "off")),
        "second": (("first on + 30m", "on"), ("first off - 1h", "off")),
    }
    pump = (("second on - 5m", "15m on, 5h off"), ("second off + 10m", "off"))
    timeline = timeline_of(UTC_PLACE, *pump, **lamps)
    assert texts(timeline.changes(utc("07-01 00:00"), utc("07-02 00:00"))) == [
        "07-01T05:25:00 on",
        "07-01T05:40:00 off",
        "07-01T10:40:00 on",
        "07-01T10:55:00 off",
        "07-01T15:55:00 on",
        "07-01T16:10:00 off",
    ]


def test_as_many_loads_as_a_plan_can_have_may_follow_one_another() -> None:
    """A chain of 54, asked for from deep within a program, in reasonable time and stack."""
    lamps: dict[str, Spans] = {"lamp0": LAMP}
    for n in range(1, 53):
        lamps[f"lamp{n}"] = ((f"lamp{n - 1} on + 1m", "on"), (f"lamp{n - 1} off + 1m", "off"))
    timeline = timeline_of(UTC_PLACE, ("lamp52 on + 1m", "on"), ("lamp52 off", "off"), **lamps)

    def asked_from(depth: int) -> list[str]:
        if depth:
            return asked_from(depth - 1)
        return texts(timeline.changes(utc("07-01 00:00"), utc("07-02 00:00")))

    assert asked_from(50) == ["07-01T05:53:00 on", "07-01T23:52:00 off"]


SUN_LAMP: Spans = (("sunrise", "on"), ("sunset", "off"))


def test_a_pump_whose_lamp_does_not_switch_rests_after_eight_days() -> None:
    """In Tromso's midnight sun of 69 days; pieces, changes and looks tell the same."""
    timeline = timeline_of("Tromso", ("lamp on", "15m on, 45m off"), lamp=SUN_LAMP)
    start, end = utc("05-10 00:00"), utc("08-05 00:00")
    pieces = list(timeline.pieces(start, end))
    assert [a.end for a in pieces[:-1]] == [b.start for b in pieces[1:]]
    last = max(p.start for p in pieces if p.span == 0 and p.start < utc("06-20 00:00"))
    first = min(p.start for p in pieces if p.span == 0 and p.start > utc("06-20 00:00"))
    assert (rfc3339(last)[:10], rfc3339(first)[:10]) == ("2026-05-17", "2026-07-25")  # and ephem
    rest = last + LOOK_DAYS * DAY_MS
    assert {p.span for p in timeline.pieces(rest, first)} == {-1}
    assert timeline.piece_at(rest - 1) == Piece(last, rest, 0, timeline.spans[0].cycle)
    assert timeline.piece_at(first - 1).end == first
    # 192 waterings of an hour each: the last began an hour before the rest.
    changes = list(timeline.changes(last, first + 1))
    assert changes[-2:] == [(rest - 45 * M, False), (first, True)]
    assert timeline.look(rest - 45 * M).until == rest - 45 * M + LOOK_DAYS * DAY_MS
    assert timeline.look(rest - 45 * M).is_change is False
    assert [timeline.look(at)[1:] for at in (first - 8 * DAY_MS, first - 8 * DAY_MS + 1)] == [
        (False, first, False),
        (False, first, True),
    ]


@pytest.mark.parametrize("year", range(2020, 2028))
@pytest.mark.parametrize(
    ("latitude", "spans"),
    [
        (65.78, (("lamp off + 12h", "on"), ("lamp on - 12h", "off"))),  # about eight days of sun
        (65.76, (("lamp off + 12h", "on"), ("lamp on - 12h", "off"))),  # in 2021 of five
        (65.74, (("lamp on - 12h", "off"), ("lamp off + 12h", "on"))),  # a few days
        (65.76, (("lamp off + 11h", "on"),)),  # one start for all of it
        (65.9, (("lamp on", "1h on, 1h off"), ("lamp off", "off"))),  # weeks
    ],
)
def test_sparse_changes_of_a_lamp_are_seen_from_every_day(
    latitude: float, spans: Spans, year: int
) -> None:
    """Near the polar circle a lamp's last change before a short midnight sun decides for
    days, and a week begins on another day each year."""
    plan = plan_of(Place("by the polar circle", latitude, 0.0, "UTC"), lamp=SUN_LAMP, pump=spans)
    start, end = parse_rfc3339(f"{year}-06-08T00:00Z"), parse_rfc3339(f"{year}-07-12T00:00Z")
    timeline = timelines_of(plan)["pump"]
    assert stretches_of(timeline, start, end) == cut_holes(
        Oracle(plan).stretches("pump", start, end), start, end
    )


# Polar seasons

POLAR = [("Tromso", 69.65), ("Longyearbyen", 78.22), ("McMurdo", -77.85)]


def ruling(timeline: Timeline, start: int, end: int) -> dict[str, float]:
    """Hours that each span is in force."""
    hours: defaultdict[str, float] = defaultdict(float)
    for piece in timeline.pieces(start, end):
        within = min(piece.end, end) - max(piece.start, start)
        hours[str(timeline.spans[piece.span].anchor)] += within / HOUR_MS
    return dict(hours)


@pytest.mark.parametrize(
    ("place", "season", "start", "end"),
    [
        ("Tromso", "sunrise", "05-19 12:00", "07-24 12:00"),  # midnight sun
        ("Tromso", "sunset", "11-28 12:00", "12-31 12:00"),  # polar night
        ("Longyearbyen", "sunrise", "04-21 12:00", "08-21 12:00"),
        ("Longyearbyen", "sunset", "10-28 12:00", "12-31 12:00"),
        ("McMurdo", "sunset", "04-27 00:00", "08-16 00:00"),  # south: the other way round
        ("McMurdo", "sunrise", "10-27 00:00", "12-31 00:00"),
    ],
)
@pytest.mark.parametrize("order", [1, -1], ids=["sunrise listed first", "sunset listed first"])
def test_polar_seasons_have_one_span(
    place: str, season: str, start: str, end: str, order: int
) -> None:
    """Midnight sun is day, polar night is night, without a gap and however they are listed."""
    spans = (("sunrise", "15m on, 15m off"), ("sunset", "15m on, 45m off"))[::order]
    timeline = timeline_of(place, *spans)
    assert list(ruling(timeline, utc(start), utc(end))) == [season]


@pytest.mark.parametrize(("place", "latitude"), POLAR)
def test_a_polar_year_is_the_same_in_every_order_of_listing(place: str, latitude: float) -> None:
    """All four events of the sun, the whole year, span for span."""
    events = ["dawn", "sunrise", "sunset", "dusk"]
    orders = [events, events[::-1], [events[i] for i in (1, 3, 0, 2)]]
    years = []
    for order in orders:
        timeline = timeline_of(place, *((event, f"{1 + i}m on") for i, event in enumerate(order)))
        pieces = timeline.pieces(utc("01-01 00:00"), utc("12-31 00:00"))
        years.append([(piece.start, order[piece.span]) for piece in pieces])
    assert BY_NAME[place].latitude == latitude
    assert years[1] == years[0]
    assert years[2] == years[0]


@pytest.mark.parametrize(
    ("place", "day", "expected"),
    [
        ("Longyearbyen", "06-21", {"sunrise": 24.0}),  # midnight sun
        ("Longyearbyen", "12-21", {"dusk": 24.0}),  # not even twilight
        ("Tromso", "12-21", {"dawn": 2.2, "sunset": 2.2, "dusk": 19.6}),  # twilight around noon
        ("Tromso", "05-01", {"sunset": 2.6, "dawn": 2.6, "sunrise": 18.8}),  # no dark at midnight
    ],
)
def test_a_polar_day_by_its_four_events(place: str, day: str, expected: dict[str, float]) -> None:
    """Hours of each span from noon to noon, to a tenth; what has no length does not occur."""
    spans = tuple((event, "on") for event in ("sunrise", "dawn", "dusk", "sunset"))
    start = utc(f"{day} 12:00")
    found = ruling(timeline_of(place, *spans), start, start + DAY_MS)
    assert {name: round(hours, 1) for name, hours in found.items()} == expected
