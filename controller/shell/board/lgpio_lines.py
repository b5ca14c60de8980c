"""The real lines: gpiozero's lgpio factory, with pins that open without a false level.

What the stock classes do, and why it must not reach a relay (gpiozero 2.0.1.post3,
pins/lgpio.py; lgpio 0.2.2, lgGpio.c):

- a new pin claims its line as an input; its way to an output goes through low, which is *on*
  for a relay board that is active low. Here a new pin touches nothing, and an output opens
  by one claim that carries the level;
- closing a pin makes its line a floating input. Here it is freed as it is: whether it then
  keeps its level is the kernel driver's choice, and one that we do not spoil;
- `gpio_claim_output` of a line that is claimed as an output already does nothing, without
  saying so; `gpio_read` of a line that is not claimed makes it an input; a line beyond the
  chip's end reads and writes foreign memory. `relays` and `pin` below keep clear of these.

Only `board` imports this file, after `lgpio_import`.
"""

from __future__ import annotations

from typing import Any

import lgpio  # type: ignore[import-untyped]
from gpiozero.exc import GPIOZeroError, PinInvalidPin  # type: ignore[import-untyped]
from gpiozero.pins.lgpio import LGPIOFactory, LGPIOPin  # type: ignore[import-untyped]

from controller.core.errors import UnusableBoardError
from controller.shell.board.chips import Chip


class RelayPin(LGPIOPin):  # type: ignore[misc]
    """An output that opens in one step and is let go of as it is."""

    def __init__(self, factory: RelayFactory, info: Any) -> None:
        super(LGPIOPin, self).__init__(factory, info)  # not LGPIOPin's: it claims an input
        self._pwm = None
        self._bounce = None
        self._callback = None
        self._edges = lgpio.BOTH_EDGES

    def output_with_state(self, state: bool) -> None:  # noqa: FBT001 - gpiozero's own name
        """Makes the line an output of that level, by one claim."""
        lgpio.gpio_claim_output(self.factory.handle, self._number, int(state))

    def let_go(self) -> None:
        """Frees the line as it is."""
        lgpio.gpio_free(self.factory.handle, self._number)

    def close(self) -> None:
        """Does nothing: who lets go of a line says so by `let_go`."""


class RelayFactory(LGPIOFactory):  # type: ignore[misc]
    """The board's header, on the chip that gpiozero chooses for the board.

    Raises:
        UnusableBoardError: the chip cannot be opened, or the board is not known.
    """

    _handle: int | None = None

    def __init__(self) -> None:
        try:
            super().__init__()
            _, lines, name, label = lgpio.gpio_get_chip_info(self._handle)
        except (lgpio.error, GPIOZeroError, OSError) as error:
            if self._handle is not None:
                lgpio.gpiochip_close(self._handle)
            raise UnusableBoardError(f"the GPIO lines cannot be opened: {_told(error)}") from error
        # Its own: the stock one is shared by all factories, closed ones included.
        self.pins: dict[Any, RelayPin] = {}
        self.pin_class = RelayPin
        self.chip_info = Chip(f"/dev/gpiochip{self.chip}", str(label or name), int(lines))

    @property
    def handle(self) -> int:
        """The chip, as lgpio knows it.

        Raises:
            GPIOZeroError: the board is closed.
        """
        if self._handle is None:
            raise GPIOZeroError("the board is closed")
        return self._handle

    def pin(self, name: int) -> RelayPin:
        """The header's line of that BCM number; touches no hardware."""
        if name >= self.chip_info.lines:
            raise PinInvalidPin(f"the chip has lines 0 to {self.chip_info.lines - 1} only")
        return super().pin(name)  # type: ignore[no-any-return]

    def trouble(self, line: int, error: Exception) -> str:
        """What an error at that line means, in words."""
        if isinstance(error, PinInvalidPin):
            return f"line {line} is not on this board's header: {error}"
        if isinstance(error, lgpio.error) and _told(error) == lgpio.error_text(lgpio.GPIO_BUSY):
            return f"line {line} is in use by {self._user_of(line)}"
        return f"line {line} fails: {_told(error)}"

    def _user_of(self, line: int) -> str:
        try:
            user = str(lgpio.gpio_get_line_info(self.handle, line)[4])
        except (lgpio.error, GPIOZeroError, OSError):
            user = ""
        return f"another program, which calls itself {user!r}" if user else "another program"

    def close(self) -> None:
        """Closes the chip; lines still held go back to the kernel as they are."""
        handle, self._handle = self._handle, None
        self.pins.clear()
        if handle is not None:
            lgpio.gpiochip_close(handle)


def _told(error: Exception) -> str:
    """The text of an error; lgpio's quotes its own."""
    return str(error.value) if isinstance(error, lgpio.error) else str(error) or repr(error)
