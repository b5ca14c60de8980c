"""Contacts and pulses: what is asked of the kernel, what comes back, and in which thread."""

from __future__ import annotations

import errno
import os
import queue
import struct
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from controller.core.errors import UnusableLineError
from controller.shell.board import emergency, kernel_lines
from controller.shell.board.board import Board, open_board
from controller.shell.board.inputs import Inputs, Pulses
from controller.shell.board.kernel_lines import (
    Change,
    Edges,
    KernelLines,
    Pull,
    changes,
    packed,
)
from controller.shell.board.mock_board import MockBoard

WAIT_S = 5.0  # far longer than a thread takes; a test that waits so long has failed


@pytest.fixture
def board() -> Iterator[Board]:
    """A mock board, closed afterwards."""
    one = open_board(is_mock=True)
    yield one
    one.close()


def hand(board: Board) -> MockBoard:
    """The hand at the board."""
    assert board.mock is not None
    return board.mock


def test_a_contact_is_told_in_order_and_from_the_inputs_own_thread(board: Board) -> None:
    """The level and the tick of each change; the caller hands over to its own loop."""
    told: queue.Queue[tuple[bool, int, str]] = queue.Queue()

    def on_change(level: bool, tick: int) -> None:
        told.put((level, tick, threading.current_thread().name))

    assert board.inputs.watch(25, pull="up", debounce_ms=50, on_change=on_change) is True
    for level in (False, True, False):
        hand(board).drive(25, level=level)
    seen = [told.get(timeout=WAIT_S) for _ in range(3)]
    assert [(level, thread) for level, _, thread in seen] == [
        (False, "inputs"),
        (True, "inputs"),
        (False, "inputs"),
    ]
    ticks = [tick for _, tick, _ in seen]
    assert ticks == sorted(ticks)
    assert board.inputs.read(25) is False
    assert board.inputs.faults() == {}


@pytest.mark.parametrize(("pull", "level"), [("up", True), ("down", False)])
def test_an_open_contact_is_where_its_pull_takes_it(board: Board, pull: Pull, level: bool) -> None:
    """Until somebody drives the line."""
    assert board.inputs.watch(5, pull=pull, debounce_ms=0, on_change=print) is level


def test_pulses_are_counted_though_nobody_reads_for_long(board: Board) -> None:
    """Many more than anybody keeps; only what came since the counting began."""
    hand(board).pulse(24, 3)
    counter = board.inputs.count(24, pull="down")
    assert counter.read() == Pulses(0, None)
    hand(board).pulse(24, 5_000)
    first = counter.read()
    assert first.total == 5_000
    assert counter.read() == first
    hand(board).pulse(24, 1)
    assert counter.read().total == 5_001
    assert first.last is not None


