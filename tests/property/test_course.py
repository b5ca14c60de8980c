"""What a stand wants through a run, made in one go, is what it wants hour by hour."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.calendar import Calendar
from controller.core.demand.present_air import AirFelt
from controller.core.plan import Site
from controller.core.stands import StandFacts
from controller.core.units import HOUR_MS, MINUTE_MS, Instant, day_number, parse_rfc3339
from controller.core.water.bounds import Bounds
from controller.core.water.leaf_hour import LeafHour
from controller.core.water.surroundings import Surroundings
from controller.core.water.transpiration import Foliage
from controller.dry_run.water.course import Course, course_of
from tests.strategies import examples

# Two days and a half in which clocks are put back, in a heat that no October has.
SITE = Site.model_validate(
    {
        "latitude": 45.0,
        "longitude": 9.0,
        "timezone": "Europe/Rome",
        "elevation_m": 100,
        "typical_day": {"coolest_c": 12, "warmest_c": 33},
    }
)
CALENDAR = Calendar(SITE)
START: Instant = parse_rfc3339("2026-10-24T10:20:00Z")
HOURS = 60
EDGES = [START, *(START + 50 * MINUTE_MS + hour * HOUR_MS for hour in range(HOURS))]
ROOM = AirFelt(24.0, 60.0)
FIRST = CALENDAR.date_of(START)


@st.composite
def hours_of_leaves(draw: st.DrawFn) -> list[LeafHour]:
    """Air by day and by night, for each hour of the run."""
    kinds = [
        LeafHour.outdoors(
            temperature_c=temperature_c,
            humidity_pct=humidity_pct,
            wind_2m_m_s=2.0,
            radiation_w_m2=radiation_w_m2,
            et0_mm=et0_mm,
        )
        for temperature_c, humidity_pct, radiation_w_m2, et0_mm in draw(
            st.lists(
                st.tuples(
                    st.floats(-20, 45),
                    st.floats(0, 100),
                    st.one_of(st.just(0.0), st.floats(0, 1000)),
                    st.floats(-0.1, 1),
                ),
                min_size=1,
                max_size=5,
            )
        )
    ]
    return [kinds[hour % len(kinds)] for hour in range(HOURS)]


@st.composite
def stands(draw: st.DrawFn) -> StandFacts:
    """Stands of a stated age, and such as are sown before or during the run."""
    place: Surroundings = draw(st.sampled_from(("outdoors", "under-glass", "under-lamps")))
    sown = draw(st.one_of(st.none(), st.integers(-3, 40)))
    return StandFacts(
        name="heads",
        load="pump",
        plants=draw(st.integers(1, 50)),
        foliage=Foliage(
            place=place,
            plants_per_m2=25.0,
            light_share=draw(st.sampled_from((1.0, 0.6))),
            ppfd_umol=220.0,
        ),
        medium="bare-roots",
        medium_ml=0.0,
        age_days=draw(st.integers(0, 60)) if sown is None else None,
        sown=None if sown is None else FIRST - timedelta(days=sown),
        drip_ml_per_s=Bounds(0.1, 0.2, 0.4),
        reserve=0.3,
    )


def course(facts: StandFacts, hours: list[LeafHour]) -> Course:
    """The course of the dry run."""
    return course_of(facts, room=ROOM, edges=EDGES, hours=lambda: hours, calendar=CALENDAR)


@examples(60)
@given(stands(), hours_of_leaves())
def test_a_course_is_what_a_plant_transpires_hour_by_hour(
    facts: StandFacts, hours: list[LeafHour]
) -> None:
    """By its age on the local date on which each hour begins; nothing before it is sown."""
    found = course(facts, hours)
    room = LeafHour.indoors(temperature_c=ROOM.temperature_c, humidity_pct=ROOM.humidity_pct)
    is_under_lamps = facts.foliage.place == "under-lamps"
    for lit_share, rates in ((0.0, found.dark), (1.0, found.lit)):
        expected = []
        for edge, hour in zip(EDGES[:-1], hours, strict=True):
            age_days = facts.age_days_on(CALENDAR.date_of(edge))
            low = likely = high = 0.0
            if age_days is not None:
                low, likely, high = facts.foliage.at_age(age_days).transpiration_ml_per_h(
                    room if is_under_lamps else hour, lit_share=lit_share
                )
            expected.append((high / 3600, likely / 3600, low / 3600))
        assert list(zip(*rates.corners, strict=True)) == expected


@examples(60)
@given(stands(), hours_of_leaves(), st.lists(st.floats(0, 1), min_size=HOURS, max_size=HOURS))
def test_litres_are_rates_over_time_for_all_plants(
    facts: StandFacts, hours: list[LeafHour], lit_shares: list[float]
) -> None:
    """Of each hour the part in which lamps are lit by the one rate, the rest by the other."""
    found = course(facts, hours)
    for corner, litres in enumerate(found.litres(facts.plants, lit_shares)):
        dark, lit = found.dark.corners[corner], found.lit.corners[corner]
        for place, share in enumerate(lit_shares):
            length_s = (EDGES[place + 1] - EDGES[place]) / 1000
            rate = share * lit[place] + (1 - share) * dark[place]
            assert litres[place] == pytest.approx(rate * length_s * facts.plants / 1000)


@examples(60)
@given(stands(), hours_of_leaves())
def test_the_thirstiest_hour_of_a_course_is_in_it(facts: StandFacts, hours: list[LeafHour]) -> None:
    """In the light or in the dark, for each corner."""
    found = course(facts, hours)
    for corner, highest in enumerate(found.thirstiest_ml_per_s()):
        rates = [*found.dark.corners[corner], *found.lit.corners[corner]]
        assert highest == max(rates)


def test_the_run_has_the_hour_that_clocks_show_twice() -> None:
    """And midnights lie within hours: these are of the day on which they began."""
    dates = [CALENDAR.date_of(edge) for edge in EDGES]
    assert dates.count(FIRST + timedelta(days=1)) == 25
    assert not {CALENDAR.midnight(day_number(day)) for day in dates} & set(EDGES)
