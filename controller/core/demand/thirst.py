"""What a stand needs of its pump just now: how long it can rest, and what makes good for that."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from controller.core.demand.present_air import AirFelt
    from controller.core.water.root_store import RootStore


class Thirst(NamedTuple):
    """What a stand needs, for the driest roots that the ranges allow.

    `felt` is the air that it was reckoned for, `store` what one plant's roots hold; from full,
    they hold for `lasts_s` and may rest for `rest_s`, until no more than the reserve is left:
    infinity where nothing is drunk. Of that time they live on their film for `film_s`.
    """

    felt: AirFelt
    demand_ml_per_s: float
    store: RootStore
    film_s: float
    lasts_s: float
    rest_s: float

    @classmethod
    def of(cls, felt: AirFelt, demand_ml_per_s: float, store: RootStore, reserve: float) -> Thirst:
        """Of a plant that drinks so much, with `reserve` the share of its water to be left."""
        film_s = store.film_lasts_s(demand_ml_per_s)
        held_s = store.held_lasts_s(store.held_ml, left_share=0.0, demand_ml_per_s=demand_ml_per_s)
        rest_s = store.held_lasts_s(
            store.held_ml, left_share=reserve, demand_ml_per_s=demand_ml_per_s
        )
        return cls(felt, demand_ml_per_s, store, film_s, film_s + held_s, film_s + rest_s)

    def refill_s(self, rest_s: float) -> float:
        """How long a watering takes that makes good for so long a rest, s: until the roots are as
        wet as the next rest counts on, the film on them included."""
        store, demand_ml_per_s = self.store, self.demand_ml_per_s
        rested = store.rested(store.full, length_s=rest_s, demand_ml_per_s=demand_ml_per_s)
        return store.refill_s(rested.after, demand_ml_per_s=demand_ml_per_s)

    def made_good_s(self, watering_s: float) -> float:
        """How long a rest is at the most that a watering of that length makes good for, s; 0
        where it brings no more than is drunk meanwhile."""
        store, demand_ml_per_s = self.store, self.demand_ml_per_s
        of_held_ml = watering_s * (store.sinks_in_ml_per_s - demand_ml_per_s) - store.film_ml
        if of_held_ml <= 0.0:
            return 0.0
        left_share = max(0.0, 1.0 - of_held_ml / store.held_ml)
        return self.film_s + store.held_lasts_s(
            store.held_ml, left_share=left_share, demand_ml_per_s=demand_ml_per_s
        )
