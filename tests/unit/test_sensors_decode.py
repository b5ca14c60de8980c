"""Numbers out of what a file holds: what counts as one, and what is said of the rest."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.errors import NoReadingError
from controller.shell.sensors.decode import SIZE_MAX, decode
from tests.strategies import examples

# What a DS18B20 at 23.125 °C gives: printed in many a report; from memory.
ONE_WIRE = b"72 01 4b 46 7f ff 0e 10 57 : crc=57 YES\n72 01 4b 46 7f ff 0e 10 57 t=23125\n"


@pytest.mark.parametrize(
    ("data", "value"),
    [
        pytest.param(b"21500\n", 21_500.0, id="as sysfs writes it"),
        pytest.param(b"21500", 21_500.0, id="without a line's end"),
        pytest.param(b"-10125\n", -10_125.0, id="below zero"),
        pytest.param(b"+7\n", 7.0, id="with a plus"),
        pytest.param(b"0.010000\n", 0.01, id="a fraction"),
        pytest.param(b".5", 0.5, id="a fraction without its zero"),
        pytest.param(b"21.\n", 21.0, id="a point and nothing after it"),
        pytest.param(b"1e3\n", 1_000.0, id="an exponent"),
        pytest.param(b"-0\n", 0.0, id="minus nothing"),
        pytest.param(b"0" * SIZE_MAX, 0.0, id="as long as it may be"),
        pytest.param(ONE_WIRE, 23_125.0, id="two lines of 1-Wire"),
        pytest.param(ONE_WIRE.rstrip(), 23_125.0, id="two lines, the last without its end"),
        pytest.param(ONE_WIRE.replace(b"t=23125", b"t=-55000"), -55_000.0, id="1-Wire, frost"),
    ],
)
def test_a_number_is_read_as_it_stands(data: bytes, value: float) -> None:
    """No unit is guessed: thousandths stay thousandths."""
    assert decode(data) == value


NO_NUMBER = "its file holds something that is no number"


@pytest.mark.parametrize(
    ("data", "why"),
    [
        pytest.param(b"", "its file is empty", id="nothing"),
        pytest.param(b"\n", NO_NUMBER, id="an empty line"),
        pytest.param(b"21500\n\n", NO_NUMBER, id="two ends of a line"),
        pytest.param(b"21500\r\n", NO_NUMBER, id="a line's end of another system"),
        pytest.param(b" 21500\n", NO_NUMBER, id="a blank before"),
        pytest.param(b"21500 \n", NO_NUMBER, id="a blank after"),
        pytest.param(b"21500 mC\n", NO_NUMBER, id="a unit"),
        pytest.param(b"21,5\n", NO_NUMBER, id="a comma"),
        pytest.param(b"1_000\n", NO_NUMBER, id="what Python takes and the kernel never writes"),
        pytest.param("٢١\n".encode(), NO_NUMBER, id="digits of another script"),
        pytest.param(b"nan\n", NO_NUMBER, id="not a number, in words"),
        pytest.param(b"inf\n", NO_NUMBER, id="infinity, in words"),
        pytest.param(b"0x1f\n", NO_NUMBER, id="hexadecimal"),
        pytest.param(b"21500\n21500\n", NO_NUMBER, id="two numbers"),
        pytest.param(b"\0\0\0\0", NO_NUMBER, id="zero bytes"),
        pytest.param(b"e3", NO_NUMBER, id="an exponent of nothing"),
        pytest.param(b"-", NO_NUMBER, id="a sign alone"),
        pytest.param(b"1e999\n", "its file holds a number too large to be one", id="too large"),
        pytest.param(
            b"0" * (SIZE_MAX + 1),
            "its file holds more than 256 bytes, which no number needs",
            id="one byte too many",
        ),
        pytest.param(
            ONE_WIRE.replace(b"YES", b"NO"),
            "the thermometer's answer came garbled over the 1-Wire bus (crc NO)",
            id="1-Wire, garbled",
        ),
        pytest.param(
            b"00 00 00 00 00 00 00 00 00 : crc=00 YES\n00 00 00 00 00 00 00 00 00 t=0\n",
            "the 1-Wire bus answers nothing but zeros: its data wire is on ground",
            id="1-Wire on ground, whose CRC is right",
        ),
        pytest.param(ONE_WIRE[:40], NO_NUMBER, id="1-Wire, its second line missing"),
        pytest.param(ONE_WIRE.replace(b"t=23125", b"t="), NO_NUMBER, id="1-Wire, no value"),
        pytest.param(ONE_WIRE.replace(b"YES", b"yes"), NO_NUMBER, id="1-Wire, not the kernel's"),
    ],
)
def test_what_is_no_number_is_told_in_words(data: bytes, why: str) -> None:
    """Never the nearest number, and never what the file holds."""
    with pytest.raises(NoReadingError) as refusal:
        decode(data)
    assert str(refusal.value) == why


@given(
    st.one_of(
        st.binary(max_size=SIZE_MAX + 8),
        st.text("0123456789.+-eE\n _nafit", max_size=20).map(str.encode),
        st.builds(
            lambda data, place, byte: data[:place] + bytes([byte]) + data[place + 1 :],
            st.just(ONE_WIRE),
            st.integers(0, len(ONE_WIRE) - 1),
            st.integers(0, 255),
        ),
    )
)
@examples(300)
def test_any_bytes_are_a_finite_number_or_none(data: bytes) -> None:
    """What is taken, Python takes too, and for the same."""
    try:
        value = decode(data)
    except NoReadingError:
        return
    assert math.isfinite(value)
    assert value == float(data.rpartition(b"t=")[2])


@given(st.floats(allow_nan=False, allow_infinity=False), st.sampled_from([b"", b"\n"]))
@examples(100)
def test_every_number_that_is_written_is_read_back(value: float, end: bytes) -> None:
    """To the last bit."""
    assert decode(repr(value).encode() + end) == value
