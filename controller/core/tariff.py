"""What energy costs, by the time of day on the site's clocks."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import accumulate, pairwise
from math import isfinite
from typing import TYPE_CHECKING, NamedTuple

from controller.core.anchor import ClockTime
from controller.core.units import DAY_MS, HOUR_MS, date_of_number, shown
from controller.core.wall_clock import instant_of_local, local_midnight

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from zoneinfo import ZoneInfo

    from controller.core.units import Instant

_MS_A_KILOWATT_HOUR = 1000 * HOUR_MS  # of one watt


class PriceFrom(NamedTuple):
    """A price that holds from a time of day, in ms of the dial, until the next one."""

    time_ms: int
    price_per_kwh: float


@dataclass(frozen=True, slots=True)
class Tariff:
    """Prices in the order of the day; the last one holds on until the first.

    Raises:
        ValueError: there is none, two begin at one time, a time is not of the day, or a
            price is negative or no number.
    """

    prices: tuple[PriceFrom, ...]

    def __post_init__(self) -> None:
        """Refuses what is no tariff; brings prices into order."""
        if not self.prices:
            raise ValueError("a tariff needs a price at least")
        ordered = tuple(sorted(self.prices))
        for time_ms, price in ordered:
            if not 0 <= time_ms < DAY_MS:
                raise ValueError(f"{shown(time_ms)} ms: a day has times from 0 to under {DAY_MS}")
            if not (isfinite(price) and price >= 0):
                raise ValueError(
                    f"{shown(price)} for a kWh: a number that is not negative is needed"
                )
        for earlier, later in pairwise(ordered):
            if earlier.time_ms == later.time_ms:
                raise ValueError(f"two prices begin at {ClockTime(later.time_ms)}: leave one out")
        object.__setattr__(self, "prices", ordered)

    @staticmethod
    def flat(price_per_kwh: float) -> Tariff:
        """One price all day."""
        return Tariff((PriceFrom(0, price_per_kwh),))

    def over(self, zone: ZoneInfo, start: Instant, end: Instant) -> TariffSum:
        """The prices of [start, end) in a zone, summed up for many questions.

        A time that the zone skips begins at the first instant after the gap, and one that
        it repeats at its first occurrence, as spans of a plan do.

        Raises:
            ValueError: the time has no length.
        """
        if start >= end:
            raise ValueError("a tariff is summed over a time that has a length")
        if len(self.prices) == 1:
            return TariffSum([start, end], [self.prices[0].price_per_kwh])
        edges, prices = [start], [0.0]
        for instant, price in self._changes(zone, start, end):
            if instant <= edges[-1]:  # before the start; or of two in one gap of the clocks,
                prices[-1] = price  # where the later one holds
            else:
                edges.append(instant)
                prices.append(price)
        return TariffSum([*edges, end], prices)

    def _changes(
        self, zone: ZoneInfo, start: Instant, end: Instant
    ) -> Iterator[tuple[Instant, float]]:
        """Every beginning of a price before `end`, in order; at least one not after `start`.

        Zones are at most 14 h from UTC, and a skipped date hides one day: three days back
        there is always one.
        """
        found = []
        for day in range(start // DAY_MS - 3, end // DAY_MS + 3):
            if local_midnight(zone, day) == local_midnight(zone, day + 1):
                continue  # the zone skips this date
            for place, (time_ms, price) in enumerate(self.prices):
                instant = instant_of_local(zone, date_of_number(day), time_ms)
                found.append((instant, day, place, price))
        return ((instant, price) for instant, _, _, price in sorted(found) if instant < end)


class TariffSum:
    """A tariff laid out over a time, as a sum: a cost is a subtraction of two looks."""

    __slots__ = ("_edges", "_last", "_prices", "_sums")

    def __init__(self, edges: Sequence[Instant], prices: Sequence[float]) -> None:
        """Takes rising edges, and the price a kWh between each and the next."""
        lengths = [later - earlier for earlier, later in pairwise(edges)]
        pieces = [price * length for price, length in zip(prices, lengths, strict=True)]
        self._edges = list(edges)
        self._prices = list(prices)
        self._sums = list(accumulate(pieces, initial=0.0))
        self._last = len(prices) - 1

    @property
    def start(self) -> Instant:
        """The first instant."""
        return self._edges[0]

    @property
    def end(self) -> Instant:
        """The instant after the last."""
        return self._edges[-1]

    @property
    def changes(self) -> list[tuple[Instant, float]]:
        """The price at the start, and every other that begins, with its instant."""
        return list(zip(self._edges[:-1], self._prices, strict=True))

    def price_at(self, instant: Instant) -> float:
        """The price a kWh at an instant from start to under end."""
        self._check(instant, instant + 1)
        return self._prices[bisect_right(self._edges, instant) - 1]

    def cost(self, watts: float, start: Instant, end: Instant) -> float:
        """What a load of that many watts costs from one instant until another, in the
        tariff's currency.

        Raises:
            ValueError: the stretch is not within the time that was summed up.
        """
        place = bisect_right(self._edges, start) - 1
        # Most stretches lie within one price. This is the way that a year of waterings goes.
        if 0 <= place <= self._last and start <= end <= self._edges[place + 1]:
            return watts * self._prices[place] * (end - start) / _MS_A_KILOWATT_HOUR
        self._check(start, end)
        return watts * (self._sum_at(end) - self._sum_at(start)) / _MS_A_KILOWATT_HOUR

    def _sum_at(self, instant: Instant) -> float:
        """Price times milliseconds from the start on."""
        place = bisect_right(self._edges, instant) - 1
        place = min(place, self._last)
        return self._sums[place] + self._prices[place] * (instant - self._edges[place])

    def _check(self, start: Instant, end: Instant) -> None:
        if not self._edges[0] <= start <= end <= self._edges[-1]:
            raise ValueError(
                f"{start} to {end} is not within {self._edges[0]} to {self._edges[-1]}"
            )
