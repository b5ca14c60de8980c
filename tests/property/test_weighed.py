"""What a decision tells besides its orders: which loads were weighed, and values that are whole."""

from __future__ import annotations

from typing import Any

from hypothesis import given

from controller.core.decide import Decision
from controller.core.observation import Observation, Request
from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS
from controller.dry_run.fault_clock import FaultClock
from controller.dry_run.virtual_world import VirtualWorld
from tests.gardens import befall, gardens
from tests.property.test_decide import Course, courses
from tests.strategies import examples
from tests.worlds import MIDNIGHT, Driver


class _Looking(Driver):
    """Looks at each decision."""

    def step(self, *requests: Request) -> Decision:
        """Decides, and holds what it says of itself against what it did."""
        before = self.memory
        decision = super().step(*requests)
        loads, weighed = decision.memory.loads, decision.weighed
        assert list(weighed) == sorted(weighed)
        if before is not None:
            for place, (old, new) in enumerate(zip(before.loads, loads, strict=True)):
                assert old.reason == new.reason or place in weighed
        assert decision.wake == min([decision.memory.sensor_look, *(its.look for its in loads)])
        reasons = [its.reason for its in loads]
        whole: list[Any] = [decision, decision.memory, *decision.orders, *loads, *reasons]
        assert all(len(value) == len(value._fields) for value in whole)
        return decision


@given(courses())
@examples(60)
def test_only_loads_that_were_weighed_have_another_reason(course: tuple[Plan, Course]) -> None:
    """A load that a decision does not name as weighed keeps its reason; the wake is the first of
    all looks; and every value has all its fields."""
    plan, happenings = course
    driver = _Looking(plan)
    for gap_ms, happening in happenings:
        driver.advance(gap_ms)
        befall(driver, happening)


@given(gardens())
@examples(20)
def test_the_virtual_world_observes_all_there_is(plan: Plan) -> None:
    """What the world of a dry run tells is an observation as its fields would make it."""
    schedule = make_schedule(plan)
    world = VirtualWorld(
        schedule,
        start=MIDNIGHT,
        end=MIDNIGHT + DAY_MS,
        air={},
        faults=FaultClock(schedule, None),
        listeners=(),
    )
    world.begin()
    seen = world.observe()
    assert seen == Observation(MIDNIGHT, 0, 0, True, seen.readings)
