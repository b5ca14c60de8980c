"""Whether a pump lifts water to the top of a column, and how much arrives there.

The working point is where the pump's curve meets the head that hose and height need. The one
never rises with the flow, the other always does, so there is one such point or none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from controller.core.water.bounds import Bounds
from controller.core.water.pipe_friction import velocity_m_per_s
from controller.core.water.water_properties import water_at

if TYPE_CHECKING:
    from controller.core.water.pump_curve import PumpCurve
    from controller.core.water.rising_hose import RisingHose
    from controller.core.water.water_properties import Water

# Unless something better is known: from 5 to 35 °C the flow changes by a few percent only.
WATER_C = 20.0

_HALVINGS = 42  # of the free flow: to 1e-12 of it


class Tolerance(NamedTuple):
    """How far a pump may be from its curve, both ways, as shares of flow and head."""

    flow: float
    head: float

    def corners(self, curve: PumpCurve) -> tuple[PumpCurve, PumpCurve]:
        """The weakest and the strongest pump that a curve may stand for."""
        weak = curve.scaled(flow=1.0 - self.flow, head=1.0 - self.head)
        strong = curve.scaled(flow=1.0 + self.flow, head=1.0 + self.head)
        return weak, strong


# ISO 9906 for pumps made in series and driven with less than 10 kW: ±10 % of the flow, ±8 % of
# the head; from memory. No standard binds the makers of very small pumps to it.
MAKERS_TOLERANCE = Tolerance(flow=0.10, head=0.08)
MEASURED = Tolerance(flow=0.0, head=0.0)  # a curve that the grower took from the pump itself


class WorkingPoint(NamedTuple):
    """What a pump settles at: L/h against m of head; no flow where it does not lift that high."""

    flow_l_per_h: float
    head_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifting:
    """What a pump does for a column; what is not modelled is ageing, scale and clogging.

    Attributes:
        flow_l_per_h: what arrives at the top, 0 where nothing does.
        head_m: the head at which the pump works; its shut-off head where nothing arrives.
        reach_m: how high above the reservoir the water stands in a hose that is long enough.
        short_by_m: how far below the top it ends; 0 where it gets there.
        friction_m: of the likely head, what the hose's wall takes.
        fittings_m: of the likely head, what fittings and outlet take.
        velocity_m_per_s: the likely speed in the hose.
        tolerance: of the pump, which the ranges rest on besides fittings.
    """

    height_m: float
    flow_l_per_h: Bounds
    head_m: Bounds
    reach_m: Bounds
    short_by_m: Bounds
    friction_m: float
    fittings_m: float
    velocity_m_per_s: float
    tolerance: Tolerance

    @property
    def lifts(self) -> bool:
        """Whether water likely arrives at the top."""
        return self.flow_l_per_h.likely > 0.0

    def flow_per_plant_l_per_h(self, plants: int) -> Bounds:
        """What each of so many plants gets if all get the same; `plants` is 1 or more.

        Raises:
            ValueError: there is no plant.
        """
        if plants < 1:
            raise ValueError(f"{plants} plants share the water: state 1 or more")
        return self.flow_l_per_h.times(1.0 / plants)


def lifting(
    curve: PumpCurve,
    hose: RisingHose,
    *,
    water_c: float = WATER_C,
    tolerance: Tolerance = MAKERS_TOLERANCE,
) -> Lifting:
    """What arrives at the top, with the range that fittings and the pump's label leave.

    Args:
        curve: of the pump.
        hose: the way up.
        water_c: 0 to 50 °C.
        tolerance: how far the pump may be from its curve.

    Raises:
        ValueError: the temperature is outside of its range.
    """
    water = water_at(water_c)
    losses = hose.loss_coefficient
    weak, strong = tolerance.corners(curve)
    least = working_point(weak, hose, loss_coefficient=losses.high, water=water)
    likely = working_point(curve, hose, loss_coefficient=losses.likely, water=water)
    most = working_point(strong, hose, loss_coefficient=losses.low, water=water)
    heads_m = (least.head_m, likely.head_m, most.head_m)
    reach_m = Bounds(weak.shut_off_head_m, curve.shut_off_head_m, strong.shut_off_head_m)
    return Lifting(
        height_m=hose.height_m,
        flow_l_per_h=Bounds(least.flow_l_per_h, likely.flow_l_per_h, most.flow_l_per_h),
        head_m=Bounds(min(heads_m), likely.head_m, max(heads_m)),
        reach_m=reach_m,
        short_by_m=_short_by(hose.height_m, reach_m),
        friction_m=hose.friction_m(likely.flow_l_per_h, water=water),
        fittings_m=hose.fittings_m(likely.flow_l_per_h, loss_coefficient=losses.likely),
        velocity_m_per_s=velocity_m_per_s(likely.flow_l_per_h, hose.bore_mm),
        tolerance=tolerance,
    )


def working_point(
    curve: PumpCurve, hose: RisingHose, *, loss_coefficient: float, water: Water
) -> WorkingPoint:
    """Where curve and hose meet, for one loss coefficient of 0 or more.

    By halving, which ends after the same number of steps whatever the curves.
    """
    if hose.height_m >= curve.shut_off_head_m:
        return WorkingPoint(0.0, curve.shut_off_head_m)
    low, high = 0.0, curve.free_flow_l_per_h
    for _ in range(_HALVINGS):
        flow = (low + high) / 2.0
        needed_m = hose.head_m(flow, loss_coefficient=loss_coefficient, water=water)
        if curve.head_m(flow) >= needed_m:
            low = flow
        else:
            high = flow
    return WorkingPoint(low, curve.head_m(low))


def _short_by(height_m: float, reach_m: Bounds) -> Bounds:
    low, likely, high = (max(0.0, height_m - reach) for reach in reversed(reach_m))
    return Bounds(low, likely, high)
