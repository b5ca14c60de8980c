"""Accounts of water made by hand: invented gardens whose figures a test can foresee."""

from __future__ import annotations

from dataclasses import replace
from math import pi, sin
from typing import TYPE_CHECKING, Any

from controller.core.lifts import curve_of, hose_of, lifting_of
from controller.core.plan_parts.water import Lift
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, Instant, date_of_number, day_number
from controller.core.water.bounds import Bounds
from controller.core.water.draw import Draw
from controller.core.water.missing_inputs import StandIn
from controller.core.water.nutrient_use import uptake_ec_ms_per_cm
from controller.core.water.pump_power import pump_power
from controller.core.water.reservoir import Reservoir, Solution
from controller.core.water.reservoir_outlook import DrawBounds, look_ahead
from controller.core.water.water_properties import water_at
from controller.dry_run.water.water_account import (
    CoursePoint,
    DriestMoment,
    LiftAccount,
    ReservoirAccount,
    StandAccount,
    StandDay,
    WaterAccount,
)
from controller.weather.days import AirDay

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from controller.core.schedule import Schedule

LIFT: dict[str, Any] = {
    "height_m": 1.5,
    "shut_off_head_m": 2.0,
    "free_flow_l_per_h": 1000,
    "hose_bore_mm": 13,
    "hose_length_m": 2.0,
}
HEADS: dict[str, Any] = {
    "watered_by": "pump",
    "plants": 40,
    "age_days": 35,
    "medium": "expanded-clay",
    "medium_ml": 90,
    "place": "outdoors",
    "plants_per_m2": 25,
}
HELD_ML = Bounds(9.0, 17.0, 28.0)


def course_of(air: AirDay, dip: float) -> tuple[CoursePoint, ...]:
    """Half-hours that end driest, the more so the nearer to noon: there `dip` is gone, half of
    it of the wettest roots, and a half more (but never more than all) of the driest."""
    points = []
    for number in range(48 * 3):
        instant = air.start + number * 10 * MINUTE_MS
        sun = max(0.0, sin(pi * (number / 144 - 0.25) * 2))
        gone = min(1.0, dip * sun * (number % 3) / 2)
        left = Bounds(1 - min(1.0, 1.5 * gone), 1 - gone, 1 - gone / 2)
        points.append(CoursePoint(instant, left))
    return tuple(points)


def driest_of(course: tuple[CoursePoint, ...]) -> DriestMoment:
    """Its lowest point."""
    instant, share = min(course, key=lambda point: point.left_share.likely)
    pairs = zip(share, HELD_ML, strict=True)
    return DriestMoment(instant, Bounds(*(one * held for one, held in pairs)), share)


def stand_of(
    name: str,
    load: str,
    courses: dict[date, tuple[CoursePoint, ...]],
    *,
    reserve: float = 0.3,
    plants: int = 40,
) -> StandAccount:
    """A stand that drank 300 mL a plant on each of its days, a fifth less or more."""
    a_day = Bounds(240.0, 300.0, 360.0)
    driest = {day: driest_of(course) for day, course in courses.items()}
    return StandAccount(
        name=name,
        load=load,
        plants=plants,
        reserve=reserve,
        first_age_days=35,
        last_age_days=35,
        drip_ml_per_min=Bounds(50.0, 50.0, 50.0),
        held_ml=HELD_ML,
        stress_share=Bounds(0.26, 0.3, 0.5),
        transpired_ml=a_day.times(len(courses)),
        thirst_ml=Bounds(0.0, 0.0, 12.3),
        ran_off_ml=Bounds(30_000.0, 36_000.0, 37_000.0),
        driest=min(driest.values(), key=lambda one: one.left_share.likely),
        below_reserve_ms=Bounds(0.0, 0.0, 95.0 * MINUTE_MS),
        days=tuple(StandDay(day, a_day, Bounds(0.0, 0.0, 4.1), driest[day]) for day in courses),
    )


def unsown(name: str, load: str) -> StandAccount:
    """A stand of which nothing grew."""
    nothing = Bounds(0.0, 0.0, 0.0)
    return replace(
        stand_of(name, load, {_DAY.date: course_of(_DAY, 0.5)}),
        first_age_days=None,
        last_age_days=None,
        transpired_ml=nothing,
        thirst_ml=nothing,
        below_reserve_ms=nothing,
        driest=None,
        days=(),
    )


