"""When a flow meter is read while its pump is on: when water must have arrived, and then as
often as its want must be noticed."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence

# The decision counts from its own tick, which is a little before its orders are carried out.
_AFTER_ARRIVAL_S = 0.02
_EVERY_S_MIN = 1.0


class Pumped(NamedTuple):
    """The meter that must see a pump's water, and within which time."""

    meter: str
    within_ms: int


class FlowWatch:
    """Calls `read` with the meter of each pump that is on, at the moments that matter."""

    def __init__(self, read: Callable[[Sequence[str]], None]) -> None:
        self._read = read
        self._loop = asyncio.get_running_loop()
        self._pumps: Mapping[str, Pumped] = {}
        self._timers: dict[str, asyncio.TimerHandle] = {}  # by pump that is on

    def set(self, pumps: Mapping[str, Pumped]) -> None:
        """From now on these pumps and no others; those that are on go on being watched."""
        on = [name for name in self._timers if name in pumps]
        changed = [name for name in on if pumps[name] != self._pumps[name]]
        self._pumps = dict(pumps)
        for name in set(self._timers) - (set(on) - set(changed)):
            self._timers.pop(name).cancel()
        for name in changed:
            self._arm(name, pumps[name].within_ms / 1000 + _AFTER_ARRIVAL_S)

    def attend(self, loads_on: Collection[str]) -> None:
        """Takes notice of the loads that are on now."""
        for name, pump in self._pumps.items():
            if name in loads_on and name not in self._timers:
                self._arm(name, pump.within_ms / 1000 + _AFTER_ARRIVAL_S)
            elif name not in loads_on and name in self._timers:
                self._timers.pop(name).cancel()

    def _arm(self, name: str, after_s: float) -> None:
        self._timers[name] = self._loop.call_later(after_s, self._on_time, name)

    def _on_time(self, name: str) -> None:
        pump = self._pumps[name]
        self._arm(name, max(_EVERY_S_MIN, pump.within_ms / 1000))
        self._read([pump.meter])
