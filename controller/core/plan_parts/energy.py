"""What energy costs: one price, or prices by the time of day."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from controller.core.plan_parts.values import ClockText, Part
from controller.core.units import DAY_MS

TARIFF_ENTRIES_MAX = 48


class TariffEntry(Part):
    """A price from a time of the local day until the next entry's; the last one's goes on
    over midnight until the first one's."""

    from_: ClockText = Field(alias="from")
    price_per_kwh: float = Field(ge=0, le=1000)

    @property
    def time_ms(self) -> int:
        """When it begins, in ms of the wall clock after local midnight."""
        return self.from_.time_ms


class Energy(Part):
    """What a kilowatt-hour costs."""

    stated_price: float | None = Field(default=None, alias="price_per_kwh", ge=0, le=1000)
    currency: str = Field(min_length=1, max_length=8)
    tariff: Annotated[
        tuple[TariffEntry, ...], Field(strict=False, max_length=TARIFF_ENTRIES_MAX)
    ] = ()

    @property
    def price_per_kwh(self) -> float:
        """The price of a kWh taken evenly through a day of 24 hours.

        With one price it is that price. With a tariff it is the mean over the day: right for
        a load that runs alike by day and night, and only for such a one.
        """
        if not self.tariff:
            return 0.0 if self.stated_price is None else self.stated_price
        entries = sorted(self.tariff, key=lambda entry: entry.time_ms)
        ends_ms = [*(entry.time_ms for entry in entries[1:]), entries[0].time_ms + DAY_MS]
        spent = sum(
            entry.price_per_kwh * (end_ms - entry.time_ms)
            for entry, end_ms in zip(entries, ends_ms, strict=True)
        )
        return spent / DAY_MS
