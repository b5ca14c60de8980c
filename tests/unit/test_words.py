"""Reasons as sentences: pinned word for word, for every rule and every kind of load."""

from __future__ import annotations

import pytest

from controller.core.anchor import parse_anchor
from controller.core.calendar import Calendar
from controller.core.orders import Reason, Why
from controller.core.plan import Site
from controller.core.schedule import LoadSchedule, make_schedule
from controller.core.spans_in_force import Piece
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, SECOND_MS, parse_rfc3339
from controller.core.words import anchor_words, clock_words, length_words, sentence
from tests.worlds import Driver, load, ms, plan_of, spans

ZURICH: dict[str, object] = {
    "latitude": 47.37,
    "longitude": 8.54,
    "timezone": "Europe/Zurich",
}
NOON = parse_rfc3339("2026-06-15T12:00:00+02:00")
SCHEDULE = make_schedule(
    plan_of(
        site=ZURICH,
        pump=load(
            "06:00 | 15m on, 15m off",
            "sunset + 1h | off",
            variants=[
                {"name": "hot", "sensor": "air", "above": 30, "until": 27,
                 "spans": spans("10:00 | 20m on, 10m off", "18:00 | on")},
                {"name": "deluge", "by_hand": True, "spans": spans("on")},
            ],
        ),
        valve=load("06:00 | 1m on, 1h off", kind="valve"),
        lamp=load("sunrise - 30m | on", "sunset | off", kind="lamp"),
        fan=load("lamp on + 10m | 5m on, 10m off", kind="fan"),
        heater=load("on", kind="heater"),
    )
)  # fmt: skip


def told(name: str, reason: Reason, *, is_on: bool) -> str:
    """The sentence for a load of the garden."""
    place = SCHEDULE.loads[SCHEDULE.places[name]]
    return sentence(reason, place, is_on=is_on, now=NOON, calendar=SCHEDULE.calendar)


def piece_of(name: str, *, variant: int = -1) -> Piece:
    """The piece in force for a load, or for one of its variants."""
    place: LoadSchedule = SCHEDULE.loads[SCHEDULE.places[name]]
    timeline = place.own if variant < 0 else place.variant_timelines[variant]
    return timeline.piece_at(NOON)


def test_the_sentence_of_the_design_reads_as_it_was_asked_for() -> None:
    """A resting pump tells when it waters next, its cycle, and since what it runs."""
    # Sunrise in Zurich is at 07:58 local time on 6 December (to the minute; from our own sun,
    # which tests/published holds against an almanac).
    schedule = make_schedule(plan_of(site=ZURICH, pump=load("sunrise | 15m on, 15m off")))
    now = parse_rfc3339("2026-12-06T14:39:00+01:00")
    reason = Reason(Why.PLAN, schedule.loads[0].own.piece_at(now), "", now + 6 * MINUTE_MS)
    text = sentence(reason, schedule.loads[0], is_on=False, now=now, calendar=schedule.calendar)
    assert text == (
        "Resting. Next watering at 14:45, in 6 min. Cycle 15m on, 15m off, since sunrise at 07:58."
    )


_UNTIL = NOON + 6 * MINUTE_MS
PLAN, VARIANT = piece_of("pump"), piece_of("pump", variant=0)

