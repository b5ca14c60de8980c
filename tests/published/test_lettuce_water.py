"""What a head of lettuce drinks, against what was published of it."""

from __future__ import annotations

import pytest

from controller.core.water.bounds import Bounds
from controller.core.water.crop_cover import FULL_COVER_KCB
from controller.core.water.leaf_hour import LeafHour
from controller.core.water.transpiration import Foliage

ROOM = LeafHour.indoors(temperature_c=21.0, humidity_pct=73.0)
LAMPS = Foliage(place="under-lamps", plants_per_m2=25.0, ppfd_umol=200.0)


def day_under_lamps_ml(age_days: float, foliage: Foliage = LAMPS) -> Bounds:
    """What one plant drinks on a day with 16 hours of light."""
    leaves = foliage.at_age(age_days)
    lit = leaves.transpiration_ml_per_h(ROOM, lit_share=1.0)
    dark = leaves.transpiration_ml_per_h(ROOM, lit_share=0.0)
    return Bounds(*(16 * a + 8 * b for a, b in zip(lit, dark, strict=True)))


def drunk_till_ready_l(days: int = 37) -> Bounds:
    """What a plant drinks from sowing until its head is ready, litres."""
    by_day = [day_under_lamps_ml(age) for age in range(days)]
    return Bounds(*(sum(corner) / 1000 for corner in zip(*by_day, strict=True)))


def test_a_grown_head_indoors_drinks_60_to_160_ml_a_day() -> None:
    """Plausible bounds from Graamans et al. 2017 at 25 plants/m², 140 to 600 µmol/m²/s."""
    for ppfd_umol in (140.0, 200.0, 300.0, 450.0):
        foliage = Foliage(place="under-lamps", plants_per_m2=25.0, ppfd_umol=ppfd_umol)
        assert 60 < day_under_lamps_ml(40, foliage).likely < 160


def test_a_seedling_indoors_drinks_a_few_ml_a_day() -> None:
    """2 to 20 mL, an estimate from memory: the range for ten to fourteen days touches it."""
    young, older = day_under_lamps_ml(10), day_under_lamps_ml(14)
    assert young.low < 2 < older.high
    assert 1 < day_under_lamps_ml(12).likely < 20


def test_a_hot_day_under_glass_takes_200_to_400_ml() -> None:
    """Estimate from memory for a hot, dry greenhouse: ten hours like this, the likely value.

    Invented: 34 °C, 35 %, 550 W/m² outdoors on the mean of ten hours, of which 0.7 come in.
    """
    hour = LeafHour.outdoors(
        temperature_c=34.0, humidity_pct=35.0, wind_2m_m_s=0.0, radiation_w_m2=550.0, et0_mm=0.0
    )
    glass = Foliage(place="under-glass", plants_per_m2=25.0, light_share=0.7)
    drinks = glass.at_age(40).transpiration_ml_per_h(hour)
    assert 200 < 10 * drinks.likely < 400


@pytest.mark.parametrize(
    ("head_g", "g_per_l", "source"),
    [
        (100, 75.0, "Pennisi et al., Scientific Reports 9 (2019) 14127: 75 g fresh mass a litre"),
        (150, 75.0, "the same, a larger head"),
        (100, 52.9, "Carotti et al. 2023: 52.9 g a litre of all water, aeroponic"),
        (40, 28.1, "the same: 28.1 g a litre, ebb and flow; a small head"),
    ],
)
def test_a_head_costs_the_water_that_was_published(
    head_g: float, g_per_l: float, source: str
) -> None:
    """What it drinks from sowing to harvest lies within our range."""
    drunk_l = drunk_till_ready_l()
    assert drunk_l.low < head_g / g_per_l < drunk_l.high, source


def test_field_coefficients_at_full_cover_are_the_published_ones() -> None:
    """FAO-56, table 17: Kcb 0.90 in mid-season; table 12: Kc 1.00, with wet soil, is between."""
    assert FULL_COVER_KCB.likely == 0.90
    assert FULL_COVER_KCB.likely < 1.00 < FULL_COVER_KCB.high


@pytest.mark.parametrize("age_days", [35, 42])
def test_measured_greenhouse_coefficients_touch_our_range(age_days: float) -> None:
    """Casanova et al. 2009, lettuce on soil in a greenhouse: Kc 0.6 ± 0.3 from the second week."""
    kcb = Foliage(place="outdoors", plants_per_m2=10.0).at_age(age_days).kcb
    assert kcb.low < 0.9
    assert kcb.high > 0.3
    assert kcb.low < 0.6 < kcb.high


def test_dark_hours_take_a_seventh_to_two_thirds_of_a_lit_hour() -> None:
    """Dark transpiration is 14 to 50 % of that in light in Graamans et al. 2017, whose nights
    are damper (83 %, 19 °C); in air as dry as by day it is more."""
    leaves = LAMPS.at_age(40)
    lit = leaves.transpiration_ml_per_h(ROOM, lit_share=1.0).likely
    night = LeafHour.indoors(temperature_c=19.0, humidity_pct=83.0)
    assert 0.14 < leaves.transpiration_ml_per_h(night).likely / lit < 0.5
    assert 0.5 < leaves.transpiration_ml_per_h(ROOM).likely / lit < 0.67
