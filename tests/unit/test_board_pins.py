"""The pins and their factory as gpiozero sees them: its devices, its headers, its errors."""

from __future__ import annotations

import errno
import struct
from typing import Any

import pytest
from gpiozero import OutputDevice
from gpiozero.exc import GPIOZeroError, PinInvalidFunction, PinUnknownPi

from controller.core.errors import UnusableBoardError
from controller.shell.board import kernel_pins
from controller.shell.board.kernel_pins import RelayFactory
from tests.unit.test_board_stub import HEADER_CHIP, StubKernel, refusal


@pytest.fixture
def factory() -> RelayFactory:
    """A factory upon the stub."""
    return RelayFactory(HEADER_CHIP, StubKernel())


@pytest.mark.parametrize(("low", "first", "on", "off"), [(True, 1, 0, 1), (False, 0, 1, 0)])
def test_the_library_s_own_devices_work_on_these_pins(
    factory: Any, low: bool, first: int, on: int, off: int
) -> None:
    """An output device that is off from the first, which stock pins of a low relay are not."""
    kernel = factory.kernel
    device = OutputDevice(17, active_high=not low, initial_value=False, pin_factory=factory)
    device.on()
    assert device.value == 1
    device.off()
    device.close()
    factory.close()
    assert kernel.calls == [
        ("output", 17, first),
        ("set", 17, on),
        ("get", 17),
        ("set", 17, off),
        ("free", 17),
    ]
    assert kernel.seen == {17: [bool(first), bool(on), bool(off)]}


def test_a_pin_is_an_output_or_free(factory: Any) -> None:
    """Nothing makes it an input, nor an output of a level that nobody named."""
    pin = factory.pin(17)
    assert pin.function == "free"
    for function in ("input", "output"):
        with pytest.raises(PinInvalidFunction, match="GPIO17 becomes an output by"):
            pin.function = function
    for name in ("state", "pull", "frequency", "bounce"):
        with pytest.raises(GPIOZeroError):
            setattr(pin, name, 1)
    with pytest.raises(GPIOZeroError, match="GPIO17 is not claimed"):
        assert pin.state
    assert factory.kernel.calls == []
    pin.output_with_state(True)
    assert pin.function == "output"
    pin.close()
    pin.close()
    assert pin.function == "free"
    assert factory.kernel.calls == [("output", 17, 1), ("free", 17)]


def test_a_chip_that_cannot_be_opened_is_told() -> None:
    """As when it has gone since it was found."""

    class Closed(StubKernel):
        def open(self, device: str) -> int:  # noqa: ARG002 - no device opens
            raise refusal(errno.ENODEV)

    with pytest.raises(UnusableBoardError) as told:
        RelayFactory(HEADER_CHIP, Closed())
    assert str(told.value) == ("the GPIO lines cannot be opened: /dev/gpiochip0: No such device")


@pytest.mark.parametrize(
    "trouble",
    [
        PinUnknownPi("unable to locate Pi revision"),
        OSError(errno.EACCES, "Permission denied"),
        struct.error("unpack requires a buffer of 4 bytes"),
        IndexError("list index out of range"),  # "Revision" without a colon
        ValueError("invalid literal for int() with base 16"),
    ],
)
def test_a_board_without_a_known_revision_has_the_common_header(
    trouble: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its chip is known by the label; lines 0 to 27 are those of every header of 40 pins."""

    def unknown() -> int:
        raise trouble

    monkeypatch.setattr(kernel_pins, "get_pi_revision", unknown)
    factory = RelayFactory(HEADER_CHIP, StubKernel())
    has = []
    for line in range(58):
        try:
            factory.pin(line)
        except GPIOZeroError:
            continue
        has.append(line)
    assert has == list(range(28))


@pytest.mark.parametrize("revision", [0, 0xFFFF, 0xC03FF0])
def test_a_revision_that_the_library_does_not_know_is_no_obstacle(
    revision: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """None, an old-style one, and that of a board that is yet to come."""
    monkeypatch.setattr(kernel_pins, "get_pi_revision", lambda: revision)
    factory = RelayFactory(HEADER_CHIP, StubKernel())
    assert repr(factory.pin(27)) == "GPIO27"
