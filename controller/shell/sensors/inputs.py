"""What sensors need of a board's input lines; the real ones are the board's."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, Protocol, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.core.observation import Tick

Pull: TypeAlias = Literal["up", "down", "none"]


class Inputs(Protocol):
    """Contacts and pulses on lines. Each raises UnusableLineError where a line cannot be used."""

    def watch(
        self,
        line: int,
        *,
        pull: Pull,
        debounce_ms: int,
        on_change: Callable[[bool, Tick], None],
    ) -> bool:
        """Watches a contact; its line's level now (True: high). Changes that have rested for
        `debounce_ms` are told to `on_change`, in a thread of the board's."""

    def count(self, line: int, *, pull: Pull) -> Counter:
        """Counts a line's pulses from now on."""

    def read(self, line: int) -> bool:
        """The level of a line that is watched."""

    def unwatch(self, line: int) -> None:
        """Ends watching or counting a line; repeatable."""


class Counter(Protocol):
    """The pulses of one line."""

    def read(self) -> Pulses:
        """All pulses since the counting began."""


class Pulses(Protocol):
    """A count."""

    @property
    def total(self) -> int:
        """How many there were."""
