"""What the stands on a load want to drink through a time, hour by hour, at the most."""

from __future__ import annotations

from array import array
from dataclasses import dataclass
from typing import TYPE_CHECKING

from controller.core.demand.present_air import room_of
from controller.dry_run.water.course import course_of, lit_shares

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.schedule import Schedule
    from controller.core.stands import StandFacts
    from controller.core.units import Instant
    from controller.dry_run.water.course import Course
    from controller.dry_run.water.run_air import RunAir


@dataclass(frozen=True, slots=True)
class Wanted:
    """A stand's demand in each hour of its air, mL/s a plant, for each corner, the driest roots
    first. Under lamps an hour counts as lit if it is so in part."""

    facts: StandFacts
    edges: Sequence[Instant]
    corners: tuple[array[float], array[float], array[float]]


def wanted_by(facts: StandFacts, schedule: Schedule, air: RunAir) -> Wanted:
    """The demand of one stand of a plan in that air."""
    edges = air.edges
    course = course_of(
        facts,
        room=room_of(schedule.plan.stands[facts.name]),
        edges=edges,
        hours=air.leaf_hours,
        calendar=schedule.calendar,
    )
    shares = lit_shares(schedule.lamp_over(facts.name), edges)
    return Wanted(facts, edges, _at_most(course, shares))


def _at_most(
    course: Course, shares: Sequence[float]
) -> tuple[array[float], array[float], array[float]]:
    driest, likely, wettest = (
        array(
            "d",
            [
                max(dark, lit) if share > 0.0 else dark
                for dark, lit, share in zip(of_dark, of_lit, shares, strict=True)
            ],
        )
        for of_dark, of_lit in zip(course.dark.corners, course.lit.corners, strict=True)
    )
    return driest, likely, wettest
