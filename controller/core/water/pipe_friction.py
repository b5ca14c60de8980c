"""The head that water loses by friction in a round pipe or hose.

Darcy and Weisbach's equation with Churchill's friction factor, which has no step between
laminar and turbulent flow: so a working point exists and is found whatever the hose. The
formula of Hazen and Williams is made for wide pipes and would lose 4 to 27 % too little in
hoses (tests/published/test_pipe_friction.py).
"""

from __future__ import annotations

from math import log, pi
from typing import TYPE_CHECKING

from controller.core.water.water_properties import GRAVITY_M_PER_S2

if TYPE_CHECKING:
    from controller.core.water.water_properties import Water

# Absolute roughness of drawn tubing, which smooth plastic is taken for: L. F. Moody, "Friction
# factors for pipe flow", Trans. ASME 66 (1944) 671, figure 2 (0.000005 ft); from memory.
SMOOTH_PLASTIC_MM = 0.0015

_M3_PER_S = 1.0 / 3.6e6  # one litre an hour
_CREEPING = 1.0  # below this Reynolds number the laminar term is all that double precision sees


def velocity_m_per_s(flow_l_per_h: float, bore_mm: float) -> float:
    """The mean speed of a flow (L/h) through a bore (mm), in m/s."""
    bore_m = bore_mm / 1000.0
    return flow_l_per_h * _M3_PER_S / (pi / 4.0 * bore_m * bore_m)


def velocity_head_m(velocity: float) -> float:
    """The height from which water falls to reach a speed (m/s), in m: v² / 2g."""
    return velocity * velocity / (2.0 * GRAVITY_M_PER_S2)


def reynolds(velocity: float, bore_mm: float, water: Water) -> float:
    """The Reynolds number of a mean speed (m/s) in a bore (mm)."""
    return water.density_kg_per_m3 * velocity * bore_mm / 1000.0 / water.viscosity_pa_s


def friction_factor(reynolds_number: float, relative_roughness: float) -> float:
    """Darcy's friction factor, for laminar, transitional and turbulent flow alike.

    Args:
        reynolds_number: more than 0.
        relative_roughness: roughness by bore, 0 to 0.05.

    Source: S. W. Churchill, "Friction-factor equation spans all fluid-flow regimes", Chemical
        Engineering 84 (1977) 91, equation 18 (Darcy's factor is eight times its f/2).
    """
    if reynolds_number < _CREEPING:
        return 64.0 / reynolds_number
    rough = (7.0 / reynolds_number) ** 0.9 + 0.27 * relative_roughness
    turbulent: float = (2.457 * log(1.0 / rough)) ** 16
    transitional: float = (37530.0 / reynolds_number) ** 16
    laminar: float = (8.0 / reynolds_number) ** 12
    factor: float = 8.0 * (laminar + (turbulent + transitional) ** -1.5) ** (1.0 / 12.0)
    return factor


def friction_head_m(
    flow_l_per_h: float,
    *,
    bore_mm: float,
    length_m: float,
    roughness_mm: float = SMOOTH_PLASTIC_MM,
    water: Water,
) -> float:
    """The head lost along a straight pipe, in m of water.

    Args:
        flow_l_per_h: 0 or more.
        bore_mm: inner diameter, more than 0.
        length_m: 0 or more.
        roughness_mm: height of the wall's roughness, 0 to a twentieth of the bore.
        water: its density and viscosity.

    Source: Darcy and Weisbach, h = f L/D v²/2g, with `friction_factor`.
    """
    velocity = velocity_m_per_s(flow_l_per_h, bore_mm)
    number = reynolds(velocity, bore_mm, water)
    if number < _CREEPING:  # and at a standstill, where no friction factor exists
        return _creeping_head_m(velocity, bore_mm=bore_mm, length_m=length_m, water=water)
    factor = friction_factor(number, roughness_mm / bore_mm)
    return factor * length_m * 1000.0 / bore_mm * velocity_head_m(velocity)


def _creeping_head_m(velocity: float, *, bore_mm: float, length_m: float, water: Water) -> float:
    """The head lost by laminar flow: Hagen and Poiseuille, 32 μ L v / (ρ g D²)."""
    bore_m = bore_mm / 1000.0
    weight_n_per_m3 = water.density_kg_per_m3 * GRAVITY_M_PER_S2
    return 32.0 * water.viscosity_pa_s * length_m * velocity / (weight_n_per_m3 * bore_m * bore_m)
