"""Sensors that read what a test says."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence

from controller.core.journal_entry import Summary
from controller.core.observation import Reading, Tick
from controller.core.plan import Plan


class StageSensors:
    """Readings set by hand; each setting wakes the loop, as an edge would."""

    def __init__(self, wake_up: Callable[[], None]) -> None:
        self._wake_up = wake_up
        self.readings: Mapping[str, Reading] = {}
        self.watched: Plan | None = None

    def set(self, sensor: str, value: float, *, taken: Tick) -> None:
        """A sensor speaks."""
        self.readings = {**self.readings, sensor: Reading(value, taken)}
        self._wake_up()

    def next_look(self) -> Tick:
        """Never: settings wake the loop."""
        return 10**15

    def watch(self, plan: Plan) -> None:
        """Takes notice of the plan."""
        self.watched = plan

    def attend(self, loads_on: Collection[str]) -> None:
        """Nothing hangs on it."""

    def summaries(self) -> Sequence[Summary]:
        """Nothing."""
        return ()

    def close(self) -> None:
        """Nothing to let go of."""
