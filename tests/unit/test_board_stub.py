"""A chip of pretence for boards in tests: remembers every request and what the lines went through.

It answers as the kernel does where that matters to a relay: one owner a line, levels that outlive
their owner, descriptors whose numbers are used again at once (Linux 6.1: gpiolib-cdev.c). That
the bytes mean to a real kernel what they mean here is tested with <linux/gpio.h> in
`test_board_layout` and in `tests/fault/test_board_process`.
"""

from __future__ import annotations

import errno
import itertools
import os
import struct
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from gpiozero.pins.pi import PiBoardInfo

from controller.core.wiring import Wire
from controller.shell.board import emergency
from controller.shell.board.board import Board
from controller.shell.board.chips import Chip
from controller.shell.board.gpio_device import SET_VALUES, Kernel
from controller.shell.board.kernel_lines import KernelLines
from controller.shell.board.kernel_pins import RelayFactory

PI_4B = PiBoardInfo.from_revision(0xC03111)  # lines 0 to 27 on its header
DEVICE = "/dev/gpiochip0"
HEADER_CHIP = Chip(DEVICE, "pinctrl-bcm2711", 58)

Call = tuple[object, ...]


def refusal(number: int) -> OSError:
    """An error as the kernel gives it."""
    return OSError(number, os.strerror(number))


class StubKernel(Kernel):
    """The kernel's three calls over a chip of pretence.

    `calls` has every call about a line: output, input, set, get or free, the line, a level.
    `seen` has for each line what hung on it from outside: a level as it was driven, None as it
    became an input. `fails` is asked before a call does its work, `fails_late` after it.
    """

    def __init__(self, lines: int = HEADER_CHIP.lines) -> None:
        self.lines = lines
        self.calls: list[Call] = []
        self.opened: list[str] = []
        self.seen: dict[int, list[bool | None]] = {}
        self.levels: dict[int, bool] = {}
        self.stuck: dict[int, bool] = {}
        self.users: dict[int, str] = {}
        self.fails: Callable[[], Exception | None] = lambda: None
        self.fails_late: Callable[[], Exception | None] = lambda: None
        self._open: dict[int, str | int] = {}  # descriptor: a chip's device, or a line

    # What a test does

    def died_with(self, line: int, *, level: bool) -> None:
        """The line is as a process has left it that was killed."""
        self.levels[line] = level
        self.seen[line] = [level]

    def level_of(self, line: int) -> bool:
        """The line's true level now; a line that is free keeps it here."""
        return self.stuck.get(line, self.levels.get(line, False))

    def held(self) -> list[int]:
        """The lines that are claimed."""
        return sorted(what for what in self._open.values() if isinstance(what, int))

    # What the kernel has

    def open(self, device: str) -> int:
        """Opens the chip."""
        self.opened.append(f"open {device}")
        return self._opened(device)

    def close(self, handle: int) -> None:
        """Frees a line as it is, or the chip. An error comes after that, as Linux has it."""
        what = self._what(handle)
        if isinstance(what, str):
            self.opened.append(f"close {what}")
            del self._open[handle]
            return
        try:
            self._note("free", what)
        finally:  # close(2): "always releases the file descriptor early in the close operation"
            del self._open[handle]
        self._done()

    def ioctl(self, handle: int, number: int, data: bytearray) -> int:
        """Answers one request."""
        what = self._what(handle)
        if isinstance(what, str):
            if number == emergency.GET_LINE_INFO:
                self._tell(data)
                return 0
            if number != emergency.GET_LINE:
                raise refusal(errno.EINVAL)
            self._claim(data)
        elif number == emergency.GET_VALUES:
            assert emergency.LINE_VALUES.unpack(data) == (0, 1)
            self._note("get", what)
            data[:] = emergency.LINE_VALUES.pack(int(self.level_of(what)), 1)
        elif number == SET_VALUES:
            bits, mask = emergency.LINE_VALUES.unpack(data)
            assert mask == 1
            self._note("set", what, bits)
            self._drive(what, bits)
        else:
            raise refusal(errno.EINVAL)
        self._done()
        return 0

    def _claim(self, data: bytearray) -> None:
        offsets, consumer, config, count, events, _ = emergency.LINE_REQUEST.unpack(data)
        line = int.from_bytes(offsets[:4], sys.byteorder)
        flags, attributes, rest = emergency.LINE_CONFIG.unpack(config)
        assert (consumer.rstrip(b"\0"), count, events) == (b"rootclock", 1, 0)
        is_output = flags == emergency.FLAG_OUTPUT and attributes == 1
        kind, _, level, mask = emergency.LINE_ATTRIBUTE.unpack(rest[:24])
        if is_output:
            assert (kind, mask) == (emergency.ATTRIBUTE_OUTPUT_VALUES, 1)
            self._note("output", line, level)
        else:
            self._note("input", line)
        if line >= self.lines:
            raise refusal(errno.EINVAL)
        if line in self.users or line in self.held():
            raise refusal(errno.EBUSY)
        struct.pack_into("=i", data, len(data) - 4, self._opened(line))
        if is_output:
            self._drive(line, level)
        else:
            self.seen.setdefault(line, []).append(None)

    def _tell(self, data: bytearray) -> None:
        line = int(emergency.LINE_INFO.unpack(data)[2])
        user = self.users.get(line, "").encode()
        data[:] = emergency.LINE_INFO.pack(f"GPIO{line}".encode(), user, line, 0, 1, b"")

    def _opened(self, what: str | int) -> int:
        handle = next(number for number in itertools.count(3) if number not in self._open)
        self._open[handle] = what
        return handle

    def _what(self, handle: int) -> str | int:
        if handle not in self._open:
            raise refusal(errno.EBADF)
        return self._open[handle]

    def _drive(self, line: int, level: int) -> None:
        self.levels[line] = bool(level)
        seen = self.seen.setdefault(line, [])
        if not seen or seen[-1] is not self.level_of(line):
            seen.append(self.level_of(line))

    def _note(self, *call: object) -> None:
        self.calls.append(call)
        if (error := self.fails()) is not None:
            raise error

    def _done(self) -> None:
        if (error := self.fails_late()) is not None:
            raise error


