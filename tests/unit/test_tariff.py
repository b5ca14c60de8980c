"""Prices by the time of day, and what energy costs between two instants."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from controller.core.tariff import PriceFrom, Tariff
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, Instant, instant_of

ZURICH = ZoneInfo("Europe/Zurich")
APIA = ZoneInfo("Pacific/Apia")
# Invented: cheap by night.
TWO_PRICES = Tariff((PriceFrom(7 * HOUR_MS, 0.31), PriceFrom(22 * HOUR_MS, 0.19)))


def at(text: str, zone: ZoneInfo = ZURICH) -> Instant:
    """The instant of a local time; of two, the first."""
    return instant_of(datetime.fromisoformat(text).replace(tzinfo=zone))


def hours_at(tariff: Tariff, zone: ZoneInfo, start: Instant, end: Instant) -> dict[float, float]:
    """How many hours of a time each price holds."""
    summed = tariff.over(zone, start, end)
    edges = [instant for instant, _ in summed.changes] + [end]
    hours: dict[float, float] = {}
    for (instant, price), following in zip(summed.changes, edges[1:], strict=True):
        hours[price] = hours.get(price, 0.0) + (following - instant) / HOUR_MS
    return hours


def test_one_price_is_a_tariff() -> None:
    """22 W for 24 h are 0.528 kWh; at 0.28 they cost 0.14784."""
    start = at("2026-07-01T00:00")
    summed = Tariff.flat(0.28).over(ZURICH, start, start + DAY_MS)
    assert summed.cost(22, start, start + DAY_MS) == pytest.approx(0.14784, abs=1e-12)
    assert summed.changes == [(start, 0.28)]


def test_the_last_price_holds_through_the_night() -> None:
    """From 22:00 until 07:00 of the next day, by a run that starts in the small hours."""
    start, end = at("2026-07-01T03:00"), at("2026-07-02T03:00")
    assert TWO_PRICES.over(ZURICH, start, end).changes == [
        (start, 0.19),
        (at("2026-07-01T07:00"), 0.31),
        (at("2026-07-01T22:00"), 0.19),
    ]


def test_prices_are_taken_in_the_order_of_the_day() -> None:
    """Whatever order they are listed in."""
    assert Tariff(TWO_PRICES.prices[::-1]) == TWO_PRICES


def test_a_stretch_over_a_change_costs_both_prices() -> None:
    """60 W from 21:30 to 22:30: 30 Wh at 0.31 and 30 Wh at 0.19 are 0.015."""
    summed = TWO_PRICES.over(ZURICH, at("2026-07-01T00:00"), at("2026-07-02T00:00"))
    cost = summed.cost(60, at("2026-07-01T21:30"), at("2026-07-01T22:30"))
    assert cost == pytest.approx(0.015, abs=1e-12)


def test_a_price_begins_at_its_instant() -> None:
    """Half open: a millisecond before, the earlier price holds."""
    summed = TWO_PRICES.over(ZURICH, at("2026-07-01T00:00"), at("2026-07-02T00:00"))
    seven = at("2026-07-01T07:00")
    assert [summed.price_at(seven - 1), summed.price_at(seven)] == [0.19, 0.31]


@pytest.mark.parametrize(
    ("day", "after", "night_hours"),
    [
        ("2026-03-29", "2026-03-30", 8.0),  # 02:00 to 03:00 is skipped: the night is shorter
        ("2026-10-25", "2026-10-26", 10.0),  # 02:00 to 03:00 comes twice
        ("2026-07-01", "2026-07-02", 9.0),
    ],
)
def test_the_clocks_change_by_night(day: str, after: str, night_hours: float) -> None:
    """The cheap hours of the day on which clocks change are as many as elapse."""
    hours = hours_at(TWO_PRICES, ZURICH, at(f"{day}T00:00"), at(f"{after}T00:00"))
    assert hours == {0.19: night_hours, 0.31: 15.0}


def test_a_skipped_time_begins_after_the_gap() -> None:
    """A price from 02:30 begins at 03:00 on that day; of two in the gap the later holds."""
    tariff = Tariff(
        (
            PriceFrom(0, 0.1),
            PriceFrom(2 * HOUR_MS, 0.2),
            PriceFrom(2 * HOUR_MS + 30 * MINUTE_MS, 0.3),
        )
    )
    start = at("2026-03-29T00:00")
    summed = tariff.over(ZURICH, start, start + 6 * HOUR_MS)
    assert summed.changes == [(start, 0.1), (at("2026-03-29T03:00"), 0.3)]


def test_a_repeated_time_is_its_first_occurrence() -> None:
    """A price from 02:30 holds through the second 02:00 to 02:30 too."""
    tariff = Tariff((PriceFrom(0, 0.1), PriceFrom(2 * HOUR_MS + 30 * MINUTE_MS, 0.3)))
    start = at("2026-10-25T00:00")
    summed = tariff.over(ZURICH, start, start + 6 * HOUR_MS)
    assert summed.changes == [(start, 0.1), (start + 2 * HOUR_MS + 30 * MINUTE_MS, 0.3)]


def test_a_skipped_date_has_no_prices_of_its_own() -> None:
    """Samoa had no 30 December 2011: from the 29th, 22:00, it is night until the 31st, 07:00."""
    start, end = at("2011-12-29T12:00", APIA), at("2011-12-31T12:00", APIA)
    assert end - start == DAY_MS
    assert hours_at(TWO_PRICES, APIA, start, end) == {0.31: 10.0 + 5.0, 0.19: 9.0}


@pytest.mark.parametrize(
    ("prices", "told"),
    [
        ((), "needs a price"),
        ((PriceFrom(0, 0.1), PriceFrom(0, 0.2)), "two prices begin at 00:00"),
        ((PriceFrom(DAY_MS, 0.1),), "times from 0"),
        ((PriceFrom(-1, 0.1),), "times from 0"),
        ((PriceFrom(0, -0.1),), "not negative"),
        ((PriceFrom(0, float("nan")),), "not negative"),
    ],
)
def test_what_is_no_tariff_is_refused(prices: tuple[PriceFrom, ...], told: str) -> None:
    """With what is wrong and what is allowed."""
    with pytest.raises(ValueError, match=told):
        Tariff(prices)


def test_a_stretch_outside_of_the_time_is_refused() -> None:
    """No price is known there; nor does a time without length have one."""
    start = at("2026-07-01T00:00")
    summed = TWO_PRICES.over(ZURICH, start, start + DAY_MS)
    for begin, stop in ((start - 1, start), (start, start + DAY_MS + 1), (start + 1, start)):
        with pytest.raises(ValueError, match="is not within"):
            summed.cost(22, begin, stop)
    with pytest.raises(ValueError, match="is not within"):
        summed.price_at(start + DAY_MS)
    with pytest.raises(ValueError, match="has a length"):
        TWO_PRICES.over(ZURICH, start, start)
