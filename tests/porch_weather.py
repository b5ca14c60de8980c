"""A plain CSV weather file of hours or of days called porch.csv, read or refused."""

from __future__ import annotations

import pytest

from controller.core.errors import BadWeatherError
from controller.weather.formats import parse_weather
from controller.weather.weather import Weather


def read(text: str) -> Weather:
    """The weather in the text of a file called porch.csv."""
    return parse_weather(text.encode(), name="porch.csv")


def complaint_of(text: str) -> list[str]:
    """The lines of the error that the text causes."""
    with pytest.raises(BadWeatherError) as caught:
        read(text)
    return str(caught.value).split("\n")
