"""What is asked of the kernel, call by call, and so what a relay sees."""

from __future__ import annotations

import errno
import itertools
from importlib import import_module

import pytest

from tests.unit.test_board_stub import (
    DEVICE,
    HEADER_CHIP,
    StubKernel,
    real_board,
    refusal,
    stub_board,
    wire,
)


@pytest.mark.parametrize(
    ("low", "closed", "is_on", "level"),
    [
        # A relay's coil draws at the active level; a normally-closed contact conducts at rest.
        (True, False, False, 1),
        (True, False, True, 0),
        (True, True, False, 0),
        (True, True, True, 1),
        (False, False, False, 0),
        (False, False, True, 1),
        (False, True, False, 1),
        (False, True, True, 0),
    ],
)
def test_a_line_opens_by_one_claim_that_carries_its_level(
    low: bool, closed: bool, is_on: bool, level: int
) -> None:
    """Nothing is claimed as an input, and no other level is driven before."""
    with real_board() as (board, kernel):
        assert (
            board.relays.rewire([wire("pump", 17, low=low, closed=closed)], {"pump": is_on}) == ()
        )
        assert kernel.calls == [("output", 17, level), ("get", 17)]
        assert kernel.seen == {17: [bool(level)]}


@pytest.mark.parametrize(("before", "after"), list(itertools.product([False, True], repeat=2)))
def test_a_line_left_by_a_killed_process_is_claimed_by_one_call(before: bool, after: bool) -> None:
    """It stays an output all the time, and changes its level only if the order differs."""
    stub = StubKernel()
    stub.died_with(17, level=before)
    with real_board(stub) as (board, kernel):
        board.relays.rewire([wire("pump", 17, low=False)], {"pump": after})
        assert kernel.calls == [("output", 17, int(after)), ("get", 17)]
        assert kernel.seen == {17: [before] if before is after else [before, after]}


def test_switching_writes_and_reads_back() -> None:
    """One request each; a claimed line is never claimed again."""
    with real_board() as (board, kernel):
        board.relays.rewire([wire("pump", 17)], {"pump": False})
        kernel.calls.clear()
        assert board.relays.switch("pump", is_on=True)
        assert board.relays.switch("pump", is_on=False)
        assert kernel.calls == [
            ("set", 17, 0),
            ("get", 17),
            ("set", 17, 1),
            ("get", 17),
        ]


def test_asking_who_disobeys_only_reads() -> None:
    """One read a claimed line, and no more."""
    with real_board() as (board, kernel):
        board.relays.rewire([wire("pump", 17), wire("lamp", 18)], {"pump": False, "lamp": True})
        kernel.calls.clear()
        assert board.relays.disobedient() == ()
        assert kernel.calls == [("get", 17), ("get", 18)]


def test_release_drives_all_lines_before_it_frees_any() -> None:
    """And frees them as they are: no line becomes an input by our doing."""
    with real_board() as (board, kernel):
        wires = [wire("pump", 17), wire("fan", 18, on_stopped=True)]
        board.relays.rewire(wires, {"pump": True, "fan": False})
        kernel.calls.clear()
        board.relays.release()
        assert kernel.calls == [
            ("set", 17, 1),
            ("get", 17),
            ("set", 18, 0),
            ("get", 18),
            ("free", 17),
            ("free", 18),
        ]
        assert kernel.seen == {17: [False, True], 18: [True, False]}


def test_release_again_does_nothing() -> None:
    """What is free is left alone, by a second release and by closing the board too."""
    with real_board() as (board, kernel):
        board.relays.rewire([wire("pump", 17)], {"pump": True})
        board.relays.release()
        kernel.calls.clear()
        board.relays.release()
        board.close()
        board.close()
        assert kernel.calls == []
        assert kernel.opened == [f"open {DEVICE}", f"close {DEVICE}"]


def test_the_library_s_own_clean_up_at_exit_touches_no_line() -> None:
    """It closes what `Device.pin_factory` holds; our factory is never put there."""
    with real_board() as (board, kernel):
        board.relays.rewire([wire("pump", 17)], {"pump": True})
        kernel.calls.clear()
        import_module("gpiozero.devices")._shutdown()
        assert kernel.calls == []
        assert board.relays.disobedient() == ()


def test_a_line_that_leaves_is_safe_and_free_before_another_is_claimed() -> None:
    """The pump moves from 17 to 22: line 17 goes off first."""
    with real_board() as (board, kernel):
        board.relays.rewire([wire("pump", 17)], {"pump": True})
        kernel.calls.clear()
        assert board.relays.rewire([wire("pump", 22)], {"pump": True}) == ()
        assert kernel.calls == [
            ("set", 17, 1),
            ("get", 17),
            ("free", 17),
            ("output", 22, 0),
            ("get", 22),
        ]


def test_two_loads_that_swap_their_lines_are_only_set() -> None:
    """Neither line is let go; each takes the level of its new load at once."""
    with real_board() as (board, kernel):
        board.relays.rewire([wire("a", 17), wire("b", 18)], {"a": True, "b": False})
        kernel.calls.clear()
        assert board.relays.rewire([wire("a", 18), wire("b", 17)], {"a": True, "b": False}) == ()
        assert kernel.calls == [
            ("set", 18, 0),
            ("get", 18),
            ("set", 17, 1),
            ("get", 17),
        ]
        board.relays.release()
        assert kernel.seen == {17: [False, True], 18: [True, False, True]}


