"""How far a run is, told now and then."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from controller.core.orders import Notice, Reason
    from controller.core.units import Instant

_APART_S = 0.2  # a bar that moves more often is not read better


class Progress:
    """The listener that tells which share of a run's time is done, from 0 to 1."""

    def __init__(self, start: Instant, end: Instant, tell: Callable[[float], None]) -> None:
        self._start = start
        self._length_ms = end - start
        self._tell = tell
        self._next_s = time.monotonic() + _APART_S

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """Tells nothing yet."""

    def change(
        self,
        instant: Instant,
        place: int,  # noqa: ARG002 - only time matters here
        reason: Reason,  # noqa: ARG002
        *,
        is_on: bool,  # noqa: ARG002
        is_wet: bool,  # noqa: ARG002
    ) -> None:
        """Tells, unless that was just done."""
        now_s = time.monotonic()
        if now_s >= self._next_s:
            self._next_s = now_s + _APART_S
            self._tell((instant - self._start) / self._length_ms)

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Tells nothing."""

    def finish(self, end: Instant) -> None:
        """Tells nothing: what came of it is about to be told."""
