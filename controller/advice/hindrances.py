"""Why nothing within a load's bounds keeps the roots of its plants wet enough."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.advice.advice import Hindrance
from controller.advice.rests import rest_of_need_s
from controller.core.units import MINUTE_MS, SECOND_MS
from controller.core.water_words import two_figures

if TYPE_CHECKING:
    from controller.advice.lengths import Lengths
    from controller.advice.needs import Need

_LIKELY = 1
_S_PER_MIN = 60.0


def hindrance_of(anchor: str, needs: tuple[Need, ...], lengths: Lengths) -> Hindrance:
    """What is in the way of a span that no watering of the ladder fits, for likely roots."""
    if lengths.longest_rest_ms < lengths.shortest_rest_ms:
        return Hindrance(
            anchor,
            f"no rest lies between {lengths.shortest_rest_words} and {lengths.longest_rest_words}",
            "state a longer longest_dry_gap or a shorter shortest_off",
        )
    longest_s = lengths.waterings_ms[-1] / SECOND_MS
    need = min(needs, key=lambda one: rest_of_need_s(one, watering_s=longest_s, corner=_LIKELY))
    name, store, rate = need.facts.name, need.stores[_LIKELY], need.rates_ml_per_s[_LIKELY]
    sinks_in = store.sinks_in_ml_per_s
    if sinks_in <= rate:
        drunk, sunk = (two_figures(flow * _S_PER_MIN) for flow in (rate, sinks_in))
        return Hindrance(
            anchor,
            f"flow: a plant of {name} drinks {drunk} mL/min, and of the water that comes down no "
            f"more than {sunk} mL/min sink in",
            "bring more water to each plant, or shade them; demand cannot help",
        )
    full_s = store.lasts_s(store.full, left_share=need.facts.reserve, demand_ml_per_s=rate)
    if full_s * SECOND_MS < lengths.shortest_rest_ms:
        return Hindrance(
            anchor,
            f"medium: full roots of {name} keep their reserve for {_short(full_s)}, and the "
            f"shortest rest is {lengths.shortest_rest_words}",
            "give more medium to each plant, shade them, or state a lower reserve",
        )
    return Hindrance(
        anchor,
        f"watering: the longest, by {lengths.watering_words}, does not fill the roots of {name} "
        f"again for a rest of {lengths.shortest_rest_ms // MINUTE_MS} min",
        "bring more water to each plant, or allow a longer longest_on",
    )


def _short(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} min"
