"""Sensors of a mock board: files are read where there are any, the rest is modelled."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence

    from controller.core.journal_entry import Summary
    from controller.core.observation import Reading, Tick
    from controller.core.plan import Plan
    from controller.daemon.ports import Sensors


class MockBoardSensors:
    """Readings of both; what a file says goes before what is modelled.

    `make_modelled` is called once a plan has a sensor without a file.
    """

    def __init__(self, *, read: Sensors, make_modelled: Callable[[], Sensors]) -> None:
        self._read = read
        self._make_modelled = make_modelled
        self._modelled: Sensors | None = None
        self._of_files: frozenset[str] = frozenset()
        self._parts: tuple[Mapping[str, Reading], Mapping[str, Reading]] | None = None
        self._readings: Mapping[str, Reading] = {}

    def watch(self, plan: Plan) -> None:
        """Reads and models the sensors of this plan from now on, and no others."""
        of_files = {name: its for name, its in plan.sensors.items() if its.file is not None}
        self._of_files = frozenset(of_files)
        self._read.watch(plan.model_copy(update={"sensors": of_files}))
        if self._modelled is None and len(of_files) < len(plan.sensors):
            self._modelled = self._make_modelled()
        if self._modelled is not None:
            self._modelled.watch(plan)
        self._parts = None

    @property
    def readings(self) -> Mapping[str, Reading]:
        """The latest of each sensor; the same object while nothing new was read."""
        read = self._read.readings
        if self._modelled is None:
            return read
        modelled = self._modelled.readings
        if self._parts is None or self._parts[0] is not read or self._parts[1] is not modelled:
            self._parts = read, modelled
            others = {k: v for k, v in modelled.items() if k not in self._of_files}
            self._readings = {**others, **read}
        return self._readings

    def next_look(self) -> Tick:
        """When a reading changes by itself, at the latest."""
        look = self._read.next_look()
        return look if self._modelled is None else min(look, self._modelled.next_look())

    def attend(self, loads_on: Collection[str]) -> None:
        """Takes notice of the loads that are on now."""
        self._read.attend(loads_on)

    def summaries(self) -> Sequence[Summary]:
        """Of what was read."""
        return self._read.summaries()

    def close(self) -> None:
        """Reads nothing more; repeatable."""
        self._read.close()
        if self._modelled is not None:
            self._modelled.close()
