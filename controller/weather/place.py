"""Where a weather file says that it was measured."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from controller.core.units import HOUR_MS, shown
from controller.weather.complaints import Complaints

_LABEL_LENGTH_MAX = 60
_NUMBER = re.compile(r"[+-]?(?:[0-9]{1,6}\.?[0-9]{0,9}|\.[0-9]{1,9})")

# Facts that a file may state: lowest, highest, unit.
FACTS: dict[str, tuple[float, float, str]] = {
    "latitude": (-90.0, 90.0, "degrees, north positive"),
    "longitude": (-180.0, 180.0, "degrees, east positive"),
    "elevation_m": (-500.0, 6000.0, "m above sea level"),  # as of a site in a plan
    "utc_offset_h": (-12.0, 14.0, "h that local standard time is ahead of UTC"),
    "wind_height_m": (0.1, 200.0, "m above ground"),
}
WIND_HEIGHT_M = 10.0  # the standard height of wind sensors (WMO Guide No. 8; from memory)


class Place(NamedTuple):
    """What the head of a file says; None where it does not."""

    latitude: float | None
    longitude: float | None
    elevation_m: float | None
    utc_offset_h: float | None
    wind_height_m: float

    @property
    def utc_offset_ms(self) -> int:
        """Local standard time less UTC in ms; 0 where the file does not say."""
        return round((self.utc_offset_h or 0.0) * HOUR_MS)


def read_place(
    texts: Mapping[str, str], *, lines: Mapping[str, int], complaints: Complaints
) -> Place:
    """The place from the texts of its facts (keys of `FACTS`), and the lines they stand on."""
    numbers = {
        name: _read_fact(name, text, lines[name], complaints) for name, text in texts.items()
    }
    return Place(
        latitude=numbers.get("latitude"),
        longitude=numbers.get("longitude"),
        elevation_m=numbers.get("elevation_m"),
        utc_offset_h=numbers.get("utc_offset_h"),
        wind_height_m=numbers.get("wind_height_m") or WIND_HEIGHT_M,
    )


def _read_fact(name: str, text: str, line: int, complaints: Complaints) -> float | None:
    low, high, unit = FACTS[name]
    plain = text.strip()
    number = float(plain) if _NUMBER.fullmatch(plain) else None
    if number is not None and low <= number <= high:
        return number
    complaints.add(
        line,
        name,
        found=shown(plain) if plain else "nothing",
        allowed=f"{low:g} to {high:g} {unit}",
        mend="write the number as the station states it",
    )
    return None


def label(*parts: str) -> str:
    """The parts of a station's name as one printable line of bounded length."""
    text = ", ".join(" ".join(part.split()) for part in parts if part.strip())
    text = "".join(char if char.isprintable() else "?" for char in text)
    return text if len(text) <= _LABEL_LENGTH_MAX else f"{text[:_LABEL_LENGTH_MAX]}…"
