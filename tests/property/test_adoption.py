"""What a change of plan promises, whatever the plans are and whatever befalls them."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from controller.core.adoption import adopted_memory
from controller.core.cycle import parse_cycle
from controller.core.decide import decide
from controller.core.memory import Memory
from controller.core.orders import Event, Notice, Why
from controller.core.plan import Plan
from controller.core.schedule import Schedule, make_schedule
from controller.core.snapshot import restored_memory, snapshot_text
from controller.core.units import MINUTE_MS
from tests.gardens import Happening, befall, gardens, histories
from tests.invariants import broken_ever, broken_now
from tests.strategies import examples
from tests.worlds import MIDNIGHT, Driver, load, plan_of

Course = list[tuple[int, Happening]]
_WAITS = {Why.STARTS_APART, Why.WATTS_AT_ONCE}


@st.composite
def courses(draw: st.DrawFn) -> tuple[Plan, Course]:
    """A garden and what befalls it."""
    plan = draw(gardens())
    return plan, draw(histories(tuple(plan.loads)))


def _plain(notice: Notice) -> Notice:
    """A notice without why a load waited: of two reasons, which comes first is a matter of the
    moment at which one asks."""
    if notice.event is Event.ALARM_RAISED:
        return notice._replace(detail=notice.detail.partition(":")[0])
    return notice


@given(courses(), st.lists(st.booleans(), min_size=12, max_size=12))
@examples(30)
def test_the_adoption_of_an_equal_plan_changes_nothing(
    course: tuple[Plan, Course], adopts: list[bool]
) -> None:
    """A garden whose plan is saved again and again, unchanged, goes on as one whose is not."""
    plan, happenings = course
    left_alone = Driver(plan, is_settled=True)
    saved = Driver(plan, is_settled=True)
    for (gap_ms, happening), is_before in zip(happenings, adopts, strict=False):
        left_alone.advance(gap_ms)
        saved.advance(gap_ms)
        if is_before:
            saved.adopt(plan)
        befall(left_alone, happening)
        befall(saved, happening)
        if not is_before:
            saved.adopt(plan)
    left_alone.advance("2h")
    saved.advance("2h")
    assert saved.changes == left_alone.changes
    assert [(at, _plain(notice)) for at, notice in saved.notices] == [
        (at, _plain(notice)) for at, notice in left_alone.notices
    ]
    assert saved.memory is not None
    assert left_alone.memory is not None
    for mine, other in zip(saved.memory.loads, left_alone.memory.loads, strict=True):
        assert mine.reason.why is other.reason.why or {mine.reason.why, other.reason.why} <= _WAITS
        assert mine._replace(reason=other.reason, look=0) == other._replace(look=0)


@st.composite
def successions(draw: st.DrawFn) -> tuple[Plan, list[tuple[Plan, Course]]]:
    """A garden, and other plans that come into force one after another, with what befalls each."""
    first = draw(gardens())
    return first, [
        (plan, draw(histories(tuple(plan.loads))))
        for plan in draw(st.lists(gardens(), min_size=1, max_size=3))
    ]


@given(successions(), st.integers(0, 5_400_000), st.booleans())
@examples(25)
def test_the_rules_hold_from_any_plan_to_any_other(
    succession: tuple[Plan, list[tuple[Plan, Course]]], gap_ms: int, is_settled: bool
) -> None:
    """From the adoption on, every bound, guard and hold is kept by the new plan's measure."""
    first, following = succession
    driver = Driver(first, is_settled=is_settled)
    driver.advance(gap_ms)
    for plan, happenings in following:
        assert broken_ever(driver) == []
        driver.adopt(plan)
        assert broken_now(driver) == []
        for after_ms, happening in happenings:
            driver.advance(after_ms)
            assert broken_now(driver) == []
            befall(driver, happening)
            assert broken_now(driver) == []
    driver.advance("2h")
    assert broken_now(driver) == []
    assert broken_ever(driver) == []


@given(courses(), gardens(), st.booleans())
@examples(30)
def test_adoption_and_snapshot_may_come_in_either_order(
    course: tuple[Plan, Course], plan: Plan, is_clock_trusted: bool
) -> None:
    """A plan taken before the lights go out, or read together with the state after they are back:
    what is done then is the same."""
    first, happenings = course
    driver = Driver(first)
    for gap_ms, happening in happenings:
        driver.advance(gap_ms)
        befall(driver, happening)
    memory, old, new = driver.memory, driver.schedule, make_schedule(plan)
    assert memory is not None
    seen = driver.seen()
    adopted, told = adopted_memory(old, new, memory, seen)
    adopted_first = _restored(new, snapshot_text(new, adopted, kernel_boot="b"), driver)
    text = snapshot_text(old, memory, kernel_boot="b")
    restored = restored_memory(new, text, seen, kernel_boot="b")
    assert restored.notices == told
    assert restored.memory == adopted_first
    back = seen._replace(
        now=seen.now + 3_600_000,
        tick=77,
        boot=seen.boot + 1,
        is_clock_trusted=is_clock_trusted,
        down_since=seen.now,
        readings={},
    )
    assert decide(new, adopted_first, back) == decide(new, restored.memory, back)


def _restored(schedule: Schedule, text: str, driver: Driver) -> Memory:
    restored = restored_memory(schedule, text, driver.seen(), kernel_boot="b")
    assert restored.memory is not None, restored.refused
    return restored.memory


_STEPS = st.sampled_from((2, 5, 10, 15, 20, 45))
_CYCLES = st.builds("{}m off, {}m on, {}m off".format, st.integers(0, 40).map(lambda n: n + 1),
                    _STEPS, _STEPS)  # fmt: skip


@given(_CYCLES, _CYCLES, st.integers(0, 6 * 60))
@examples(100)
def test_no_change_of_plan_leaves_roots_dry_for_longer_than_either_plan_does(
    before: str, after: str, minute: int
) -> None:
    """At whatever points the two cycles stand: a dry time across the change is within the
    longer of their dry gaps, or the roots are watered at the change, at once."""
    driver = Driver(plan_of(pump=load(before)), start=MIDNIGHT, is_settled=True)
    driver.advance("3h")
    driver.advance(minute * MINUTE_MS)
    changed = driver.true_now
    driver.adopt(plan_of(pump=load(after)))
    driver.advance("4h")
    cycles = [parse_cycle(before), parse_cycle(after)]
    gaps_ms = [cycle.dry_gap_ms for cycle in cycles if cycle.dry_gap_ms is not None]
    ends = [change.instant for change in driver.changes if not change.is_on]
    starts = [change.instant for change in driver.changes if change.is_on]
    last = max((end for end in ends if end <= changed), default=None)
    if driver.states["pump"] and not starts:
        return
    following = min((start for start in starts if start >= changed), default=None)
    if last is None or any(last <= start < changed for start in starts):
        return  # it was watering when the plan changed
    assert following is not None
    assert following == changed or following - last <= max(gaps_ms)
    assert driver.alarms() == []