@pytest.mark.parametrize(
    ("is_late", "again"),
    [
        (False, ("output", 17, 1)),  # refused: the line is asked for again
        (True, ("set", 17, 1)),  # ours, but something went wrong after: it is set
    ],
)
def test_a_failed_claim_is_followed_by_what_is_needed(is_late: bool, again: object) -> None:
    """Whether the line is ours is known by its descriptor, whatever the error said."""
    with real_board() as (board, kernel):
        errors = iter([refusal(errno.EIO)])

        def torn() -> Exception | None:
            return next(errors, None)

        kernel.fails, kernel.fails_late = (lambda: None, torn) if is_late else (torn, lambda: None)
        assert board.relays.rewire([wire("pump", 17)], {"pump": False}) == ("pump",)
        assert board.relays.faults() == {"pump": "line 17 fails: Input/output error"}
        kernel.calls.clear()
        assert board.relays.switch("pump", is_on=False)
        assert kernel.calls == [again, ("get", 17)]


def test_a_line_in_use_is_told_with_its_user() -> None:
    """The kernel knows the name that the other program gave itself."""
    stub = StubKernel()
    stub.users = {17: "fan-shim", 18: ""}
    with real_board(stub) as (board, _):
        wires = [wire("pump", 17), wire("fan", 18), wire("lamp", 19)]
        off = {"pump": False, "fan": False, "lamp": False}
        assert board.relays.rewire(wires, off) == ("pump", "fan")
        assert board.relays.faults() == {
            "pump": "line 17 is in use by another program, which calls itself 'fan-shim'",
            "fan": "line 18 is in use by another program",
        }
        stub.users = {}
        assert board.relays.rewire(wires, off) == ()
        assert board.relays.faults() == {}


@pytest.mark.parametrize(
    ("lines", "line", "words"),
    [
        (58, 40, "line 40 is not on this board's header: 40 is not a valid pin name"),
        # The virtual board's chip has fewer lines than the header that it tells of.
        (8, 17, "line 17 is not on this board's header: the chip has lines 0 to 7 only"),
    ],
)
def test_a_line_that_the_board_lacks_is_never_asked_for(lines: int, line: int, words: str) -> None:
    """It is told, and the other lines work."""
    with real_board(StubKernel(lines)) as (board, kernel):
        wires = [wire("pump", line), wire("lamp", 4)]
        assert board.relays.rewire(wires, {"pump": False, "lamp": True}) == ("pump",)
        assert board.relays.faults() == {"pump": words}
        assert kernel.calls == [("output", 4, 0), ("get", 4)]


def test_the_chip_is_known() -> None:
    """Which device was opened, for those who speak to the kernel themselves."""
    with real_board() as (board, _):
        assert board.chip == HEADER_CHIP
        assert board.mock is None
        assert not board.relays.is_mock


def test_boards_share_nothing() -> None:
    """The library's factories share their pins; a second board must not get the first one's."""
    kernel = StubKernel()
    first, second = stub_board(kernel), stub_board(kernel)
    assert first._driver.pin(17) is first._driver.pin(17)
    assert first._driver.pin(17) is not second._driver.pin(17)
    first.close()
    assert second.relays.rewire([wire("pump", 17)], {"pump": False}) == ()
    second.close()
    assert kernel.opened == [f"open {DEVICE}"] * 2 + [f"close {DEVICE}"] * 2


def test_a_board_that_closes_frees_what_would_not_become_safe() -> None:
    """As it is: the line is held by force, and nobody could drive it any more."""
    with real_board() as (board, kernel):
        board.relays.rewire([wire("pump", 17)], {"pump": True})
        kernel.stuck[17] = False
        kernel.calls.clear()
        board.close()
        assert kernel.calls == [("set", 17, 1), ("get", 17)] * 2 + [("free", 17)]


def test_a_line_whose_freeing_fails_does_not_keep_the_others() -> None:
    """When the board closes; and the chip is closed too."""
    kernel = StubKernel()
    board = stub_board(kernel)
    board.relays.rewire([wire("a", 4), wire("b", 17)], {"a": False, "b": False})
    kernel.stuck = {4: False, 17: False}
    kernel.fails_late = lambda: refusal(errno.EIO) if kernel.calls[-1][0] == "free" else None
    with pytest.raises(OSError, match="Input/output error"):
        board.close()
    assert kernel.held() == []
    assert kernel.opened == [f"open {DEVICE}", f"close {DEVICE}"]


def test_a_user_whom_the_kernel_does_not_tell_is_another_program() -> None:
    """Asking for the name may fail as well."""

    class Silent(StubKernel):
        def _tell(self, data: bytearray) -> None:  # noqa: ARG002 - of no line
            raise refusal(errno.EINVAL)

    stub = Silent()
    stub.users = {17: "somebody"}
    with real_board(stub) as (board, _):
        board.relays.rewire([wire("pump", 17)], {"pump": False})
        assert board.relays.faults() == {"pump": "line 17 is in use by another program"}


def test_after_the_board_is_closed_lines_are_told_as_failing() -> None:
    """Nothing reaches a chip that is not open."""
    with real_board() as (board, kernel):
        board.close()
        assert board.relays.rewire([wire("pump", 17)], {"pump": False}) == ("pump",)
        assert board.relays.faults() == {"pump": "line 17 fails: the board is closed"}
        assert kernel.calls == []


def test_a_line_whose_descriptor_is_0_is_ours_too() -> None:
    """As in a process that was started without standard input."""

    class FromZero(StubKernel):
        def _opened(self, what: str | int) -> int:
            handle = 0 if isinstance(what, int) else 7
            self._open[handle] = what
            return handle

    with real_board(FromZero()) as (board, kernel):
        assert board.relays.rewire([wire("pump", 17)], {"pump": False}) == ()
        assert board.relays.switch("pump", is_on=True)
        board.relays.release()
        assert kernel.seen == {17: [True, False, True]}
        assert kernel.held() == []
