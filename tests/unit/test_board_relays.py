"""What reaches lgpio, call by call, and so what a relay sees."""

from __future__ import annotations

import itertools
from importlib import import_module

import pytest

from controller.core.errors import UnusableBoardError
from controller.shell.board.board import open_board
from tests.unit.test_board_stub import LgpioError, StubLgpio, real_board, stubbed, wire


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
    with real_board() as (board, lgpio):
        assert (
            board.relays.rewire([wire("pump", 17, low=low, closed=closed)], {"pump": is_on}) == ()
        )
        assert lgpio.calls == [("gpio_claim_output", 17, level), ("gpio_read", 17)]
        assert lgpio.seen == {17: [bool(level)]}


@pytest.mark.parametrize(("before", "after"), list(itertools.product([False, True], repeat=2)))
def test_a_line_left_by_a_killed_process_is_claimed_by_one_call(before: bool, after: bool) -> None:
    """It stays an output all the time, and changes its level only if the order differs."""
    stub = StubLgpio()
    stub.died_with(17, level=before)
    with real_board(stub) as (board, lgpio):
        board.relays.rewire([wire("pump", 17, low=False)], {"pump": after})
        assert lgpio.calls == [("gpio_claim_output", 17, int(after)), ("gpio_read", 17)]
        assert lgpio.seen == {17: [before] if before is after else [before, after]}


def test_switching_writes_and_reads_back() -> None:
    """The line's mode is asked first; a claimed line is never claimed again."""
    with real_board() as (board, lgpio):
        board.relays.rewire([wire("pump", 17)], {"pump": False})
        lgpio.calls.clear()
        assert board.relays.switch("pump", is_on=True)
        assert board.relays.switch("pump", is_on=False)
        assert lgpio.calls == [
            ("gpio_get_mode", 17),
            ("gpio_write", 17, 0),
            ("gpio_read", 17),
            ("gpio_get_mode", 17),
            ("gpio_write", 17, 1),
            ("gpio_read", 17),
        ]


def test_asking_who_disobeys_only_reads() -> None:
    """One read a claimed line, and no more."""
    with real_board() as (board, lgpio):
        board.relays.rewire([wire("pump", 17), wire("lamp", 18)], {"pump": False, "lamp": True})
        lgpio.calls.clear()
        assert board.relays.disobedient() == ()
        assert lgpio.calls == [("gpio_read", 17), ("gpio_read", 18)]


def test_release_drives_all_lines_before_it_frees_any() -> None:
    """And frees them as they are: no line becomes an input by our doing."""
    with real_board() as (board, lgpio):
        wires = [wire("pump", 17), wire("fan", 18, on_stopped=True)]
        board.relays.rewire(wires, {"pump": True, "fan": False})
        lgpio.calls.clear()
        board.relays.release()
        assert lgpio.calls == [
            ("gpio_get_mode", 17),
            ("gpio_write", 17, 1),
            ("gpio_read", 17),
            ("gpio_get_mode", 18),
            ("gpio_write", 18, 0),
            ("gpio_read", 18),
            ("gpio_free", 17),
            ("gpio_free", 18),
        ]
        assert lgpio.seen == {17: [False, True], 18: [True, False]}


def test_release_again_does_nothing() -> None:
    """What is free is left alone, by a second release and by closing the board too."""
    with real_board() as (board, lgpio):
        board.relays.rewire([wire("pump", 17)], {"pump": True})
        board.relays.release()
        lgpio.calls.clear()
        board.relays.release()
        board.close()
        board.close()
        assert lgpio.calls == []
        assert lgpio.opened == ["open 0", "close 0"]


def test_the_library_s_own_clean_up_at_exit_touches_no_line() -> None:
    """It closes what `Device.pin_factory` holds; our factory is never put there."""
    with real_board() as (board, lgpio):
        board.relays.rewire([wire("pump", 17)], {"pump": True})
        lgpio.calls.clear()
        import_module("gpiozero.devices")._shutdown()
        assert lgpio.calls == []
        assert board.relays.disobedient() == ()


def test_a_line_that_leaves_is_safe_and_free_before_another_is_claimed() -> None:
    """The pump moves from 17 to 22: line 17 goes off first."""
    with real_board() as (board, lgpio):
        board.relays.rewire([wire("pump", 17)], {"pump": True})
        lgpio.calls.clear()
        assert board.relays.rewire([wire("pump", 22)], {"pump": True}) == ()
        assert lgpio.calls == [
            ("gpio_get_mode", 17),
            ("gpio_write", 17, 1),
            ("gpio_read", 17),
            ("gpio_free", 17),
            ("gpio_claim_output", 22, 0),
            ("gpio_read", 22),
        ]


def test_two_loads_that_swap_their_lines_are_only_set() -> None:
    """Neither line is let go; each takes the level of its new load at once."""
    with real_board() as (board, lgpio):
        board.relays.rewire([wire("a", 17), wire("b", 18)], {"a": True, "b": False})
        lgpio.calls.clear()
        assert board.relays.rewire([wire("a", 18), wire("b", 17)], {"a": True, "b": False}) == ()
        assert lgpio.calls == [
            ("gpio_get_mode", 18),
            ("gpio_write", 18, 0),
            ("gpio_read", 18),
            ("gpio_get_mode", 17),
            ("gpio_write", 17, 1),
            ("gpio_read", 17),
        ]
        board.relays.release()
        assert lgpio.seen == {17: [False, True], 18: [True, False, True]}


