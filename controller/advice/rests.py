"""How long a pump may rest after a watering, so that the roots keep their reserve.

The question is put to roots that are down to their reserve when the watering begins. If they
have it again when the rest ends, they have it for ever, however often the cycle goes round.
That makes one closed form of it; longer waterings and shorter rests only ever leave more.
"""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import MINUTE_MS, SECOND_MS
from controller.core.water.root_store import Wetness

if TYPE_CHECKING:
    from collections.abc import Iterable

    from controller.advice.lengths import Lengths
    from controller.advice.needs import Need, SpanNeeds
    from controller.core.water.root_store import RootStore


class Rest(NamedTuple):
    """The longest rest after a watering, ms, and the need that keeps it from being longer;
    None where the load's own bound does."""

    watering_ms: int
    rest_ms: int
    bound_by: Need | None

    @property
    def on_share(self) -> float:
        """The share of the time for which the pump runs."""
        return self.watering_ms / (self.watering_ms + self.rest_ms)


def lasting_rest_s(
    store: RootStore, *, reserve: float, demand_ml_per_s: float, watering_s: float
) -> float:
    """How long a rest may last, time after time, so that the reserve is kept, s.

    0 where no rest may be, infinity where nothing is drunk.

    Args:
        store: of one plant.
        reserve: share of the held water that must be left, 0 to under 1.
        demand_ml_per_s: what it drinks, 0 or more.
        watering_s: how long each watering lasts.
    """
    driest = Wetness(reserve * store.held_ml, 0.0, 0.0)
    watered = store.watered(driest, length_s=watering_s, demand_ml_per_s=demand_ml_per_s)
    return store.lasts_s(watered.after, left_share=reserve, demand_ml_per_s=demand_ml_per_s)


def rest_of_need_s(need: Need, *, watering_s: float, corner: int) -> float:
    """The rest that a need allows after such waterings, s; see `lasting_rest_s`."""
    return lasting_rest_s(
        need.stores[corner],
        reserve=need.facts.reserve,
        demand_ml_per_s=need.rates_ml_per_s[corner],
        watering_s=watering_s,
    )


def longest_rest(
    needs: Iterable[Need], lengths: Lengths, *, watering_ms: int, corner: int
) -> Rest | None:
    """The longest rest in whole minutes with which all needs are met; None where it would be
    shorter than the load's shortest. `corner` is 0 for the driest roots, 1 for likely ones."""
    least_s, bound_by = inf, None
    for need in needs:
        rest_s = rest_of_need_s(need, watering_s=watering_ms / SECOND_MS, corner=corner)
        if rest_s < least_s:
            least_s, bound_by = rest_s, need
    rest_ms = rest_within(least_s, lengths)
    if rest_ms is None:
        return None
    is_bound_by_load = least_s * SECOND_MS >= lengths.longest_rest_ms
    return Rest(watering_ms, rest_ms, None if is_bound_by_load else bound_by)


def rest_within(rest_s: float, lengths: Lengths) -> int | None:
    """The longest rest in whole minutes, ms, that is neither longer than that nor than the load
    allows; None where it would be shorter than the load's shortest."""
    longest_ms = lengths.longest_rest_ms
    if rest_s * SECOND_MS < longest_ms:
        longest_ms = int(rest_s * SECOND_MS) // MINUTE_MS * MINUTE_MS
    return longest_ms if longest_ms >= lengths.shortest_rest_ms else None


def rests_of(span: SpanNeeds, lengths: Lengths, *, corner: int) -> list[Rest]:
    """The longest rest after each watering of the ladder; those that none fits are left out."""
    rests = (
        longest_rest(span.needs, lengths, watering_ms=watering_ms, corner=corner)
        for watering_ms in lengths.waterings_ms
    )
    return [rest for rest in rests if rest is not None]


def leanest(rests: Iterable[Rest]) -> Rest:
    """The one with fewest pump hours; of equals the one that starts least often."""
    return min(rests, key=lambda rest: (rest.on_share, -rest.watering_ms))
