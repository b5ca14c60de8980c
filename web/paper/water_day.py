"""The water of a day on paper, as `controller.paper.carrying_out` has it in its account: roots,
lifts, reservoirs, put together of parts that are remembered."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.demand.present_air import room_of
from controller.core.stands import stands_of
from controller.dry_run.water.lifts import lift_accounts
from controller.dry_run.water.water_account import WaterAccount
from controller.dry_run.water.water_keeper import tells_of_water
from web.paper.water_air import Stretch, water_air
from web.paper.water_stand import Watered, stand_done
from web.paper.water_tank import tanks_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.schedule import Schedule
    from controller.core.stands import StandFacts
    from web.paper.bands import Spells
    from web.paper.group_run import Day, LoadDay
    from web.paper.water_tank import DaysLasted, Tank

_NOTHING: Spells = ()


class WaterDay(NamedTuple):
    """What a day did to all that holds or moves water; how long each reservoir lasts on days like
    it; and the course of each stand's roots as JSON text, as `water_stand.StandDone` has it."""

    account: WaterAccount
    lasts: Mapping[str, DaysLasted]
    courses: Mapping[str, bytes]


def water_day(
    schedule: Schedule, day: Day, loads: Mapping[str, LoadDay], *, is_drawn: bool
) -> WaterDay | None:
    """The water of a plan's day; None where the plan tells of none.

    Args:
        schedule: the plan's.
        day: which.
        loads: what each did on it.
        is_drawn: whether the courses of the roots are wanted.
    """
    plan = schedule.plan
    if not tells_of_water(plan, None):
        return None
    stretch = Stretch(plan.site, schedule.calendar, day.start, day.end)
    stands = stands_of(plan)
    tanks = tanks_of(schedule, stands, stretch)
    done = {
        facts.name: stand_done(stretch, _watered(schedule, facts, loads, tanks, is_drawn=is_drawn))
        for facts in stands
    }
    air = water_air(stretch)
    account = WaterAccount(
        stands={name: one.account for name, one in done.items()},
        lifts=lift_accounts(plan),
        reservoirs={name: tank.account for name, tank in tanks.items()},
        days=tuple(air.days),
        warmest=air.warmest_and_mildest()[0].date,
        mildest=None,
        courses={},
        assumed_h=air.assumed_h,
        assumptions=tuple(air.assumptions),
    )
    return WaterDay(
        account,
        {name: tank.lasts for name, tank in tanks.items()},
        {name: one.course for name, one in done.items()},
    )


def _watered(
    schedule: Schedule,
    facts: StandFacts,
    loads: Mapping[str, LoadDay],
    tanks: Mapping[str, Tank],
    *,
    is_drawn: bool,
) -> Watered:
    plan = schedule.plan
    stated, reservoir = plan.stands[facts.name], plan.loads[facts.load].reservoir
    return Watered(
        facts,
        room_of(stated),
        wet=loads[facts.load].on,
        lit=_NOTHING if stated.lamp is None else loads[stated.lamp].on,
        tank=None if reservoir is None else tanks[reservoir],
        is_drawn=is_drawn,
    )
