"""A day's evapotranspiration with what is missing, and at the edges of its formulae."""

from __future__ import annotations

import pytest

from controller.core.water.air import saturation_kpa
from controller.core.water.missing_inputs import Completed, StandIn, complete
from controller.core.water.radiation import INTERIOR_PER_ROOT_C
from controller.core.water.reference_et import hargreaves_day_et_mm


def completed(
    *,
    vapour_kpa: float | None = 1.4,
    wind_2m_m_s: float | None = 1.5,
    radiation_mj_per_m2: float | None = 20.0,
) -> Completed:
    """A summer day of 13 to 28 °C at 100 m."""
    return complete(
        warmest_c=28.0,
        coolest_c=13.0,
        vapour_kpa=vapour_kpa,
        wind_2m_m_s=wind_2m_m_s,
        radiation_mj_per_m2=radiation_mj_per_m2,
        extraterrestrial_mj_per_m2=40.0,
        elevation_m=100.0,
    )


def test_what_is_known_stays() -> None:
    """Nothing stands in for anything."""
    day, stand_ins = completed()
    assert stand_ins == ()
    assert (day.vapour_kpa, day.wind_2m_m_s, day.radiation_mj_per_m2) == (1.4, 1.5, 20.0)


def test_what_is_missing_is_told_one_by_one() -> None:
    """Each by FAO-56's own procedure, and by its name."""
    day, stand_ins = completed(vapour_kpa=None)
    assert (day.vapour_kpa, stand_ins) == (saturation_kpa(13.0), (StandIn.HUMIDITY,))
    day, stand_ins = completed(wind_2m_m_s=None)
    assert (day.wind_2m_m_s, stand_ins) == (2.0, (StandIn.WIND,))
    day, stand_ins = completed(radiation_mj_per_m2=None)
    assert day.radiation_mj_per_m2 == pytest.approx(INTERIOR_PER_ROOT_C * 15**0.5 * 40)
    assert stand_ins == (StandIn.RADIATION,)


def test_air_damper_than_saturation_has_no_deficit() -> None:
    """A sensor that reads over 100 % takes no water back."""
    assert completed(vapour_kpa=9.0).day.deficit_kpa == 0.0


def test_hargreaves_ends_where_it_was_not_made_for() -> None:
    """Below -17.8 °C on the mean there is nothing, rather than less than nothing."""
    frost = hargreaves_day_et_mm(warmest_c=-20.0, coolest_c=-30.0, extraterrestrial_mj_per_m2=10.0)
    assert frost == 0.0
    steady = hargreaves_day_et_mm(warmest_c=20.0, coolest_c=20.0, extraterrestrial_mj_per_m2=40.0)
    assert steady == 0.0
