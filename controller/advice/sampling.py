"""Plants drawn at random from what the sources allow, and what is left for each of them.

Each range is drawn from evenly and by itself. So a plant that is at its worst in everything,
as the driest corner has it, is as rare among them as it would be if nothing in a plant hung
together. Python's generator gives the same numbers on every machine.
"""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING, NamedTuple

from controller.advice.waterings import gaps_that_matter
from controller.core.water import medium as sources
from controller.core.water.film import drain_per_ml2_s, flowing_film_ml
from controller.core.water.root_store import RootStore
from controller.core.water.root_stores import RUN_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.advice.waterings import Stretch
    from controller.core.stands import StandFacts
    from controller.core.water.bounds import Bounds
    from controller.core.water.root_store import Wetness

# Of the drawn plants, so many must keep their reserve where advice is to be careful.
CAREFUL_SHARE = 0.95


class Drawn(NamedTuple):
    """Where a plant lies in each range, from 0, its low end, to 1, its high one.

    `thickness` is of the roots, where low means much surface; all else means more water, but
    for `demand`, which means thirst.
    """

    demand: float
    held: float
    usable: float
    caught: float
    root_mass: float
    held_by_roots: float
    wetted: float
    thickness: float
    drip: float


def drawn_plants(count: int, generator: Random) -> list[Drawn]:
    """So many plants."""
    return [Drawn(*(generator.random() for _ in Drawn._fields)) for _ in range(count)]


def generator_of(seed: int) -> Random:
    """The generator for a seed."""
    return Random(seed)  # noqa: S311 - chance, no secret


def store_of(facts: StandFacts, age_days: int, drawn: Drawn) -> RootStore:
    """The roots of a drawn plant: what `RootStores` has between its corners."""
    medium, medium_ml = facts.medium, facts.medium_ml
    leaf_m2 = facts.leaves_at(age_days).leaf_area_m2.likely
    drip = _at(facts.drip_ml_per_s, drawn.drip)
    roots_g = _at(sources.ROOT_G_PER_M2_LEAF, drawn.root_mass) * leaf_m2
    of_medium = _at(sources.HELD_SHARE[medium], drawn.held) * medium_ml
    held_ml = of_medium * _at(sources.USABLE_SHARE[medium], drawn.usable)
    held_ml += roots_g * _at(sources.HELD_ML_PER_ROOT_G, drawn.held_by_roots)
    thickness_m = _at(sources.ROOT_DIAMETER_M, drawn.thickness)
    surface_m2 = roots_g * 4.0 / sources.ROOT_G_PER_M3 / thickness_m
    if medium == "expanded-clay":
        filled = 6.0 * sources.CLAY_FILLED_SHARE / sources.CLAY_DIAMETER_M
        surface_m2 += filled * medium_ml * 1e-6
    surface_m2 *= _at(sources.WETTED_SHARE, drawn.wetted)
    return RootStore(
        held_ml=held_ml,
        film_ml=flowing_film_ml(surface_m2=surface_m2, length_m=RUN_M, drip_ml_per_s=drip),
        drain_per_ml2_s=drain_per_ml2_s(surface_m2=surface_m2, length_m=RUN_M),
        drip_ml_per_s=drip,
        caught_share=_at(sources.CAUGHT_SHARE[medium], drawn.caught),
    )


def _at(bounds: Bounds, place: float) -> float:
    return bounds.low + (bounds.high - bounds.low) * place


class WateredDay:
    """A day's waterings and gaps for one stand, ready to be asked for many plants."""

    def __init__(self, stretches: Sequence[Stretch]) -> None:
        self._stretches = stretches
        parts = [part for stretch in stretches for part in stretch.parts]
        self._high_ml_per_s = max((part.high_ml_per_s for part in parts), default=0.0)
        self._low_ml_per_s = max((part.low_ml_per_s for part in parts), default=0.0)
        # Roots begin the day drained, so its first stretches are gone through as they are.
        waterings = [one.length_s for one in stretches[1:-1] if one.is_wet]
        self._shortest_s = min(waterings, default=0.0)
        self._gaps = gaps_that_matter(stretches[2:])

    def left_share(self, store: RootStore, demand: float) -> float:
        """What is left when roots that began drained are driest, as a share of what they hold;
        `demand` is the plant's place in the range of what it drinks."""
        thirstiest = self._low_ml_per_s + (self._high_ml_per_s - self._low_ml_per_s) * demand
        gain_ml_per_s = store.sinks_in_ml_per_s - thirstiest
        if gain_ml_per_s * self._shortest_s >= store.held_ml + store.film_ml:
            lefts = [_after(store, store.full, gap, demand).held_ml for gap in self._gaps]
            lefts.append(self._least_ml(self._stretches[:2], store, demand))
            return min(lefts) / store.held_ml
        return self._least_ml(self._stretches, store, demand) / store.held_ml

    def _least_ml(self, stretches: Sequence[Stretch], store: RootStore, demand: float) -> float:
        """The least that drained roots hold at the end of any of these stretches."""
        wetness, least_ml = store.drained, store.held_ml
        for stretch in stretches:
            wetness = _after(store, wetness, stretch, demand)
            least_ml = min(least_ml, wetness.held_ml)
        return least_ml


def _after(store: RootStore, wetness: Wetness, stretch: Stretch, demand: float) -> Wetness:
    do = store.watered if stretch.is_wet else store.rested
    for length_s, low_ml_per_s, high_ml_per_s in stretch.parts:
        rate = low_ml_per_s + (high_ml_per_s - low_ml_per_s) * demand
        wetness = do(wetness, length_s=length_s, demand_ml_per_s=rate).after
    return wetness


class Band(NamedTuple):
    """Of the drawn plants: what is left for one in twenty or fewer, for all but one in twenty,
    and the share of them that keep the reserve."""

    p5: float
    p95: float
    keeps: float


def band_of(lefts: Sequence[float], reserve: float) -> Band:
    """The band of what is left, by nearest rank; `lefts` are one or more."""
    ranked = sorted(lefts)
    last = len(ranked) - 1
    kept = sum(1 for left in lefts if left >= reserve)
    return Band(ranked[round(0.05 * last)], ranked[round(0.95 * last)], kept / len(ranked))
