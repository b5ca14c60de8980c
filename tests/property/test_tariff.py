"""Tariffs against a naive reference that reads the clock minute by minute."""

from __future__ import annotations

from itertools import pairwise
from math import fsum
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.tariff import PriceFrom, Tariff
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, Instant
from controller.core.wall_clock import local_datetime
from tests.strategies import examples

QUARTER_MS = 15 * MINUTE_MS
# Half-hour and three-quarter-hour offsets, changes by half an hour, and days without midnight.
ZONES = ("UTC", "Europe/Zurich", "America/New_York", "Asia/Kathmandu", "Australia/Lord_Howe")
YEAR_2026: Instant = 1_767_225_600_000  # 2026-01-01T00:00:00Z


@st.composite
def tariffs(draw: st.DrawFn) -> Tariff:
    """A tariff of one to six prices that begin on quarters of the hour."""
    quarters = draw(st.sets(st.integers(0, 95), min_size=1, max_size=6))
    prices = draw(st.lists(st.floats(0, 2), min_size=len(quarters), max_size=len(quarters)))
    pairs = zip(sorted(quarters), prices, strict=True)
    return Tariff(tuple(PriceFrom(quarter * QUARTER_MS, price) for quarter, price in pairs))


def naive_price(tariff: Tariff, zone: ZoneInfo, instant: Instant) -> float:
    """The price by what the dial shows; right wherever no clock is changed within a day."""
    shown = local_datetime(zone, instant)
    time_ms = (shown.hour * 60 + shown.minute) * MINUTE_MS
    begun = [one for one in tariff.prices if one.time_ms <= time_ms]
    return (begun or tariff.prices)[-1].price_per_kwh


@given(
    tariff=tariffs(),
    zone=st.sampled_from(ZONES).map(ZoneInfo),
    day=st.integers(0, 364),
    watts=st.floats(0, 1000),
)
def test_a_cost_is_the_sum_over_quarters_of_an_hour(
    tariff: Tariff, zone: ZoneInfo, day: int, watts: float
) -> None:
    """On any day without a change of the clocks nearby, by prices read off the dial."""
    start = YEAR_2026 + day * DAY_MS
    offsets = {
        local_datetime(zone, start + hours * HOUR_MS).utcoffset() for hours in range(-48, 73, 24)
    }
    summed = tariff.over(zone, start, start + DAY_MS)
    quarters = range(start, start + DAY_MS, QUARTER_MS)
    if len(offsets) == 1:
        naive = fsum(naive_price(tariff, zone, one) * watts / 1000 / 4 for one in quarters)
        assert summed.cost(watts, start, start + DAY_MS) == pytest.approx(
            naive, rel=1e-9, abs=1e-12
        )
        assert [summed.price_at(one) for one in quarters] == [
            naive_price(tariff, zone, one) for one in quarters
        ]


@examples(50)
@given(
    tariff=tariffs(),
    zone=st.sampled_from([*ZONES, "Pacific/Apia", "America/St_Johns"]).map(ZoneInfo),
    start=st.integers(0, 70 * 365 * DAY_MS),
    cuts=st.lists(st.integers(0, 10 * DAY_MS), max_size=20),
)
def test_costs_of_parts_add_up_to_the_cost_of_the_whole(
    tariff: Tariff, zone: ZoneInfo, start: Instant, cuts: list[int]
) -> None:
    """However a time is cut, and whatever the clocks do in it; and no cost is out of the
    range that its lowest and highest price allow."""
    end = start + 10 * DAY_MS
    summed = tariff.over(zone, start, end)
    edges = sorted({start, end, *(start + cut for cut in cuts)})
    parts = [summed.cost(50, a, b) for a, b in pairwise(edges)]
    whole = summed.cost(50, start, end)
    assert fsum(parts) == pytest.approx(whole, rel=1e-9, abs=1e-12)
    lowest, highest = (f(one.price_per_kwh for one in tariff.prices) for f in (min, max))
    assert lowest * 12 - 1e-9 <= whole <= highest * 12 + 1e-9
    assert min(parts) >= -1e-12


@given(tariff=tariffs(), zone=st.sampled_from(ZONES).map(ZoneInfo), start=st.integers(0, 10**12))
def test_a_tariff_laid_out_from_later_on_has_the_same_prices(
    tariff: Tariff, zone: ZoneInfo, start: Instant
) -> None:
    """Where a run begins does not change what holds at an instant."""
    end = start + 5 * DAY_MS
    whole, part = tariff.over(zone, start, end), tariff.over(zone, start + 2 * DAY_MS, end)
    instants = range(start + 2 * DAY_MS, end, 7 * HOUR_MS)
    assert [whole.price_at(one) for one in instants] == [part.price_at(one) for one in instants]
