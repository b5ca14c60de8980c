"""Sensors of a board that has none: what a dry run takes them to read, at this clock's time.

For rehearsals, whose pumps are unplugged, and for mock boards. Water stands at the float,
nothing leaks, a pump that is on moves water, and the air is the plan's typical day.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, date_of_number
from controller.dry_run.air import air_of
from controller.dry_run.fault_clock import NO_TROUBLE, FaultClock
from controller.dry_run.virtual_sensors import VirtualSensors

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence

    from controller.core.journal_entry import Summary
    from controller.core.observation import Reading, Tick
    from controller.core.plan import Plan
    from controller.core.units import Instant
    from controller.daemon.ports import Clock
    from controller.weather.air_series import AirSeries

_FAR: Tick = 10**15
_MODELLED_DAYS = 3_660


class ModelledSensors:
    """Readings for every sensor that the plan asks for.

    `is_wet` tells of each load, by its place, whether it is on; it is empty before the first
    decision, when none is. `air` has the series of each quantity; without it the air is
    taken from the plan's site. `end` is the last moment of interest.
    """

    def __init__(
        self,
        clock: Clock,
        is_wet: Callable[[], Sequence[bool]],
        *,
        air: Mapping[str, AirSeries] | None = None,
        end: Instant | None = None,
    ) -> None:
        self._clock = clock
        self._is_wet = is_wet
        self._air = air
        self._end = end
        self._sensors: VirtualSensors | None = None
        self._next: Tick = _FAR
        self._all_off: tuple[bool, ...] = ()

    def watch(self, plan: Plan) -> None:
        """Models the sensors of this plan from now on, and no others."""
        schedule = make_schedule(plan)
        self._all_off = (False,) * len(schedule.loads)
        now, _ = self._clock.read()
        end = now + _MODELLED_DAYS * DAY_MS if self._end is None else self._end
        air = self._air
        if air is None:
            today = date_of_number(now // DAY_MS)
            air = air_of(plan.site, None, first=today, last=today).series
        self._sensors = VirtualSensors(schedule, air, FaultClock(schedule, None), end)

    @property
    def readings(self) -> Mapping[str, Reading]:
        """The latest of each sensor; the same object while nothing new was read."""
        assert self._sensors is not None
        now, tick = self._clock.read()
        booted = now - tick
        is_wet = self._is_wet() or self._all_off
        readings = self._sensors.readings(now, booted, NO_TROUBLE, is_wet)
        self._next = self._sensors.fresh_until - booted
        return readings

    def next_look(self) -> Tick:
        """When a reading next changes by itself."""
        return self._next

    def attend(self, loads_on: Collection[str]) -> None:
        """Nothing: the model asks which loads are on."""

    def summaries(self) -> Sequence[Summary]:
        """Nothing: what was not read is not summed up."""
        return ()

    def close(self) -> None:
        """Has nothing to let go of."""
