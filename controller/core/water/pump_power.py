"""What a pump draws from the mains, by its label or, without one, by what it can lift."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from controller.core.water.bounds import Bounds
from controller.core.water.water_properties import GRAVITY_M_PER_S2

if TYPE_CHECKING:
    from controller.core.water.lifting import Lifting
    from controller.core.water.pump_curve import PumpCurve
    from controller.core.water.water_properties import Water

# Best hydraulic power by electric power of submersible pumps of 5 to 100 W, as their labels
# give them: from memory, no source. Synchronous mains pumps lie low, electronic ones high.
SMALL_PUMP_EFFICIENCY = Bounds(0.05, 0.12, 0.25)

_L_PER_H_BY_M3_PER_S = 3.6e6
_THIRDS = 60  # of the free flow, to find the best point: to 1e-10 of it


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpPower:
    """What a pump draws and what of it lifts water.

    Attributes:
        electric_w: drawn from the mains.
        is_from_label: whether that is what the label says, and not reckoned.
        lifting_w: the likely power that raises water to the top, 0 where none arrives.
        wh_per_l: electric energy by litre that arrives; none where none arrives for sure.
    """

    electric_w: Bounds
    is_from_label: bool
    lifting_w: float
    wh_per_l: Bounds | None


def hydraulic_w(flow_l_per_h: float, head_m: float, *, water: Water) -> float:
    """The power (W) in a flow (L/h, 0 or more) against a head (m, 0 or more): ρ g Q H."""
    weight_n_per_m3 = water.density_kg_per_m3 * GRAVITY_M_PER_S2
    return weight_n_per_m3 * flow_l_per_h / _L_PER_H_BY_M3_PER_S * head_m


def best_hydraulic_w(curve: PumpCurve, *, water: Water) -> float:
    """The greatest hydraulic power (W) on a pump's curve.

    For a parabola exactly 2 / √27 of ρ g Q0 H0; for a chart with two maxima, one of them.
    """
    low, high = 0.0, curve.free_flow_l_per_h
    for _ in range(_THIRDS):
        third = (high - low) / 3.0
        left, right = low + third, high - third
        if left * curve.head_m(left) < right * curve.head_m(right):
            low = left
        else:
            high = right
    return hydraulic_w(low, curve.head_m(low), water=water)


def electric_w(curve: PumpCurve, *, water: Water) -> Bounds:
    """What a small pump of such a curve draws (W) if no label tells.

    It is taken to draw the same at every flow, as small submersible pumps nearly do (from
    memory): the best hydraulic power by `SMALL_PUMP_EFFICIENCY`.
    """
    best_w = best_hydraulic_w(curve, water=water)
    efficiency = SMALL_PUMP_EFFICIENCY
    return Bounds(best_w / efficiency.high, best_w / efficiency.likely, best_w / efficiency.low)


def pump_power(
    curve: PumpCurve, found: Lifting, *, label_w: float | None = None, water: Water
) -> PumpPower:
    """What a pump draws while it does what was found.

    Args:
        curve: of the pump.
        found: what it lifts to the top.
        label_w: watts on its label, more than 0; reckoned from the curve without it.
        water: its density.

    Raises:
        ValueError: the label's watts are not more than 0.
    """
    if label_w is not None and not label_w > 0.0:
        raise ValueError(f"label_w is {label_w:g}: state more than 0, or leave it out")
    drawn = electric_w(curve, water=water) if label_w is None else Bounds(label_w, label_w, label_w)
    flow = found.flow_l_per_h
    wh_per_l = None
    if flow.low > 0.0:
        wh_per_l = Bounds(drawn.low / flow.high, drawn.likely / flow.likely, drawn.high / flow.low)
    return PumpPower(
        electric_w=drawn,
        is_from_label=label_w is not None,
        lifting_w=hydraulic_w(flow.likely, found.height_m, water=water),
        wh_per_l=wh_per_l,
    )
