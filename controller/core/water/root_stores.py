"""The store of a plant as its medium, its size and its drip make it, between the bounds of all that
nobody knows."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.water.film import drain_per_ml2_s, flowing_film_ml
from controller.core.water.medium import CAUGHT_SHARE, Medium, usable_ml, wetted_m2
from controller.core.water.root_store import RootStore

if TYPE_CHECKING:
    from controller.core.water.bounds import Bounds

# How far water runs down on one plant's roots, m. Common practice, no source.
RUN_M = 0.2


class RootStores(NamedTuple):
    """One plant's store between its bounds: the driest goes with the highest demand."""

    driest: RootStore
    likely: RootStore
    wettest: RootStore

    @classmethod
    def of(
        cls, medium: Medium, *, medium_ml: float, leaf_area_m2: float, drip_ml_per_s: Bounds
    ) -> RootStores:
        """The stores of a plant; the driest has the least drip, the wettest the most.

        Args:
            medium: what it stands in.
            medium_ml: volume of its net pot or plug, mL; 0 for bare roots.
            leaf_area_m2: its likely leaf area, above 0; roots grow with it.
            drip_ml_per_s: what comes down at it during a watering, 0 or more.
        """
        held = usable_ml(medium, medium_ml=medium_ml, leaf_area_m2=leaf_area_m2)
        surface = wetted_m2(medium, medium_ml=medium_ml, leaf_area_m2=leaf_area_m2)
        caught = CAUGHT_SHARE[medium]
        return cls(
            *(
                RootStore(
                    held_ml=held_ml,
                    film_ml=flowing_film_ml(
                        surface_m2=surface_m2, length_m=RUN_M, drip_ml_per_s=drip
                    ),
                    drain_per_ml2_s=drain_per_ml2_s(surface_m2=surface_m2, length_m=RUN_M),
                    drip_ml_per_s=drip,
                    caught_share=caught_share,
                )
                for held_ml, surface_m2, caught_share, drip in zip(
                    held, surface, caught, drip_ml_per_s, strict=True
                )
            )
        )
