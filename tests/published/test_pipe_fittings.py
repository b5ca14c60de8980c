"""Loss coefficients of fittings against three published families, as the package fluids has
them: Crane TP-410, Hooper's 2-K and Darby's 3-K.
"""

from __future__ import annotations

import pytest
from fluids.fittings import (
    Darby3K,
    Hooper2K,
    contraction_conical_Crane,
    diffuser_sharp,
    entrance_sharp,
    exit_normal,
)
from fluids.friction import ft_Crane

from controller.core.water.fittings import (
    FITTINGS,
    barb_loss,
    outlet_holes_loss,
    sudden_contraction,
    sudden_expansion,
)

HALF_INCH_BORE_M = 0.622 * 0.0254

# Crane TP-410, appendix A: K as a multiple of the fully turbulent friction factor.
CRANE = [
    ("elbow", 30), ("elbow_45", 16), ("tee_through", 20), ("tee_branch", 60),
    ("valve", 3), ("gate_valve", 8), ("globe_valve", 340), ("check_valve", 100),
    ("strainer", 75),
]  # fmt: skip

DARBY = [
    ("elbow", "Elbow, 90°, threaded, standard, (r/D = 1)"),
    ("elbow_45", "Elbow, 45°, threaded standard, (r/D = 1)"),
    ("bend", "Elbow, 90°, threaded, long radius, (r/D = 1.5)"),
    ("bend", "Elbow, 90°, (r/D = 4)"),
    ("bend", "Elbow, 90°, (r/D = 6)"),
    ("tee_through", "Tee, Run-through, threaded, (r/D = 1)"),
    ("tee_branch", "Tee, Through-branch, (as elbow), threaded, (r/D = 1)"),
    ("valve", "Valve, Ball valve, standard, β = 1"),
    ("gate_valve", "Valve, Gate valve, standard, β = 1"),
    ("globe_valve", "Valve, Globe valve, standard, β = 1"),
    ("check_valve", "Valve, Swing check"),
]

HOOPER = [
    ("elbow", "Elbow, 90°, Standard (R/D = 1), Screwed"),
    ("elbow_45", "Elbow, 45°, Standard (R/D = 1), All types"),
    ("bend", "Elbow, 90°, Long-radius (R/D = 1.5), All types"),
    ("tee_through", "Tee, Run, Screwed"),
    ("tee_branch", "Elbow, Used as, Standard, Screwed"),
    ("valve", "Valve, Ball, Reduced trim, Beta = 0.9"),
    ("gate_valve", "Valve, Gate, Full line size, Beta = 1"),
    ("globe_valve", "Valve, Globe, Standard"),
    ("check_valve", "Valve, Check, Swing"),
]


def assert_within(name: str, value: float) -> None:
    """A published value lies within the fitting's range."""
    bounds = FITTINGS[name].loss_coefficient
    assert bounds.low <= value <= bounds.high, f"{name}: {value} is not in {bounds}"


@pytest.mark.parametrize(("name", "multiple"), CRANE)
def test_crane_s_value_is_within_the_range(name: str, multiple: float) -> None:
    """For 1/2 in., fully turbulent."""
    assert_within(name, multiple * ft_Crane(HALF_INCH_BORE_M))


@pytest.mark.parametrize("number", [5_000, 10_000, 20_000])
@pytest.mark.parametrize(("name", "theirs"), DARBY)
def test_darby_s_value_is_within_the_range(name: str, theirs: str, number: float) -> None:
    """For 1/2 in., at the Reynolds numbers of small pumps."""
    assert_within(name, Darby3K(NPS=0.5, Re=number, name=theirs))


@pytest.mark.parametrize("number", [5_000, 10_000, 20_000])
@pytest.mark.parametrize(("name", "theirs"), HOOPER)
def test_hooper_s_value_is_within_the_range(name: str, theirs: str, number: float) -> None:
    """For 1/2 in., at the Reynolds numbers of small pumps."""
    assert_within(name, Hooper2K(Di=0.5, Re=number, name=theirs))


def test_both_ends_of_a_hose_are_as_published() -> None:
    """A sharp entrance 0.57 (Rennels and Hudson), an outlet 1.0 (Crane)."""
    assert_within("entrance", entrance_sharp())
    assert FITTINGS["exit"].loss_coefficient.likely == exit_normal()


@pytest.mark.parametrize("ratio", [0.3, 0.5, 0.7, 0.85, 1.0])
def test_sharp_steps_in_the_bore_are_as_published(ratio: float) -> None:
    """Borda and Carnot for a wider one; Crane's contraction, at 180°, for a narrower one.

    Crane's 0.5 (1 − β²) √sin(θ/2) is for the smaller bore as well.
    """
    assert sudden_expansion(ratio) == pytest.approx(diffuser_sharp(Di1=ratio, Di2=1.0))
    if ratio < 1:
        theirs = contraction_conical_Crane(Di1=1.0, Di2=ratio, angle=179.999)
        assert sudden_contraction(ratio) == pytest.approx(theirs, rel=1e-3)


def test_a_barb_of_three_quarters_takes_more_than_a_velocity_head() -> None:
    """By hand: β² = 0.5625; (0.5 × 0.4375 + 0.4375²) / 0.5625² = 1.296."""
    assert barb_loss(0.75) == pytest.approx(1.2963, abs=1e-4)
    assert barb_loss(1.0) == 0.0


def test_holes_take_what_an_orifice_takes() -> None:
    """By hand, four holes of 4 mm in a hose of 13 mm: areas 132.7 by 50.3 mm², 2.641; by 0.65
    and squared 16.50."""
    found = outlet_holes_loss(hole_mm=4.0, hose_bore_mm=13.0, holes=4)
    assert found.likely == pytest.approx(16.504, abs=0.005)
    assert found.low < found.likely < found.high
