"""What a plan's pumps lift: from what it says of pump and hose to what arrives at the top."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from controller.core.water.fittings import total_loss
from controller.core.water.lifting import WATER_C, lifting
from controller.core.water.pump_curve import curve_of_label, curve_of_points
from controller.core.water.rising_hose import RisingHose

if TYPE_CHECKING:
    from controller.core.plan_parts.water import Lift
    from controller.core.water.lifting import Lifting
    from controller.core.water.pump_curve import PumpCurve


def curve_of(lift: Lift) -> PumpCurve:
    """The pump's curve, as the plan gives it; the plan's rules hold.

    Raises:
        BadPumpCurveError: the plan's rules do not hold, and it is no curve.
    """
    if lift.curve is not None:
        return curve_of_points(lift.curve)
    assert lift.shut_off_head_m is not None, "the plan's rules ask for a curve or a label"
    assert lift.free_flow_l_per_h is not None, "the plan's rules ask for a curve or a label"
    return curve_of_label(
        shut_off_head_m=lift.shut_off_head_m, free_flow_l_per_h=lift.free_flow_l_per_h
    )


def hose_of(lift: Lift) -> RisingHose:
    """The way up, with the losses of its fittings and of the outlet."""
    return RisingHose(
        height_m=lift.height_m,
        bore_mm=lift.hose_bore_mm,
        length_m=lift.hose_length_m,
        roughness_mm=lift.hose_roughness_mm,
        loss_coefficient=total_loss(lift.fittings.counts, lift.loss_coefficient),
    )


@lru_cache(maxsize=64)
def lifting_of(lift: Lift, *, water_c: float = WATER_C) -> Lifting:
    """What arrives at the top of the columns."""
    return lifting(curve_of(lift), hose_of(lift), water_c=water_c)
