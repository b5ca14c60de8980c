"""One stand as its pump on demand sees it: how long it can rest, and how long it must be wetted."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite
from typing import TYPE_CHECKING, NamedTuple

from controller.core.demand.present_air import AirFelt
from controller.core.water.transpiration import LeafHour

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.calendar import Calendar
    from controller.core.demand.present_air import OpenAir
    from controller.core.plan_parts.water import Stand
    from controller.core.stands import StandFacts
    from controller.core.timeline import Timeline
    from controller.core.units import Instant

_S_PER_H = 3600.0
# Air in which the models hold; what plants drink in any other nobody can tell. Common practice,
# no source: what a thermometer in the sun can truly show.
_AIR_C_LEAST, _AIR_C_MOST = -60.0, 80.0


class Thirst(NamedTuple):
    """What a stand needs of its pump just now, s; infinity where it drinks nothing.

    `lasts_s` is how long the roots hold, `rest_s` how long until no more than the reserve is
    left. All for the driest roots that the ranges allow.
    `felt` is the air that it was reckoned for.
    """

    felt: AirFelt
    demand_ml_per_s: float
    lasts_s: float
    rest_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drinker:
    """A stand, the sensors that tell its air, and the lamps that light it.

    `lamp` is the timeline of the plan for the load that lights it: a lamp held by hand is not
    seen. `room` is the air that a room is kept at, None for stands under the sky.
    """

    facts: StandFacts
    open_air: OpenAir
    room: AirFelt | None
    air_sensor: str | None
    humidity_sensor: str | None
    lamp: Timeline | None
    calendar: Calendar

    @property
    def sensors(self) -> frozenset[str]:
        """The sensors that it goes by."""
        named = (self.air_sensor, self.humidity_sensor)
        return frozenset(name for name in named if name is not None)

    def knows_its_air(self, known: Mapping[str, float]) -> bool:
        """Whether each sensor that it goes by is known, and says what air can be like."""
        if not self.sensors <= known.keys():
            return False
        temperature_c = None if self.air_sensor is None else known[self.air_sensor]
        humidity_pct = None if self.humidity_sensor is None else known[self.humidity_sensor]
        return (temperature_c is None or _AIR_C_LEAST <= temperature_c <= _AIR_C_MOST) and (
            humidity_pct is None or isfinite(humidity_pct)
        )

    def thirst(self, instant: Instant, known: Mapping[str, float]) -> Thirst | None:
        """What it needs at an instant; None while it does not know its air, or before it is
        sown."""
        if not self.knows_its_air(known):
            return None
        age_days = self.facts.age_days_on(self.calendar.date_of(instant))
        if age_days is None:
            return None
        felt = self._felt(instant, known)
        leaves = self.facts.leaves_at(age_days)
        rate = leaves.transpiration_ml_per_h(
            self._leaf_hour(instant, felt), lit_share=self._lit_share(instant)
        )
        demand_ml_per_s = rate.high / _S_PER_H
        store = self.facts.stores_at(age_days).driest
        full = store.full
        return Thirst(
            felt,
            demand_ml_per_s,
            store.lasts_s(full, left_share=0.0, demand_ml_per_s=demand_ml_per_s),
            store.lasts_s(full, left_share=self.facts.reserve, demand_ml_per_s=demand_ml_per_s),
        )

    def refill_s(self, instant: Instant, *, demand_ml_per_s: float, rest_s: float) -> float:
        """How long a watering takes that makes good for so long a rest, s: until the roots are as
        wet as the next rest counts on, the film on them included."""
        age_days = self.facts.age_days_on(self.calendar.date_of(instant))
        if age_days is None:
            return 0.0
        store = self.facts.stores_at(age_days).driest
        rested = store.rested(store.full, length_s=rest_s, demand_ml_per_s=demand_ml_per_s)
        missing_ml = store.full.stored_ml - rested.after.stored_ml
        gain_ml_per_s = store.caught_share * store.drip_ml_per_s - demand_ml_per_s
        if missing_ml <= 0.0:
            return 0.0
        return missing_ml / gain_ml_per_s if gain_ml_per_s > 0.0 else inf

    def made_good_s(self, instant: Instant, *, demand_ml_per_s: float, watering_s: float) -> float:
        """How long a rest is at the most that a watering of that length makes good for, s; 0
        where it brings no more than is drunk meanwhile."""
        age_days = self.facts.age_days_on(self.calendar.date_of(instant))
        if age_days is None:
            return inf
        store = self.facts.stores_at(age_days).driest
        gain_ml = watering_s * (store.caught_share * store.drip_ml_per_s - demand_ml_per_s)
        of_held_ml = gain_ml - store.film_ml
        if of_held_ml <= 0.0:
            return 0.0
        left_share = max(0.0, 1.0 - of_held_ml / store.held_ml)
        return store.lasts_s(store.full, left_share=left_share, demand_ml_per_s=demand_ml_per_s)

    def _felt(self, instant: Instant, known: Mapping[str, float]) -> AirFelt:
        temperature_c = None if self.air_sensor is None else known[self.air_sensor]
        humidity_pct = None if self.humidity_sensor is None else known[self.humidity_sensor]
        if self.room is not None:
            temperature_c = self.room.temperature_c if temperature_c is None else temperature_c
            humidity_pct = self.room.humidity_pct if humidity_pct is None else humidity_pct
        return self.open_air.felt(instant, temperature_c=temperature_c, humidity_pct=humidity_pct)

    def _leaf_hour(self, instant: Instant, felt: AirFelt) -> LeafHour:
        if self.room is None:
            return self.open_air.leaf_hour(instant, felt)
        return LeafHour.indoors(temperature_c=felt.temperature_c, humidity_pct=felt.humidity_pct)

    def _lit_share(self, instant: Instant) -> float:
        return 1.0 if self.lamp is not None and self.lamp.state_at(instant) else 0.0


def drinker_of(
    facts: StandFacts,
    stand: Stand,
    *,
    open_air: OpenAir,
    timelines: Mapping[str, Timeline],
    calendar: Calendar,
) -> Drinker:
    """A plan's stand as its pump on demand sees it.

    Args:
        facts: the stand as the models need it.
        stand: the same as the plan states it.
        open_air: of the site.
        timelines: of the loads' own spans.
        calendar: of the site.
    """
    is_under_lamps = stand.place == "under-lamps"
    return Drinker(
        facts=facts,
        open_air=open_air,
        room=AirFelt(stand.air_c, stand.humidity_pct) if is_under_lamps else None,
        air_sensor=stand.air,
        humidity_sensor=stand.humidity,
        lamp=timelines[stand.lamp] if is_under_lamps and stand.lamp is not None else None,
        calendar=calendar,
    )
