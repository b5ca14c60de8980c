"""A signal handler that releases the relays before any instruction of the code that drives them.

Python runs a handler between any two instructions, of which there are many between two calls
of the kernel (those moments are tried in `test_board_relays`).
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

import pytest

from controller.core.wiring import Wire
from controller.shell.board import gpio_device, kernel_pins, relays
from controller.shell.board.board import Board
from tests.unit.test_board_stub import StubKernel, stub_board

SOURCES = {module.__file__ for module in (relays, kernel_pins, gpio_device)}
# A long run (ROOTCLOCK_EXAMPLES=10000) takes each of some 3,800 instructions, and 20 s for all.
STRIDE = 1 if "ROOTCLOCK_EXAMPLES" in os.environ else 11

A, B = Wire("a", 4, True, False, False, True), Wire("b", 17, True, False, True, True)
MOVED = [A._replace(line=22), B]
SAFE = {4: True, 17: False, 22: True}


class _EndsHereError(BaseException):
    """A handler's way to end the process: nothing that it interrupted goes on."""


@contextmanager
def interrupted_before(moment: int, interrupt: Callable[[], None]) -> Iterator[list[int]]:
    """Calls `interrupt` before that instruction of `SOURCES`; gives their number, as one item."""
    count = [0]

    def trace(frame: FrameType, event: str, _: object) -> Any:
        if frame.f_code.co_filename not in SOURCES:
            return None
        frame.f_trace_opcodes = True
        if event == "opcode":
            count[0] += 1
            if count[0] == moment:
                interrupt()
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        yield count
    finally:
        sys.settrace(before)


def work(board: Board) -> None:
    """A day of the relays, until somebody releases them, and then its end."""
    for call in (
        lambda: board.relays.rewire([A, B], {"a": True, "b": False}),
        lambda: board.relays.switch("a", is_on=False),
        lambda: board.relays.rewire(MOVED, {"a": True, "b": False}),
        board.relays.disobedient,
        board.relays.faults,
    ):
        call()
        if board.relays._is_released:
            return
    board.relays.release()


def end_of(moment: int, *, does_end: bool) -> int:
    """Interrupts the work at a moment and looks at its end; how many moments there were."""
    kernel = StubKernel()
    board = stub_board(kernel)

    def are_safe() -> bool:
        return all(kernel.level_of(line) is SAFE[line] for line in kernel.seen)

    def handler() -> None:
        board.relays.release()
        assert are_safe(), f"not safe as the handler of moment {moment} returns: {kernel.calls}"
        if does_end:
            raise _EndsHereError

    with interrupted_before(moment, handler) as count:
        try:
            work(board)
        except _EndsHereError:
            return count[0]
    assert are_safe(), f"not safe after moment {moment}: {kernel.calls}"
    assert kernel.held() == [], f"not free after moment {moment}: {kernel.calls}"
    return count[0]


@pytest.mark.parametrize("does_end", [False, True])
def test_a_release_before_any_instruction_is_the_last_word(does_end: bool) -> None:
    """Lines are safe as the handler returns, and free as the call does that it interrupted.

    Or the handler ends the process, and that call never goes on. (Where `rewire` has hardly
    begun, it undoes a release as it does one that came before it; then the work goes on.)
    """
    for moment in range(1, end_of(0, does_end=False) + 1, STRIDE):
        end_of(moment, does_end=does_end)
