"""The relays: each load's line is driven as ordered, and left at its safe level.

Used from the loop's thread alone; there are no locks. A signal handler of the same thread
may call `release` at any moment, in the middle of another call too: so what is about to be
claimed is noted before it is, and a call that finds itself released ends by releasing.
"""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from controller.shell.board.safe_lines import SafeLine

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence

    from controller.core.wiring import Wire
    from controller.shell.board.driver import Driver, OutputPin


@dataclass(slots=True)
class _Held:
    """A line that is ours, or that we are about to make ours, and what is wrong with it.

    `is_claimed` since the driver took it, until an error or its end; `obeys` while it reads as
    it was last driven.
    """

    line: int
    load: str
    safe_level: bool
    is_claimed: bool = False
    obeys: bool = False
    fault: str = ""
    pin: OutputPin | None = None


class GpioRelays:
    """Fulfils `daemon.ports.Relays` on a board's lines."""

    def __init__(
        self,
        driver: Driver,
        *,
        is_mock: bool,
        announce: Callable[[Sequence[SafeLine]], None],
    ) -> None:
        """Claims nothing yet.

        Args:
            driver: the board's lines.
            is_mock: whether nothing real hangs on them.
            announce: is told which lines are to be at which level if the process dies,
                before a line is claimed that was not among them; must not raise.
        """
        self._driver = driver
        self._is_mock = is_mock
        self._announce = announce
        self._held: dict[int, _Held] = {}
        self._wires: dict[str, Wire] = {}
        self._levels: dict[str, bool] = {}  # as ordered
        self._refused: dict[str, str] = {}  # loads whose order reached no line, and why
        self._is_released = False
        self._depth = 0  # of calls that are at work: above 1 only for a signal handler's

    @property
    def is_mock(self) -> bool:
        """Whether nothing real is switched."""
        return self._is_mock

    def faults(self) -> Mapping[str, str]:
        """What is wrong with which load's lines, in words; no entry where nothing is known."""
        words = {load: [why] for load, why in self._refused.items()}
        for held in list(self._held.values()):  # at once: a signal handler may empty it
            if held.fault:
                words.setdefault(held.load, []).append(held.fault)
        return {load: "; ".join(all_words) for load, all_words in words.items()}

    def rewire(self, wires: Sequence[Wire], is_on: Mapping[str, bool]) -> Collection[str]:
        """Claims every line with the level that its load's state needs, in one step each.

        Lines that no load uses any more are driven to their safe level before any other is
        claimed, and let go. A line that only changes its load is set, never let go. The loads
        whose lines do not obey are returned as by `disobedient`.
        """
        self._is_released = False
        with self._at_work():
            leaving = self._take_over(wires, is_on)
            self._tell_safe_lines()
            self._leave(leaving)
            for wire in wires:
                self._carry_out(wire)
            if leaving:
                self._tell_safe_lines()
        return self._disobeying()

    def switch(self, load: str, *, is_on: bool) -> bool:
        """Sets a load's line; whether the line obeyed. Never raises for the world's faults.

        Lines that would not become safe when they were left are tried once more. After
        `release` nothing is switched until the next `rewire`.

        Raises:
            KeyError: no load of that name was wired; our own mistake.
        """
        with self._at_work():
            wire = self._wires[load]
            self._levels[load] = wire.level(is_on=is_on)
            self._leave([held for held in self._held.values() if not self._is_used(held)])
            return self._carry_out(wire)

    def disobedient(self) -> Collection[str]:
        """The loads whose lines do not read back as ordered now, in the order of the plan.

        After them come loads that are gone and whose lines could not be made safe. A line that
        could not be claimed cannot be read, and does not obey.
        """
        with self._at_work():
            for held in list(self._held.values()):
                if held.is_claimed and self._is_used(held) and not self._is_released:
                    self._check(held, self._levels[held.load])
        return self._disobeying()

    def release(self) -> None:
        """Every load to its state while stopped, then lets go of the lines; repeatable.

        All lines are driven first, and only then let go, as they are: the kernel decides
        whether a free line keeps its level. A line that will not be driven, even at a second
        try, is not let go, so that the next call tries it again.

        A signal handler that interrupts another call drives the lines at once; that call, when
        it goes on, may set one line more, ends by driving all again, and lets go of them.
        """
        self._is_released = True
        self._refused = {}
        if self._depth:
            for held in list(self._held.values()):
                self._make_safe(held)
        else:
            with self._at_work():  # whose end drives the lines and lets go of them
                pass

    @contextmanager
    def _at_work(self) -> Iterator[None]:
        """Around everything that touches lines; its end lets go of them if they are released.

        The end looks for that last: a signal handler that comes later finds nobody at work,
        and lets go of them itself.
        """
        self._depth += 1
        try:
            yield
        finally:
            self._depth -= 1
            if self._is_released and not self._depth:
                self._let_go_of_all()

    def _let_go_of_all(self) -> None:
        self._depth += 1
        try:
            self._leave(list(self._held.values()))
        finally:
            self._depth -= 1

    def _take_over(self, wires: Sequence[Wire], is_on: Mapping[str, bool]) -> list[_Held]:
        """Makes the wires those of now; the lines that they do not use any more."""
        self._refused = {}
        self._wires = {wire.load: wire for wire in wires}
        self._levels = {wire.load: wire.level(is_on=is_on[wire.load]) for wire in wires}
        used = {wire.line: _Held(wire.line, wire.load, wire.level_when_stopped) for wire in wires}
        for line, held in used.items():
            if (before := self._held.get(line)) is not None:
                held.is_claimed, held.pin = before.is_claimed, before.pin
        leaving = [held for line, held in self._held.items() if line not in used]
        self._held = {**{held.line: held for held in leaving}, **used}
        return leaving

    def _leave(self, leaving: Iterable[_Held]) -> None:
        for held in [held for held in leaving if self._make_safe(held)]:
            self._let_go(held)

    def _make_safe(self, held: _Held) -> bool:
        return self._drive(held, held.safe_level) or self._drive(held, held.safe_level)

    def _let_go(self, held: _Held) -> None:
        """Lets go of a line that is safe, so no signal handler needs to know it any more."""
        del self._held[held.line]
        held.is_claimed = False
        held.fault = self._attempt(held.line, lambda: self._pin(held).let_go())
        if held.fault:
            self._held[held.line] = held

    def _carry_out(self, wire: Wire) -> bool:
        if self._is_released:  # perhaps by a signal handler, in the middle of `rewire`
            self._refused[wire.load] = f"line {wire.line} is released: nothing is switched"
            return False
        held = self._held[wire.line]
        if held.load != wire.load:
            self._refused[wire.load] = f"line {wire.line} is that of {held.load!r} too"
            return False
        return self._drive(held, self._levels[wire.load])

    def _drive(self, held: _Held, level: bool) -> bool:  # noqa: FBT001 - what it is about
        """Makes the line an output of that level; whether it reads so."""

        def drive() -> None:
            pin = self._pin(held)
            if held.is_claimed:
                pin.state = level
            else:
                pin.output_with_state(level)

        held.fault = self._attempt(held.line, drive)
        held.is_claimed = not held.fault
        if held.fault:
            held.obeys = False
            return False
        return self._check(held, level)

    def _check(self, held: _Held, level: bool) -> bool:  # noqa: FBT001 - what it is about
        """Reads the line, which must be claimed; whether it is so."""
        got: list[bool] = []
        held.fault = self._attempt(held.line, lambda: got.append(bool(self._pin(held).state)))
        if not held.fault and got != [level]:
            held.fault = (
                f"line {held.line} was set {_name(level)} and reads {_name(not level)}: "
                f"look for a short circuit, or another program that drives it"
            )
        held.obeys = not held.fault
        return held.obeys

    def _pin(self, held: _Held) -> OutputPin:
        """The line's pin; looked up once, as gpiozero searches the header each time."""
        if held.pin is None:
            held.pin = self._driver.pin(held.line)
        return held.pin

    def _attempt(self, line: int, action: Callable[[], None]) -> str:
        """Does something with a line; empty, or the driver's trouble in words."""
        try:
            action()
        except Exception as error:  # noqa: BLE001 - no surprise at one line may stop the others
            return self._driver.trouble(line, error)
        return ""

    def _disobeying(self) -> tuple[str, ...]:
        wrong = {held.load for held in list(self._held.values()) if not held.obeys}
        known = [load for load in self._wires if load in wrong or load in self._refused]
        return (*known, *sorted(wrong.difference(known)))

    def _is_used(self, held: _Held) -> bool:
        wire = self._wires.get(held.load)
        return wire is not None and wire.line == held.line

    def _tell_safe_lines(self) -> None:
        self._announce(
            [SafeLine(held.line, held.safe_level, held.load) for held in self._held.values()]
        )


def _name(level: bool) -> str:  # noqa: FBT001 - what it is about
    return "high" if level else "low"
