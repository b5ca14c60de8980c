"""The air of a day as plants feel it, and what a plant of a stand wants in it: remembered, since
an edit of a cycle changes neither."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from controller.dry_run.water.course import lamp_course, open_course
from controller.dry_run.water.run_air import RunAir

if TYPE_CHECKING:
    from controller.core.calendar import Calendar
    from controller.core.plan import Site
    from controller.core.plan_parts.water import Stand
    from controller.core.stands import StandFacts
    from controller.core.units import Instant
    from controller.core.water.transpiration import LeafHour
    from controller.dry_run.water.course import Course

_AIRS_MAX = 32
_COURSES_MAX = 1_000  # 2 kB each


class RoomAir(NamedTuple):
    """The air that a room under lamps is kept at."""

    air_c: float
    humidity_pct: float


class Stretch(NamedTuple):
    """A site's time from `start` to `end`; `calendar` is the site's."""

    site: Site
    calendar: Calendar
    start: Instant
    end: Instant


def room_of(stand: Stand) -> RoomAir:
    """The air of a stand's room, as the plan states it."""
    return RoomAir(stand.air_c, stand.humidity_pct)


@lru_cache(maxsize=_AIRS_MAX)
def water_air(stretch: Stretch) -> RunAir:
    """The air that is assumed for a time."""
    return RunAir.of(stretch.site, None, start=stretch.start, end=stretch.end)


@lru_cache(maxsize=_AIRS_MAX)
def _leaf_hours(stretch: Stretch) -> list[LeafHour]:
    return water_air(stretch).leaf_hours()


@lru_cache(maxsize=_COURSES_MAX)
def course_of(stretch: Stretch, facts: StandFacts, room: RoomAir) -> Course:
    """What a plant of a stand wants through a time; `room` counts under lamps alone."""
    edges = water_air(stretch).edges
    if facts.foliage.place == "under-lamps":
        return lamp_course(
            facts,
            air_c=room.air_c,
            humidity_pct=room.humidity_pct,
            edges=edges,
            calendar=stretch.calendar,
        )
    hours = _leaf_hours(stretch)
    return open_course(facts, edges=edges, hours=hours, calendar=stretch.calendar)
