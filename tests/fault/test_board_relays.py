"""Relays whose driver fails at any call: what can be made safe is safe, and what fails is told."""

from __future__ import annotations

import errno
import itertools
from collections.abc import Callable, Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.wiring import Wire
from tests.unit.test_board_stub import StubKernel, real_board, refusal

LOADS = ("a", "b", "c")
LINES = (4, 17, 22, 27)

ERRORS = st.sampled_from(
    [
        refusal(errno.EBUSY),
        refusal(errno.EIO),
        refusal(errno.ENODEV),
        ValueError("a surprise"),
    ]
)
# Mostly well, for long enough that something is claimed before it fails.
FAULTS = st.lists(st.one_of(st.none(), st.none(), ERRORS), max_size=40)


@st.composite
def wirings(draw: st.DrawFn) -> list[Wire]:
    """Up to three loads, each on a line of its own, wired in any way."""
    loads = draw(st.lists(st.sampled_from(LOADS), unique=True))
    lines = draw(st.permutations(LINES))
    return [
        Wire(load, line, *draw(st.tuples(st.booleans(), st.booleans(), st.booleans())), True)
        for load, line in zip(loads, lines, strict=False)
    ]


Step = tuple[str, object]
STEPS = st.lists(
    st.one_of(
        st.tuples(st.just("rewire"), st.tuples(wirings(), st.booleans())),
        st.tuples(st.just("switch"), st.tuples(st.integers(0, 2), st.booleans())),
        st.tuples(st.just("release"), st.none()),
        st.tuples(st.just("disobedient"), st.none()),
        st.tuples(st.just("stick"), st.tuples(st.sampled_from(LINES), st.booleans())),
        st.tuples(st.just("heal"), st.none()),
    ),
    max_size=12,
)


class Garden:
    """A board upon the stub, the orders given so far, and whether anything is released."""

    def __init__(self, stub: StubKernel) -> None:
        self.stub = stub
        self.wires: list[Wire] = []
        self.is_on: dict[str, bool] = {}
        self.safe: dict[int, bool] = {}  # every line that was ever used
        self.loads_of: dict[int, set[str]] = {}  # by line, since the beginning
        self.is_released = False

    def follow(self, relays: object, steps: list[Step]) -> None:
        """Carries out the steps; nothing may escape from the relays."""
        for name, what in steps:
            getattr(self, f"do_{name}")(relays, what)

    def do_rewire(self, relays: object, what: tuple[list[Wire], bool]) -> None:
        """A new plan, with all loads on or all off."""
        self.wires, is_on = what
        self.is_on = {wire.load: is_on for wire in self.wires}
        self.safe |= {wire.line: wire.level_when_stopped for wire in self.wires}
        for wire in self.wires:
            self.loads_of.setdefault(wire.line, set()).add(wire.load)
        self.is_released = False
        relays.rewire(self.wires, self.is_on)  # type: ignore[attr-defined]

    def do_switch(self, relays: object, what: tuple[int, bool]) -> None:
        """One order, to a load that the plan has."""
        number, is_on = what
        if self.wires:
            load = self.wires[number % len(self.wires)].load
            self.is_on[load] = is_on
            relays.switch(load, is_on=is_on)  # type: ignore[attr-defined]

    def do_release(self, relays: object, _: object) -> None:
        """The end, which may not be the last."""
        self.is_released = True
        relays.release()  # type: ignore[attr-defined]

    def do_disobedient(self, relays: object, _: object) -> None:
        """A look at the lines."""
        relays.disobedient()  # type: ignore[attr-defined]

    def do_stick(self, _: object, what: tuple[int, bool]) -> None:
        """A line is held by force."""
        line, level = what
        self.stub.stuck[line] = level

    def do_heal(self, _: object, __: object) -> None:
        """All lines are free again."""
        self.stub.stuck.clear()


def failing(faults: list[Exception | None]) -> Callable[[], Exception | None]:
    """A driver that fails as the list says, and is well when it has ended."""
    calls: Iterator[Exception | None] = itertools.chain(faults, itertools.repeat(None))
    return lambda: next(calls)


@given(STEPS, FAULTS, FAULTS)
def test_every_line_ends_safe_whatever_failed_before(
    steps: list[Step], faults: list[Exception | None], at_end: list[Exception | None]
) -> None:
    """Once the driver is well and no line is stuck, a release makes every line safe.

    Lines of loads that the plan has long dropped included, and however the calls between
    failed; and no line is made an input by our doing.
    """
    with real_board() as (board, stub):
        garden = Garden(stub)
        stub.fails = stub.fails_late = failing(faults)
        garden.follow(board.relays, steps)
        stub.fails = stub.fails_late = failing(at_end)
        board.relays.release()
        stub.fails = stub.fails_late = failing([])
        stub.stuck.clear()
        board.relays.release()
        assert {line: stub.level_of(line) for line in garden.safe} == garden.safe
        assert (board.relays.disobedient(), board.relays.faults()) == ((), {})
        assert stub.held() == []
        assert not any(None in levels for levels in stub.seen.values())


