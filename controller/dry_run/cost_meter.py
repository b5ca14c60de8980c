"""What a load's time on costs, where prices change with the time of day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.tariff import PriceFrom, Tariff
from controller.core.units import DAY_MS

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from controller.core.plan_parts.energy import Energy
    from controller.core.tariff import TariffSum
    from controller.core.units import Instant

# A tariff is laid out for so long at once: a day's run does no more than it needs, and one of
# many years takes no more memory.
_LAID_OUT_MS = 32 * DAY_MS


def tariff_of(energy: Energy) -> Tariff:
    """The prices that a plan states; its rules hold."""
    if not energy.tariff:
        return Tariff.flat(energy.price_per_kwh)
    return Tariff(tuple(PriceFrom(one.time_ms, one.price_per_kwh) for one in energy.tariff))


class CostMeter:
    """Tells the cost of one stretch after the other, in any order, fastest in that of time."""

    def __init__(self, tariff: Tariff, zone: ZoneInfo) -> None:
        self._tariff = tariff
        self._zone = zone
        self._sum: TariffSum | None = None

    def cost(self, watts: float, start: Instant, end: Instant) -> float:
        """What so many watts cost during [start, end), in the tariff's currency."""
        if start == end:
            return 0.0
        cost, since = 0.0, start
        while since < end:
            laid_out = self._laid_out(since)
            until = min(end, laid_out.end)
            cost += laid_out.cost(watts, since, until)
            since = until
        return cost

    def _laid_out(self, instant: Instant) -> TariffSum:
        """The sum that an instant lies in."""
        laid_out = self._sum
        if laid_out is None or not laid_out.start <= instant < laid_out.end:
            laid_out = self._tariff.over(self._zone, instant, instant + _LAID_OUT_MS)
            self._sum = laid_out
        return laid_out
