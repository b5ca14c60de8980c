"""One stand as its pump on demand sees it: how long it can rest, and how long it must be wetted."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from controller.core.demand.present_air import AirFelt, room_of
from controller.core.demand.thirst import Thirst
from controller.core.tuples import made
from controller.core.water.leaf_hour import LeafHour

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from controller.core.calendar import Calendar
    from controller.core.demand.present_air import OpenAir
    from controller.core.demand.signs import Signs
    from controller.core.plan_parts.water import Stand
    from controller.core.stands import StandFacts
    from controller.core.timeline import Timeline
    from controller.core.units import Instant
    from controller.core.water.root_store import RootStore
    from controller.core.water.transpiration import Leaves

_S_PER_H = 3600.0
# Air in which the models hold; what plants drink in any other nobody can tell. Common practice,
# no source: what a thermometer in the sun can truly show, and a humidity sensor at saturation.
_AIR_C_LEAST, _AIR_C_MOST = -60.0, 80.0
_HUMIDITY_PCT_MOST = 105.0


# What the sensors say, °C and %; None where the stand names none.
_Read: TypeAlias = tuple[float | None, float | None]


class _Asked(NamedTuple):
    """All that one stand's thirst follows from; `instant` is None where the sun does not matter."""

    age_days: int
    instant: Instant | None
    read: _Read
    is_lit: bool


class _Grown(NamedTuple):
    """A stand at one age: its leaves, and the driest that one plant's roots may be."""

    leaves: Leaves
    driest: RootStore


@dataclass(frozen=True, slots=True, kw_only=True)
class Drinker:
    """A stand, the sensors that tell its air, and the lamps that light it.

    `lamp` is the timeline of the plan for the load `lamp_name` that lights it, as long as nobody
    holds that. `room` is the air that a room is kept at, None for stands under the sky. It
    remembers what it needed last, and how it has grown.
    """

    facts: StandFacts
    open_air: OpenAir
    room: AirFelt | None
    air_sensor: str | None
    humidity_sensor: str | None
    lamp_name: str | None
    lamp: Timeline | None
    calendar: Calendar
    _last: dict[_Asked, Thirst] = field(default_factory=dict, init=False, repr=False, compare=False)
    _grown: dict[int, _Grown] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def sensors(self) -> frozenset[str]:
        """The sensors that it goes by."""
        named = (self.air_sensor, self.humidity_sensor)
        return frozenset(name for name in named if name is not None)

    def knows_its_air(self, known: Mapping[str, float]) -> bool:
        """Whether each sensor that it goes by is known, and says what air can be like."""
        return self._read(known) is not None

    def _read(self, known: Mapping[str, float]) -> _Read | None:
        """What the sensors say; None where one of them is silent, or cannot be right."""
        temperature_c = humidity_pct = None
        if self.air_sensor is not None:
            temperature_c = known.get(self.air_sensor)
            if temperature_c is None or not _AIR_C_LEAST <= temperature_c <= _AIR_C_MOST:
                return None
        if self.humidity_sensor is not None:
            humidity_pct = known.get(self.humidity_sensor)
            if humidity_pct is None or not 0.0 <= humidity_pct <= _HUMIDITY_PCT_MOST:
                return None
        return temperature_c, humidity_pct

    def is_sown(self, instant: Instant) -> bool:
        """Whether it grows at an instant."""
        return self._age_days(instant) is not None

    def _age_days(self, instant: Instant) -> int | None:
        if self.facts.sown is None:
            return self.facts.age_days
        return self.facts.age_days_on(self.calendar.date_of(instant))

    def thirst(self, instant: Instant, signs: Signs) -> Thirst | None:
        """What it needs at an instant; None while it does not know its air, or before it is
        sown."""
        read = self._read(signs.known)
        if read is None:
            return None
        age_days = self._age_days(instant)
        if age_days is None:
            return None
        is_lit = self.lamp is not None and self._is_lit(self.lamp, instant, signs)
        sun_at = instant if self.room is None else None
        asked = made(_Asked, (age_days, sun_at, read, is_lit))
        thirst = self._last.get(asked)
        if thirst is None:
            thirst = self._reckoned(asked)
            self._last.clear()
            self._last[asked] = thirst
        return thirst

    def _is_lit(self, lamp: Timeline, instant: Instant, signs: Signs) -> bool:
        """Whether its lamp is on: as a person holds it, else as planned."""
        if self.lamp_name in signs.dark:
            return False
        return self.lamp_name in signs.lit or lamp.state_at(instant)

    def _reckoned(self, asked: _Asked) -> Thirst:
        grown = self._grown_to(asked.age_days)
        felt, hour = self._air(asked.instant, *asked.read)
        rate_ml_per_h = grown.leaves.most_ml_per_h(hour, is_lit=asked.is_lit)
        return Thirst.of(felt, rate_ml_per_h / _S_PER_H, grown.driest, self.facts.reserve)

    def _grown_to(self, age_days: int) -> _Grown:
        grown = self._grown.get(age_days)
        if grown is None:
            facts = self.facts
            grown = _Grown(facts.leaves_at(age_days), facts.stores_at(age_days).driest)
            self._grown.clear()
            self._grown[age_days] = grown
        return grown

    def _air(
        self, instant: Instant | None, temperature_c: float | None, humidity_pct: float | None
    ) -> tuple[AirFelt, LeafHour]:
        """What it feels, and the hour around that as its leaves do."""
        if instant is not None:
            return self.open_air.around(
                instant, temperature_c=temperature_c, humidity_pct=humidity_pct
            )
        assert self.room is not None
        felt = AirFelt.of(
            self.room.temperature_c if temperature_c is None else temperature_c,
            self.room.humidity_pct if humidity_pct is None else humidity_pct,
        )
        return felt, LeafHour.indoors(
            temperature_c=felt.temperature_c, humidity_pct=felt.humidity_pct
        )


def unlike(drinkers: Iterable[Drinker]) -> tuple[Drinker, ...]:
    """Without those that ask for the same as one before them: their plants are alike, and feel the
    same air and light. A pump goes by what is asked for, not by how many ask."""
    kept: dict[Drinker, Drinker] = {}
    for one in drinkers:
        kept.setdefault(replace(one, facts=one.facts.unnamed()), one)
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
    lamp = stand.lamp if is_under_lamps else None
    return Drinker(
        facts=facts,
        open_air=open_air,
        room=room_of(stand) if is_under_lamps else None,
        air_sensor=stand.air,
        humidity_sensor=stand.humidity,
        lamp_name=lamp,
        lamp=None if lamp is None else timelines[lamp],
        calendar=calendar,
    )
