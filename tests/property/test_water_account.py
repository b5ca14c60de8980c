"""The keeper of a stand's roots leaves out most gaps, and tells the same as one that does not."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import accumulate, pairwise
from typing import NamedTuple

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from controller.core.calendar import Calendar
from controller.core.plan import Site
from controller.core.stands import StandFacts
from controller.core.units import DAY_MS, MINUTE_MS, Instant, date_of_number, parse_rfc3339
from controller.core.water.bounds import Bounds
from controller.core.water.medium import Medium
from controller.core.water.surroundings import Surroundings
from controller.core.water.transpiration import Foliage
from controller.dry_run.water.course import (
    CORNERS,
    DRIEST,
    LIKELY,
    WETTEST,
    Course,
    lamp_course,
    open_course,
)
from controller.dry_run.water.dry_times import DryTimes
from controller.dry_run.water.run_air import RunAir
from controller.dry_run.water.stand_keeper import StandKeeper
from controller.dry_run.water.stand_sum import StandSum
from tests.roots_oracle import Told, follow
from tests.strategies import examples

# A made-up garden in a heat wave, by clocks that are an two hours off the sun's.
SITE = Site.model_validate(
    {
        "latitude": 45.0,
        "longitude": 0.0,
        "timezone": "Europe/Rome",
        "elevation_m": 0,
        "typical_day": {"coolest_c": 20, "warmest_c": 38},
    }
)
CALENDAR = Calendar(SITE)
START: Instant = parse_rfc3339("2026-07-01T20:30:00Z")
END: Instant = START + 2 * DAY_MS + 5 * MINUTE_MS * 7
AIR = RunAir.of(SITE, None, start=START, end=END)
SOWN = date_of_number(START // DAY_MS + 1)  # within the run

_LENGTHS_MS = st.one_of(
    st.sampled_from([30_000, 5 * MINUTE_MS, 15 * MINUTE_MS, 30 * MINUTE_MS, 45 * MINUTE_MS]),
    st.integers(1, 4 * 60 * MINUTE_MS),
)


class Case(NamedTuple):
    """A stand, what befalls it, and when its reservoir gives nothing."""

    facts: StandFacts
    pump: list[tuple[Instant, bool]]
    lamp: list[tuple[Instant, bool]]
    dry: tuple[list[tuple[Instant, Instant]], ...]
    drawn: bool

    @property
    def course(self) -> Course:
        """What a plant of it wants."""
        if self.facts.foliage.place == "under-lamps":
            return lamp_course(
                self.facts, air_c=28.0, humidity_pct=40.0, edges=AIR.edges, calendar=CALENDAR
            )
        return open_course(self.facts, edges=AIR.edges, hours=_HOURS, calendar=CALENDAR)


_HOURS = AIR.leaf_hours()


@st.composite
def _stands(draw: st.DrawFn) -> StandFacts:
    place: Surroundings = draw(st.sampled_from(("outdoors", "under-glass", "under-lamps")))
    medium: Medium = draw(st.sampled_from(("expanded-clay", "mineral-wool", "bare-roots")))
    drip = draw(st.sampled_from((0.2, 0.002, 0.02, 0.8, 3.0)))
    is_sown = draw(st.integers(0, 3)) == 0
    return StandFacts(
        name="heads",
        load="pump",
        plants=3,
        foliage=Foliage(place=place, plants_per_m2=25.0, ppfd_umol=220.0),
        medium=medium,
        medium_ml=0.0 if medium == "bare-roots" else draw(st.sampled_from((20.0, 90.0))),
        age_days=None if is_sown else draw(st.sampled_from((0, 20, 45))),
        sown=SOWN - timedelta(days=draw(st.sampled_from((0, 1, 30)))) if is_sown else None,
        drip_ml_per_s=Bounds(drip / 2, drip, drip * 2),
        reserve=draw(st.sampled_from((0.0, 0.3, 0.9))),
    )


@st.composite
def _switchings(draw: st.DrawFn, *, lengths_max: int) -> list[tuple[Instant, bool]]:
    """From the start on; repeats what was drawn until the end."""
    drawn = draw(st.lists(_LENGTHS_MS, min_size=2, max_size=lengths_max))
    times = 1 if draw(st.integers(0, 4)) == 0 else 1 + (END - START) // sum(drawn)
    instants = list(accumulate(drawn * min(times, 100), initial=START))
    is_on = draw(st.booleans())
    return [(at, is_on is (place % 2 == 0)) for place, at in enumerate(instants) if at < END]


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """Any stand on any pump."""
    dry: tuple[list[tuple[Instant, Instant]], ...] = ([], [], [])
    if draw(st.integers(0, 4)) == 4:
        begins = sorted(draw(st.integers(START, END)) for _ in CORNERS)
        lasts_ms = draw(st.sampled_from((3_600_000, 10 * DAY_MS)))
        dry = tuple(
            [(begin, min(begin + lasts_ms, END))] if begin < END else [] for begin in begins
        )
    return Case(
        facts=draw(_stands()),
        pump=draw(_switchings(lengths_max=6)),
        lamp=draw(_switchings(lengths_max=3)),
        dry=dry,
        drawn=draw(st.integers(0, 2)) == 2,
    )


def regular(
    *, wet_min: int, dry_min: int, reserve: float = 0.3, drip_ml_per_s: float = 0.2
) -> Case:
    """Grown heads in the heat on a pump that goes round and round, and a little drip: a
    wet quarter of an hour hardly fills their roots, and one without empties the driest."""
    step = itertools.cycle((wet_min * MINUTE_MS, dry_min * MINUTE_MS))
    instants = itertools.takewhile(lambda at: at < END, accumulate(step, initial=START))
    return Case(
        facts=StandFacts(
            name="heads",
            load="pump",
            plants=3,
            foliage=Foliage(place="outdoors", plants_per_m2=25.0),
            medium="expanded-clay",
            medium_ml=90.0,
            age_days=45,
            sown=None,
            drip_ml_per_s=Bounds(drip_ml_per_s / 2, drip_ml_per_s, drip_ml_per_s * 2),
            reserve=reserve,
        ),
        pump=[(at, place % 2 == 0) for place, at in enumerate(instants)],
        lamp=[(START, False)],
        dry=([], [], []),
        drawn=False,
    )


def once_at_night() -> Case:
    """Grown in small pots and watered once, before the midnight on which their roots grow."""
    case = regular(wet_min=45, dry_min=45, reserve=0.9)
    facts = replace(case.facts, medium_ml=20.0, age_days=None, sown=SOWN - timedelta(days=30))
    pump = [(START + minutes * MINUTE_MS, minutes == 45) for minutes in (0, 45, 90)]
    return case._replace(facts=facts, pump=pump)


def from_wettest(corners: Sequence[float]) -> Bounds:
    """Of the wettest corner, the likely and the driest."""
    return Bounds(corners[WETTEST], corners[LIKELY], corners[DRIEST])


def kept(case: Case) -> StandSum:
    """What the keeper says."""
    dates = [day.date for day in AIR.days]
    keeper = StandKeeper(
        case.facts,
        case.course,
        calendar=CALENDAR,
        dates=dates,
        day_ends=AIR.day_ends,
        drawn=frozenset(dates[:1] if case.drawn else ()),
        dry_times=DryTimes(case.dry, end=END),
    )
    keeper.begin(is_wet=case.pump[0][1], is_lit=case.lamp[0][1])
    events = [(at, 0, state) for at, state in case.pump[1:]]
    events += [(at, 1, state) for at, state in case.lamp[1:]]
    for at, is_lamp, state in sorted(events):
        if is_lamp:
            keeper.light(at, is_lit=state)
        else:
            keeper.wet(at, is_wet=state)
    return keeper.finish()


def followed(case: Case) -> list[Told]:
    """What the oracle says, corner by corner."""
    return [
        follow(
            corner,
            case.facts,
            case.course,
            calendar=CALENDAR,
            pump=case.pump,
            lamp=case.lamp,
            day_ends=AIR.day_ends,
            dry_times=DryTimes(case.dry, end=END),
        )
        for corner in range(len(CORNERS))
    ]


@examples(20)
@given(cases())
@example(regular(wet_min=6, dry_min=6))
@example(regular(wet_min=15, dry_min=15))
@example(regular(wet_min=22, dry_min=12))
@example(regular(wet_min=22, dry_min=40))
@example(regular(wet_min=25, dry_min=90))
@example(regular(wet_min=25, dry_min=180, reserve=0.0))
@example(regular(wet_min=4000, dry_min=15, drip_ml_per_s=0.02))
def test_the_keeper_tells_what_following_every_stretch_tells(case: Case) -> None:
    """Drunk, lacking, run off, least share of each day, time below the reserve."""
    done, told = kept(case), followed(case)
    account = done.account(case.facts, first=AIR.days[0].date, last=AIR.days[-1].date)
    drunk = [one.transpired_ml for one in told]
    assert done.book.transpired_ml == pytest.approx(drunk, rel=1e-9, abs=1e-9)
    thirst = [one.thirst_ml for one in told]
    assert done.book.thirst_in_all_ml == pytest.approx(thirst, rel=1e-9, abs=1e-9)
    assert done.ran_off_ml(case.facts) == pytest.approx(
        [one.ran_off_ml for one in told], rel=1e-9, abs=1e-9
    )
    assert done.stored_more_ml == pytest.approx(
        [one.stored_more_ml for one in told], rel=1e-9, abs=1e-9
    )
    assert done.below_s == pytest.approx([one.below_s for one in told], rel=0.03, abs=600.0)
    for place, day in enumerate(account.days):
        least = [one.least[place] for one in told]
        if day.driest is None:
            assert least == [None, None, None]
            continue
        known = [share for share in least if share is not None]
        low, likely, high = day.driest.left_share
        assert likely == pytest.approx(known[1], abs=1e-9)
        assert (low, high) == pytest.approx((min(known), max(known)), abs=1e-9)


@examples(20)
@given(cases())
def test_water_that_comes_down_is_drunk_kept_or_runs_off(case: Case) -> None:
    """To a billionth of what came, through every change, and no figure is below nothing."""
    done, told = kept(case), followed(case)
    for corner, one in enumerate(told):
        gone = done.book.transpired_ml[corner] + done.ran_off_ml(case.facts)[corner]
        balance = gone + done.stored_more_ml[corner]
        assert balance == pytest.approx(one.came_ml, rel=1e-9, abs=1e-9)
        assert min(done.book.transpired_ml[corner], done.book.thirst_in_all_ml[corner]) >= 0.0


@examples(20)
@given(cases())
@example(once_at_night())
def test_the_corners_are_bounds(case: Case) -> None:
    """Whichever corner has most, a range is in order; the driest roots lack most; shares are
    shares."""
    done = kept(case)
    account = done.account(case.facts, first=AIR.days[0].date, last=AIR.days[-1].date)
    rising = [account.held_ml]
    if not any(case.dry):  # an hour without water by day is worse than another's by night
        rising.append(from_wettest(done.book.thirst_in_all_ml))
        if case.facts.sown is None:  # roots that grow at midnight are less full, the wettest most
            rising.append(from_wettest(done.below_s))
    for bounds in rising:
        assert all(before <= after + 1e-6 for before, after in pairwise(bounds))
    ranges = [account.held_ml, account.transpired_ml, account.thirst_ml, account.ran_off_ml]
    ranges.append(account.below_reserve_ms)
    for day in account.days:
        ranges += [day.transpired_ml, day.thirst_ml]
        if day.driest is not None:
            ranges += [day.driest.left_share, day.driest.left_ml]
            assert day.driest.left_share.low >= -1e-12
            assert day.driest.left_share.high <= 1.0 + 1e-12
    assert all(low <= likely <= high for low, likely, high in ranges)
    for points in done.courses.values():
        assert all(one.instant < other.instant for one, other in pairwise(points))
        assert all(0.0 <= point.left_share.low <= point.left_share.high <= 1.0 for point in points)
