"""The air of a day as plants feel it, and what a plant of a stand wants in it: remembered, since
an edit of a cycle changes neither."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from controller.dry_run.water import course
from controller.dry_run.water.run_air import RunAir

if TYPE_CHECKING:
    from controller.core.calendar import Calendar
    from controller.core.demand.present_air import AirFelt
    from controller.core.plan import Site
    from controller.core.stands import StandFacts
    from controller.core.units import Instant
    from controller.core.water.leaf_hour import LeafHour
    from controller.dry_run.water.course import Course

_AIRS_MAX = 32
_COURSES_MAX = 1_000  # 2 kB each


class Stretch(NamedTuple):
    """A site's time from `start` to `end`; `calendar` is the site's."""

    site: Site
    calendar: Calendar
    start: Instant
    end: Instant


@lru_cache(maxsize=_AIRS_MAX)
def water_air(stretch: Stretch) -> RunAir:
    """The air that is assumed for a time."""
    return RunAir.of(stretch.site, None, start=stretch.start, end=stretch.end)


@lru_cache(maxsize=_AIRS_MAX)
def _leaf_hours(stretch: Stretch) -> list[LeafHour]:
    return water_air(stretch).leaf_hours()


@lru_cache(maxsize=_COURSES_MAX)
def course_of(stretch: Stretch, facts: StandFacts, room: AirFelt) -> Course:
    """What a plant of a stand wants through a time; `room` counts under lamps alone."""
    return course.course_of(
        facts,
        room=room,
        edges=water_air(stretch).edges,
        hours=lambda: _leaf_hours(stretch),
        calendar=stretch.calendar,
    )
