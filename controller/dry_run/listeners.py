"""Who hears of a run: each listener is told every change, once, in time order."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple, Protocol, TypeAlias, runtime_checkable

from controller.core.recurrence import later_reason

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
        """A load changed, or another rule now keeps it as it is. `is_wet` is whether water
        moves: False for a pump that is on and fails."""

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Something for the journal happened."""

    def finish(self, end: Instant) -> None:
        """The run is over; a state that still lasts ends here."""


class Change(NamedTuple):
    """A change of a load as it was told."""

    instant: Instant
    place: int
    reason: Reason
    is_on: bool
    is_wet: bool

    def later(self, by_ms: int) -> Change:
        """The same change so much later."""
        return self._replace(instant=self.instant + by_ms, reason=later_reason(self.reason, by_ms))


class Noted(NamedTuple):
    """A notice as it was told."""

    instant: Instant
    notice: Notice


Told: TypeAlias = Change | Noted


@runtime_checkable
class BulkListener(Protocol):
    """A listener that can take the same again, so often, in one go."""

    def again(self, told: Sequence[Told], *, period_ms: int, times: int) -> None:
        """What was told last, of the `period_ms` that are just over, happens as many times
        more, each time a period later. At least one load changed, and the states at the
        period's begin and at its end are the same."""


def tell_again(
    listener: Listener, told: Sequence[Told], *, period_ms: int, times: int, first: int = 1
) -> None:
    """Tells a listener the same again, one by one: from the `first` time on."""
    for shift_ms in range(first * period_ms, (times + 1) * period_ms, period_ms):
        for one in told:
            if isinstance(one, Change):
                listener.change(
                    one.instant + shift_ms,
                    one.place,
                    later_reason(one.reason, shift_ms),
                    is_on=one.is_on,
                    is_wet=one.is_wet,
                )
            else:
                listener.notice(one.instant + shift_ms, one.notice)


class Tape:
    """A listener that keeps what it is told, while that is wanted."""

    def __init__(self) -> None:
        self.told: list[Told] = []
        self.is_running = False

    def start(self) -> None:
        """Keeps what comes, and forgets what was."""
        self.told, self.is_running = [], True

    def stop(self) -> None:
        """Keeps nothing more."""
        self.told, self.is_running = [], False

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """The states at the start are no change."""

    def change(
        self, instant: Instant, place: int, reason: Reason, *, is_on: bool, is_wet: bool
    ) -> None:
        """Keeps it."""
        if self.is_running:
            self.told.append(Change(instant, place, reason, is_on, is_wet))

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Keeps it."""
        if self.is_running:
            self.told.append(Noted(instant, notice))

    def finish(self, end: Instant) -> None:
        """Nothing to do."""
