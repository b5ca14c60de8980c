"""Gaps that began with full roots and left one corner of them with less than the reserve.

They are looked at for that corner alone, and booked once a watering has filled it again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.dry_run.water.stand_days import Left

if TYPE_CHECKING:
    from array import array
    from collections.abc import Sequence

    from controller.core.units import Instant
    from controller.core.water.root_store import RootStore
    from controller.dry_run.water.gaps import Gap

_MS_PER_S = 1000.0


class Trouble(NamedTuple):
    """What a gap did to one corner: what it left, lacked (mL) and how long less than the
    reserve was left (s)."""

    corner: int
    left: Left
    thirst_ml: float
    below_s: float


def trouble_of(
    corner: int,
    gap: Gap,
    *,
    store: RootStore,
    rates: array[float],
    edges: Sequence[Instant],
    reserve: float,
) -> Trouble:
    """What the gap did to that corner."""
    wetness, since = store.full, gap.start
    thirst_ml = below_s = 0.0
    for place in range(gap.first, gap.last + 1):
        until = min(gap.end, edges[place + 1])
        length_s, rate = (until - since) / _MS_PER_S, rates[place]
        lasts_s = store.lasts_s(wetness, left_share=reserve, demand_ml_per_s=rate)
        below_s += max(0.0, length_s - lasts_s)
        passage = store.rested(wetness, length_s=length_s, demand_ml_per_s=rate)
        thirst_ml += passage.thirst_ml
        wetness, since = passage.after, until
    left = Left(store.left_share(wetness), wetness.held_ml, gap.end)
    return Trouble(corner, left, thirst_ml, below_s)


def below_while_filling_s(
    trouble: Trouble,
    *,
    store: RootStore,
    rates: array[float],
    edges: Sequence[Instant],
    place: int,
    reserve: float,
) -> float:
    """For how long less than the reserve is left in a watering that ends the gap, and that is
    long enough to fill the roots; `place` is that of the hour in which it begins."""
    missing_ml = reserve * store.held_ml - trouble.left.ml
    since, below_s = trouble.left.instant, 0.0
    while missing_ml > 0.0:
        gain_ml_per_s = store.caught_share * store.drip_ml_per_s - rates[place]
        length_s = min((edges[place + 1] - since) / _MS_PER_S, missing_ml / gain_ml_per_s)
        below_s += length_s
        missing_ml -= gain_ml_per_s * length_s
        if length_s < (edges[place + 1] - since) / _MS_PER_S:
            break
        since, place = edges[place + 1], place + 1
    return below_s
