"""What is believed of each quantity, at its borders, and what is said beyond them."""

from __future__ import annotations

import math
from typing import get_args

import pytest

from controller.core.errors import NoReadingError
from controller.core.plan import Quantity
from controller.shell.sensors.plausible import checked


@pytest.mark.parametrize(
    ("quantity", "least", "most", "step"),
    [
        pytest.param("air_temperature", -60.0, 80.0, 0.001, id="air"),
        pytest.param("water_temperature", -10.0, 60.0, 0.001, id="water"),
        pytest.param("humidity", 0.0, 105.0, 0.001, id="humidity"),
        pytest.param("light", -30.0, 2_000.0, 0.001, id="light"),
        pytest.param("flow", 0.0, 1_000.0, 0.001, id="flow"),
    ],
)
def test_a_range_holds_to_its_ends(
    quantity: Quantity, least: float, most: float, step: float
) -> None:
    """The ends are believed, and nothing beyond them."""
    assert checked(quantity, least) == least
    assert checked(quantity, most) == most
    for beyond in (least - step, most + step, math.nan, math.inf, -math.inf):
        with pytest.raises(NoReadingError):
            checked(quantity, beyond)


@pytest.mark.parametrize("quantity", ["level", "leak", "stop"])
def test_a_contact_says_yes_or_no(quantity: Quantity) -> None:
    """Half a leak is no leak and no dry floor: it is no reading."""
    assert [checked(quantity, value) for value in (0.0, 1.0)] == [0.0, 1.0]
    for beyond in (0.5, -1.0, 2.0, 1.0000001, math.nan):
        with pytest.raises(NoReadingError):
            checked(quantity, beyond)


@pytest.mark.parametrize("quantity", get_args(Quantity))
def test_every_quantity_of_the_plan_has_its_range(quantity: Quantity) -> None:
    """A new word of the plan must enter here."""
    assert checked(quantity, 1.0) == 1.0
    with pytest.raises(NoReadingError):
        checked(quantity, 1e9)


@pytest.mark.parametrize(
    ("quantity", "value", "why"),
    [
        pytest.param(
            "air_temperature",
            23_125.0,
            "it says 23125 °C; believed is -60 to 80 °C. The kernel writes thousandths: has the "
            "plan scale = 0.001?",
            id="thousandths taken for degrees",
        ),
        pytest.param(
            "humidity",
            45_500.0,
            "it says 45500 %; believed is 0 to 105 %. The kernel writes thousandths: has the plan "
            "scale = 0.001?",
            id="thousandths of a per cent",
        ),
        pytest.param(
            "air_temperature",
            85.0,
            "it says 85 °C, which is what thermometers say that have not measured: look at its "
            "power and its wires",
            id="DS18B20 after power-on (its data sheet)",
        ),
        pytest.param(
            "water_temperature",
            -127.0,
            "it says -127 °C, which is what thermometers say that have not measured: look at its "
            "power and its wires",
            id="a thermometer that is gone (common practice, no source)",
        ),
        pytest.param(
            "air_temperature", 85.0625, "it says 85.0625 °C; believed is -60 to 80 °C", id="hotter"
        ),
        pytest.param("leak", 2.0, "it says 2; a leak sensor says 0 or 1", id="no contact"),
        pytest.param(
            "light",
            90_000.0,
            "it says 90000 W/m²; believed is -30 to 2000 W/m². If it is in lux, write scale = "
            "0.009: daylight has about 110 lux a W/m²",
            id="lux",
        ),
    ],
)
def test_what_is_not_believed_is_told_with_its_likely_cause(
    quantity: Quantity, value: float, why: str
) -> None:
    """A grower learns what to look at."""
    with pytest.raises(NoReadingError) as refusal:
        checked(quantity, value)
    assert str(refusal.value) == why
