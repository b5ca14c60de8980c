"""A stand-in for lgpio that remembers every call and what the lines went through.

It does what lgpio's C code does where that matters to a relay, oddities included (lgpio 0.2.2,
lgGpio.c: xSetAsOutput, xSetAsInput, xSetAsFree, lgGpioRead, lgGpioWrite). The first tests
below hold it to the real module.
"""

# ruff: noqa: D102, ARG002, N803 - functions, parameters and their meaning are lgpio's

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from controller.core.wiring import Wire
from controller.shell.board.board import Board, open_board
from controller.shell.board.lgpio_import import import_lgpio

_LOADED_BESIDE = ("gpiozero.pins.lgpio", "controller.shell.board.lgpio_lines")
_PI_4B = 0xC03111  # the revision that the virtual board states; lines 0 to 27 on its header

Call = tuple[object, ...]


class LgpioError(Exception):
    """As lgpio's own: its text is the repr of its value."""

    def __init__(self, value: str) -> None:
        self.value = value

    def __str__(self) -> str:
        return repr(self.value)


class StubLgpio(ModuleType):
    """lgpio over a chip of pretence.

    `calls` has every call but opening and closing, without the handle. `seen` has for each
    line what hung on it from outside: a level as it was driven, None as it became an input.
    `fails` is asked before a call does its work, `fails_late` after it.
    """

    error = LgpioError
    LOW, HIGH = 0, 1
    SET_PULL_UP, SET_PULL_DOWN, SET_PULL_NONE = 32, 64, 128
    RISING_EDGE, FALLING_EDGE, BOTH_EDGES = 1, 2, 3
    GPIO_BUSY = -79

    def __init__(self, lines: int = 58) -> None:
        super().__init__("lgpio")
        self.lines = lines
        self.calls: list[Call] = []
        self.opened: list[str] = []
        self.seen: dict[int, list[bool | None]] = {}
        self.levels: dict[int, bool] = {}
        self.stuck: dict[int, bool] = {}
        self.users: dict[int, str] = {}
        self.fails: Callable[[], Exception | None] = lambda: None
        self.fails_late: Callable[[], Exception | None] = lambda: None
        self._ours: dict[int, str] = {}

    # What a test does

    def died_with(self, line: int, *, level: bool) -> None:
        """The line is as a process has left it that was killed."""
        self.levels[line] = level
        self.seen[line] = [level]

    def level_of(self, line: int) -> bool:
        """The line's true level now; an input is pulled nowhere and keeps it here."""
        return self.stuck.get(line, self.levels.get(line, False))

    def held(self) -> list[int]:
        """The lines that are claimed."""
        return sorted(self._ours)

    # What lgpio has

    def gpiochip_open(self, gpiochip: int) -> int:
        self.opened.append(f"open {gpiochip}")
        return gpiochip << 16

    def gpiochip_close(self, handle: int) -> int:
        self.opened.append(f"close {handle >> 16}")
        self._ours.clear()
        return 0

    def gpio_get_chip_info(self, handle: int) -> list[object]:
        return [0, self.lines, "gpiochip0", "pinctrl-bcm2711"]

    def gpio_get_line_info(self, handle: int, gpio: int) -> list[object]:
        return [0, gpio, 1, f"GPIO{gpio}", self.users.get(gpio, "")]

    def gpio_get_mode(self, handle: int, gpio: int) -> int:
        self._note("gpio_get_mode", gpio)
        return 0b10 if self._ours.get(gpio) == "output" else 0

    def gpio_claim_output(self, handle: int, gpio: int, level: int = 0, lFlags: int = 0) -> int:
        self._note("gpio_claim_output", gpio, level)
        self._claim_output(gpio, level)
        return self._done(0)

    def gpio_claim_input(self, handle: int, gpio: int, lFlags: int = 0) -> int:
        self._note("gpio_claim_input", gpio)
        self._claim_input(gpio)
        return self._done(0)

    def gpio_free(self, handle: int, gpio: int) -> int:
        self._note("gpio_free", gpio)
        if self._ours.pop(gpio, None) is None:
            raise LgpioError("GPIO not allocated")
        return self._done(0)

    def gpio_read(self, handle: int, gpio: int) -> int:
        self._note("gpio_read", gpio)
        if gpio not in self._ours:
            self._claim_input(gpio)
        return self._done(int(self.level_of(gpio)))

    def gpio_write(self, handle: int, gpio: int, level: int) -> int:
        self._note("gpio_write", gpio, int(level))
        if self._ours.get(gpio) == "output":
            self._drive(gpio, level)
        else:
            self._claim_output(gpio, level)
        return self._done(0)

    def error_text(self, errnum: int) -> str:
        return {self.GPIO_BUSY: "GPIO busy"}[errnum]

    def _claim_output(self, gpio: int, level: int) -> None:
        if self._ours.get(gpio) == "output":
            return  # "nothing to do, already an output": the level is not looked at
        self._refuse_busy(gpio)
        self._ours[gpio] = "output"
        self._drive(gpio, level)

    def _claim_input(self, gpio: int) -> None:
        self._refuse_busy(gpio)
        self._ours[gpio] = "input"
        self.seen.setdefault(gpio, []).append(None)

    def _refuse_busy(self, gpio: int) -> None:
        if gpio in self.users:
            raise LgpioError("GPIO busy")

    def _drive(self, gpio: int, level: int) -> None:
        self.levels[gpio] = bool(level)
        seen = self.seen.setdefault(gpio, [])
        if not seen or seen[-1] is not self.level_of(gpio):
            seen.append(self.level_of(gpio))

    def _note(self, *call: object) -> None:
        self.calls.append(call)
        if (error := self.fails()) is not None:
            raise error

    def _done(self, answer: int) -> int:
        if (error := self.fails_late()) is not None:
            raise error
        return answer


