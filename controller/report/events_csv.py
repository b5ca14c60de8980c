"""The events file: every change of every load as a line of CSV, written as it happens."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING

from controller.core.units import rfc3339
from controller.core.words import sentence

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import TextIO

    from controller.core.orders import Notice, Reason
    from controller.core.schedule import Schedule
    from controller.core.units import Instant

HEADER = ("utc", "load", "state", "reason")


class EventsCsv:
    """The listener that writes the events file to an open stream, and never closes it.

    One row for each load with its state at the start, then one for each change of state,
    in time order. Open the stream with `newline=""`. Lines end with a line feed, fields
    are quoted where RFC 4180 asks for it.
    """

    def __init__(self, schedule: Schedule, stream: TextIO) -> None:
        self._schedule = schedule
        self._writer = csv.writer(stream, lineterminator="\n")
        self._states: list[bool] = []

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """Writes the header and the state of every load at the start."""
        self._writer.writerow(HEADER)
        self._states = [is_on for is_on, _ in states]
        for place, (is_on, reason) in enumerate(states):
            self._write(start, place, reason, is_on=is_on)

    def change(
        self,
        instant: Instant,
        place: int,
        reason: Reason,
        *,
        is_on: bool,
        is_wet: bool,  # noqa: ARG002 - what the relay does is told, not what the water does
    ) -> None:
        """Writes a change of state; a change of the reason or of the wetness alone is none."""
        if is_on is not self._states[place]:
            self._states[place] = is_on
            self._write(instant, place, reason, is_on=is_on)

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Writes nothing: the file has states only."""

    def finish(self, end: Instant) -> None:
        """Writes nothing: nothing happens at the end."""

    def _write(self, instant: Instant, place: int, reason: Reason, *, is_on: bool) -> None:
        load = self._schedule.loads[place]
        text = sentence(reason, load, is_on=is_on, now=instant, calendar=self._schedule.calendar)
        self._writer.writerow((rfc3339(instant), load.name, "on" if is_on else "off", text))
