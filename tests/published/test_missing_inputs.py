"""What FAO-56's stand-ins cost on two real years, of which one column at a time is taken away.

Source of the years: TMY3 of NREL, see `tests.typical_years`; `test_et_against_refet` holds them to
another package. FAO-56 (chapters 3 and 4) promises no error: these are measured ones.
"""

from __future__ import annotations

from dataclasses import replace
from math import fsum
from typing import Any

import pytest

from controller.core.units import DAY_MS
from controller.weather.air_source import AirSource
from controller.weather.hours import hours_of_air
from controller.weather.weather import Column, ColumnName
from tests.typical_years import GREENSBORO, SAND_POINT, TypicalYear, source_of

UNKNOWN: Column = (None,) * 8760


def year_mm(year: TypicalYear, source: AirSource) -> float:
    """Reference evapotranspiration of a common year."""
    first = year.start_of("2027-01-01")
    return fsum(
        hour.et0_mm for hour in hours_of_air(source, first=first, before=first + 365 * DAY_MS)
    )


@pytest.mark.parametrize(
    ("year", "column", "share"),
    [
        (GREENSBORO, "humidity_pct", 0.980),
        (GREENSBORO, "wind_m_s", 0.986),
        (GREENSBORO, "global_radiation_w_m2", 0.976),
        # An island in the wind: its air is never still enough to saturate at dawn, 73 % of humidity
        # become 89 %. There a sensor of humidity is worth its price.
        (SAND_POINT, "humidity_pct", 0.746),
        (SAND_POINT, "wind_m_s", 0.930),
        (SAND_POINT, "global_radiation_w_m2", 0.943),
    ],
)
def test_a_column_that_is_missing_takes_so_much_from_a_year(
    year: TypicalYear, column: ColumnName, share: float
) -> None:
    """In a humid inland place all three are within 3 %, and never on the side that waters more."""
    source = source_of(year)
    assert source.weather is not None
    gone: dict[str, Any] = {column: UNKNOWN}
    without = replace(source, weather=replace(source.weather, **gone))
    assert year_mm(year, without) / year_mm(year, source) == pytest.approx(share, abs=0.002)
