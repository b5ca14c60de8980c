"""What two plans do to roots, pumps and reservoirs, as `dry-run --json` has it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias

from controller.core.units import rfc3339
from controller.report.water_comparison import LIFT, RESERVOIR, STAND, parts_compared

if TYPE_CHECKING:
    from controller.dry_run.water.water_account import ReservoirAccount, StandAccount, WaterAccount
    from controller.report.water_comparison import WatersCompared

_Figures: TypeAlias = "dict[str, float | str | None]"
_MS_PER_S = 1000.0


def water_differences(waters: WatersCompared) -> dict[str, dict[str, dict[str, Any]]]:
    """By kind and name: the likely figures of both runs, the numbers of the second less those of
    the first, and the difference in words.

    None stands for the figures of what a plan does not have, and for what did not happen in a run.
    Volumes of stands are for one plant.
    """
    told: dict[str, dict[str, dict[str, Any]]] = {"stands": {}, "lifts": {}, "reservoirs": {}}
    for part in parts_compared(waters):
        first, second = (_figures(one, part.kind, part.name) for one in waters[:2])
        told[_KEYS[part.kind]][part.name] = {
            "first": first,
            "second": second,
            "difference": _difference(first, second),
            "words": part.sentence,
        }
    return told


_KEYS = {STAND: "stands", LIFT: "lifts", RESERVOIR: "reservoirs"}


def _figures(water: WaterAccount, kind: str, name: str) -> _Figures | None:
    if kind == STAND:
        stand = water.stands.get(name)
        return None if stand is None else _of_stand(stand)
    if kind == RESERVOIR:
        tank = water.reservoirs.get(name)
        return None if tank is None else _of_reservoir(tank)
    lift = water.lifts.get(name)
    return None if lift is None else {"flow_l_per_h": lift.found.flow_l_per_h.likely}


def _of_stand(stand: StandAccount) -> _Figures:
    return {
        "driest_share": None if stand.driest is None else stand.driest.left_share.likely,
        "below_reserve_s": stand.below_reserve_ms.likely / _MS_PER_S,
        "thirst_ml": stand.thirst_ml.likely,
        "thirst_at_worst_ml": stand.thirst_ml.high,
        "transpired_ml": stand.transpired_ml.likely,
    }


def _of_reservoir(tank: ReservoirAccount) -> _Figures:
    alone = tank.left_alone
    dry = alone.falls_to(alone.reservoir.inlet_at_l).likely
    return {
        "dry_if_left_alone_utc": None if dry is None else rfc3339(dry),
        "end_if_left_alone_l": alone.water_l(alone.end).likely,
    }


def _difference(first: _Figures | None, second: _Figures | None) -> dict[str, float | None] | None:
    if first is None or second is None:
        return None
    difference: dict[str, float | None] = {}
    for key, one in first.items():
        other = second[key]
        if isinstance(one, str) or isinstance(other, str) or key.endswith("_utc"):
            continue  # moments are told, not subtracted
        difference[key] = None if one is None or other is None else other - one
    return difference