def lift_account(load: str, *, plants: int = 40, **keys: Any) -> LiftAccount:
    """An invented pump on a column of 1.5 m, unless keys of the plan say otherwise."""
    lift = Lift.model_validate({**LIFT, **keys})
    found, curve = lifting_of(lift), curve_of(lift)
    return LiftAccount(
        load=load,
        curve=curve,
        hose=hose_of(lift),
        found=found,
        power=pump_power(curve, found, label_w=22.0, water=water_at(20.0)),
        plants=plants,
        water_c=20.0,
    )


def reservoir_account(
    name: str, loads: tuple[str, ...], start: Instant, days: int
) -> ReservoirAccount:
    """60 L of which 4 L a day are drawn evenly, a quarter less or more."""
    reservoir = Reservoir(full_l=60.0, inlet_at_l=8.0, top_up_at_l=20.0, losses_l_per_day=0.5)
    edges = [start + hour * HOUR_MS for hour in range(24 * days + 1)]
    draws = DrawBounds(*(Draw(edges, [share / 6] * (24 * days)) for share in (0.75, 1.0, 1.25)))
    solution, uptake = Solution.of_ec(60.0, ec_ms_per_cm=1.6), uptake_ec_ms_per_cm()
    alone = look_ahead(reservoir, draws, solution=solution, uptake_ec=uptake)
    refilled = look_ahead(reservoir, draws, solution=solution, uptake_ec=uptake, refill_to_ec=1.6)
    return ReservoirAccount(
        name=name,
        loads=loads,
        left_alone=alone,
        refilled=refilled,
        ec_is_known=True,
        ppm_scale=500,
        water_c=22.0,
        air_kpa=96.0,
    )


def air_day(number: int, *, et0_mm: float, warmest_c: float) -> AirDay:
    """A day of UTC, by its number."""
    return AirDay(
        date=date_of_number(number),
        start=number * DAY_MS,
        end=(number + 1) * DAY_MS,
        et0_mm=et0_mm,
        warmest_c=warmest_c,
        coolest_c=warmest_c - 15.0,
        humidity_pct=55.4,
        radiation_mj_per_m2=et0_mm * 4,
        assumed=(),
    )


_DAY = air_day(20_000, et0_mm=5.0, warmest_c=30.0)


def water_account(
    schedule: Schedule,
    start: Instant,
    days: int,
    *,
    dip_of: Callable[[int], float] | None = None,
) -> WaterAccount:
    """The water of all stands, lifts and reservoirs of a plan whose clocks show UTC.

    The second day is that of heat and the last the mildest. Of each stand, by its number from
    0, `dip_of` is gone at noon of the day of heat (0.6 if not told), and half of it on the
    mildest.
    """
    plan, first = schedule.plan, day_number(schedule.calendar.date_of(start))
    airs = [
        air_day(first + number, et0_mm=6.5 if number == 1 else 5.0 - number / days, warmest_c=30)
        for number in range(days)
    ]
    warmest, mildest = airs[min(1, days - 1)], airs[-1] if days > 2 else None
    stands, courses = {}, {}
    for number, (name, stand) in enumerate(plan.stands.items()):
        dip = 0.6 if dip_of is None else dip_of(number)
        of_days = {warmest.date: course_of(warmest, dip)}
        if mildest is not None:
            of_days[mildest.date] = course_of(mildest, dip / 2)
        courses[name] = of_days
        stands[name] = stand_of(
            name, stand.watered_by, of_days, reserve=stand.reserve, plants=stand.plants
        )
    lifts = {
        name: lift_account(name, **load.lift.model_dump(exclude_unset=True))
        for name, load in plan.loads.items()
        if load.lift is not None
    }
    tanks = {
        name: reservoir_account(
            name,
            tuple(one for one, load in plan.loads.items() if load.reservoir == name),
            start,
            days,
        )
        for name in plan.reservoirs
    }
    return WaterAccount(
        stands=stands,
        lifts=lifts,
        reservoirs=tanks,
        days=tuple(airs),
        warmest=warmest.date,
        mildest=None if mildest is None else mildest.date,
        courses=courses,
        assumed_h={StandIn.WIND: 24.0 * days},
        assumptions=(),
    )
