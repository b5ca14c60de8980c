"""The door through which every reading comes, whatever its source."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from controller.core.errors import NoReadingError
from controller.core.journal_entry import Summary
from controller.core.observation import Reading
from controller.core.units import shown
from controller.shell.sensors.plausible import checked
from controller.shell.sensors.tally import Tally

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence

    from controller.core.observation import Tick
    from controller.core.plan import Quantity
    from controller.core.units import Instant

_NO_READING_YET = "it has not been read yet"


class Readings:
    """The latest reading of each sensor that the plan has, or why there is none.

    `read_clock` gives the instant and the tick, read together; `on_news` is called, in the
    caller's thread, whenever a reading has come. All in the loop's thread.
    """

    def __init__(
        self, read_clock: Callable[[], tuple[Instant, Tick]], on_news: Callable[[], None]
    ) -> None:
        self._read_clock = read_clock
        self._on_news = on_news
        self._quantities: Mapping[str, Quantity] = {}
        self._latest: dict[str, Reading] = {}
        self._shown: Mapping[str, Reading] = MappingProxyType({})
        self._is_shown_fresh = True
        self._why_silent: dict[str, str] = {}
        self._tallies: dict[str, Tally] = {}
        self._summed_since: Tick = read_clock()[1]

    @property
    def latest(self) -> Mapping[str, Reading]:
        """The latest of each sensor; the same object while nothing new was read."""
        if not self._is_shown_fresh:
            self._shown = MappingProxyType(dict(self._latest))
            self._is_shown_fresh = True
        return self._shown

    @property
    def why_silent(self) -> Mapping[str, str]:
        """Why the last attempt at a sensor gave no reading, of those where it gave none."""
        return self._why_silent

    def expect(self, quantities: Mapping[str, Quantity], *, kept: Collection[str]) -> None:
        """From now on these sensors and no others; of those `kept` the readings stay."""
        self._quantities = dict(quantities)
        latest = {name: one for name, one in self._latest.items() if name in kept}
        if latest != self._latest:
            self._latest, self._is_shown_fresh = latest, False
        for of_sensor in (self._tallies, self._why_silent):
            for name in set(of_sensor) - set(kept):
                del of_sensor[name]
        for name in quantities:
            if name not in kept:
                self._why_silent[name] = _NO_READING_YET

    def put(self, sensor: str, value: float, taken: Tick) -> None:
        """Takes a reading in the unit of its quantity, made at that tick, and tells of it.

        Raises:
            NoReadingError: the plan has no such sensor, the value cannot be believed, or it
                is from the future or older than the one that is there. The sensor's earlier
                reading stays, and grows stale.
        """
        quantity = self._quantities.get(sensor)
        if quantity is None:
            raise NoReadingError(f"the plan has no sensor {shown(sensor)}")
        value = checked(quantity, value)
        self._check_time(sensor, taken)
        self._latest[sensor] = Reading(value, taken)
        self._is_shown_fresh = False
        self._why_silent.pop(sensor, None)
        self._tallies.setdefault(sensor, Tally()).add(value)
        self._on_news()

    def _check_time(self, sensor: str, taken: Tick) -> None:
        _, tick = self._read_clock()
        before = self._latest.get(sensor)
        if taken > tick:
            raise NoReadingError(f"it is {taken - tick} ms from the future")
        if before is not None and taken < before.taken:
            raise NoReadingError(f"it is {before.taken - taken} ms older than the one before")

    def take(self, sensor: str, value: float, taken: Tick) -> None:
        """Like `put`, from a source that nobody waits for: what cannot be believed is noted."""
        try:
            self.put(sensor, value, taken)
        except NoReadingError as error:
            self.miss(sensor, str(error))

    def miss(self, sensor: str, why: str) -> None:
        """Takes notice of an attempt that gave no reading, of a sensor that the plan has."""
        if sensor in self._quantities:
            self._why_silent[sensor] = why

    def summaries(self) -> Sequence[Summary]:
        """The readings since the last call, by sensor; none of a sensor that gave none."""
        now, tick = self._read_clock()
        start = now - (tick - self._summed_since)
        tallies, self._tallies, self._summed_since = self._tallies, {}, tick
        return [
            Summary(sensor, start, now, of.count, of.least, of.mean, of.most)
            for sensor, of in sorted(tallies.items())
        ]
