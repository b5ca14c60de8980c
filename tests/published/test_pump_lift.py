"""Pump curves and working points against published values and an independent solution."""

from __future__ import annotations

from math import pi, sqrt

import pytest
from fluids.core import K_from_f, head_from_K
from fluids.friction import Churchill_1977
from fluids.numerics import brenth

from controller.core.water.bounds import Bounds
from controller.core.water.fittings import total_loss
from controller.core.water.lifting import MEASURED, lifting, working_point
from controller.core.water.pump_curve import PumpCurve, curve_of_label, curve_of_points
from controller.core.water.pump_power import best_hydraulic_w, electric_w
from controller.core.water.rising_hose import RisingHose
from controller.core.water.water_properties import Water, water_at

WATER_20 = Water(density_kg_per_m3=998.2, viscosity_pa_s=1.002e-3)
LABEL = curve_of_label(shut_off_head_m=2.0, free_flow_l_per_h=1000.0)
CHART = curve_of_points([(1000, 0.0), (900, 0.5), (700, 1.0), (400, 1.6), (0, 2.0)])  # invented


@pytest.mark.parametrize(
    ("head_m", "flow_l_per_h"),
    # H = 2.0 (1 − (Q/1000)²), solved for Q by hand.
    [(0.0, 1000.0), (0.5, 866.03), (1.0, 707.11), (1.5, 500.0), (1.8, 316.23), (2.0, 0.0)],
)
def test_a_label_s_parabola_is_as_by_hand(head_m: float, flow_l_per_h: float) -> None:
    """To the last printed digit, both ways."""
    assert LABEL.flow_l_per_h(head_m) == pytest.approx(flow_l_per_h, abs=0.005)
    assert LABEL.head_m(flow_l_per_h) == pytest.approx(head_m, abs=2e-5)


def test_a_pump_of_two_metres_at_one_metre_twenty_is_as_computed() -> None:
    """413.62 L/h at 1.6578 m: computed with fluids 1.3.1, Churchill, roughness 0.0015 mm."""
    hose = RisingHose(height_m=1.2, bore_mm=13, length_m=3)
    found = working_point(LABEL, hose, loss_coefficient=5.0, water=WATER_20)
    assert found.flow_l_per_h == pytest.approx(413.62, abs=0.006)
    assert found.head_m == pytest.approx(1.6578, abs=0.00006)


@pytest.mark.parametrize("curve", [LABEL, CHART], ids=["label", "chart"])
@pytest.mark.parametrize("height_m", [0.0, 0.5, 1.2, 1.5, 1.9, 1.999])
@pytest.mark.parametrize(("bore_mm", "length_m"), [(6, 4.0), (13, 2.0), (16, 3.0), (25, 10.0)])
@pytest.mark.parametrize("loss", [1.0, 8.0])
def test_the_working_point_is_that_of_an_independent_solver(
    curve: PumpCurve, height_m: float, bore_mm: float, length_m: float, loss: float
) -> None:
    """The factor, losses and root finder of fluids, from hoses that choke to hoses that do not."""
    bore_m = bore_mm / 1000

    def surplus_m(flow_l_per_h: float) -> float:
        velocity = flow_l_per_h / 3.6e6 / (pi / 4 * bore_m**2)
        number = 998.2 * velocity * bore_m / 1.002e-3
        factor = Churchill_1977(Re=number, eD=0.0015e-3 / bore_m)
        all_losses = loss + K_from_f(fd=factor, L=length_m, D=bore_m)
        needed_m = height_m + head_from_K(K=all_losses, V=velocity, g=9.80665)
        return float(curve.head_m(flow_l_per_h) - needed_m)

    expected = brenth(surplus_m, 1e-6, 1000.0, xtol=1e-12)  # type: ignore[no-untyped-call]
    hose = RisingHose(height_m=height_m, bore_mm=bore_mm, length_m=length_m)
    found = working_point(curve, hose, loss_coefficient=loss, water=WATER_20)
    assert found.flow_l_per_h == pytest.approx(expected, rel=1e-8)


def test_a_small_pump_serves_a_column_of_a_metre_and_a_half_and_not_of_two() -> None:
    """A pump of about 2 m serves a column of about 1.5 m, and none of 2 m: common practice, no
    source. Pump of 1000 L/h, hose of 13 mm, two elbows and a valve: invented."""

    def at_top(height_m: float) -> Bounds:
        loss = total_loss({"elbow": 2, "valve": 1})
        hose = RisingHose(
            height_m=height_m, bore_mm=13, length_m=height_m + 0.5, loss_coefficient=loss
        )
        return lifting(LABEL, hose).flow_l_per_h

    assert 200 < at_top(1.5).low < at_top(1.5).likely < 1000 / 2
    assert at_top(2.0).likely == 0.0
    assert lifting(LABEL, RisingHose(height_m=2.2, bore_mm=13, length_m=2.7)).flow_l_per_h == (
        Bounds(0.0, 0.0, 0.0)
    )


def test_a_hose_without_losses_leaves_the_curve_s_own_flow() -> None:
    """At a height alone the parabola answers by itself: 500 L/h at 1.5 m."""
    hose = RisingHose(height_m=1.5, bore_mm=100, length_m=0.0, loss_coefficient=Bounds(0, 0, 0))
    found = lifting(LABEL, hose, tolerance=MEASURED)
    assert found.flow_l_per_h.likely == pytest.approx(500.0, rel=1e-9)
    assert found.head_m.likely == pytest.approx(1.5, rel=1e-9)


def test_a_parabola_s_best_power_is_at_its_flow_by_the_root_of_three() -> None:
    """d(QH)/dQ = 0 at Q0/√3, where H is 2/3 H0: ρ g Q0 H0 × 2/√27, by hand 2.0927 W."""
    water = water_at(20.0)
    by_hand = water.density_kg_per_m3 * 9.80665 * 1000 / 3.6e6 * 2.0 * 2 / sqrt(27)
    assert by_hand == pytest.approx(2.0932, abs=1e-3)
    assert best_hydraulic_w(LABEL, water=water) == pytest.approx(by_hand, rel=1e-9)


@pytest.mark.parametrize(
    ("shut_off_head_m", "free_flow_l_per_h", "label_w"),
    # What labels of small submersible pumps say, from memory: mains and 12 V, no brand.
    [(0.8, 300, 4), (1.6, 800, 14), (2.0, 1000, 18), (2.5, 2000, 35), (3.0, 3000, 60),
     (5.0, 800, 19)],
)  # fmt: skip
def test_watts_by_the_curve_span_what_labels_say(
    shut_off_head_m: float, free_flow_l_per_h: float, label_w: float
) -> None:
    """A wide range, so a label is worth writing down; but none of these is outside of it."""
    curve = curve_of_label(shut_off_head_m=shut_off_head_m, free_flow_l_per_h=free_flow_l_per_h)
    drawn = electric_w(curve, water=water_at(20.0))
    assert drawn.low <= label_w <= drawn.high
