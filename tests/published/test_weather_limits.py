"""What a weather file may say, held against records and against defined units."""

from __future__ import annotations

import pytest

from controller.core.water.sun_path import sun_path
from controller.weather.cells import LIMITS
from controller.weather.csv_vocabulary import HOURS
from controller.weather.weather import ColumnName


@pytest.mark.parametrize(
    ("column", "record"),
    [
        ("air_temperature_c", -89.2),  # coldest, Vostok 1983
        ("air_temperature_c", 56.7),  # warmest, Furnace Creek 1913
        ("pressure_kpa", 87.0),  # lowest at sea level, typhoon Tip 1979
        ("pressure_kpa", 108.48),  # highest, Tosontsengel 2001
        ("wind_m_s", 103.3),  # a gust on Mount Washington, 1934
    ],
)
def test_records_are_within_the_limits(column: ColumnName, record: float) -> None:
    """No measured extreme is refused. Source: WMO archive of extremes, from memory."""
    low, high = LIMITS[column]
    assert low <= record <= high


@pytest.mark.parametrize(
    ("heading", "number", "ours"),
    [
        ("air_temperature_f", 32.0, 0.0),  # water freezes
        ("air_temperature_f", 212.0, 100.0),  # water boils, not that air may
        ("air_temperature_f", -40.0, -40.0),  # where both scales meet
        ("air_temperature_f", 89.6, 32.0),  # exact, so it meets a threshold of 32
        ("wind_km_h", 36.0, 10.0),
        ("wind_mph", 100.0, 44.704),  # mile 1609.344 m by definition
        ("pressure_hpa", 1013.25, 101.325),  # standard atmosphere
        ("pressure_kpa", 101.325, 101.325),
    ],
)
def test_units_are_converted_by_their_definitions(heading: str, number: float, ours: float) -> None:
    """Cells in other units become ours exactly. Source: NIST SP 811, from memory."""
    assert HOURS.rules[heading].converted(number) == ours


@pytest.mark.parametrize(
    ("heading", "limits"),
    [
        ("air_temperature_c", (-90.0, 60.0)),
        ("air_temperature_f", (-130.0, 140.0)),  # -90 °C and 60 °C
        ("wind_km_h", (0.0, 396.0)),  # 110 m/s
        ("pressure_hpa", (300.0, 1100.0)),  # 30 kPa and 110 kPa
    ],
)
def test_limits_are_told_in_the_unit_of_the_file(heading: str, limits: tuple[float, float]) -> None:
    """The allowed range follows the unit of the column, by hand-worked conversion."""
    assert HOURS.rules[heading].limits == limits


def test_no_day_anywhere_has_more_radiation_than_a_file_of_days_may_tell() -> None:
    """At most 48.5 MJ/m² fall above the air, in December at the south pole (FAO-56, eq. 21)."""
    most = max(
        sun_path(latitude=latitude, longitude=0.0, day_of_year=day).day_mj_per_m2()
        for latitude in range(-90, 91, 10)
        for day in range(1, 367)
    )
    low, high = LIMITS["radiation_mj_per_m2"]
    assert low == 0.0
    assert most == pytest.approx(48.5, abs=0.05)
    assert most < high < 1.02 * most
