"""One stand as its pump on demand sees it: how long it can rest, and how long it must be wetted."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import inf, isfinite
from typing import TYPE_CHECKING, NamedTuple

from controller.core.demand.present_air import AirFelt, room_of
from controller.core.water.transpiration import LeafHour

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from controller.core.calendar import Calendar
    from controller.core.demand.present_air import OpenAir
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
    the share of it that is to be left; full roots live on their film for `film_s`.
    """

    felt: AirFelt
    demand_ml_per_s: float
    store: RootStore
    reserve: float
    film_s: float

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
        full, gain_ml_per_s = self.store.full, self._gain_ml_per_s
        rested = self.store.rested(full, length_s=rest_s, demand_ml_per_s=self.demand_ml_per_s)
        missing_ml = full.stored_ml - rested.after.stored_ml
        if missing_ml <= 0.0:
            return 0.0
        return missing_ml / gain_ml_per_s if gain_ml_per_s > 0.0 else inf

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
        """`RootStore.lasts_s` of full roots, whose film is known."""
        if self.demand_ml_per_s <= 0.0:
            return inf
        held_ml = self.store.held_ml
        return self.film_s + (held_ml - left_share * held_ml) / self.demand_ml_per_s


class _Asked(NamedTuple):
    """All that one stand's thirst follows from."""

    age_days: int
    felt: AirFelt
    hour: LeafHour
    lit_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drinker:
    """A stand, the sensors that tell its air, and the lamps that light it.

    `lamp` is the timeline of the plan for the load that lights it: a lamp held by hand is not
    seen. `room` is the air that a room is kept at, None for stands under the sky. It remembers
    what it needed last, and for what that was reckoned.
    """

    facts: StandFacts
    open_air: OpenAir
    room: AirFelt | None
    air_sensor: str | None
    humidity_sensor: str | None
    lamp: Timeline | None
    calendar: Calendar
    _last: dict[_Asked, Thirst] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def sensors(self) -> frozenset[str]:
        """The sensors that it goes by."""
        named = (self.air_sensor, self.humidity_sensor)
        return frozenset(name for name in named if name is not None)

    def knows_its_air(self, known: Mapping[str, float]) -> bool:
        """Whether each sensor that it goes by is known, and says what air can be like."""
        for name in (self.air_sensor, self.humidity_sensor):
            if name is not None and name not in known:
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
        facts = self.facts
        age_days = facts.age_days
        if facts.sown is not None:
            age_days = facts.age_days_on(self.calendar.date_of(instant))
        if age_days is None:
            return None
        felt, hour = self._air(instant, known)
        asked = _Asked(age_days, felt, hour, self._lit_share(instant))
        thirst = self._last.get(asked)
        if thirst is None:
            thirst = self._reckoned(asked)
            self._last.clear()
            self._last[asked] = thirst
        return thirst

    def _reckoned(self, asked: _Asked) -> Thirst:
        facts, leaves = self.facts, self.facts.leaves_at(asked.age_days)
        rate = leaves.transpiration_ml_per_h(asked.hour, lit_share=asked.lit_share)
        demand_ml_per_s, store = rate.high / _S_PER_H, facts.stores_at(asked.age_days).driest
        film_s = store.film_lasts_s(demand_ml_per_s)
        return Thirst(asked.felt, demand_ml_per_s, store, facts.reserve, film_s)

    def _air(self, instant: Instant, known: Mapping[str, float]) -> tuple[AirFelt, LeafHour]:
        """What it feels at an instant, and the hour around that as its leaves do."""
        temperature_c, humidity_pct = self._read(known)
        if self.room is None:
            return _under_the_sky(self.open_air, instant, temperature_c, humidity_pct)
        return _in_a_room(
            self.room.temperature_c if temperature_c is None else temperature_c,
            self.room.humidity_pct if humidity_pct is None else humidity_pct,
        )

    def _lit_share(self, instant: Instant) -> float:
        return 1.0 if self.lamp is not None and self.lamp.state_at(instant) else 0.0


# All stands that go by the same sensors feel the same air, and a pace is asked for more than once
# between two reviews: so the last airs are remembered.
@lru_cache(maxsize=8)
def _under_the_sky(
    open_air: OpenAir, instant: Instant, temperature_c: float | None, humidity_pct: float | None
) -> tuple[AirFelt, LeafHour]:
    felt = open_air.felt(instant, temperature_c=temperature_c, humidity_pct=humidity_pct)
    return felt, open_air.leaf_hour(instant, felt)


@lru_cache(maxsize=8)
def _in_a_room(temperature_c: float, humidity_pct: float) -> tuple[AirFelt, LeafHour]:
    felt = AirFelt.of(temperature_c, humidity_pct)
    return felt, LeafHour.indoors(temperature_c=felt.temperature_c, humidity_pct=felt.humidity_pct)


def unlike(drinkers: Iterable[Drinker]) -> tuple[Drinker, ...]:
    """Without those that ask for the same as one before them: their plants are alike, and feel the
    same air and light. A pump goes by what is asked for, not by how many ask."""
    kept: dict[Drinker, Drinker] = {}
    for one in drinkers:
        kept.setdefault(replace(one, facts=replace(one.facts, name="", plants=1)), one)
    return tuple(kept.values())


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
