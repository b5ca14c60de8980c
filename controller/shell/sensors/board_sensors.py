"""The sensors of a board, read as the plan says: files in threads, lines by their edges."""

from __future__ import annotations

import asyncio
from types import MappingProxyType
from typing import TYPE_CHECKING, TypeAlias

from controller.core.errors import UnusableLineError
from controller.core.plan import SENSOR_EVERY_MS_MIN
from controller.shell.sensors.contacts import ContactSensor
from controller.shell.sensors.flow import FlowMeter
from controller.shell.sensors.flow_watch import FlowWatch, Pumped
from controller.shell.sensors.reading_threads import ReadingThreads
from controller.shell.sensors.readings import Readings
from controller.shell.sensors.rounds import Rounds

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence

    from controller.core.journal_entry import Summary
    from controller.core.observation import Reading, Tick
    from controller.core.plan import Plan, Sensor
    from controller.core.units import Instant
    from controller.shell.sensors.inputs import Inputs
    from controller.shell.sensors.reading_threads import Answer

_OnLine: TypeAlias = "ContactSensor | FlowMeter"
_FAR: int = 10**15  # a tick that does not come
_HANGS_MS = 2_000  # a file that has not answered for so long is told of
# A line that a load had in the plan before is free only when the next decision is carried out.
_AGAIN_S = 1.0
# Of the time between two readings: what a timer may come early must not cost a reading.
_WINDOW_SHARE = 0.9
_OF_TIME = ("every", "stale_after", "debounce")  # of a sensor's settings, those without a meaning


