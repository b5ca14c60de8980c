"""gpiozero's pins on the kernel's GPIO character device: outputs that never have a false level.

The factories that gpiozero brings along do not suit a relay. With the one that it prefers
(gpiozero 2.0.1.post3, pins/lgpio.py; lgpio 0.2.2) a new pin claims its line as an input; its way
to an output goes through low, which is *on* for a relay board that is active low; a closed pin
is a floating input; and a thread wakes up 50 times a second. So here a new pin touches nothing,
an output opens by one request that carries its level, and a closed pin's line is freed as it is:
whether it then keeps its level is the kernel driver's choice, and one that we do not spoil.

A relay is switched by its pin, not by one of gpiozero's devices: those take a lock as they open
and close, on which a signal handler that releases the lines would wait for ever.
"""

from __future__ import annotations

import errno
import struct
from contextlib import ExitStack
from typing import TYPE_CHECKING, Any

from gpiozero.exc import GPIOZeroError, PinInvalidFunction, PinInvalidPin, PinUnknownPi
from gpiozero.pins.local import LocalPiFactory, LocalPiPin, get_pi_revision
from gpiozero.pins.pi import PiBoardInfo

from controller.core.errors import UnusableBoardError
from controller.shell.board import emergency
from controller.shell.board.gpio_device import Kernel, level_of, set_level

if TYPE_CHECKING:
    from controller.shell.board.chips import Chip

_KERNEL = Kernel()
_HANDLE = struct.Struct("=i")  # the last field of `emergency.LINE_REQUEST`
_NO_HANDLE = _HANDLE.pack(-1)
# Of a board that will never be; gpiozero gives such a one the header of 40 pins, lines 0 to 27.
_UNKNOWN_REVISION = 0x800FF0


class RelayPin(LocalPiPin):  # type: ignore[misc]
    """An output that opens in one step and is let go of as it is; it is nothing else.

    From its claim until it is let go of there is no moment at which nobody knows that the line
    is ours: the kernel writes the line's descriptor into `_request` as it answers, and a signal
    handler that runs next finds it there.
    """

    def __init__(self, factory: RelayFactory, info: Any) -> None:
        super().__init__(factory, info)
        self._request = emergency.output_request(self._number, level=False)
        self._forget()

    def output_with_state(self, state: bool) -> None:  # noqa: FBT001 - gpiozero's own name
        """Makes the line an output of that level, by one request; ours already, it is only set.

        Raises:
            OSError: the kernel refuses; EBUSY: the line is somebody's.
            GPIOZeroError: the board is closed.
        """
        if self._handle is not None:
            self.state = state
            return
        chip = self.factory.handle
        wanted = emergency.output_request(self._number, level=bool(state))
        # All but the descriptor, which a signal handler may have got by now: then we are refused.
        self._request[: -_HANDLE.size] = wanted[: -_HANDLE.size]
        self.factory.kernel.ioctl(chip, emergency.GET_LINE, self._request)

    def let_go(self) -> None:
        """Frees the line as it is; repeatable."""
        handle = self._handle
        if handle is not None:
            self._forget()  # first: the number may be another file's as soon as it is closed
            self.factory.kernel.close(handle)

    def close(self) -> None:
        """Lets go; what gpiozero calls."""
        self.let_go()

    @property
    def _handle(self) -> int | None:
        handle = int(_HANDLE.unpack_from(self._request, len(self._request) - _HANDLE.size)[0])
        return handle if handle >= 0 else None

    def _forget(self) -> None:
        self._request[-_HANDLE.size :] = _NO_HANDLE

    def _held(self) -> int:
        if (handle := self._handle) is None:
            raise GPIOZeroError(f"{self!r} is not claimed")
        return handle

    def _get_state(self) -> bool:
        return level_of(self._held(), self.factory.kernel.ioctl)

    def _set_state(self, value: bool) -> None:  # noqa: FBT001 - gpiozero's own name
        set_level(self._held(), level=bool(value), ioctl=self.factory.kernel.ioctl)

    def _get_function(self) -> str:
        return "free" if self._handle is None else "output"

    def _set_function(self, value: str) -> None:
        raise PinInvalidFunction(
            f"{self!r} becomes an output by output_with_state, and never {value!r} without a level"
        )


class RelayFactory(LocalPiFactory):  # type: ignore[misc]
    """The lines of one chip that are on the board's header.

    Raises:
        UnusableBoardError: the chip cannot be opened.
    """

    def __init__(self, chip: Chip, kernel: Kernel = _KERNEL) -> None:
        super().__init__()
        # Its own: the stock ones are shared by all factories, closed ones included.
        self.pins: dict[Any, RelayPin] = {}
        self._board: PiBoardInfo | None = None
        self.chip = chip
        self.kernel = kernel
        try:
            self._handle: int | None = kernel.open(chip.device)
        except OSError as error:
            raise UnusableBoardError(
                f"the GPIO lines cannot be opened: {chip.device}: {error.strerror}"
            ) from error

    @property
    def handle(self) -> int:
        """The chip's descriptor.

        Raises:
            GPIOZeroError: the board is closed.
        """
        if self._handle is None:
            raise GPIOZeroError("the board is closed")
        return self._handle

    def pin(self, name: int) -> RelayPin:
        """The header's line of that BCM number; touches no hardware."""
        if name >= self.chip.lines:
            raise PinInvalidPin(f"the chip has lines 0 to {self.chip.lines - 1} only")
        for _, info in self.board_info.find_pin(name):
            # In one step: of two that a signal handler makes of a line, only the first is used.
            return self.pins.setdefault(info, RelayPin(self, info))
        raise PinInvalidPin(f"{name} is not a valid pin name")

    def trouble(self, line: int, error: Exception) -> str:
        """What an error at that line means, in words."""
        if isinstance(error, PinInvalidPin):
            return f"line {line} is not on this board's header: {error}"
        if isinstance(error, OSError) and error.errno == errno.EBUSY and self._handle is not None:
            user = emergency.user_of(self._handle, line, self.kernel.ioctl)
            return f"line {line} is in use by {user}"
        words = error.strerror if isinstance(error, OSError) else str(error)
        return f"line {line} fails: {words or repr(error)}"

    def close(self) -> None:
        """Closes the chip; lines still held go back to the kernel as they are. Repeatable."""
        handle, self._handle = self._handle, None
        with ExitStack() as closing:  # whose every call is made, whatever the others raise
            if handle is not None:
                closing.callback(self.kernel.close, handle)
            for pin in self.pins.values():
                closing.callback(pin.let_go)
            self.pins.clear()

    def _get_board_info(self) -> Any:
        """The header by the board's revision; the common one where that is not told or new."""
        if self._board is None:
            try:
                self._board = PiBoardInfo.from_revision(get_pi_revision())
            except (PinUnknownPi, OSError, ValueError, IndexError, struct.error):
                self._board = PiBoardInfo.from_revision(_UNKNOWN_REVISION)
        return self._board
