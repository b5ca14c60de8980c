"""The reservoirs of a day on paper: what becomes of each, and for how many such days one that is
full lasts."""

from __future__ import annotations

from collections import OrderedDict
from math import fsum
from typing import TYPE_CHECKING, NamedTuple

from controller.core.almanac import recalled
from controller.core.demand.present_air import room_of
from controller.core.units import DAY_MS
from controller.core.water.bounds import Bounds
from controller.dry_run.water.course import DRIEST, LIKELY, WETTEST, lit_shares
from controller.dry_run.water.dry_times import DryTimes
from controller.dry_run.water.reservoirs import drawn_litres, reservoir_account
from web.paper.water_air import course_of, water_air

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from controller.core.demand.present_air import AirFelt
    from controller.core.plan_parts.water import Reservoir
    from controller.core.schedule import Schedule
    from controller.core.stands import StandFacts
    from controller.core.timeline import Timeline
    from controller.dry_run.water.water_account import ReservoirAccount
    from web.paper.water_air import Stretch

_TANKS_MAX = 400
_tanks: OrderedDict[Hashable, Tank] = OrderedDict()


class DaysLasted(NamedTuple):
    """After how many days like this one a full reservoir falls to its mark, and to its inlet.

    `low` is for the most that may be drawn. None where there is no mark, or nothing goes.
    """

    top_up: Bounds | None
    dry: Bounds | None


class Tank:
    """A reservoir's day; the same object as long as nothing about it changes."""

    __slots__ = ("account", "dry_times", "lasts")

    def __init__(self, account: ReservoirAccount, lasts: DaysLasted) -> None:
        self.account = account
        self.lasts = lasts
        self.dry_times = DryTimes.of(account.happened)


class _Drawing(NamedTuple):
    """A stand that draws from a reservoir, and when its lamps are lit by their own spans."""

    facts: StandFacts
    room: AirFelt
    lamp: Timeline | None


def tanks_of(schedule: Schedule, stands: Sequence[StandFacts], stretch: Stretch) -> dict[str, Tank]:
    """The reservoirs of a plan through a time, by name; `stands` are the plan's."""
    plan = schedule.plan
    drawing: dict[str, list[_Drawing]] = {name: [] for name in plan.reservoirs}
    for facts in stands:
        reservoir = plan.loads[facts.load].reservoir
        if reservoir is not None:
            drawing[reservoir].append(_drawing(schedule, facts))
    return {name: _tank(schedule, name, drawn, stretch) for name, drawn in drawing.items()}


def _drawing(schedule: Schedule, facts: StandFacts) -> _Drawing:
    room = room_of(schedule.plan.stands[facts.name])
    return _Drawing(facts, room, schedule.lamp_over(facts.name))


def _tank(schedule: Schedule, name: str, drawn: list[_Drawing], stretch: Stretch) -> Tank:
    plan = schedule.plan
    stated = plan.reservoirs[name]
    loads = tuple(load for load, its in plan.loads.items() if its.reservoir == name)

    def make() -> Tank:
        litres = [_litres(one, stretch) for one in drawn]
        account = reservoir_account(plan, name, litres, water_air(stretch))
        return Tank(account, _lasts(stated, litres, stretch))

    return recalled(_tanks, (stretch, name, stated, loads, *drawn), make, _TANKS_MAX)


def _litres(one: _Drawing, stretch: Stretch) -> list[list[float]]:
    """What a stand draws in each hour, L, for each corner."""
    edges = water_air(stretch).edges
    course = course_of(stretch, one.facts, one.room)
    return drawn_litres(one.facts, course, lit_shares(one.lamp, edges))


def _lasts(
    stated: Reservoir, litres: Sequence[Sequence[Sequence[float]]], stretch: Stretch
) -> DaysLasted:
    length_days = (stretch.end - stretch.start) / DAY_MS
    least, likely, most = (
        fsum(fsum(of_stand[corner]) for of_stand in litres) / length_days + stated.losses_l_per_day
        for corner in (WETTEST, LIKELY, DRIEST)
    )

    def until(level_l: float) -> Bounds | None:
        spare_l = stated.full_l - level_l
        return Bounds(spare_l / most, spare_l / likely, spare_l / least) if least > 0.0 else None

    mark_l = stated.top_up_at_l
    return DaysLasted(None if mark_l is None else until(mark_l), until(stated.inlet_at_l))