class BoardSensors:
    """Readings of all the plan's sensors that have a file or a line.

    `read_clock` gives the instant and the tick, read together; `on_news` is called in the
    loop's thread when a reading has come. To be made and used in that thread, with the loop
    running. What makes a sensor silent stays in `why_silent` and raises nothing.
    """

    def __init__(
        self,
        *,
        inputs: Inputs,
        read_clock: Callable[[], tuple[Instant, Tick]],
        on_news: Callable[[], None],
    ) -> None:
        self.door = Readings(read_clock, on_news)
        self._inputs = inputs
        self._read_clock = read_clock
        self._sensors: dict[str, Sensor] = {}
        self._windows_ms: dict[str, int] = {}  # of flow meters
        self._lines: dict[str, _OnLine] = {}
        self._names_by_path: dict[str, list[str]] = {}
        self._threads = ReadingThreads(self._take)
        self._rounds = Rounds(self._read)
        self._flow_watch = FlowWatch(self._read)
        self._again: asyncio.TimerHandle | None = None
        self._is_closed = False

    @property
    def readings(self) -> Mapping[str, Reading]:
        """The latest of each sensor; the same object while nothing new was read."""
        return self.door.latest

    @property
    def why_silent(self) -> Mapping[str, str]:
        """Why the last attempt at a sensor gave no reading, of those where it gave none. The
        words go on from the sensor's name and a colon."""
        hanging = {
            name: f"its file {path} has not answered for {silent_ms // 1000} s"
            for path, names in self._names_by_path.items()
            if (silent_ms := self._threads.silent_ms(path)) is not None and silent_ms >= _HANGS_MS
            for name in names
        }
        return MappingProxyType({**self.door.why_silent, **hanging})

    def next_look(self) -> Tick:
        """Never: whatever is read is told of."""
        return _FAR

    def watch(self, plan: Plan) -> None:
        """Reads the sensors of this plan from now on, and no others; those that have not
        changed keep their lines, and those whose readings mean what they did keep these."""
        if self._is_closed:
            return
        sensors, windows_ms = dict(plan.sensors), _windows_ms(plan)
        alike = {
            name
            for name, sensor in sensors.items()
            if name in self._sensors and _means_as(self._sensors[name], sensor)
        }
        kept = {
            name
            for name, sensor in sensors.items()
            if self._sensors.get(name) == sensor
            and self._windows_ms.get(name) == windows_ms.get(name)
        }
        for name in set(self._lines) - kept:
            self._lines.pop(name).close()
        self._sensors, self._windows_ms = sensors, windows_ms
        self._names_by_path = {}
        for name, sensor in sensors.items():
            if sensor.file is not None:
                self._names_by_path.setdefault(sensor.file, []).append(name)
        self.door.expect({name: sensor.measures for name, sensor in sensors.items()}, kept=alike)
        sourced = {
            name: sensor.every_ms
            for name, sensor in sensors.items()
            if sensor.file is not None or sensor.line is not None
        }
        for name in sensors.keys() - sourced.keys() - alike:
            self.door.miss(name, "it has neither a file nor a line: known only in a dry run")
        self._rounds.set(sourced)
        self._flow_watch.set(
            {
                name: Pumped(load.flow, load.flow_within)
                for name, load in plan.loads.items()
                if load.flow is not None and load.flow in sourced
            }
        )
        self._read([name for name in sourced if name not in kept])
        self._cancel_again()
        if self._lineless():
            self._again = asyncio.get_running_loop().call_later(
                _AGAIN_S, lambda: self._read(self._lineless())
            )

    def attend(self, loads_on: Collection[str]) -> None:
        """Takes notice of the loads that are on now: a pump's flow meter is read when water
        must have arrived, and as often as its want must be noticed."""
        self._flow_watch.attend(loads_on)

    def summaries(self) -> Sequence[Summary]:
        """The readings since the last call, summed up by sensor."""
        return self.door.summaries()

    def close(self) -> None:
        """Reads nothing more and gives the lines back; repeatable."""
        self._is_closed = True
        self._cancel_again()
        self._rounds.close()
        self._flow_watch.set({})
        self._threads.close()
        while self._lines:
            self._lines.popitem()[1].close()

    def _lineless(self) -> Sequence[str]:
        """The sensors that hang on a line which could not be had."""
        return [
            name
            for name, sensor in self._sensors.items()
            if sensor.line is not None and name not in self._lines
        ]

    def _cancel_again(self) -> None:
        if self._again is not None:
            self._again.cancel()

    # Reading

    def _read(self, names: Sequence[str]) -> None:
        paths = []
        for name in names:
            sensor = self._sensors[name]
            if sensor.file is not None:
                paths.append(sensor.file)
            else:
                self._read_line(name, sensor)
        if paths:
            self._threads.ask(paths)

    def _take(self, answers: Sequence[Answer]) -> None:
        _, tick = self._read_clock()
        for answer in answers:
            for name in self._names_by_path.get(answer.path, ()):
                if answer.value is None:
                    self.door.miss(name, answer.why)
                    continue
                sensor = self._sensors[name]
                value = (answer.value + sensor.offset) * sensor.scale
                self.door.take(name, value, tick - answer.age_ms)

    def _read_line(self, name: str, sensor: Sensor) -> None:
        """Reads a line; one that cannot be had or has been lost is claimed anew the next time."""
        try:
            on_line = self._lines.get(name) or self._claim(name, sensor)
            self._lines[name] = on_line
            _, tick = self._read_clock()
            value = on_line.read(tick) if isinstance(on_line, FlowMeter) else on_line.read()
        except UnusableLineError as error:
            self.door.miss(name, str(error))
            if name in self._lines:
                self._lines.pop(name).close()
            return
        if value is not None:
            self.door.take(name, value, tick)

    def _claim(self, name: str, sensor: Sensor) -> _OnLine:
        assert sensor.line is not None
        if sensor.pulses_per_litre is not None:
            return FlowMeter(
                self._inputs,
                sensor.line,
                pull=sensor.pull,
                pulses_per_litre=sensor.pulses_per_litre,
                window_ms=self._windows_ms[name],
                tick=self._read_clock()[1],
            )
        return ContactSensor(
            self._inputs,
            sensor.line,
            quantity=sensor.measures,
            kind=sensor.contact,
            pull=sensor.pull,
            debounce_ms=sensor.debounce,
            tell=lambda value: self.door.take(name, value, self._read_clock()[1]),
        )


def _means_as(one: Sensor, other: Sensor) -> bool:
    """Whether readings of both mean the same: of one quantity, from one source, by one scale. How
    often it is read, how long a contact must rest and when a reading is stale may differ."""
    return one.model_copy(update={name: getattr(other, name) for name in _OF_TIME}) == other


def _windows_ms(plan: Plan) -> dict[str, int]:
    """Over how long each flow meter counts: as long as it is left alone between two readings."""
    windows_ms = {}
    for name, sensor in plan.sensors.items():
        if sensor.pulses_per_litre is not None:
            within_ms = [load.flow_within for load in plan.loads.values() if load.flow == name]
            apart_ms = max(SENSOR_EVERY_MS_MIN, min([sensor.every_ms, *within_ms]))
            windows_ms[name] = int(apart_ms * _WINDOW_SHARE)
    return windows_ms
