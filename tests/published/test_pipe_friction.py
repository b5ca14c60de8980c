"""Water and its friction in hoses against published values and an independent package."""

from __future__ import annotations

from math import pi

import pytest
from fluids.friction import Churchill_1977, Colebrook

from controller.core.water.pipe_friction import (
    friction_factor,
    friction_head_m,
    reynolds,
    velocity_m_per_s,
)
from controller.core.water.water_properties import (
    Water,
    density_kg_per_m3,
    viscosity_pa_s,
    water_at,
)

# °C, kg/m³ by IAPWS-95, at 101,325 Pa; computed with the package chemicals 1.5.2 (iapws95_rho).
DENSITIES = [
    (0, 999.84309), (5, 999.96663), (10, 999.70247), (15, 999.10262), (20, 998.20715),
    (25, 997.04764), (30, 995.64945), (35, 994.03331), (40, 992.21635), (45, 990.21290),
    (50, 988.03505),
]  # fmt: skip

# °C, mPa s: CRC Handbook of Chemistry and Physics, "Viscosity of water at 0.1 MPa"; from memory.
VISCOSITIES = [
    (0, 1.7918), (10, 1.3059), (20, 1.0016), (30, 0.7972), (40, 0.6527), (50, 0.5465),
]  # fmt: skip

WATER_20 = Water(density_kg_per_m3=998.2, viscosity_pa_s=1.002e-3)

# Bore mm, length m, L/min; speed m/s, Reynolds number, friction factor and head by Churchill,
# head by Hazen and Williams with C = 150. Computed with the package fluids 1.3.1 for WATER_20,
# roughness 0.0015 mm, g 9.80665 m/s².
ROWS = [
    (16, 2, 1, 0.0829, 1321, 0.048439, 0.00212, 0.00157),
    (13, 2, 2, 0.2511, 3252, 0.043108, 0.02133, 0.01561),
    (13, 2, 5, 0.6278, 8131, 0.033031, 0.10213, 0.08517),
    (13, 3, 10, 1.2557, 16262, 0.027492, 0.51001, 0.46119),
    (16, 3, 10, 0.8289, 13213, 0.028944, 0.19013, 0.16776),
    (16, 5, 15, 1.2434, 19819, 0.026128, 0.64361, 0.59245),
    (20, 5, 20, 1.0610, 21140, 0.025673, 0.36840, 0.34045),
    (20, 10, 30, 1.5915, 31710, 0.023323, 1.50606, 1.44278),
]


def hazen_williams_m(flow_l_per_h: float, *, bore_mm: float, length_m: float) -> float:
    """The head by Hazen and Williams with C = 150, SI form, constant 10.67 (any handbook)."""
    flow = flow_l_per_h / 3.6e6
    return float(10.67 * length_m * flow**1.852 / 150**1.852 / (bore_mm / 1000) ** 4.8704)


@pytest.mark.parametrize(("water_c", "density"), DENSITIES)
def test_water_is_as_heavy_as_the_reference_formulation_says(
    water_c: float, density: float
) -> None:
    """To 4 millionths, from freezing to 50 °C."""
    assert density_kg_per_m3(water_c) == pytest.approx(density, rel=4e-6)


@pytest.mark.parametrize(("water_c", "viscosity"), VISCOSITIES)
def test_water_is_as_viscous_as_the_handbook_says(water_c: float, viscosity: float) -> None:
    """To the last printed digit."""
    assert viscosity_pa_s(water_c) * 1000 == pytest.approx(viscosity, abs=0.00006)


def test_viscosity_meets_the_check_value_of_its_release() -> None:
    """IAPWS SR6-08(2011), check values at 298.15 K: 889.996 774 µPa s; from memory."""
    assert viscosity_pa_s(25.0) == pytest.approx(889.996774e-6, rel=1e-9)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]} mm, {row[2]} L/min")
def test_a_hose_loses_what_the_table_says(
    row: tuple[float, float, float, float, float, float, float, float],
) -> None:
    """Speed, Reynolds number, friction factor and head, each to its last printed digit."""
    bore_mm, length_m, l_per_min, speed, number, factor, head_m, _ = row
    velocity = velocity_m_per_s(l_per_min * 60, bore_mm)
    assert velocity == pytest.approx(speed, abs=0.00006)
    assert reynolds(velocity, bore_mm, WATER_20) == pytest.approx(number, abs=0.6)
    found = friction_factor(reynolds(velocity, bore_mm, WATER_20), 0.0015 / bore_mm)
    assert found == pytest.approx(factor, abs=6e-7)
    lost_m = friction_head_m(l_per_min * 60, bore_mm=bore_mm, length_m=length_m, water=WATER_20)
    assert lost_m == pytest.approx(head_m, abs=6e-6)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]} mm, {row[2]} L/min")
