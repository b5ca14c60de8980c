"""The account of a run's water as `dry-run --json` has it.

Ranges are objects of `low`, `likely` and `high`; volumes are for one plant in stands. What a day
asks by its own means stands beside the sum of its hours where the weather file is one of days.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.units import rfc3339

if TYPE_CHECKING:
    from controller.core.units import Instant
    from controller.core.water.bounds import Bounds
    from controller.core.water.reservoir_outlook import Reached
    from controller.dry_run.water.water_account import (
        DriestMoment,
        LiftAccount,
        ReservoirAccount,
        StandAccount,
        StandDay,
        WaterAccount,
    )
    from controller.weather.days import AirDay

_MS_PER_S = 1000.0


def water_json(water: WaterAccount) -> dict[str, object]:
    """The keys `days`, `stands`, `lifts`, `reservoirs` and `assumptions`."""
    return {
        "days": [_day(day, place, water) for place, day in enumerate(water.days)],
        "stands": {name: _stand(stand) for name, stand in water.stands.items()},
        "lifts": {name: _lift(lift) for name, lift in water.lifts.items()},
        "reservoirs": {name: _reservoir(one) for name, one in water.reservoirs.items()},
        "assumptions": list(water.assumptions),
    }


def _day(day: AirDay, place: int, water: WaterAccount) -> dict[str, object]:
    return {
        "date": day.date.isoformat(),
        "et0_mm": day.et0_mm,
        "et0_daily_mm": day.et0_daily_mm,
        "et0_hargreaves_mm": day.et0_hargreaves_mm,
        "warmest_c": day.warmest_c,
        "coolest_c": day.coolest_c,
        "humidity_pct": day.humidity_pct,
        "radiation_mj_per_m2": day.radiation_mj_per_m2,
        "stands": {name: _stand_day(stand.days[place]) for name, stand in water.stands.items()},
    }


def _stand_day(day: StandDay) -> dict[str, object]:
    return {
        "transpired_ml": _bounds(day.transpired_ml),
        "thirst_ml": _bounds(day.thirst_ml),
        **_driest(day.driest),
    }


def _driest(driest: DriestMoment | None) -> dict[str, object]:
    if driest is None:
        return {"driest_share": None, "driest_left_ml": None, "driest_utc": None}
    return {
        "driest_share": _bounds(driest.left_share),
        "driest_left_ml": _bounds(driest.left_ml),
        "driest_utc": rfc3339(driest.instant),
    }


def _stand(stand: StandAccount) -> dict[str, object]:
    return {
        "watered_by": stand.load,
        "plants": stand.plants,
        "age_days": [stand.first_age_days, stand.last_age_days],
        "drip_ml_per_min": _bounds(stand.drip_ml_per_min),
        "held_ml": _bounds(stand.held_ml),
        "reserve": stand.reserve,
        "stress_share": _bounds(stand.stress_share),
        "transpired_ml": _bounds(stand.transpired_ml),
        "thirst_ml": _bounds(stand.thirst_ml),
        "ran_off_ml": _bounds(stand.ran_off_ml),
        "below_reserve_s": _bounds(stand.below_reserve_ms.times(1 / _MS_PER_S)),
        **_driest(stand.driest),
    }


def _lift(lift: LiftAccount) -> dict[str, object]:
    found, power = lift.found, lift.power
    return {
        "lifts": found.lifts,
        "height_m": found.height_m,
        "flow_l_per_h": _bounds(found.flow_l_per_h),
        "head_m": _bounds(found.head_m),
        "reach_m": _bounds(found.reach_m),
        "short_by_m": _bounds(found.short_by_m),
        "friction_m": found.friction_m,
        "fittings_m": found.fittings_m,
        "plants": lift.plants,
        "flow_per_plant_l_per_h": None
        if lift.plants == 0
        else _bounds(found.flow_per_plant_l_per_h(lift.plants)),
        "electric_w": _bounds(power.electric_w),
        "wh_per_l": None if power.wh_per_l is None else _bounds(power.wh_per_l),
    }


def _reservoir(one: ReservoirAccount) -> dict[str, object]:
    outlook, reservoir = one.happened, one.happened.reservoir
    strength = outlook.ec_ms_per_cm(outlook.end) if one.ec_is_known else None
    return {
        "loads": list(one.loads),
        "full_l": reservoir.full_l,
        "inlet_at_l": reservoir.inlet_at_l,
        "top_up_at_l": reservoir.top_up_at_l,
        "water_c": one.water_c,
        "end_l": _bounds(outlook.water_l(outlook.end)),
        "poured_l": _bounds(outlook.poured_l()),
        "unmet_l": _bounds(outlook.unmet_l()),
        "end_ec_ms_per_cm": None if strength is None else _bounds(strength),
        "ppm_scale": one.ppm_scale,
        "top_up_utc": None if one.top_up_at is None else _reached(one.top_up_at),
        "dry_utc": _reached(one.dry_at),
        "dry_if_left_alone_utc": _reached(one.left_alone.falls_to(reservoir.inlet_at_l)),
    }


def _reached(reached: Reached) -> dict[str, str | None]:
    return {
        "earliest": _moment(reached.earliest),
        "likely": _moment(reached.likely),
        "latest": _moment(reached.latest),
    }


def _moment(instant: Instant | None) -> str | None:
    return None if instant is None else rfc3339(instant)


def _bounds(bounds: Bounds) -> dict[str, float]:
    return bounds._asdict()
