"""The way up: what head a flow needs to reach the top of a column through its hose."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from controller.core.water.bounds import Bounds
from controller.core.water.fittings import OUTLET
from controller.core.water.pipe_friction import (
    SMOOTH_PLASTIC_MM,
    friction_head_m,
    velocity_head_m,
    velocity_m_per_s,
)
from controller.core.water.water_properties import Water

# Churchill's equation rests on measurements of up to a relative roughness of 0.05 (Moody's
# chart ends there).
_RELATIVE_ROUGHNESS_MAX = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class RisingHose:
    """A hose from the pump to the outlet at the top.

    Attributes:
        height_m: from the water in the reservoir to the outlet, 0 or more.
        bore_mm: its inner diameter, more than 0.
        length_m: 0 or more.
        roughness_mm: of its wall, 0 to a twentieth of the bore.
        loss_coefficient: of all fittings and the outlet together (`fittings.total_loss`), for
            the velocity in the hose.

    Raises:
        ValueError: a number is outside of what is said here.
    """

    height_m: float
    bore_mm: float
    length_m: float
    roughness_mm: float = SMOOTH_PLASTIC_MM
    loss_coefficient: Bounds = OUTLET

    def __post_init__(self) -> None:
        for name, value in (
            ("height_m", self.height_m),
            ("length_m", self.length_m),
            ("loss_coefficient", self.loss_coefficient.low),
        ):
            if not 0.0 <= value < inf:
                raise ValueError(f"{name} is {value:g}: state 0 or more")
        if not 0.0 < self.bore_mm < inf:
            raise ValueError(f"bore_mm is {self.bore_mm:g}: state more than 0")
        roughness_mm_max = _RELATIVE_ROUGHNESS_MAX * self.bore_mm
        if not 0.0 <= self.roughness_mm <= roughness_mm_max:
            raise ValueError(
                f"roughness_mm is {self.roughness_mm:g}: state 0 to {roughness_mm_max:g}, "
                "a twentieth of the bore"
            )

    def friction_m(self, flow_l_per_h: float, *, water: Water) -> float:
        """The head lost along the hose's wall, in m, at a flow of 0 or more."""
        return friction_head_m(
            flow_l_per_h,
            bore_mm=self.bore_mm,
            length_m=self.length_m,
            roughness_mm=self.roughness_mm,
            water=water,
        )

    def fittings_m(self, flow_l_per_h: float, *, loss_coefficient: float) -> float:
        """The head lost in fittings and at the outlet, in m, at a flow of 0 or more."""
        velocity = velocity_m_per_s(flow_l_per_h, self.bore_mm)
        return loss_coefficient * velocity_head_m(velocity)

    def head_m(self, flow_l_per_h: float, *, loss_coefficient: float, water: Water) -> float:
        """The head that a flow of 0 or more needs, in m: lift, friction, fittings and outlet."""
        return (
            self.height_m
            + self.friction_m(flow_l_per_h, water=water)
            + self.fittings_m(flow_l_per_h, loss_coefficient=loss_coefficient)
        )
