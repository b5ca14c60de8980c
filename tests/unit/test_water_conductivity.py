"""Conductivity at 25 °C, as measured, and as ppm."""

from __future__ import annotations

import pytest

from controller.core.water.conductivity import (
    PpmScale,
    ec_as_measured,
    ec_at_25,
    ec_of_ppm,
    ppm_of_ec,
)


@pytest.mark.parametrize(
    ("measured", "water_c", "at_25"),
    [
        (1.5, 15.0, 1.875),  # colder water conducts less: 1.5 / 0.8
        (2.0, 30.0, 2.0 / 1.1),
        (1.6, 25.0, 1.6),
        (0.0, 10.0, 0.0),
    ],
)
def test_conductivity_is_told_for_25_degrees(measured: float, water_c: float, at_25: float) -> None:
    """By 2 % a kelvin, and back again; worked by hand."""
    assert ec_at_25(measured, water_c=water_c) == pytest.approx(at_25, rel=1e-12)
    assert ec_as_measured(at_25, water_c=water_c) == pytest.approx(measured, rel=1e-12)


@pytest.mark.parametrize(
    ("scale", "ppm_of_2_4", "ec_of_1000"),
    [(500, 1200, 2.0), (640, 1536, 1.5625), (700, 1680, 1.428571)],
)
def test_ppm_is_conductivity_times_a_scale(
    scale: int, ppm_of_2_4: float, ec_of_1000: float
) -> None:
    """2.4 mS/cm is 1200, 1536 or 1680 ppm; 1000 ppm is 2.00, 1.56 or 1.43 mS/cm."""
    assert ppm_of_ec(2.4, scale=scale) == pytest.approx(ppm_of_2_4)
    assert ec_of_ppm(1000, scale=scale) == pytest.approx(ec_of_1000, rel=1e-6)


def test_the_scales_are_the_three_in_use() -> None:
    """Each is a number that a plan may write."""
    assert [int(scale) for scale in PpmScale] == [500, 640, 700]


def test_ppm_without_a_scale_is_refused_with_what_it_could_mean() -> None:
    """350 ppm lie 40 % apart between the scales."""
    with pytest.raises(ValueError, match="means nothing without its scale") as refused:
        ec_of_ppm(350, scale=None)
    for meaning in ("0.7 mS/cm on the 500", "0.547 mS/cm on the 640", "0.5 mS/cm on the 700"):
        assert meaning in str(refused.value)
    with pytest.raises(ValueError, match="say which of 500, 640 and 700"):
        ppm_of_ec(1.6, scale=None)


@pytest.mark.parametrize("scale", [0, 442, 650, -500])
def test_another_scale_is_refused(scale: int) -> None:
    """With those that there are."""
    with pytest.raises(ValueError, match="500, 640 and 700"):
        ec_of_ppm(350, scale=scale)
    with pytest.raises(ValueError, match="500, 640 and 700"):
        ppm_of_ec(1.6, scale=scale)


@pytest.mark.parametrize("bad", [-0.1, float("nan"), float("inf")])
def test_no_conductivity_is_negative_or_no_number(bad: float) -> None:
    """Refused, wherever it is given."""
    with pytest.raises(ValueError, match="not negative"):
        ec_at_25(bad, water_c=20)
    with pytest.raises(ValueError, match="not negative"):
        ec_as_measured(bad, water_c=20)
    with pytest.raises(ValueError, match="not negative"):
        ppm_of_ec(bad, scale=500)
    with pytest.raises(ValueError, match="not negative"):
        ec_of_ppm(bad, scale=500)


@pytest.mark.parametrize("water_c", [-0.1, 50.1, float("nan")])
def test_water_is_neither_ice_nor_hot(water_c: float) -> None:
    """The linear law ends there."""
    with pytest.raises(ValueError, match="from 0 to 50 °C"):
        ec_at_25(1.6, water_c=water_c)


@pytest.mark.parametrize("alpha", [-0.001, 0.031, float("nan")])
def test_no_salt_grows_faster_with_warmth(alpha: float) -> None:
    """A slip of the decimal point, 2 instead of 0.02, is refused."""
    with pytest.raises(ValueError, match="a kelvin"):
        ec_at_25(1.6, water_c=20, alpha_per_k=alpha)
