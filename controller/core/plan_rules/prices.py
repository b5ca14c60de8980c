"""Rules about what energy costs: one price at any moment, and no two."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_rules.rule import Found
from controller.core.plan_text import said
from controller.core.sentence import Sentence

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan


_PRICE = ("energy", "price_per_kwh")
_TARIFF = ("energy", "tariff")


def energy_without_a_price(plan: Plan) -> Iterator[Found]:
    """A table of energy that states neither a price nor a tariff."""
    energy = plan.energy
    if energy is not None and energy.stated_price is None and not energy.tariff:
        yield Found(
            "error",
            ("energy",),
            Sentence.of(
                "{table} has neither {price} nor a tariff; it needs one of the two",
                table=said.table(("energy",)),
                price=said.key(_PRICE),
            ),
            Sentence.of(
                "{price}, or {tariff} with {start} and {price_from_then}",
                price=said.fill_in(_PRICE, "0.28"),
                tariff=said.table(_TARIFF, "[[energy.tariff]]"),
                start=said.key((*_TARIFF, 0, "from")),
                price_from_then=said.key((*_TARIFF, 0, "price_per_kwh")),
            ),
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
                (*_TARIFF, number, "from"),
                f"two entries of the tariff begin at {entry.from_}; allowed is one at a time",
                "give this one another time, or delete it",
                ((*_TARIFF, before, "from"),),
            )
    if energy.tariff and energy.stated_price is not None:
        yield Found(
            "note",
            _PRICE,
            Sentence(
                "the tariff has a price for every time of the day: ",
                said.key(_PRICE),
                " does nothing",
            ),
            Sentence("delete ", said.key(_PRICE), ", or the tariff"),
            (_TARIFF,),
        )
