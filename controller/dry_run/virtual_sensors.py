"""Sensors of a dry run: what the air, the water and the fault script make them read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.demand.pace import REVIEW_MS, review_of
from controller.core.observation import Reading

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from controller.core.plan import Plan
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.fault_clock import FaultClock, Trouble
    from controller.weather.air_series import AirSeries

# What reads so while nothing is wrong: water at the float, a dry floor, a released switch.
_AT_REST = {"level": 1.0, "leak": 0.0, "stop": 0.0}
# A sensor that a plan names without declaring it: `air` is the air's temperature.
_UNDECLARED = {"air": "air_temperature"}


class VirtualSensors:
    """Readings of every sensor by which the plan decides, made only when they change.

    A virtual sensor speaks without a pause, so a reading is taken to be fresh until the
    next moment at which its value matters again: a threshold of the plan passed, a pace
    reckoned anew, a fault begun or ended, a pump switched.
    """

    def __init__(
        self, schedule: Schedule, air: Mapping[str, AirSeries], faults: FaultClock, end: Instant
    ) -> None:
        plan = schedule.plan
        self._faults = faults
        self._end = end
        self._quantities = {
            name: plan.sensors[name].measures if name in plan.sensors else _UNDECLARED.get(name, "")
            for name in schedule.sensors
        }
        self._rooms = _rooms(plan)
        self._air = {
            name: air[quantity]
            for name, quantity in self._quantities.items()
            if quantity in air and name not in self._rooms
        }
        self._thresholds = _thresholds(schedule)
        # A pace hangs on the reading itself, not on which side of a threshold it is.
        self._paced = [
            timeline
            for load in schedule.loads
            for timeline in (load.own, *load.variant_timelines)
            if timeline.demands and any(one.sensors for one in load.drinkers)
        ]
        self._pumps_by_meter = {
            name: [place for place, load in enumerate(schedule.loads) if load.flow == name]
            for name, quantity in self._quantities.items()
            if quantity == "flow"
        }
        self._readings: dict[str, Reading] = {}
        self._made_for: tuple[Instant, tuple[bool, ...]] | None = None
        self.fresh_until = end  # when a reading next changes by itself
        self._stuck: dict[str, float] = {}

    @property
    def say_the_same(self) -> bool:
        """Whether no value but that of flow changes before `fresh_until`. Where there are flow
        meters and air, a switched pump has the air read as well."""
        return not (self._pumps_by_meter and self._air)

    def next_change(self, now: Instant) -> Instant | None:
        """When a reading of the air next passes a threshold of the plan, before the end."""
        crossings = [
            crossing
            for name, series in self._air.items()
            if self._thresholds[name]
            and (
                crossing := series.next_crossing(
                    after=now, before=self._end, thresholds=self._thresholds[name]
                )
            )
            is not None
        ]
        return min(crossings, default=None)

    def readings(
        self, now: Instant, booted: Instant, trouble: Trouble, is_wet: Sequence[bool]
    ) -> Mapping[str, Reading]:
        """What the sensors say now; the same object while nothing has changed."""
        if not self._quantities:
            return self._readings
        flows = tuple(
            any(is_wet[place] for place in places) for places in self._pumps_by_meter.values()
        )
        if now < self.fresh_until and self._made_for == (booted, flows):
            return self._readings
        if self._made_for is not None and self._made_for[0] != booted:
            self._readings = {}  # a board that starts anew has read nothing yet
        borders = [self._faults.next_border(now), self.next_change(now), self._end]
        if self._paced:
            borders.append(self._next_review(now, trouble))
        self.fresh_until = min(border for border in borders if border is not None)
        self._made_for = (booted, flows)
        self._remember_stuck(now, trouble, is_wet)
        made: dict[str, Reading] = {}
        for name in self._quantities:
            if name in trouble.silent:
                if name in self._readings:
                    last = self._readings[name]
                    made[name] = last._replace(taken=min(last.taken, now - booted))
                continue
            value = self._value(name, now, trouble, is_wet)
            if value is not None:
                made[name] = Reading(value, self.fresh_until - booted)
        self._readings = made
        return made

    def _next_review(self, now: Instant, trouble: Trouble) -> Instant:
        """When a pace is next reckoned: every few minutes while a span on demand is in force, or
        may be by a clock that is wrong; else not before other spans start."""
        pieces = [timeline.piece_at(now) for timeline in self._paced]
        is_asked = any(
            timeline.demand_of(piece) is not None
            for timeline, piece in zip(self._paced, pieces, strict=True)
        )
        if is_asked or trouble.clock_off_ms or not trouble.is_clock_trusted:
            return review_of(now) + REVIEW_MS
        return min(piece.end for piece in pieces)

    def _remember_stuck(self, now: Instant, trouble: Trouble, is_wet: Sequence[bool]) -> None:
        for name in list(self._stuck):
            if name not in trouble.stuck:
                del self._stuck[name]
        for name in sorted(trouble.stuck - self._stuck.keys()):
            value = self._true_value(name, now, is_wet)
            if value is not None:
                self._stuck[name] = value

    def _value(
        self, name: str, now: Instant, trouble: Trouble, is_wet: Sequence[bool]
    ) -> float | None:
        for sensor, value in reversed(trouble.false_values):
            if sensor == name:
                return value
        if name in self._stuck:
            return self._stuck[name]
        return self._true_value(name, now, is_wet)

    def _true_value(self, name: str, now: Instant, is_wet: Sequence[bool]) -> float | None:
        if name in self._air:
            return self._air[name].value_at(now)
        if name in self._rooms:
            return self._rooms[name]
        if name in self._pumps_by_meter:
            return float(any(is_wet[place] for place in self._pumps_by_meter[name]))
        return _AT_REST.get(self._quantities[name])


def _rooms(plan: Plan) -> dict[str, float]:
    """What sensors read that hang in rooms with lamps, whose air the plan states."""
    rooms: dict[str, float] = {}
    outside: set[str | None] = set()
    for stand in plan.stands.values():
        named = (stand.air, stand.humidity)
        if stand.place == "under-lamps":
            of_room = zip(named, (stand.air_c, stand.humidity_pct), strict=True)
            rooms |= {name: value for name, value in of_room if name is not None}
        else:
            outside.update(named)
    return {name: value for name, value in rooms.items() if name not in outside}


def _thresholds(schedule: Schedule) -> dict[str, tuple[float, ...]]:
    """Every value of each sensor at which a variant is entered or left."""
    edges: dict[str, set[float]] = {name: set() for name in schedule.sensors}
    for load in schedule.loads:
        for variant in load.variants:
            if variant.sensor is not None:
                bounds = (variant.above, variant.below, variant.until)
                edges[variant.sensor].update(bound for bound in bounds if bound is not None)
    return {name: tuple(sorted(values)) for name, values in edges.items()}
