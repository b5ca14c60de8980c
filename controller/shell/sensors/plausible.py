"""What a sensor can say of each quantity; beyond it, it is taken to be broken or misread."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import NoReadingError

if TYPE_CHECKING:
    from controller.core.plan import Quantity


class _Range(NamedTuple):
    least: float
    most: float
    unit: str


# Common practice, no source, where none is named. Wide enough that a true reading is never
# thrown away: a variant for the heat must not end where the heat is worst.
_RANGES: dict[Quantity, _Range] = {
    # A probe in the sun in a closed greenhouse shows far more than the air outdoors ever has
    # (56.7 °C, World Meteorological Organization).
    "air_temperature": _Range(-60.0, 80.0, " °C"),
    # Capacitive sensors are some per cent off, and say so at saturation.
    "humidity": _Range(0.0, 105.0, " %"),
    # It freezes a little below 0 °C and would long have been cooked at 60 °C.
    "water_temperature": _Range(-10.0, 60.0, " °C"),
    # 1361 W/m² reach the air; bright edges of clouds add to the sun. Thermopiles show some
    # W/m² below zero under a clear night (ISO 9060, zero offset a).
    "light": _Range(-30.0, 2_000.0, " W/m²"),
    "flow": _Range(0.0, 1_000.0, " L/min"),
}
_TEMPERATURES = ("air_temperature", "water_temperature")
# DS18B20 data sheet, "Power-on reset": the register holds +85 °C until the first measurement.
_POWER_ON_C = 85.0
# What drivers outside of the kernel say of a 1-Wire thermometer that is gone: common
# practice, no source.
_GONE_C = -127.0


def checked(quantity: Quantity, value: float) -> float:
    """The value, if a sensor of that quantity can say it; in the quantity's unit.

    Raises:
        NoReadingError: it cannot; tells what it says and what is likely wrong.
    """
    if not math.isfinite(value):
        raise NoReadingError("it says something that is no number")
    if quantity not in _RANGES:  # a contact: level, leak, stop
        if value not in (0.0, 1.0):
            raise NoReadingError(f"it says {value:g}; a {quantity} sensor says 0 or 1")
        return value
    if quantity in _TEMPERATURES and round(value, 3) in (_POWER_ON_C, _GONE_C):
        raise NoReadingError(
            f"it says {value:g} °C, which is what thermometers say that have not measured: look "
            "at its power and its wires"
        )
    least, most, unit = _RANGES[quantity]
    if not least <= value <= most:
        raise NoReadingError(
            f"it says {value:g}{unit}; believed is {least:g} to {most:g}{unit}"
            + _hint(quantity, value)
        )
    return value


def _hint(quantity: Quantity, value: float) -> str:
    """What is likely wrong with a value out of range."""
    least, most, _ = _RANGES[quantity]
    if quantity == "light" and value > most:
        # Luminous efficacy of daylight, some 100 to 120 lm/W: common practice, no source.
        return ". If it is in lux, write scale = 0.009: daylight has about 110 lux a W/m²"
    if abs(value) >= 1_000 and least <= value / 1_000 <= most:
        return ". The kernel writes thousandths: has the plan scale = 0.001?"
    return ""
