"""Mock lines: gpiozero's mock factory with pins that behave as the real ones do."""

from __future__ import annotations

from typing import Any

from gpiozero.exc import GPIOZeroError
from gpiozero.pins.mock import MockFactory, MockPin

# A compute module: its header has lines 0 to 45, more than other boards' (gpiozero/pins/data.py).
_REVISION = "a020a0"


class MockLine(MockPin):  # type: ignore[misc]
    """An output that opens in one step, keeps its level when let go of, and remembers all."""

    def __init__(self, factory: MockRelayFactory, info: Any) -> None:
        super().__init__(factory, info)
        self.history: list[bool] = []
        self.stuck_at: bool | None = None
        self.is_busy = False

    def output_with_state(self, state: bool) -> None:  # noqa: FBT001 - gpiozero's own name
        """Makes the line an output of that level."""
        if self.is_busy:
            raise GPIOZeroError("in use by another program")
        self._function = "output"
        self._set_state(state)

    def _set_state(self, value: bool) -> None:  # noqa: FBT001 - gpiozero's own name
        super()._set_state(bool(value) if self.stuck_at is None else self.stuck_at)
        level = bool(self._state)
        if not self.history or self.history[-1] is not level:
            self.history.append(level)

    def let_go(self) -> None:
        """Gives the line back; it keeps its level."""
        self._function = "input"

    def close(self) -> None:
        """Does nothing: who lets go of a line says so by `let_go`."""


class MockRelayFactory(MockFactory):  # type: ignore[misc]
    """A board of which nothing hangs."""

    def __init__(self) -> None:
        super().__init__(revision=_REVISION, pin_class=MockLine)

    def trouble(self, line: int, error: Exception) -> str:
        """What an error at that line means, in words."""
        return f"line {line} fails: {str(error) or repr(error)}"

    def close(self) -> None:
        """Nothing is held that could be given back."""
