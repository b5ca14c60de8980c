"""The roots of one plant between their bounds, as water comes and goes: three stores at once."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from controller.core.water.root_store import Wetness

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from controller.core.water.root_store import Passage, RootStore
    from controller.core.water.root_stores import RootStores

_MS_PER_S = 1000.0
_ALL = 1.0 - 1e-11


@dataclass(slots=True)
class Roots:
    """The state of each corner, in the order of `CORNERS`, and for how long less than the
    reserve was left."""

    stores: RootStores
    reserve: float
    wetness: list[Wetness] = field(init=False)
    below_s: list[float] = field(default_factory=lambda: [0.0, 0.0, 0.0])

    def __post_init__(self) -> None:
        """They begin drained, as some time after a watering."""
        self.wetness = [store.drained for store in self.stores]

    @property
    def stored_ml(self) -> list[float]:
        """All that is within reach, of each corner."""
        return [wetness.stored_ml for wetness in self.wetness]

    @property
    def are_full(self) -> bool:
        """Whether each corner is as wet as after a long watering."""
        return all(
            wetness.held_ml == store.held_ml
            and wetness.taken_ml == 0.0
            and wetness.sheet_ml >= store.film_ml * _ALL  # a difference of sums
            for wetness, store in zip(self.wetness, self.stores, strict=True)
        )

    def fill(self) -> None:
        """As wet as at the end of a long watering."""
        self.wetness = [store.full for store in self.stores]

    @property
    def left_shares(self) -> list[float]:
        """What is left of each corner's held water, as a share."""
        return [
            store.left_share(wetness)
            for store, wetness in zip(self.stores, self.wetness, strict=True)
        ]

    def grow(self, stores: RootStores) -> None:
        """Plants a day older: the same water in stores of another size."""
        self.stores = stores
        for corner, (wetness, store) in enumerate(zip(self.wetness, stores, strict=True)):
            if wetness.held_ml > store.held_ml:
                too_much_ml = wetness.held_ml - store.held_ml
                self.wetness[corner] = Wetness(
                    store.held_ml, wetness.sheet_ml + too_much_ml, wetness.taken_ml
                )

    def pass_time(
        self, length_ms: int, *, demands_ml_per_s: Sequence[float], are_wet: Iterable[bool]
    ) -> list[float]:
        """Carries every corner on; returns the thirst of each, mL."""
        length_s = length_ms / _MS_PER_S
        wetness, reserve, thirst_ml = self.wetness, self.reserve, []
        for corner, (store, demand, is_wet) in enumerate(
            zip(self.stores, demands_ml_per_s, are_wet, strict=True)
        ):
            before = wetness[corner]
            act = store.watered if is_wet else store.rested
            passage = act(before, length_s=length_s, demand_ml_per_s=demand)
            wetness[corner] = after = passage.after
            floor_ml = reserve * store.held_ml
            if after.held_ml < floor_ml or before.held_ml < floor_ml:
                self.below_s[corner] += self._below_s(
                    store, before, passage, length_s=length_s, demand=demand, is_wet=is_wet
                )
            thirst_ml.append(passage.thirst_ml)
        return thirst_ml

    def _below_s(
        self,
        store: RootStore,
        before: Wetness,
        passage: Passage,
        *,
        length_s: float,
        demand: float,
        is_wet: bool,
    ) -> float:
        """For how much of a stretch less than the reserve was left."""
        if not is_wet:
            lasts_s = store.lasts_s(before, left_share=self.reserve, demand_ml_per_s=demand)
            return max(0.0, length_s - lasts_s)
        # Water that comes evenly: the store rises or falls along a straight line.
        floor_ml = self.reserve * store.held_ml
        began_ml, ended_ml = before.stored_ml, passage.after.stored_ml
        if max(began_ml, ended_ml) < floor_ml:
            return length_s
        gain_ml_per_s = store.sinks_in_ml_per_s - demand
        if min(began_ml, ended_ml) >= floor_ml or gain_ml_per_s == 0.0:
            return 0.0
        crossed_s = min(length_s, max(0.0, (floor_ml - began_ml) / gain_ml_per_s))
        return crossed_s if gain_ml_per_s > 0.0 else length_s - crossed_s
