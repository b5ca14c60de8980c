"""A plan's stands as the water models need them: leaves, roots and what comes down at a plant.

A stand's plants are alike. Before they are sown there are none; they drink and hold nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from controller.core.lifts import lifting_of
from controller.core.water.bounds import Bounds
from controller.core.water.root_stores import RootStores
from controller.core.water.transpiration import Foliage

if TYPE_CHECKING:
    from datetime import date

    from controller.core.plan import Plan
    from controller.core.plan_parts.water import Stand
    from controller.core.water.medium import Medium
    from controller.core.water.transpiration import Leaves

# What comes down at a plant, mL/min, where a plan states neither that nor the pump: a thin
# trickle to a run of water. Common practice, no source.
DRIP_ML_PER_MIN = Bounds(10.0, 30.0, 100.0)

_S_PER_MIN = 60.0
_ML_PER_L = 1000.0
_S_PER_H = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StandFacts:
    """What the models need of a stand.

    Exactly one of `age_days` (from sowing, the same every day) and `sown` is there.
    `drip_ml_per_s` comes down at one plant while its load is on; `reserve` is the share of the
    water in reach that is to be left when roots are driest.
    """

    name: str
    load: str
    plants: int
    foliage: Foliage
    medium: Medium
    medium_ml: float
    age_days: int | None
    sown: date | None
    drip_ml_per_s: Bounds
    reserve: float

    def unnamed(self) -> StandFacts:
        """The same without its name, and with one plant: of those that are equal then, what one of
        their plants drinks and holds is the same."""
        return replace(self, name="", plants=1)

    def age_days_on(self, day: date) -> int | None:
        """Days from sowing on a local date; None before it."""
        age_days = self.age_days if self.sown is None else (day - self.sown).days
        return None if age_days is None or age_days < 0 else age_days

    def leaves_at(self, age_days: int) -> Leaves:
        """Its leaves at an age: they tell what a plant drinks."""
        return _leaves(self.foliage, age_days)

    def stores_at(self, age_days: int) -> RootStores:
        """What one plant's roots have within reach at an age."""
        leaf_m2 = self.leaves_at(age_days).leaf_area_m2.likely
        return _stores(self.medium, self.medium_ml, leaf_m2, self.drip_ml_per_s)


def stands_of(plan: Plan) -> tuple[StandFacts, ...]:
    """The stands of a plan whose rules hold, in its order."""
    return tuple(_facts(name, stand, plan) for name, stand in plan.stands.items())


def _facts(name: str, stand: Stand, plan: Plan) -> StandFacts:
    return StandFacts(
        name=name,
        load=stand.watered_by,
        plants=stand.plants,
        foliage=Foliage(
            place=stand.place,
            plants_per_m2=stand.plants_per_m2,
            light_share=stand.sun_share,
            ppfd_umol=stand.ppfd_umol or 0.0,
            air_speed_m_s=stand.air_speed_m_s,
        ),
        medium=stand.medium,
        medium_ml=stand.medium_ml or 0.0,
        age_days=stand.age_days,
        sown=stand.sown,
        drip_ml_per_s=drip_ml_per_s(plan, stand),
        reserve=stand.reserve,
    )


def drip_ml_per_s(plan: Plan, stand: Stand) -> Bounds:
    """What comes down at one plant while its load is on, mL/s.

    As the plan states it; else what the load's pump brings to the top, shared out over all
    plants that it waters; else an assumption.
    """
    if stand.drip_ml_per_min is not None:
        stated = stand.drip_ml_per_min / _S_PER_MIN
        return Bounds(stated, stated, stated)
    lift = plan.loads[stand.watered_by].lift
    if lift is None:
        return DRIP_ML_PER_MIN.times(1 / _S_PER_MIN)
    plants = plan.plants_on(stand.watered_by)
    return lifting_of(lift).flow_per_plant_l_per_h(plants).times(_ML_PER_L / _S_PER_H)


@lru_cache(maxsize=512)
def _leaves(foliage: Foliage, age_days: int) -> Leaves:
    return foliage.at_age(age_days)


@lru_cache(maxsize=512)
def _stores(
    medium: Medium, medium_ml: float, leaf_area_m2: float, drip_ml_per_s: Bounds
) -> RootStores:
    return RootStores.of(
        medium, medium_ml=medium_ml, leaf_area_m2=leaf_area_m2, drip_ml_per_s=drip_ml_per_s
    )
