"""Whether a wider hose would bring much more water to the top."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from controller.core.water.lifting import WATER_C, working_point
from controller.core.water.water_properties import water_at

if TYPE_CHECKING:
    from controller.core.water.pump_curve import PumpCurve
    from controller.core.water.rising_hose import RisingHose

# Inner diameters in mm that hoses for gardens and small pumps are sold in: common practice, no
# source.
SOLD_BORES_MM = (6.0, 9.0, 13.0, 16.0, 19.0, 25.0, 32.0, 38.0, 50.0)

GAIN_MIN = 0.1  # less is within what a pump differs from its label


class WiderHose(NamedTuple):
    """A hose that is sold, what likely arrives through it, and how much more that is as a
    share of the flow through the present one."""

    bore_mm: float
    flow_l_per_h: float
    gain: float


def wider_hose(curve: PumpCurve, hose: RisingHose, *, water_c: float = WATER_C) -> WiderHose | None:
    """The next wider hose that is sold, where it likely brings a tenth more or better.

    The fittings are taken to be as much wider: as many velocity heads. None where the gain is
    less, where nothing arrives at all, or where no wider hose is sold.

    Args:
        curve: of the pump.
        hose: the present way up.
        water_c: 0 to 50 °C.

    Raises:
        ValueError: the temperature is outside of its range.
    """
    bore_mm = next((sold for sold in SOLD_BORES_MM if sold > hose.bore_mm), None)
    if bore_mm is None:
        return None
    water, loss = water_at(water_c), hose.loss_coefficient.likely
    now, then = (
        working_point(curve, one, loss_coefficient=loss, water=water).flow_l_per_h
        for one in (hose, replace(hose, bore_mm=bore_mm))
    )
    if now == 0.0 or then < (1.0 + GAIN_MIN) * now:
        return None
    return WiderHose(bore_mm, then, then / now - 1.0)
