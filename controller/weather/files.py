"""Opening a weather file: the one place here that touches the disk."""

from __future__ import annotations

from pathlib import Path

from controller.core.errors import BadWeatherError
from controller.weather.formats import FILE_BYTES_MAX, parse_weather
from controller.weather.weather import Weather


def read_weather(path: Path) -> Weather:
    """The weather in a TMY3, EPW or plain CSV file of at most 20 MB.

    Raises:
        BadWeatherError: the file cannot be opened or read, or is no such file.
    """
    try:
        with path.open("rb") as file:
            data = file.read(FILE_BYTES_MAX + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise BadWeatherError(
            f"weather file {path}: {reason}; give the path of a TMY3, EPW or plain CSV file"
        ) from None
    return parse_weather(data, name=path.name)
