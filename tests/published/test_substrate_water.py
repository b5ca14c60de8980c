"""Water in plugs and pots, against published shares and sums worked by hand."""

from __future__ import annotations

import pytest

from controller.core.water.medium import HELD_SHARE, held_by_medium_ml
from controller.core.water.root_store import RootStore

CUBE_ML = 2.5**3  # a cube of 25 mm
BLOCK_ML = 3.6 * 3.6 * 4.0  # 36 × 36 × 40 mm


def test_drained_mineral_wool_is_four_fifths_water() -> None:
    """80 % solution, 15 % air, 5 % fibre (a grower's source, weak); a cube of 25 mm holds
    12.5 mL, a block of 36 × 36 × 40 mm 41 mL."""
    assert held_by_medium_ml("mineral-wool", CUBE_ML).likely == pytest.approx(12.5)
    assert held_by_medium_ml("mineral-wool", BLOCK_ML).likely == pytest.approx(41, abs=0.6)


def test_mineral_wool_never_holds_more_than_its_pores() -> None:
    """0.94 water at saturation (Frontiers in Plant Science 2014, article 625, table 4)."""
    assert HELD_SHARE["mineral-wool"].high < 0.94


def test_a_pot_of_clay_holds_11_to_15_ml() -> None:
    """A net pot of 5 cm, 75 to 100 mL of lumps, 15 % of it water (from memory)."""
    assert held_by_medium_ml("expanded-clay", 75.0).likely == pytest.approx(11.25)
    assert held_by_medium_ml("expanded-clay", 100.0).likely == pytest.approx(15.0)


def test_clay_s_range_is_the_published_one_and_leaves_air() -> None:
    """10 to 30 % after draining (from memory); all pores of clay granules of 489 kg/m³, solid
    1870 kg/m³ (the same table 4) are 1 - 489/1870 = 74 %."""
    share = HELD_SHARE["expanded-clay"]
    assert (share.low, share.high) == (0.10, 0.30)
    assert share.high < 1 - 489 / 1870


def test_a_plug_and_a_pot_are_half_drunk_within_two_hours() -> None:
    """25 mL within reach and 100 mL a day over 16 hours: half is gone after 2 hours."""
    store = RootStore(
        held_ml=25.0, film_ml=0.0, drain_per_ml2_s=1.0, drip_ml_per_s=1.0, caught_share=0.5
    )
    half_s = store.lasts_s(store.full, left_share=0.5, demand_ml_per_s=100.0 / (16 * 3600))
    assert half_s == pytest.approx(2 * 3600, rel=1e-6)