def test_a_count_outlives_the_wrap_of_the_kernel_s_numbers(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The kernel's numbers have 32 bits and start again at nought."""
    monkeypatch.setattr(kernel_lines, "slept_ns", lambda: 0)
    reader, writer = os.pipe2(os.O_NONBLOCK)
    inputs = Inputs(OneLine(reader))
    counter = inputs.count(24, pull="none")
    for number, stamp_ms, total in [
        (2**32 - 2, 7, 2**32 - 2),
        (2**32 - 1, 8, 2**32 - 1),
        (1, 9, 2**32 + 1),
    ]:
        event = packed(level=True, stamp_ns=stamp_ms * 1_000_000, line=24, number=number)
        os.write(writer, event)
        assert counter.read() == Pulses(total, stamp_ms)
    inputs.close()
    os.close(writer)


def test_a_tick_goes_on_while_the_board_sleeps(monkeypatch: pytest.MonkeyPatch) -> None:
    """The kernel's stamps do not; what the board has slept is added."""
    reader, writer = os.pipe2(os.O_NONBLOCK)
    os.write(writer, packed(level=True, stamp_ns=7_000_000, line=24, number=1))
    monkeypatch.setattr(time, "monotonic_ns", lambda: 10_000_000)
    monkeypatch.setattr(time, "clock_gettime_ns", {time.CLOCK_BOOTTIME: 90_000_000}.__getitem__)
    assert changes(reader) == [Change(level=True, tick=87, number=1)]
    os.close(reader)
    os.close(writer)


def test_a_line_has_one_user(board: Board) -> None:
    """A second sensor at it is refused with words; after the first has ended it is free."""
    board.inputs.watch(25, pull="up", debounce_ms=0, on_change=print)
    with pytest.raises(UnusableLineError, match="line 25 is in use by another sensor"):
        board.inputs.count(25, pull="up")
    board.inputs.unwatch(25)
    board.inputs.unwatch(25)
    counter = board.inputs.count(25, pull="up")
    with pytest.raises(UnusableLineError, match="line 25 is in use by another sensor"):
        board.inputs.watch(25, pull="up", debounce_ms=0, on_change=print)
    board.inputs.unwatch(25)
    with pytest.raises(UnusableLineError, match="line 25 is not counted any more"):
        counter.read()
    with pytest.raises(UnusableLineError, match="line 25 is not watched"):
        board.inputs.read(25)


def test_after_unwatching_nothing_is_told(board: Board) -> None:
    """And another contact goes on."""
    told: queue.Queue[tuple[int, bool]] = queue.Queue()
    for line in (5, 6):

        def on_change(level: bool, _: int, line: int = line) -> None:
            told.put((line, level))

        board.inputs.watch(line, pull="up", debounce_ms=0, on_change=on_change)
    board.inputs.unwatch(5)
    hand(board).drive(5, level=False)
    hand(board).drive(6, level=False)
    assert told.get(timeout=WAIT_S) == (6, False)
    assert told.empty()


def test_a_callback_that_fails_is_told_and_the_next_change_comes(board: Board) -> None:
    """The thread lives on, for the other contacts too."""
    told: queue.Queue[bool] = queue.Queue()

    def on_change(level: bool, _: int) -> None:
        told.put(level)
        if not level:
            raise RuntimeError("no loop")

    board.inputs.watch(25, pull="up", debounce_ms=0, on_change=on_change)
    hand(board).drive(25, level=False)
    hand(board).drive(25, level=True)
    assert [told.get(timeout=WAIT_S) for _ in range(2)] == [False, True]
    assert board.inputs.faults() == {
        25: "line 25: its change was not taken: RuntimeError('no loop')"
    }


def test_closing_ends_the_thread_and_may_be_repeated(board: Board) -> None:
    """Nothing is left running; watching again starts anew."""
    for _ in range(2):
        board.inputs.watch(25, pull="up", debounce_ms=0, on_change=print)
        assert "inputs" in {thread.name for thread in threading.enumerate()}
        board.inputs.close()
        board.inputs.close()
        assert "inputs" not in {thread.name for thread in threading.enumerate()}


class OneLine:
    """Lines of which there is one, with a descriptor that a test has made."""

    def __init__(self, handle: int) -> None:
        self.handle = handle
        self.error: OSError | None = None
        self.is_closed = threading.Event()

    def open(self, line: int, *, pull: Pull, debounce_ms: int, edges: Edges) -> int:  # noqa: ARG002
        """The descriptor."""
        return self.handle

    def level(self, handle: int) -> bool:  # noqa: ARG002
        """Always high, or an error."""
        if self.error is not None:
            raise self.error
        return True

    def close(self, handle: int) -> None:
        """Closes it."""
        os.close(handle)
        self.is_closed.set()


def test_a_line_that_is_taken_away_is_told() -> None:
    """The kernel ends its descriptor; it is not looked at for ever, and reading it says why."""
    reader, writer = os.pipe2(os.O_NONBLOCK)
    lines = OneLine(reader)
    inputs = Inputs(lines)
    is_told = threading.Event()
    inputs.watch(25, pull="up", debounce_ms=0, on_change=lambda *_: is_told.set())
    os.write(writer, packed(level=False, stamp_ns=1, line=25, number=1))
    assert is_told.wait(WAIT_S)
    os.close(writer)
    assert lines.is_closed.wait(WAIT_S)
    assert inputs.faults() == {25: "line 25 is lost: the kernel has taken it away"}
    with pytest.raises(UnusableLineError, match="line 25 is lost"):
        inputs.read(25)
    inputs.close()


def test_a_line_that_cannot_be_read_is_given_back() -> None:
    """And told, at the first reading and at later ones."""
    reader, writer = os.pipe2(os.O_NONBLOCK)
    lines = OneLine(reader)
    inputs = Inputs(lines)
    lines.error = OSError(errno.EIO, "Input/output error")
    with pytest.raises(UnusableLineError, match="line 25 cannot be read: Input/output error"):
        inputs.watch(25, pull="up", debounce_ms=0, on_change=print)
    with pytest.raises(OSError, match="Bad file descriptor"):
        os.fstat(reader)
    os.close(writer)


def test_a_counter_whose_line_is_gone_tells_why() -> None:
    """The kernel's own words; closing it is still possible."""
    reader, writer = os.pipe2(os.O_NONBLOCK)
    lines = OneLine(reader)
    counter = Inputs(lines).count(24, pull="up")
    os.close(reader)
    with pytest.raises(UnusableLineError, match="line 24: Bad file descriptor"):
        counter.read()
    os.close(writer)


def test_a_watched_line_that_cannot_be_read_any_more_tells_why() -> None:
    """At each reading; watching goes on."""
    reader, writer = os.pipe2(os.O_NONBLOCK)
    lines = OneLine(reader)
    inputs = Inputs(lines)
    inputs.watch(25, pull="up", debounce_ms=0, on_change=print)
    lines.error = OSError(errno.ENODEV, "No such device")
    with pytest.raises(UnusableLineError, match="line 25 cannot be read: No such device"):
        inputs.read(25)
    inputs.close()
    os.close(writer)


# What the kernel is asked


def asked(call: Callable[[KernelLines], int]) -> tuple[int, bytes]:
    """What one call asks of the kernel: the line, and its configuration."""
    requests: list[bytes] = []

    def ioctl(handle: int, number: int, data: bytearray) -> int:
        assert number == emergency.GET_LINE
        requests.append(bytes(data))
        struct.pack_into("=i", data, len(data) - 4, os.open(os.devnull, os.O_RDONLY))
        return 0

    os.close(call(KernelLines(os.devnull, ioctl)))
    (request,) = requests
    offsets, _, config, count, buffer, _ = emergency.LINE_REQUEST.unpack(request)
    assert (count, buffer) == (1, 16)
    return int.from_bytes(offsets[:4], sys.byteorder), config


# <linux/gpio.h>: INPUT 4, EDGE_RISING 16, EDGE_FALLING 32, PULL_UP 256, PULL_DOWN 512, none 1024.
@pytest.mark.parametrize(
    ("pull", "edges", "flags"),
    [
        ("up", "both", 4 | 16 | 32 | 256),
        ("down", "rising", 4 | 16 | 512),
        ("none", "both", 4 | 16 | 32 | 1024),
    ],
)
def test_pull_and_edges_are_asked_of_the_kernel(pull: Pull, edges: Edges, flags: int) -> None:
    """As flags, without any attribute where nothing is to be debounced."""
    line, config = asked(lambda lines: lines.open(25, pull=pull, debounce_ms=0, edges=edges))
    assert line == 25
    assert config == struct.pack("=QI", flags, 0) + bytes(260)


def test_debouncing_is_asked_of_the_kernel() -> None:
    """In microseconds, as the attribute 3 of the one line."""
    _, config = asked(lambda lines: lines.open(25, pull="up", debounce_ms=50, edges="both"))
    attribute = struct.pack("=III4xQ", 3, 0, 50_000, 1)
    assert config == struct.pack("=QI20x", 4 | 16 | 32 | 256, 1) + attribute + bytes(216)


def test_what_the_kernel_refuses_is_told() -> None:
    """With who has the line, where it is in use."""

    def ioctl(handle: int, number: int, data: bytearray) -> int:
        if number == emergency.GET_LINE_INFO:
            data[:] = emergency.LINE_INFO.pack(b"GPIO25", b"door bell", 25, 0, 0, b"")
            return 0
        raise OSError(errno.EBUSY, "Device or resource busy")

    lines = KernelLines(os.devnull, ioctl)
    with pytest.raises(UnusableLineError) as told:
        lines.open(25, pull="up", debounce_ms=0, edges="both")
    assert str(told.value) == (
        "line 25 as an input: in use by another program, which calls itself 'door bell'"
    )


def test_a_chip_that_is_no_chip_is_told(tmp_path: Path) -> None:
    """The kernel's own words; and a device that is not there."""
    with pytest.raises(UnusableLineError, match="line 25 as an input: Inappropriate ioctl"):
        KernelLines(os.devnull).open(25, pull="up", debounce_ms=0, edges="both")
    missing = str(tmp_path / "gpiochip0")
    with pytest.raises(UnusableLineError, match="gpiochip0: No such file or directory"):
        KernelLines(missing).open(25, pull="up", debounce_ms=0, edges="both")


def test_a_rest_that_the_kernel_cannot_time_is_refused() -> None:
    """Its microseconds have 32 bits."""
    with pytest.raises(UnusableLineError, match="4294967 ms at most"):
        KernelLines(os.devnull).open(25, pull="up", debounce_ms=4_294_968, edges="both")


def test_without_a_thread_the_line_is_given_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """As when the service has no task left; once there is one, watching works."""

    def none_left(_: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    reader, writer = os.pipe2(os.O_NONBLOCK)
    again = os.dup(reader)
    lines = OneLine(reader)
    inputs = Inputs(lines)
    with monkeypatch.context() as patch:
        patch.setattr(threading.Thread, "start", none_left)
        with pytest.raises(UnusableLineError, match="line 25 cannot be read: can't start new"):
            inputs.watch(25, pull="up", debounce_ms=0, on_change=print)
    with pytest.raises(OSError, match="Bad file descriptor"):
        os.fstat(reader)
    lines.handle = again
    assert inputs.watch(25, pull="up", debounce_ms=0, on_change=print)
    inputs.close()
    os.close(writer)
