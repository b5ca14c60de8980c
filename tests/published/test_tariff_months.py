"""Costs that can be found by hand from figures that were published."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from controller.core.tariff import PriceFrom, Tariff
from controller.core.units import HOUR_MS, instant_of


def test_half_the_time_on_is_half_of_the_bill() -> None:
    """A pump that runs half of the time used 8.08 kWh where one without a pause used 16.17.

    Source: a study of indoor lettuce with an intermittent pump, journal of Universitas
    Mataram, agent 9045, abstract. Their pump ran for as long; at 15 minutes on and 15 off
    under a price that does not change the cost is half.
    """
    zone = ZoneInfo("UTC")
    start = instant_of(datetime(2026, 6, 1, tzinfo=zone))
    end = start + 30 * 24 * HOUR_MS
    summed = Tariff.flat(0.3).over(zone, start, end)
    watts = 16.17e3 / (30 * 24)
    quarters = range(start, end, HOUR_MS // 2)
    half = sum(summed.cost(watts, one, one + HOUR_MS // 4) for one in quarters)
    assert summed.cost(watts, start, end) == pytest.approx(16.17 * 0.3, rel=1e-9)
    assert half == pytest.approx(8.08 * 0.3, rel=1e-3)  # 8.085, printed to the hundredth


def test_a_year_of_night_hours_is_what_the_dial_has() -> None:
    """From 22:00 to 07:00 are 9 h on 365 nights, in a zone whose clocks change twice too.

    Source: arithmetic; the hour lost in March is a night hour, as is the one gained in
    October.
    """
    zone = ZoneInfo("Europe/Zurich")
    start, end = (instant_of(datetime(year, 1, 1, tzinfo=zone)) for year in (2026, 2027))
    tariff = Tariff((PriceFrom(7 * HOUR_MS, 0.0), PriceFrom(22 * HOUR_MS, 1.0)))
    assert tariff.over(zone, start, end).cost(1000, start, end) == pytest.approx(365 * 9)