def test_a_failed_claim_is_followed_by_claim_and_write() -> None:
    """Whether the driver took the line at the first try is not known, so both are done."""
    with real_board() as (board, lgpio):
        errors = iter([OSError("torn"), None, None, None, None])
        lgpio.fails = lambda: next(errors)
        assert board.relays.rewire([wire("pump", 17)], {"pump": False}) == ("pump",)
        lgpio.calls.clear()
        assert board.relays.switch("pump", is_on=False)
        assert lgpio.calls == [
            ("gpio_claim_output", 17, 1),
            ("gpio_get_mode", 17),
            ("gpio_write", 17, 1),
            ("gpio_read", 17),
        ]


def test_a_line_in_use_is_told_with_its_user() -> None:
    """The kernel knows the name that the other program gave itself."""
    stub = StubLgpio()
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
        # lgpio would read and write memory behind its own table.
        (8, 17, "line 17 is not on this board's header: the chip has lines 0 to 7 only"),
    ],
)
def test_a_line_that_the_board_lacks_never_reaches_lgpio(lines: int, line: int, words: str) -> None:
    """It is told, and the other lines work."""
    with real_board(StubLgpio(lines)) as (board, lgpio):
        wires = [wire("pump", line), wire("lamp", 4)]
        assert board.relays.rewire(wires, {"pump": False, "lamp": True}) == ("pump",)
        assert board.relays.faults() == {"pump": words}
        assert lgpio.calls == [("gpio_claim_output", 4, 0), ("gpio_read", 4)]


def test_the_chip_is_known() -> None:
    """Which device was opened, for those who speak to the kernel themselves."""
    with real_board() as (board, _):
        assert board.chip == ("/dev/gpiochip0", "pinctrl-bcm2711", 58)
        assert board.mock is None
        assert not board.relays.is_mock


def test_boards_share_nothing() -> None:
    """The library's factories share their pins; a second board must not get the first one's."""
    with stubbed() as lgpio:
        first, second = (open_board(is_mock=False) for _ in range(2))
        assert first._driver.pin(17) is first._driver.pin(17)
        assert first._driver.pin(17) is not second._driver.pin(17)
        first.close()
        assert second.relays.rewire([wire("pump", 17)], {"pump": False}) == ()
        second.close()
        assert lgpio.opened == ["open 0", "open 0", "close 0", "close 0"]


def test_a_chip_that_cannot_be_opened_is_told() -> None:
    """The text of lgpio's error, without its quotes."""

    def closed(gpiochip: int) -> int:
        raise LgpioError("can not open gpiochip")

    with stubbed() as lgpio:
        lgpio.gpiochip_open = closed  # type: ignore[method-assign]
        with pytest.raises(UnusableBoardError) as told:
            open_board(is_mock=False)
        assert str(told.value) == "the GPIO lines cannot be opened: can not open gpiochip"


def test_a_chip_that_tells_nothing_is_closed_again() -> None:
    """And no handle is left behind."""

    def silent(handle: int) -> list[object]:
        raise LgpioError("bad chip info ioctl")

    with stubbed() as lgpio:
        lgpio.gpio_get_chip_info = silent  # type: ignore[method-assign]
        with pytest.raises(UnusableBoardError, match="bad chip info ioctl"):
            open_board(is_mock=False)
        assert lgpio.opened == ["open 0", "close 0"]


def test_a_computer_that_is_no_known_board_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """In gpiozero's own words, which name the files that it looked at."""

    def unknown() -> int:
        raise import_module("gpiozero.exc").PinUnknownPi(
            "unable to locate Pi revision in /proc/device-tree or /proc/cpuinfo"
        )

    with stubbed():
        monkeypatch.setattr(import_module("gpiozero.pins.local"), "get_pi_revision", unknown)
        with pytest.raises(UnusableBoardError, match="unable to locate Pi revision"):
            open_board(is_mock=False)


def test_a_user_whom_the_kernel_does_not_tell_is_another_program() -> None:
    """Asking for the name may fail as well."""

    def silent(handle: int, gpio: int) -> list[object]:
        raise LgpioError("bad line info ioctl")

    stub = StubLgpio()
    stub.users = {17: "somebody"}
    stub.gpio_get_line_info = silent  # type: ignore[method-assign]
    with real_board(stub) as (board, _):
        board.relays.rewire([wire("pump", 17)], {"pump": False})
        assert board.relays.faults() == {"pump": "line 17 is in use by another program"}


def test_after_the_board_is_closed_lines_are_told_as_failing() -> None:
    """Nothing reaches a chip that is not open."""
    with real_board() as (board, lgpio):
        board.close()
        assert board.relays.rewire([wire("pump", 17)], {"pump": False}) == ("pump",)
        assert board.relays.faults() == {"pump": "line 17 fails: the board is closed"}
        assert lgpio.calls == []