SENTENCES = [
    # What the plan orders.
    ("pump", Reason(Why.PLAN, PLAN, "", _UNTIL), False,
     "Resting. Next watering at 12:06, in 6 min. Cycle 15m on, 15m off, since 06:00."),
    ("pump", Reason(Why.PLAN, PLAN, "", _UNTIL), True,
     "Watering until 12:06, 6 min more. Cycle 15m on, 15m off, since 06:00."),
    ("heater", Reason(Why.PLAN, piece_of("heater")), True,
     "Heating. Steadily on, since 00:00 on 15 Jun."),
    ("lamp", Reason(Why.PLAN, piece_of("lamp"), "", NOON + 10 * HOUR_MS), True,
     "Lit until 22:00, 10 h more. Steadily on, since 30 min before sunrise at 04:59."),
    ("fan", Reason(Why.PLAN, piece_of("fan"), "", _UNTIL), False,
     "Still. Next run at 12:06, in 6 min. "
     "Cycle 5m on, 10m off, since 10 min after lamp on at 05:09."),
    ("valve", Reason(Why.PLAN, piece_of("valve"), "", NOON + 40 * SECOND_MS), False,
     "Closed. Next opening at 12:00:40, in 40 s. Cycle 1m on, 1h off, since 06:00."),
    ("pump", Reason(Why.NO_SPAN), False,
     "Resting. The plan has no span for this moment."),
    # A variant in force.
    ("pump", Reason(Why.VARIANT, VARIANT, "hot", _UNTIL), True,
     "Watering until 12:06, 6 min more. Variant hot: cycle 20m on, 10m off, since 10:00."),
    # Orders by hand: the end of a hold need not be the start of a watering.
    ("pump", Reason(Why.HOLD, None, "off", _UNTIL), False,
     "Resting until 12:06, 6 min more. Held by hand: off."),
    ("pump", Reason(Why.HOLD, None, "2m on, 3m off", _UNTIL), True,
     "Watering until 12:06, 6 min more. Held by hand: 2m on, 3m off."),
    ("pump", Reason(Why.HOLD, piece_of("pump", variant=1), "deluge", _UNTIL), True,
     "Watering until 12:06, 6 min more. "
     "Held by hand: variant deluge, steadily on, since 00:00 on 15 Jun."),
    ("pump", Reason(Why.HOLD, None, "deluge", _UNTIL), True,  # with no clock to run it by
     "Watering until 12:06, 6 min more. Held by hand: variant deluge."),
    # A clock that is not trusted is not quoted.
    ("pump", Reason(Why.WITHOUT_CLOCK, None, "", _UNTIL), True,
     "Watering for 6 min more. The clock is not trusted, so it runs on elapsed time."),
    ("pump", Reason(Why.WITHOUT_CLOCK, None, "", _UNTIL), False,
     "Resting. Next watering in 6 min. The clock is not trusted, so it runs on elapsed time."),
    ("pump", Reason(Why.HOLD, None, "on", 10**15), True,  # nor one that shows the year 33658
     f"Watering for {round((10**15 - NOON) / DAY_MS)} days more. Held by hand: on."),
    ("pump", Reason(Why.RECOVERY, None, "", NOON + 15 * MINUTE_MS), True,
     "Watering until 12:15, 15 min more. "
     "Recovery watering: the roots were dry for longer than planned."),
    # Guards.
    ("pump", Reason(Why.STOPPED), False,
     "Resting. Everything is stopped until a person lets it go on."),
    ("pump", Reason(Why.LEAK, None, "floor"), False,
     "Resting. Stopped: floor told of a leak. Look for it, then acknowledge the alarm."),
    ("pump", Reason(Why.LEVEL_LOW, None, "float"), False,
     "Resting. Stopped: float says the reservoir is low. Top it up."),
    ("pump", Reason(Why.NO_FLOW, None, "meter", _UNTIL), False,
     "Resting. Tries again at 12:06, in 6 min. "
     "Stopped: it ran and meter saw no water. Look at pump and hose."),
    ("pump", Reason(Why.LONGEST_ON, PLAN, "", NOON + SECOND_MS), False,
     "Resting. Next watering at 12:00:01, in 1 s. "
     "Has been on for as long as it may at a stretch (longest_on)."),
    ("pump", Reason(Why.SHORTEST_ON, PLAN, "", NOON + 5 * SECOND_MS), True,
     "Watering until 12:00:05, 5 s more. Finishing its shortest time on (shortest_on)."),
    ("lamp", Reason(Why.SHORTEST_OFF, PLAN, "", NOON + 5 * MINUTE_MS), False,
     "Dark. Next light at 12:05, in 5 min. Finishing its shortest rest (shortest_off)."),
    ("heater", Reason(Why.STARTS_APART, PLAN, "", NOON + 10 * SECOND_MS), False,
     "Cold. Next heating at 12:00:10, in 10 s. Waiting for its turn: starts are kept apart."),
    ("valve", Reason(Why.WATTS_AT_ONCE, PLAN), False,
     "Closed. Waiting: as many watts are in use as may be at once."),
    ("fan", Reason(Why.NO_POWER), False, "Still. No power."),
    ("pump", Reason(Why.DEMAND, PLAN,
                    "rest cut to 9 min: 33 °C, 41 % humidity, roots hold 18 min",
                    NOON + 9 * MINUTE_MS), False,
     "Resting. Next watering at 12:09, in 9 min. "
     "Rest cut to 9 min: 33 °C, 41 % humidity, roots hold 18 min."),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "reason", "is_on", "expected"),
    SENTENCES,
    ids=[f"{reason.why.name}-{name}-{is_on}" for name, reason, is_on, _ in SENTENCES],
)
def test_each_reason_reads_like_this(name: str, reason: Reason, is_on: bool, expected: str) -> None:
    """Every reason is told in this sentence, word for word."""
    assert told(name, reason, is_on=is_on) == expected


def test_every_rule_has_a_sentence() -> None:
    """The table above leaves no rule out."""
    assert {reason.why for _, reason, _, _ in SENTENCES} == set(Why)


