"""What decide promises of every plan and every course of events."""

from __future__ import annotations

import pickle
import random
from copy import deepcopy

from hypothesis import given
from hypothesis import strategies as st

from controller.core.decide import Decision, decide
from controller.core.observation import Request
from controller.core.orders import Event, Notice, Why
from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.units import MINUTE_MS, SECOND_MS, Instant
from tests.gardens import Happening, befall, gardens, histories
from tests.invariants import broken_ever, broken_now
from tests.strategies import examples
from tests.worlds import MIDNIGHT, Driver, load, plan_of

Course = list[tuple[int, Happening]]


@st.composite
def courses(draw: st.DrawFn) -> tuple[Plan, Course]:
    """A garden and what befalls it."""
    plan = draw(gardens())
    return plan, draw(histories(tuple(plan.loads)))


# Of two reasons to wait, only the moment at which one is asked tells which comes first.
_WAITS = {Why.STARTS_APART, Why.WATTS_AT_ONCE}


def _plain(notice: Notice) -> Notice:
    if notice.event is Event.ALARM_RAISED:
        return notice._replace(detail=notice.detail.partition(":")[0])
    return notice


@given(courses(), st.integers(0, 2**32))
@examples(60)
def test_weighing_what_is_due_equals_weighing_everything(
    course: tuple[Plan, Course], seed: int
) -> None:
    """A controller that weighs each load at each step, and steps at random moments besides,
    does the same at the same moments, for the same reasons."""
    plan, happenings = course
    moments = random.Random(seed)
    schedule = make_schedule(plan)
    thrifty = Driver(schedule, is_settled=True)
    thorough = Driver(schedule, is_settled=True, weighs_all=True)
    for gap_ms, happening in happenings:
        thrifty.advance(gap_ms)
        befall(thrifty, happening)
        rest_ms = gap_ms
        while rest_ms:
            part_ms = min(rest_ms, moments.choice((1, 1_000, 7_777, 60_000, 300_000)))
            thorough.advance(part_ms)
            thorough.step()
            rest_ms -= part_ms
        befall(thorough, happening)
    thrifty.advance("2h")
    thorough.advance("2h")
    assert thrifty.changes == thorough.changes
    assert [(at, _plain(notice)) for at, notice in thrifty.notices] == [
        (at, _plain(notice)) for at, notice in thorough.notices
    ]
    assert thrifty.memory is not None
    assert thorough.memory is not None
    for mine, other in zip(thrifty.memory.loads, thorough.memory.loads, strict=True):
        assert (mine.reason.why in _WAITS) is (other.reason.why in _WAITS)
        assert mine.reason.why is other.reason.why or mine.reason.why in _WAITS
        assert mine._replace(reason=other.reason, look=0) == other._replace(look=0)


class _Proving(Driver):
    """Decides everything twice, the second time from a pickled memory, and looks on."""

    def step(self, *requests: Request) -> Decision:
        """Decides, and holds the promises of a pure function."""
        seen, memory = self.seen(*requests), self.memory
        kept = deepcopy(seen), pickle.dumps(memory)
        first = decide(self.schedule, memory, seen)
        assert (seen, pickle.dumps(memory)) == kept
        assert decide(self.schedule, memory, seen) == first
        restored = pickle.loads(kept[1])  # our own bytes of just now  # noqa: S301
        assert restored == memory
        # Its readings are other objects and are read anew, which makes no difference.
        again = decide(self.schedule, restored, seen)
        assert again[:2] == first[:2]
        assert again.memory.loads == first.memory.loads
        return super().step(*requests)


@given(courses())
@examples(20)
def test_decide_is_a_pure_function_of_what_it_is_told(course: tuple[Plan, Course]) -> None:
    """The same input gives the same decision, leaves its input alone, and a memory that was
    written down and read again decides the same."""
    plan, happenings = course
    driver = _Proving(plan)
    for gap_ms, happening in happenings:
        driver.advance(gap_ms)
        befall(driver, happening)


@given(courses())
@examples(60)
def test_the_rules_hold_whatever_happens(course: tuple[Plan, Course]) -> None:
    """No bound, guard or hold is broken at any moment or over time; every reason reads as a
    sentence; orders are exactly the changes; and no wake is asked for at once."""
    plan, happenings = course
    driver = Driver(plan)
    for gap_ms, happening in happenings:
        driver.advance(gap_ms)
        assert broken_now(driver) == []
        befall(driver, happening)
        assert broken_now(driver) == []
    driver.advance("2h")
    assert broken_now(driver) == []
    assert broken_ever(driver) == []


# Where nothing objects

_MINUTES = st.integers(1, 90).map(lambda minutes: f"{minutes}m")


@st.composite
def _plain_cycles(draw: st.DrawFn) -> str:
    steps = draw(st.lists(_MINUTES, min_size=2, max_size=6))
    first = draw(st.integers(0, 1))
    return ", ".join(
        f"{length} {'on' if (first + place) % 2 else 'off'}" for place, length in enumerate(steps)
    )


@st.composite
def _plain_plans(draw: st.DrawFn, *, anchors: tuple[str, ...], shortest: str) -> Plan:
    chosen = draw(st.lists(st.sampled_from(anchors), min_size=1, max_size=4, unique=True))
    kind = draw(st.sampled_from(("pump", "lamp")))
    site = {"latitude": 47.37, "longitude": 8.54, "timezone": "Europe/Zurich"}
    of_spans = [f"{anchor} | {draw(_plain_cycles())}" for anchor in chosen]
    return plan_of(
        site=site, it=load(*of_spans, kind=kind, shortest_on=shortest, shortest_off=shortest)
    )


_CLOCK_ANCHORS = ("00:00", "02:30", "06:00", "06:07", "12:00", "17:45", "23:59")
_SUN_ANCHORS = ("sunrise", "sunset - 20m", "dusk + 1h", "dawn", "12:00")
# The nights on which clocks change, and any other minute of three years.
_STARTS = st.one_of(
    st.sampled_from((1_774_738_800_000, 1_792_882_800_000)),
    st.integers(0, 3 * 365 * 1440).map(lambda minute: MIDNIGHT + minute * MINUTE_MS),
)


@given(
    st.one_of(
        _plain_plans(anchors=_CLOCK_ANCHORS, shortest="1s"),
        _plain_plans(anchors=_SUN_ANCHORS, shortest="0s"),
    ),
    _STARTS,
)
@examples(60)
def test_where_nothing_objects_decide_does_what_the_timeline_says(
    plan: Plan, start: Instant
) -> None:
    """Without guards, sensors and people the changes are the plan's, to the millisecond."""
    driver = Driver(plan, start=start, is_settled=True)
    end = start + 3 * 24 * 3_600 * SECOND_MS
    driver.advance(end - start)
    expected = list(driver.schedule.loads[0].own.changes(start, end + 1))
    assert [(change.instant, change.is_on) for change in driver.changes] == expected