def real_lgpio(folder: Path) -> ModuleType:
    """The module lgpio; where it is not installed, the test is skipped."""
    pytest.importorskip("_lgpio", reason="lgpio is not installed")
    return import_lgpio(folder)


@contextmanager
def stubbed(stub: StubLgpio | None = None) -> Iterator[StubLgpio]:
    """The drivers, loaded anew upon the stub; afterwards everything is as before."""
    local: Any = import_module("gpiozero.pins.local")
    names = ("lgpio", *_LOADED_BESIDE)
    before = {name: sys.modules.pop(name, None) for name in names}
    revision = local.get_pi_revision
    local.get_pi_revision = lambda: _PI_4B
    stub = stub or StubLgpio()
    sys.modules["lgpio"] = stub
    try:
        yield stub
    finally:
        local.get_pi_revision = revision
        for name, module in before.items():
            sys.modules.pop(name, None)
            if module is not None:
                sys.modules[name] = module


@contextmanager
def real_board(stub: StubLgpio | None = None, **words: Any) -> Iterator[tuple[Board, StubLgpio]]:
    """A real board upon the stub."""
    with stubbed(stub) as lgpio:
        board = open_board(is_mock=False, **words)
        yield board, lgpio
        lgpio.fails = lgpio.fails_late = lambda: None
        board.close()


def wire(
    load: str, line: int, *, low: bool = True, closed: bool = False, on_stopped: bool = False
) -> Wire:
    """A wire, of a relay board that is active low unless told otherwise."""
    return Wire(load, line, low, closed, on_stopped, may_be_mains=True)


# The stub itself


@pytest.mark.parametrize(
    "name",
    [
        name
        for name, _ in inspect.getmembers(StubLgpio, inspect.isfunction)
        if name.startswith("gpio") or name == "error_text"
    ],
)
def test_the_stub_takes_what_lgpio_takes(name: str, tmp_path: Path) -> None:
    """Each function of the stub has the parameters of lgpio's own."""
    real = inspect.signature(getattr(real_lgpio(tmp_path), name))
    ours = inspect.signature(getattr(StubLgpio(), name))
    assert [(one.name, one.default) for one in ours.parameters.values()] == [
        (one.name, one.default) for one in real.parameters.values()
    ]


@pytest.mark.parametrize(
    "name", ["SET_PULL_NONE", "SET_PULL_UP", "SET_PULL_DOWN", "BOTH_EDGES", "GPIO_BUSY", "LOW"]
)
def test_the_stub_has_lgpio_s_numbers(name: str, tmp_path: Path) -> None:
    """Each number of the stub is lgpio's own."""
    assert getattr(StubLgpio(), name) == getattr(real_lgpio(tmp_path), name)


def test_the_stub_words_errors_as_lgpio_does(tmp_path: Path) -> None:
    """An error's text, and what a busy line is called."""
    lgpio = real_lgpio(tmp_path)
    assert lgpio.error_text(lgpio.GPIO_BUSY) == StubLgpio().error_text(StubLgpio.GPIO_BUSY)
    assert str(lgpio.error("x")) == str(LgpioError("x"))
    assert lgpio.error("x").value == "x"