def test_the_formula_for_wide_pipes_loses_too_little_in_hoses(
    row: tuple[float, float, float, float, float, float, float, float],
) -> None:
    """Hazen and Williams stay 4 to 27 % below, which is why they are not used."""
    bore_mm, length_m, l_per_min, *_, wide_m = row
    by_hand_m = hazen_williams_m(l_per_min * 60, bore_mm=bore_mm, length_m=length_m)
    assert by_hand_m == pytest.approx(wide_m, rel=0.005)
    ours_m = friction_head_m(l_per_min * 60, bore_mm=bore_mm, length_m=length_m, water=WATER_20)
    assert 0.04 < 1 - by_hand_m / ours_m < 0.27


# US gallons a minute and psi lost along 100 ft of PVC schedule 40 of 1/2 in. (bore 0.622 in.),
# by Hazen and Williams with C = 150, as irrigation handbooks print it; from memory.
PVC_HALF_INCH = [(1, 0.43), (2, 1.55), (3, 3.28), (4, 5.60), (5, 8.46)]


@pytest.mark.parametrize(("gal_per_min", "psi"), PVC_HALF_INCH)
def test_a_handbook_s_pipe_loses_a_little_more_with_us(gal_per_min: float, psi: float) -> None:
    """The faster it flows, the nearer the two formulae come: 29 % apart, then 6 %."""
    bore_mm, length_m = 0.622 * 25.4, 30.48
    flow_l_per_h = gal_per_min * 3.785411784 * 60
    printed_m = psi * 6894.757 / (998.2 * 9.80665)
    by_hand_m = hazen_williams_m(flow_l_per_h, bore_mm=bore_mm, length_m=length_m)
    assert by_hand_m == pytest.approx(printed_m, rel=0.015)
    ours_m = friction_head_m(flow_l_per_h, bore_mm=bore_mm, length_m=length_m, water=water_at(20.0))
    assert 1.05 < ours_m / printed_m < 1.30


@pytest.mark.parametrize("roughness", [0.0, 1e-5, 1.15e-4, 1e-3, 1e-2, 0.05])
def test_the_friction_factor_is_that_of_an_independent_package(roughness: float) -> None:
    """The Churchill_1977 of fluids, from creeping flow to 10^8, to 12 digits."""
    for step in range(401):
        number = 10 ** (step / 50)
        expected = Churchill_1977(Re=number, eD=roughness)
        assert friction_factor(number, roughness) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("number", "factor"), [(100, 0.64), (500, 0.128), (1000, 0.064)])
def test_laminar_flow_loses_64_by_the_reynolds_number(number: float, factor: float) -> None:
    """Hagen and Poiseuille, exact; Churchill is 0.14 % above at 2000."""
    assert friction_factor(number, 1e-4) == pytest.approx(factor, rel=1e-6)
    assert friction_factor(2000, 1e-4) == pytest.approx(0.032, rel=0.0014)


def test_creeping_flow_loses_what_hagen_and_poiseuille_say() -> None:
    """Just below a Reynolds number of 1 and just above it the head is one line, 32 μ L v / ρ g D²;
    at a standstill nothing is lost."""

    def lost_m(flow_l_per_h: float) -> float:
        return friction_head_m(flow_l_per_h, bore_mm=10.0, length_m=1.0, water=WATER_20)

    at_one = pi / 4 * 0.010 * 1.002e-3 / 998.2 * 3.6e6  # L/h
    velocity = 1.002e-3 / 998.2 / 0.010
    by_hand_m = 32 * 1.002e-3 * velocity / (998.2 * 9.80665 * 0.010**2)
    assert lost_m(at_one * 0.999) == pytest.approx(by_hand_m * 0.999, rel=1e-9)
    assert lost_m(at_one * 1.001) == pytest.approx(by_hand_m * 1.001, rel=1e-9)
    assert lost_m(0.0) == 0.0
    assert lost_m(1e-308) == pytest.approx(0.0, abs=1e-300)


@pytest.mark.parametrize(
    ("from_number", "to_number", "apart"),
    [(4000, 8000, 0.018), (8000, 20_000, 0.008), (20_000, 100_000, 0.004)],
)
def test_turbulent_flow_in_smooth_hoses_loses_what_colebrook_says(
    from_number: float, to_number: float, apart: float
) -> None:
    """Roughness 0.0015 mm in bores of 10 to 20 mm; Colebrook as fluids solves it."""
    for step in range(61):
        number = from_number * (to_number / from_number) ** (step / 60)
        for roughness in (7.5e-5, 1.15e-4, 1.5e-4):
            expected = Colebrook(Re=number, eD=roughness)
            assert friction_factor(number, roughness) == pytest.approx(expected, rel=apart)


def test_the_friction_factor_has_no_step_between_laminar_and_turbulent() -> None:
    """Where piecewise formulae jump by half at 2040, ours moves by a thousandth."""
    before, after = friction_factor(2039, 1e-4), friction_factor(2041, 1e-4)
    assert before == pytest.approx(0.031472, abs=1e-6)
    assert after == pytest.approx(0.031445, abs=1e-6)
