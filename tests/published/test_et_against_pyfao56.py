"""Days of a typical year against the open package pyfao56, sky carried through the night.

Its `ascehourly` (version 1.4.3, short surface, simple clear sky of ASCE-EWRI's eq. 47) was run
once over all rows of NREL's Greensboro year, each hour given the clearness that the hour before
returned; these are its figures, rounded to 0.0001 mm. It carries the sky as the standard has it
and as refet does not.
"""

from __future__ import annotations

from datetime import date

import pytest

from controller.weather.days import AirDay, days_of_air
from tests.typical_years import GREENSBORO, hours_of, source_of

DAYS_MM = {
    date(2027, 1, 1): 0.6895,
    date(2027, 3, 20): 2.5032,
    date(2027, 6, 21): 3.6590,
    date(2027, 7, 1): 3.8744,
    date(2027, 7, 2): 2.3428,
    date(2027, 7, 3): 1.8363,
    date(2027, 7, 15): 6.2577,
    date(2027, 8, 1): 2.2781,
    date(2027, 9, 22): 1.5325,
    date(2027, 12, 31): 0.6361,
}
YEAR_MM = 1125.3671
FIRST_OF_JULY_MM = (
    *(-0.0014, -0.0016, -0.0047, -0.0048, -0.0042, 0.0022, 0.0567, 0.1431),
    *(0.2451, 0.2979, 0.5822, 0.3860, 0.6619, 0.3344, 0.5004, 0.3838),
    *(0.1268, 0.0789, 0.0389, 0.0239, 0.0120, 0.0063, 0.0053, 0.0053),
)


@pytest.fixture(scope="module")
def days() -> dict[date, AirDay]:
    """The days of the year by their dates."""
    hours = hours_of(GREENSBORO)
    first, before = hours[0].start, hours[-1].end
    found = days_of_air(hours, source_of(GREENSBORO), first=first, before=before)
    return {day.date: day for day in found}


@pytest.mark.parametrize(("day", "mm"), DAYS_MM.items())
def test_a_day_has_their_sum(days: dict[date, AirDay], day: date, mm: float) -> None:
    """Within 0.0001 mm in every season, clear and overcast."""
    assert days[day].et0_mm == pytest.approx(mm, abs=1e-4)


def test_the_year_has_their_sum(days: dict[date, AirDay]) -> None:
    """Within 0.002 mm of 1,125 over 365 days."""
    assert len(days) == 365
    assert sum(day.et0_mm for day in days.values()) == pytest.approx(YEAR_MM, abs=2e-3)


def test_every_hour_of_1_july_is_theirs() -> None:
    """From 0:00 to 24:00 local standard time, the night with its dew too."""
    hours = hours_of(GREENSBORO)[181 * 24 : 182 * 24]
    assert [hour.et0_mm for hour in hours] == pytest.approx(FIRST_OF_JULY_MM, abs=6e-5)
