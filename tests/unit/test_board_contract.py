"""What relays do, held against the mock and against the real class upon a stand-in for kernel."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import pytest

from controller.core.wiring import Wire
from controller.daemon.ports import Relays
from controller.shell.board.board import Board, open_board
from controller.shell.board.relays import GpioRelays
from tests.unit.test_board_stub import real_board, wire


class Bench(NamedTuple):
    """A board, and a person's eyes and hands at it, whatever kind it is of."""

    board: Board
    history: Callable[[int], Sequence[bool | None]]
    stick: Callable[[int, bool], None]
    occupy: Callable[[int], None]
    heal: Callable[[int], None]

    @property
    def relays(self) -> GpioRelays:
        """The relays."""
        return self.board.relays


@pytest.fixture(params=["mock", "real"])
def bench(request: pytest.FixtureRequest) -> Iterator[Bench]:
    """Each kind of board in turn."""
    if request.param == "mock":
        board = open_board(is_mock=True)
        mock = board.mock
        assert mock is not None
        yield Bench(
            board,
            mock.history,
            lambda line, level: mock.stick(line, level=level),
            mock.occupy,
            mock.heal,
        )
        board.close()
        return
    with real_board() as (board, kernel):

        def heal(line: int) -> None:
            kernel.stuck.pop(line, None)
            kernel.users.pop(line, None)

        yield Bench(
            board,
            lambda line: kernel.seen.get(line, []),
            kernel.stuck.__setitem__,
            lambda line: kernel.users.__setitem__(line, "another"),
            heal,
        )


def test_it_fulfils_the_port(bench: Bench) -> None:
    """The type checker reads this line; the loop relies on it."""
    relays: Relays = bench.relays
    assert relays.disobedient() == ()


@pytest.mark.parametrize("low", [False, True])
@pytest.mark.parametrize("closed", [False, True])
@pytest.mark.parametrize("is_on", [False, True])
def test_a_line_has_one_level_from_the_first(
    bench: Bench, low: bool, closed: bool, is_on: bool
) -> None:
    """An active-low line does not open through low, nor a normally-closed one through off."""
    pump = wire("pump", 17, low=low, closed=closed)
    assert bench.relays.rewire([pump], {"pump": is_on}) == ()
    assert bench.history(17) == [pump.level(is_on=is_on)]


def test_a_day_of_orders_is_a_list_of_levels(bench: Bench) -> None:
    """Each order is one change; the same order again is none; release is the last."""
    bench.relays.rewire([wire("pump", 17)], {"pump": False})
    for is_on in (True, True, False, True):
        assert bench.relays.switch("pump", is_on=is_on)
    bench.relays.release()
    assert bench.history(17) == [True, False, True, False, True]


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        # The line leaves: safe, whatever the load was.
        ([wire("a", 17)], [], {17: [False, True]}),
        # The load moves: its old line is safe, its new one as ordered.
        ([wire("a", 17)], [wire("a", 18)], {17: [False, True], 18: [False]}),
        # Two swap: both stay on, and neither blinks.
        (
            [wire("a", 17), wire("b", 18)],
            [wire("a", 18), wire("b", 17)],
            {17: [False], 18: [False]},
        ),
        # The wiring is corrected: on is the other level now.
        ([wire("a", 17)], [wire("a", 17, low=False)], {17: [False, True]}),
        # The line changes its load, and with it what is safe.
        ([wire("a", 17)], [wire("b", 17, on_stopped=True)], {17: [False]}),
        # The plan is edited elsewhere: nothing happens.
        ([wire("a", 17)], [wire("a", 17, on_stopped=True)], {17: [False]}),
    ],
)
def test_rewiring(
    bench: Bench, before: list[Wire], after: list[Wire], expected: dict[int, list[bool]]
) -> None:
    """All loads are on before and after; what each line went through."""
    bench.relays.rewire(before, {one.load: True for one in before})
    assert bench.relays.rewire(after, {one.load: True for one in after}) == ()
    assert {line: bench.history(line) for line in expected} == expected


