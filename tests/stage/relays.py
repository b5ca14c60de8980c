"""Lines that keep their level when the controller dies, and may refuse to obey."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence

from controller.core.wiring import Wire


class Lines:
    """The outside world: levels of lines, whoever drives them; none without power.

    `on_change` is told of every change, None for a line that has no power.
    """

    def __init__(self) -> None:
        self.level: dict[int, bool] = {}
        self.history: list[tuple[int, bool | None]] = []
        self.stuck: set[int] = set()
        self.is_dark = False
        self.on_change: Callable[[int, bool | None], None] = _unseen

    def drive(self, line: int, level: bool) -> None:
        """Sets a level, unless the line is stuck or there is no power."""
        if self.is_dark or (line in self.stuck and line in self.level):
            return
        if self.level.get(line) is not level:
            self._note(line, level)
        self.level[line] = level

    def lose_power(self) -> None:
        """Nothing has a level any more."""
        self.is_dark = True
        for line in self.level:
            self._note(line, None)
        self.level.clear()

    def _note(self, line: int, level: bool | None) -> None:
        self.history.append((line, level))
        self.on_change(line, level)


def _unseen(line: int, level: bool | None) -> None:
    """Nobody looks."""


class StageRelays:
    """What the loop switches, on lines that outlive it."""

    is_mock = True

    def __init__(self, lines: Lines) -> None:
        self.lines = lines
        self.wires: dict[str, Wire] = {}
        self.ordered: dict[str, bool] = {}

    def rewire(self, wires: Sequence[Wire], is_on: Mapping[str, bool]) -> Collection[str]:
        """Claims every line with its level."""
        kept = {wire.line for wire in wires}
        for wire in self.wires.values():
            if wire.line not in kept:
                self.lines.drive(wire.line, wire.level_when_stopped)
        self.wires = {wire.load: wire for wire in wires}
        self.ordered = {}
        return [wire.load for wire in wires if not self.switch(wire.load, is_on=is_on[wire.load])]

    def switch(self, load: str, *, is_on: bool) -> bool:
        """Sets a line."""
        wire = self.wires[load]
        self.ordered[load] = is_on
        self.lines.drive(wire.line, wire.level(is_on=is_on))
        return self.lines.level.get(wire.line) is wire.level(is_on=is_on)

    def disobedient(self) -> Collection[str]:
        """The loads whose lines are not as ordered."""
        return [load for load, is_on in self.ordered.items() if self.is_on(load) is not is_on]

    def release(self) -> None:
        """Everything to its state while stopped."""
        for wire in self.wires.values():
            self.lines.drive(wire.line, wire.level_when_stopped)

    def is_on(self, load: str) -> bool:
        """Whether the load is on, as its line says."""
        wire = self.wires[load]
        level = self.lines.level.get(wire.line)
        return level is wire.level(is_on=True)
