"""The weather from a file on disk."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import BadWeatherError, UnusableFileError
from controller.shell.files import read_bytes
from controller.weather.formats import FILE_BYTES_MAX, parse_weather

if TYPE_CHECKING:
    from pathlib import Path

    from controller.weather.weather import Weather


def read_weather(path: Path) -> Weather:
    """The weather in a TMY3, EPW or plain CSV file, of hours or of days, of at most 20 MB.

    Raises:
        BadWeatherError: the file cannot be opened or read, or is no such file.
    """
    try:
        data = read_bytes(path, what="weather file", size_max=FILE_BYTES_MAX)
    except UnusableFileError as error:
        raise BadWeatherError(f"{error}; give the path of a TMY3, EPW or plain CSV file") from None
    return parse_weather(data, name=path.name)