def test_release_leaves_each_load_in_its_state_while_stopped(bench: Bench) -> None:
    """Of every kind of wiring; and no order reaches a line after it."""
    wires = [
        wire(
            f"{low}{closed}{on_stopped}", 4 + number, low=low, closed=closed, on_stopped=on_stopped
        )
        for number, (low, closed, on_stopped) in enumerate(
            (a, b, c) for a in (False, True) for b in (False, True) for c in (False, True)
        )
    ]
    bench.relays.rewire(wires, {one.load: not one.is_on_when_stopped for one in wires})
    bench.relays.release()
    for one in wires:
        assert not bench.relays.switch(one.load, is_on=not one.is_on_when_stopped)
        assert bench.history(one.line) == [not one.level_when_stopped, one.level_when_stopped]
    assert list(bench.relays.disobedient()) == [one.load for one in wires]
    assert bench.relays.faults()["FalseFalseFalse"] == "line 4 is released: nothing is switched"
    assert bench.relays.rewire(wires, {one.load: False for one in wires}) == ()


def test_a_line_that_does_not_follow_is_told_and_tried_again(bench: Bench) -> None:
    """The others work; once it follows, nothing is wrong any more."""
    bench.stick(17, True)
    wires = [wire("pump", 17), wire("lamp", 18)]
    assert bench.relays.rewire(wires, {"pump": True, "lamp": True}) == ("pump",)
    words = (
        "line 17 was set low and reads high: look for a short circuit, "
        "or another program that drives it"
    )
    assert bench.relays.faults() == {"pump": words}
    assert not bench.relays.switch("pump", is_on=True)
    assert bench.relays.switch("lamp", is_on=False)
    assert bench.relays.disobedient() == ("pump",)
    bench.heal(17)
    assert bench.relays.switch("pump", is_on=True)
    assert (bench.relays.disobedient(), bench.relays.faults()) == ((), {})


def test_a_line_in_use_is_told_and_tried_again(bench: Bench) -> None:
    """At the next order, without a new plan."""
    bench.occupy(17)
    wires = [wire("pump", 17), wire("lamp", 18)]
    assert bench.relays.rewire(wires, {"pump": True, "lamp": True}) == ("pump",)
    assert "in use by another program" in bench.relays.faults()["pump"]
    assert bench.relays.disobedient() == ("pump",)
    bench.heal(17)
    assert bench.relays.switch("pump", is_on=True)
    assert bench.history(17) == [False]


def test_a_line_that_could_not_be_made_safe_is_told_under_its_load_s_name(bench: Bench) -> None:
    """Though the plan has no such load any more; it is tried again with every order."""
    bench.relays.rewire([wire("old", 17), wire("lamp", 18)], {"old": True, "lamp": False})
    bench.stick(17, False)
    assert bench.relays.rewire([wire("lamp", 18)], {"lamp": False}) == ("old",)
    assert bench.relays.disobedient() == ("old",)
    assert bench.relays.switch("lamp", is_on=True)
    assert list(bench.relays.faults()) == ["old"]
    bench.heal(17)
    bench.relays.switch("lamp", is_on=False)
    assert (bench.relays.disobedient(), bench.relays.faults()) == ((), {})
    assert bench.history(17)[-1] is True


def test_a_load_that_moved_tells_of_its_old_line_too(bench: Bench) -> None:
    """The new line obeys; the load is disobedient all the same, for the old one is on."""
    bench.relays.rewire([wire("pump", 17)], {"pump": True})
    bench.stick(17, False)
    assert bench.relays.rewire([wire("pump", 18)], {"pump": True}) == ("pump",)
    assert bench.relays.faults()["pump"].startswith("line 17 was set high and reads low")


def test_one_line_serves_one_load(bench: Bench) -> None:
    """A plan that gives it to two is refused long before; here the second has it."""
    wires = [wire("a", 17), wire("b", 17)]
    assert bench.relays.rewire(wires, {"a": False, "b": True}) == ("a",)
    assert bench.relays.faults() == {"a": "line 17 is that of 'b' too"}
    assert bench.history(17) == [False]


def test_lines_that_the_header_lacks_are_told(bench: Bench) -> None:
    """The plan may name lines up to 53; the header of the board decides."""
    assert bench.relays.rewire([wire("pump", 53)], {"pump": False}) == ("pump",)
    assert "line 53" in bench.relays.faults()["pump"]
    bench.relays.release()
    assert bench.relays.disobedient() == ("pump",)
