"""What roots and their media hold, and the film on them."""

from __future__ import annotations

from typing import get_args

import pytest

from controller.core.water.film import (
    drain_per_ml2_s,
    film_left_ml,
    flowing_film_ml,
    flowing_thickness_m,
)
from controller.core.water.medium import (
    CAUGHT_SHARE,
    HELD_SHARE,
    USABLE_SHARE,
    Medium,
    held_by_medium_ml,
    root_mass_g,
    usable_ml,
    wetted_m2,
)

MEDIA: tuple[Medium, ...] = get_args(Medium)


@pytest.mark.parametrize("medium", MEDIA)
def test_every_medium_has_shares_in_order(medium: Medium) -> None:
    """Between nothing and all."""
    for share in (HELD_SHARE[medium], USABLE_SHARE[medium], CAUGHT_SHARE[medium]):
        assert 0.0 <= share.low <= share.likely <= share.high <= 1.0


@pytest.mark.parametrize("medium", MEDIA)
def test_more_leaf_and_more_medium_hold_more(medium: Medium) -> None:
    """Roots grow with leaves, and each mL of medium holds its share."""
    small = usable_ml(medium, medium_ml=50.0, leaf_area_m2=0.01)
    grown = usable_ml(medium, medium_ml=50.0, leaf_area_m2=0.15)
    assert all(less < more for less, more in zip(small, grown, strict=True))
    large = usable_ml(medium, medium_ml=100.0, leaf_area_m2=0.01)
    assert all(less <= more for less, more in zip(small, large, strict=True))
    assert (large.likely > small.likely) is (medium != "bare-roots")


def test_bare_roots_hold_only_what_hangs_between_them() -> None:
    """A head of 0.14 m² has 21 g of roots and 12.6 mL of water on them."""
    assert root_mass_g(0.14).likely == pytest.approx(21.0)
    usable = usable_ml("bare-roots", medium_ml=0.0, leaf_area_m2=0.14)
    assert usable.likely == pytest.approx(12.6)
    assert held_by_medium_ml("bare-roots", 90.0) == (0.0, 0.0, 0.0)


def test_thin_roots_have_more_surface() -> None:
    """4 m / (ρ d) of it, of which water wets a share: 21 g of 0.4 mm have 0.21 m²."""
    wetted = wetted_m2("bare-roots", medium_ml=0.0, leaf_area_m2=0.14)
    assert wetted.likely == pytest.approx(0.21 * 0.3)
    assert 0.0 < wetted.low < wetted.likely < wetted.high
    with_clay = wetted_m2("expanded-clay", medium_ml=100.0, leaf_area_m2=0.14)
    assert with_clay.likely == pytest.approx((0.21 + 6 * 0.6 / 0.012 * 1e-4) * 0.3)


def test_no_drip_makes_no_film() -> None:
    """And no surface carries one."""
    assert flowing_film_ml(surface_m2=0.1, length_m=0.2, drip_ml_per_s=0.0) == 0.0
    assert flowing_film_ml(surface_m2=0.0, length_m=0.2, drip_ml_per_s=1.0) == 0.0


def test_eight_times_the_drip_doubles_the_film() -> None:
    """Its thickness goes with the cube root of the flow."""
    one = flowing_film_ml(surface_m2=0.1, length_m=0.2, drip_ml_per_s=0.5)
    other = flowing_film_ml(surface_m2=0.1, length_m=0.2, drip_ml_per_s=4.0)
    assert other / one == pytest.approx(2.0)
    thickness_m = flowing_thickness_m(flow_m3_s=0.5e-6, width_m=0.5)
    assert one == pytest.approx(1e6 * 0.1 * thickness_m)


def test_a_film_drains_ever_more_slowly() -> None:
    """Half of it is gone after 3 / (k V₀²), three quarters only after five times as long."""
    rate = drain_per_ml2_s(surface_m2=0.1, length_m=0.2)
    half_s = 3.0 / (rate * 16.0)
    assert film_left_ml(4.0, drain_per_ml2_s=rate, drained_s=half_s) == pytest.approx(2.0)
    assert film_left_ml(4.0, drain_per_ml2_s=rate, drained_s=5 * half_s) == pytest.approx(1.0)
    assert film_left_ml(4.0, drain_per_ml2_s=rate, drained_s=0.0) == 4.0