@given(STEPS, FAULTS)
def test_disobedient_tells_exactly_the_lines_that_differ_from_their_orders(
    steps: list[Step], faults: list[Exception | None]
) -> None:
    """Once the driver is well and every load has been ordered again, whatever failed before.

    Told as well are loads that had a line which was left and is held away from its safe level.
    """
    with real_board() as (board, stub):
        garden = Garden(stub)
        stub.fails = stub.fails_late = failing(faults)
        garden.follow(board.relays, steps)
        stub.fails = stub.fails_late = failing([])
        if garden.is_released or not garden.wires:
            board.relays.rewire(garden.wires, garden.is_on)
        for wire in garden.wires:
            board.relays.switch(wire.load, is_on=garden.is_on[wire.load])
        differ = {
            wire.load
            for wire in garden.wires
            if stub.level_of(wire.line) is not wire.level(is_on=garden.is_on[wire.load])
        }
        left = {
            load
            for line, loads in garden.loads_of.items()
            for load in loads
            if line not in {wire.line for wire in garden.wires} and line in stub.stuck
        }
        told = board.relays.disobedient()
        assert differ <= set(told) <= differ | left
        assert set(told) == set(board.relays.faults())
        assert len(set(told)) == len(told)


@given(STEPS)
def test_a_well_driver_never_sees_a_wrong_level(steps: list[Step]) -> None:
    """Without faults each line has only the levels that were ordered, or its safe ones."""
    with real_board() as (board, stub):
        garden = Garden(stub)
        wanted: dict[int, list[bool]] = {}

        def want(line: int, level: bool) -> None:
            levels = wanted.setdefault(line, [])
            if not levels or levels[-1] is not level:
                levels.append(level)

        held: dict[int, Wire] = {}
        for name, what in steps:
            if name in {"stick", "heal"}:
                continue
            garden.follow(board.relays, [(name, what)])
            if name in {"release", "rewire"}:
                for line, wire in list(held.items()):
                    if name == "release" or line not in {one.line for one in garden.wires}:
                        want(line, wire.level_when_stopped)
                        del held[line]
            if not garden.is_released:
                for wire in garden.wires:
                    want(wire.line, wire.level(is_on=garden.is_on[wire.load]))
                    held[wire.line] = wire
        assert stub.seen == wanted


def test_a_keyboard_interrupt_is_not_swallowed() -> None:
    """Who ends the process by force may; the way out after death is there for that."""
    with real_board() as (board, stub):

        def interrupted() -> Exception | None:
            raise KeyboardInterrupt

        stub.fails = interrupted
        wire = Wire("pump", 17, True, False, False, True)
        with pytest.raises(KeyboardInterrupt):
            board.relays.rewire([wire], {"pump": False})
        stub.fails = stub.fails_late = failing([])
        board.relays.release()
        assert stub.seen == {17: [True]}


@pytest.mark.parametrize("moment", range(30))
def test_a_release_in_the_middle_of_anything_is_the_last_word(moment: int) -> None:
    """A signal handler releases between any two calls of the driver, or before it answers.

    When the interrupted call has ended, every line is safe and free, and further orders
    switch nothing; the handler may even have been the last to run (see the next test).
    """
    a, b = Wire("a", 4, True, False, False, True), Wire("b", 17, True, False, True, True)
    moved = [a._replace(line=22), b]
    with real_board() as (board, stub):
        calls = itertools.count()
        is_signalled = False

        def signalled() -> Exception | None:
            nonlocal is_signalled
            if next(calls) == moment:
                is_signalled = True
                board.relays.release()
            return None

        stub.fails = stub.fails_late = signalled
        for work in (
            lambda: board.relays.rewire([a, b], {"a": True, "b": False}),
            lambda: board.relays.switch("a", is_on=False),
            lambda: board.relays.rewire(moved, {"a": True, "b": False}),
            board.relays.disobedient,
        ):
            if not is_signalled:
                work()
        assert is_signalled
        calls_before = len(stub.calls)
        assert not board.relays.switch("a", is_on=True)
        assert len(stub.calls) == calls_before
        safe = {4: True, 17: False, 22: True}
        assert {line: stub.level_of(line) for line in stub.seen} == {
            line: safe[line] for line in stub.seen
        }
        assert not any(None in levels for levels in stub.seen.values())
        assert stub.held() == []


@pytest.mark.parametrize("moment", range(30))
def test_a_handler_that_ends_the_process_has_made_the_lines_safe(moment: int) -> None:
    """Whatever it interrupted never goes on."""
    a, b = Wire("a", 4, True, False, False, True), Wire("b", 17, True, False, True, True)
    moved = [a._replace(line=22), b]
    with real_board() as (board, stub):
        calls = itertools.count()

        def signalled() -> Exception | None:
            if next(calls) == moment:
                board.relays.release()
                ends.append({line: stub.level_of(line) for line in stub.seen})
            return None

        ends: list[dict[int, bool]] = []
        stub.fails = stub.fails_late = signalled
        board.relays.rewire([a, b], {"a": True, "b": False})
        board.relays.switch("a", is_on=False)
        if not ends:
            board.relays.rewire(moved, {"a": True, "b": False})
        board.relays.disobedient()
        safe = {4: True, 17: False, 22: True}
        assert ends == [{line: safe[line] for line in ends[0]}]
