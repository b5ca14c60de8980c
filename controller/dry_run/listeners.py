"""Who hears of a run: each listener is told every change, once, in time order."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.orders import Notice, Reason
    from controller.core.units import Instant


class Listener(Protocol):
    """Something that wants to know what happens in a run.

    Instants are true time (what a perfect clock shows), also where the controller's
    clock is wrong. Loads are told by their place in the plan. A change at the very start
    is part of the starting state; nothing is told at or after the end.
    """

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """The state of every load at the start."""

    def change(
        self, instant: Instant, place: int, reason: Reason, *, is_on: bool, is_wet: bool
    ) -> None:
        """A load changed. `is_wet` is whether water moves: False for a pump that is on
        and fails."""

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Something for the journal happened."""

    def finish(self, end: Instant) -> None:
        """The run is over; a state that still lasts ends here."""
