"""Sensors of a mock board: files are read where there are any, the rest is modelled."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from controller.core.journal_entry import Summary
    from controller.core.observation import Reading, Tick
    from controller.core.plan import Plan
    from controller.daemon.ports import Sensors


class MockBoardSensors:
    """Readings of both; what a file says goes before what is modelled."""

    def __init__(self, *, read: Sensors, modelled: Sensors) -> None:
        self._read = read
        self._modelled = modelled
        self._of_files: frozenset[str] = frozenset()
        self._parts: tuple[Mapping[str, Reading], Mapping[str, Reading]] | None = None
        self._readings: Mapping[str, Reading] = {}

    def watch(self, plan: Plan) -> None:
        """Reads and models the sensors of this plan from now on, and no others."""
        of_files = {name: its for name, its in plan.sensors.items() if its.file is not None}
        self._of_files = frozenset(of_files)
        self._read.watch(plan.model_copy(update={"sensors": of_files}))
        self._modelled.watch(plan)
        self._parts = None

    @property
    def readings(self) -> Mapping[str, Reading]:
        """The latest of each sensor; the same object while nothing new was read."""
        read, modelled = self._read.readings, self._modelled.readings
        if self._parts is None or self._parts[0] is not read or self._parts[1] is not modelled:
            self._parts = read, modelled
            others = {k: v for k, v in modelled.items() if k not in self._of_files}
            self._readings = {**others, **read}
        return self._readings

    def next_look(self) -> Tick:
        """When a reading changes by itself, at the latest."""
        return min(self._read.next_look(), self._modelled.next_look())

    def attend(self, loads_on: Collection[str]) -> None:
        """Takes notice of the loads that are on now."""
        self._read.attend(loads_on)

    def summaries(self) -> Sequence[Summary]:
        """Of what was read."""
        return self._read.summaries()

    def close(self) -> None:
        """Reads nothing more; repeatable."""
        self._read.close()
        self._modelled.close()
