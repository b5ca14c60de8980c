"""Rules about what energy costs: one price at any moment, and no two."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_rules.rule import Found

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan


def energy_without_a_price(plan: Plan) -> Iterator[Found]:
    """A table of energy that states neither a price nor a tariff."""
    energy = plan.energy
    if energy is not None and energy.stated_price is None and not energy.tariff:
        yield Found(
            "error",
            ("energy",),
            "[energy] has neither price_per_kwh nor a tariff; it needs one of the two",
            "add price_per_kwh = 0.28, or [[energy.tariff]] with from and price_per_kwh",
        )


def prices_told_twice(plan: Plan) -> Iterator[Found]:
    """Two entries of a tariff from one time, and a price that a tariff leaves no room for."""
    energy = plan.energy
    if energy is None:
        return
    first: dict[int, int] = {}
    for number, entry in enumerate(energy.tariff):
        before = first.setdefault(entry.time_ms, number)
        if before != number:
            yield Found(
                "error",
                ("energy", "tariff", number, "from"),
                f"two entries of the tariff begin at {entry.from_}; allowed is one at a time",
                "give this one another time, or delete it",
                (("energy", "tariff", before, "from"),),
            )
    if energy.tariff and energy.stated_price is not None:
        yield Found(
            "note",
            ("energy", "price_per_kwh"),
            "the tariff has a price for every time of the day: price_per_kwh does nothing",
            "delete price_per_kwh, or the tariff",
            (("energy", "tariff"),),
        )
