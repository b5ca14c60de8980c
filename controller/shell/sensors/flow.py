"""A flow meter on a line: pulses become litres a minute."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import UnusableLineError
from controller.core.units import MINUTE_MS

if TYPE_CHECKING:
    from controller.core.observation import Tick
    from controller.shell.sensors.inputs import Inputs, Pull


class _Mark(NamedTuple):
    tick: Tick
    total: int


class FlowMeter:
    """One meter. A reading is the mean over `window_ms` or a little more, at most twice that,
    and less only just after the meter was taken into use: no flow is told only when none
    came for so long, however often one asks.

    Raises:
        UnusableLineError: the line cannot be had.
    """

    def __init__(
        self,
        inputs: Inputs,
        line: int,
        *,
        pull: Pull,
        pulses_per_litre: float,
        window_ms: int,
        tick: Tick,
    ) -> None:
        self._inputs = inputs
        self._line = line
        self._pulses_per_litre = pulses_per_litre
        self._window_ms = window_ms
        self._counter = inputs.count(line, pull=pull)
        try:
            self._latest = self._earlier = _Mark(tick, self._counter.read().total)
        except UnusableLineError:
            self.close()
            raise

    def read(self, tick: Tick) -> float | None:
        """L/min until now; None before the first window is over.

        Raises:
            UnusableLineError: the line cannot be read any more.
        """
        mark = _Mark(tick, self._counter.read().total)
        if mark.tick - self._latest.tick >= self._window_ms:
            self._earlier, self._latest = self._latest, mark
        since = self._earlier
        if mark.tick - since.tick < self._window_ms:
            return None
        litres = (mark.total - since.total) / self._pulses_per_litre
        return litres * MINUTE_MS / (mark.tick - since.tick)

    def close(self) -> None:
        """Gives the line back; repeatable."""
        self._inputs.unwatch(self._line)