@pytest.mark.parametrize("why", Why, ids=lambda why: why.name)
@pytest.mark.parametrize("until", [None, NOON - HOUR_MS, NOON, NOON + 3 * DAY_MS])
@pytest.mark.parametrize("detail", ["float", "{}", "hot"])
def test_no_sentence_shows_its_machinery(why: Why, until: int | None, detail: str) -> None:
    """Whatever a reason lacks, its sentence has no hole, no None and no doubled blank."""
    for name in SCHEDULE.places:
        for piece in (None, piece_of(name), PLAN._replace(span=-1)):
            for is_on in (True, False):
                text = told(name, Reason(why, piece, detail, until), is_on=is_on)
                assert text.endswith(".")
                assert "None" not in text
                assert "  " not in text
                assert "{" not in text.replace(detail, "")


@pytest.mark.parametrize(
    ("length_ms", "expected"),
    [
        (-1, "0 s"),  # a moment that has passed already
        (0, "0 s"),
        (1, "1 s"),  # what is left is never nothing
        (1_001, "2 s"),
        (59_000, "59 s"),
        (59_001, "1 min"),  # never 60 s
        (60_000, "1 min"),
        (89_999, "1 min"),  # to the nearest
        (90_000, "2 min"),
        (6 * MINUTE_MS + 1, "6 min"),
        (HOUR_MS - 1, "1 h"),
        (HOUR_MS, "1 h"),
        (2 * HOUR_MS + 5 * MINUTE_MS, "2 h 5 min"),
        (DAY_MS, "24 h"),
        (2 * DAY_MS, "2 days"),
        (7 * DAY_MS - 1, "7 days"),
    ],
)
def test_lengths_are_told_as_people_do(length_ms: int, expected: str) -> None:
    """A length has seconds below a minute, minutes below two days, and days from there on."""
    assert length_words(length_ms) == expected


@pytest.mark.parametrize(
    ("after", "expected"),
    [
        ("0s", "12:00"),
        ("40s", "12:00:40"),  # seconds where they matter
        ("1m", "12:01"),
        ("6m29s", "12:06"),  # to the nearest minute
        ("6m30s", "12:07"),
        ("11h59m", "23:59"),
        ("12h", "00:00 on 16 Jun"),  # with the date where the time alone would mislead
        ("-11h", "01:00"),
        ("-12h", "00:00 on 15 Jun"),
        ("72h", "12:00 on 18 Jun"),
    ],
)
def test_clock_times_are_told_as_clocks_show_them(after: str, expected: str) -> None:
    """A time is to the minute, to the second when near, with its date when far."""
    assert clock_words(NOON + ms(after), now=NOON, calendar=SCHEDULE.calendar) == expected


def test_clock_times_follow_the_change_of_the_clocks() -> None:
    """At the end of summer time the same wall time is told for two instants an hour apart."""
    calendar = Calendar(Site(**ZURICH))  # type: ignore[arg-type]
    first = parse_rfc3339("2026-10-25T00:30:00Z")  # 02:30 summer time
    now = first - HOUR_MS
    assert [clock_words(first + n * HOUR_MS, now=now, calendar=calendar) for n in range(3)] == [
        "02:30",
        "02:30",
        "03:30",
    ]


@pytest.mark.parametrize(
    ("anchor", "expected"),
    [
        ("06:30", "06:30"),
        ("sunrise", "sunrise"),
        ("sunrise - 30m", "30 min before sunrise"),
        ("dusk + 1h30m", "1 h 30 min after dusk"),
        ("lamp on", "lamp on"),
        ("lamp off + 10m", "10 min after lamp off"),
        ("06:30 - 20s", "20 s before 06:30"),
    ],
)
def test_anchors_are_told_in_words(anchor: str, expected: str) -> None:
    """An anchor reads as what happens, and how long before or after it."""
    assert anchor_words(parse_anchor(anchor)) == expected


def test_a_running_garden_tells_what_it_does() -> None:
    """The sentences of a garden at work follow one another as its states do."""
    driver = Driver(plan_of(pump=load("15m on, 15m off", longest_on="10m")))
    lines = []
    for _ in range(6):
        reason, its = driver.reason("pump"), driver.its("pump")
        lines.append(
            sentence(
                reason,
                driver.schedule.loads[0],
                is_on=its.is_on,
                now=driver.clock_now,
                calendar=driver.schedule.calendar,
            )
        )
        driver.advance("5m")
    cycle = "Cycle 15m on, 15m off, since 00:00."
    assert lines == [
        f"Watering until 00:15, 15 min more. {cycle}",
        f"Watering until 00:15, 10 min more. {cycle}",
        "Resting. Next watering at 00:10:01, in 1 s. "
        "Has been on for as long as it may at a stretch (longest_on).",
        f"Resting. Next watering at 00:30, in 15 min. {cycle}",
        f"Resting. Next watering at 00:30, in 10 min. {cycle}",
        f"Resting. Next watering at 00:30, in 5 min. {cycle}",
    ]
