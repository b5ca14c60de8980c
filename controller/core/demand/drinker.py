"""One stand as its pump on demand sees it: how long it can rest, and how long it must be wetted."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite
from typing import TYPE_CHECKING, NamedTuple

from controller.core.demand.present_air import room_of
from controller.core.water.transpiration import LeafHour

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.calendar import Calendar
    from controller.core.demand.present_air import AirFelt, OpenAir
    from controller.core.plan_parts.water import Stand
    from controller.core.stands import StandFacts
    from controller.core.timeline import Timeline
    from controller.core.units import Instant
    from controller.core.water.root_store import RootStore

_S_PER_H = 3600.0
# Air in which the models hold; what plants drink in any other nobody can tell. Common practice,
# no source: what a thermometer in the sun can truly show.
_AIR_C_LEAST, _AIR_C_MOST = -60.0, 80.0


class Thirst(NamedTuple):
    """What a stand needs of its pump just now, for the driest roots that the ranges allow.

    `felt` is the air that it was reckoned for, `store` what one plant's roots hold, `reserve`
    the share of it that is to be left.
    """

    felt: AirFelt
    demand_ml_per_s: float
    store: RootStore
    reserve: float

    @property
    def lasts_s(self) -> float:
        """How long full roots hold, s; infinity where nothing is drunk."""
        return self._lasts_s(left_share=0.0)

    @property
    def rest_s(self) -> float:
        """How long until no more than the reserve is left, s; infinity where nothing is drunk."""
        return self._lasts_s(left_share=self.reserve)

    def refill_s(self, rest_s: float) -> float:
        """How long a watering takes that makes good for so long a rest, s: until the roots are as
        wet as the next rest counts on, the film on them included."""
        store = self.store
        rested = store.rested(store.full, length_s=rest_s, demand_ml_per_s=self.demand_ml_per_s)
        missing_ml = store.full.stored_ml - rested.after.stored_ml
        if missing_ml <= 0.0:
            return 0.0
        return missing_ml / self._gain_ml_per_s if self._gain_ml_per_s > 0.0 else inf

    def made_good_s(self, watering_s: float) -> float:
        """How long a rest is at the most that a watering of that length makes good for, s; 0
        where it brings no more than is drunk meanwhile."""
        of_held_ml = watering_s * self._gain_ml_per_s - self.store.film_ml
        if of_held_ml <= 0.0:
            return 0.0
        return self._lasts_s(left_share=max(0.0, 1.0 - of_held_ml / self.store.held_ml))

    @property
    def _gain_ml_per_s(self) -> float:
        return self.store.sinks_in_ml_per_s - self.demand_ml_per_s

    def _lasts_s(self, *, left_share: float) -> float:
        return self.store.lasts_s(
            self.store.full, left_share=left_share, demand_ml_per_s=self.demand_ml_per_s
        )


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
        temperature_c, humidity_pct = self._read(known)
        return (temperature_c is None or _AIR_C_LEAST <= temperature_c <= _AIR_C_MOST) and (
            humidity_pct is None or isfinite(humidity_pct)
        )

    def _read(self, known: Mapping[str, float]) -> tuple[float | None, float | None]:
        """What the sensors say, °C and %; None where the stand names none."""
        return (
            None if self.air_sensor is None else known[self.air_sensor],
            None if self.humidity_sensor is None else known[self.humidity_sensor],
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
        store = self.facts.stores_at(age_days).driest
        return Thirst(felt, rate.high / _S_PER_H, store, self.facts.reserve)

    def _felt(self, instant: Instant, known: Mapping[str, float]) -> AirFelt:
        temperature_c, humidity_pct = self._read(known)
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
        room=room_of(stand) if is_under_lamps else None,
        air_sensor=stand.air,
        humidity_sensor=stand.humidity,
        lamp=timelines[stand.lamp] if is_under_lamps and stand.lamp is not None else None,
        calendar=calendar,
    )