def stub_board(kernel: StubKernel, *, safe_lines: Path | None = None) -> Board:
    """A real board upon the stub; its header is that of the virtual board."""
    chip = HEADER_CHIP._replace(lines=kernel.lines)
    relays = RelayFactory(chip, kernel)
    relays._board = PI_4B
    return Board(relays, KernelLines(DEVICE), chip=chip, mock=None, safe_lines=safe_lines)


@contextmanager
def real_board(stub: StubKernel | None = None) -> Iterator[tuple[Board, StubKernel]]:
    """A real board upon the stub, closed afterwards."""
    kernel = stub or StubKernel()
    board = stub_board(kernel)
    yield board, kernel
    kernel.fails = kernel.fails_late = lambda: None
    board.close()
    assert not kernel._open


def wire(
    load: str, line: int, *, low: bool = True, closed: bool = False, on_stopped: bool = False
) -> Wire:
    """A wire, of a relay board that is active low unless told otherwise."""
    return Wire(load, line, low, closed, on_stopped, may_be_mains=True)


# The stub itself


def test_the_stub_gives_a_line_to_one_owner() -> None:
    """And takes the number of a descriptor again as soon as it is closed, as the kernel does."""
    kernel = StubKernel()
    chip = kernel.open(DEVICE)
    request = emergency.output_request(17, level=True)
    kernel.ioctl(chip, emergency.GET_LINE, request)
    handle = int(emergency.LINE_REQUEST.unpack(request)[-1])
    with pytest.raises(OSError, match="Device or resource busy"):
        kernel.ioctl(chip, emergency.GET_LINE, emergency.output_request(17, level=True))
    kernel.close(handle)
    with pytest.raises(OSError, match="Bad file descriptor"):
        kernel.close(handle)
    again = emergency.output_request(18, level=False)
    kernel.ioctl(chip, emergency.GET_LINE, again)
    assert int(emergency.LINE_REQUEST.unpack(again)[-1]) == handle
    assert kernel.held() == [18]
    assert kernel.seen == {17: [True], 18: [False]}


def test_the_stub_knows_an_input_when_it_sees_one() -> None:
    """Or the tests that hold that no relay's line becomes one could not fail."""
    kernel = StubKernel()
    kernel.ioctl(kernel.open(DEVICE), emergency.GET_LINE, emergency.line_request(17, 1 << 2, b""))
    assert kernel.calls == [("input", 17)]
    assert kernel.seen == {17: [None]}
