"""What a controller looks after every second: that its relays obey, that its loop decides, and
what its clock is worth."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.core.observation import Tick
    from controller.core.units import Instant
    from controller.daemon.loop import ControlLoop
    from controller.daemon.parts import Parts
    from controller.daemon.world import ControllerWorld

_ALIVE_EVERY_MS = 5_000


class Upkeep:
    """The duties of a `Watch`. `fail` ends the controller with safe relays, so that the service
    manager starts afresh."""

    def __init__(
        self,
        parts: Parts,
        *,
        loop: ControlLoop,
        world: ControllerWorld,
        fail: Callable[[BaseException], None],
    ) -> None:
        self._parts = parts
        self._loop = loop
        self._world = world
        self._fail = fail
        self._alive_at: Tick = 0

    @property
    def duties(self) -> tuple[Callable[[], bool], ...]:
        """Each answers whether what it looks after lives."""
        return self._look_at_relays, self._look_at_loop, self._look_at_clock

    def mark_alive(self, now: Instant, tick: Tick) -> None:
        """Writes down that the controller was alive at this moment."""
        if self._parts.rehearsal is None:  # whose clock is not this board's
            self._parts.alive.set(now, tick)

    def _look_at_relays(self) -> bool:
        try:
            self._world.look_after_relays()
        except Exception as error:  # noqa: BLE001 - nobody knows what the relays do: an end
            self._fail(error)
            return False
        return True

    def _look_at_loop(self) -> bool:
        return not self._loop.is_overdue()

    def _look_at_clock(self) -> bool:
        clock = self._parts.clock
        clock.look_at_trust()
        now, tick = clock.read()
        if tick >= self._alive_at:
            self._alive_at = tick + _ALIVE_EVERY_MS
            self.mark_alive(now, tick)
        return True
