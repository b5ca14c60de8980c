"""Sensors against their data sheets and the kernel's documents: what a file says becomes what
the sensor measured, with the plan's scale and offset as the documents have them.
"""

from __future__ import annotations

import pytest

from controller.core.errors import NoReadingError
from controller.core.plan import Quantity, Sensor
from controller.shell.board.inputs import Inputs
from controller.shell.board.mock_board import MockInputLines
from controller.shell.sensors.decode import decode
from controller.shell.sensors.flow import FlowMeter
from controller.shell.sensors.plausible import checked


def value_of(data: bytes, measures: Quantity, *, scale: float, offset: float = 0.0) -> float:
    """What a sensor with such a file reads."""
    sensor = Sensor(measures=measures, file="/it", scale=scale, offset=offset)
    return (decode(data) + sensor.offset) * sensor.scale


def crc_of(scratchpad: bytes) -> int:
    """The 1-Wire CRC, x^8 + x^5 + x^4 + 1, lowest bit first (DS18B20 data sheet, "CRC
    generation")."""
    crc = 0
    for byte in scratchpad:
        for bit in range(8):
            mix = (crc ^ (byte >> bit)) & 1
            crc = (crc >> 1) ^ (0x8C if mix else 0)
    return crc


def w1_slave(code: int) -> bytes:
    """What the kernel writes of a DS18B20 with that temperature code.

    Source: Linux, drivers/w1/slaves/w1_therm.c, `w1_slave_show` (the two lines) and
    `w1_DS18B20_convert_temp` (code * 1000 / 16, cut to whole thousandths), from memory.
    """
    scratchpad = bytes([code & 0xFF, code >> 8, 0x4B, 0x46, 0x7F, 0xFF, 0x0C, 0x10])
    crc = crc_of(scratchpad)
    shown = "".join(f"{byte:02x} " for byte in (*scratchpad, crc))
    signed = code - 0x10000 if code & 0x8000 else code
    thousandths = int(signed * 1000 / 16)
    return f"{shown}: crc={crc:02x} YES\n{shown}t={thousandths}\n".encode()


# Maxim (Analog Devices), DS18B20 data sheet, table 1, "Temperature/data relationship"; from
# memory, each row checked by its own arithmetic: sixteenths of a degree, two's complement.
DS18B20 = [
    pytest.param(0x07D0, 125.0, id="+125"),
    pytest.param(0x0191, 25.0625, id="+25.0625"),
    pytest.param(0x00A2, 10.125, id="+10.125"),
    pytest.param(0x0008, 0.5, id="+0.5"),
    pytest.param(0x0000, 0.0, id="0"),
    pytest.param(0xFFF8, -0.5, id="-0.5"),
    pytest.param(0xFF5E, -10.125, id="-10.125"),
    pytest.param(0xFE6F, -25.0625, id="-25.0625"),
    pytest.param(0xFC90, -55.0, id="-55"),
]


@pytest.mark.parametrize(("code", "celsius"), DS18B20)
def test_a_1_wire_thermometer_reads_as_its_data_sheet_says(code: int, celsius: float) -> None:
    """To the thousandth of a degree that the kernel gives."""
    read = value_of(w1_slave(code), "air_temperature", scale=0.001)
    assert read == pytest.approx(celsius, abs=0.001)


def test_the_crc_of_the_example_in_the_kernel_s_documents_is_right() -> None:
    """The bytes 72 01 4b 46 7f ff 0e 10 have the CRC 57 (Documentation/w1/w1-generic.rst and
    many a report of a DS18B20, from memory): our own CRC, with which the rows are made, too."""
    assert crc_of(bytes.fromhex("72014b467fff0e10")) == 0x57


def test_the_power_on_value_is_no_measurement() -> None:
    """0550h, +85 °C, stands in the register until the first conversion (DS18B20 data sheet,
    table 1, note: "The power-on reset value of the temperature register is +85 °C")."""
    read = value_of(w1_slave(0x0550), "water_temperature", scale=0.001)
    assert read == 85.0
    with pytest.raises(NoReadingError, match="have not measured"):
        checked("water_temperature", read)


