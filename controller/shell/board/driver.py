"""What the relays need of a driver: one real, one mock, both made of gpiozero's factories."""

from __future__ import annotations

from typing import Protocol


class OutputPin(Protocol):
    """One line as an output."""

    state: bool
    """The line's level (True: high). Reading asks the hardware where it can tell."""

    def output_with_state(self, state: bool) -> None:  # noqa: FBT001 - gpiozero's own name
        """Makes the line an output of that level in one step, without another level between.

        A line that is an output of ours already is set. After an error the next call does
        whichever is needed: the pin knows whether the line is ours.
        """

    def let_go(self) -> None:
        """Gives the line back to the kernel as it is; never makes it an input itself."""


class Driver(Protocol):
    """A board's lines; any call may raise whatever the library under it raises."""

    def pin(self, line: int) -> OutputPin:
        """The line of that BCM number; touches no hardware."""

    def trouble(self, line: int, error: Exception) -> str:
        """What an error at that line means, in words; never raises."""

    def close(self) -> None:
        """Gives everything back; repeatable."""