@pytest.mark.parametrize(
    ("data", "measures", "value"),
    [
        # Linux, Documentation/hwmon/sysfs-interface.rst: temp[1-*]_input in millidegrees
        # Celsius, humidity[1-*]_input in milli-percent.
        pytest.param(b"45000\n", "air_temperature", 45.0, id="hwmon temp1_input"),
        pytest.param(b"-5500\n", "air_temperature", -5.5, id="hwmon, frost"),
        pytest.param(b"52700\n", "humidity", 52.7, id="hwmon humidity1_input"),
        # Linux, Documentation/ABI/testing/sysfs-bus-iio: in_temp_input in milli degrees
        # Celsius, in_humidityrelative_input in milli percent.
        pytest.param(b"22340\n", "air_temperature", 22.34, id="iio in_temp_input"),
        pytest.param(b"48123.046875000\n", "humidity", 48.123046875, id="iio, nine decimals"),
    ],
)
def test_thousandths_are_scaled_as_the_kernel_documents_them(
    data: bytes, measures: Quantity, value: float
) -> None:
    """With scale = 0.001."""
    assert value_of(data, measures, scale=0.001) == pytest.approx(value, rel=1e-12)


# Silicon Labs, Si7021 data sheet, sections 5.1.1 and 5.1.2: RH = 125 * code / 65536 - 6 and
# T = 175.72 * code / 65536 - 46.85, codes of 16 bits. Linux, drivers/iio/humidity/si7020.c
# (from memory): raw is the code without its two lowest bits; scale 175720/16384 with offset
# -4368 for milli degrees, 125000/16384 with offset -786 for milli percent; its comment says
# that the rounded offsets make T 0.00277 °C and RH 0.00330 % too high.
@pytest.mark.parametrize("code", [0x3000, 0x6634, 0x7FFC, 0x9A40])
def test_raw_values_of_iio_become_what_the_data_sheet_says(code: int) -> None:
    """(raw + offset) * scale, in thousandths of the unit (Documentation/ABI/testing/
    sysfs-bus-iio); the plan's scale carries the thousandth."""
    raw = f"{code >> 2}\n".encode()
    temperature = value_of(raw, "air_temperature", scale=175.720 / 16384, offset=-4368)
    humidity = value_of(raw, "humidity", scale=125.0 / 16384, offset=-786)
    assert temperature == pytest.approx(175.72 * code / 65536 - 46.85 + 0.00277, abs=1e-4)
    assert humidity == pytest.approx(125 * code / 65536 - 6 + 0.00330, abs=1e-4)


@pytest.mark.parametrize(
    ("pulses_per_litre", "litres_a_minute", "pulses", "seconds"),
    [
        # Data sheets of small turbine meters with a Hall sensor give f = 7.5 * Q, Hz and
        # L/min: 450 pulses a litre; from memory, and arithmetic.
        pytest.param(450.0, 2.0, 150, 10, id="f = 7.5 Q, two litres a minute, ten seconds"),
        pytest.param(450.0, 30.0, 13_500, 60, id="f = 7.5 Q, at its most, a minute"),
        # Others give f = 11 * Q: 660 a litre; from memory, and arithmetic.
        pytest.param(660.0, 5.0, 1_650, 30, id="f = 11 Q, five litres a minute, half a minute"),
        # Water meters with a reed contact give a pulse a litre: common practice, no source.
        pytest.param(1.0, 4.0, 4, 60, id="a pulse a litre, four litres in a minute"),
    ],
)
def test_pulses_become_litres_a_minute(
    pulses_per_litre: float, litres_a_minute: float, pulses: int, seconds: int
) -> None:
    """Counted on a line, over the time that passed."""
    lines = MockInputLines()
    inputs = Inputs(lines)
    meter = FlowMeter(
        inputs,
        6,
        pull="up",
        pulses_per_litre=pulses_per_litre,
        window_ms=seconds * 900,
        tick=1_000,
    )
    for count in range(pulses):
        lines.drive(6, level=False)
        lines.drive(6, level=True)
        if count % 50 == 49:
            meter.read(1_000)  # which takes the pulses in, as the kernel's counter does
    assert meter.read(1_000 + seconds * 1_000) == pytest.approx(litres_a_minute, rel=1e-12)
    meter.close()
    inputs.close()
