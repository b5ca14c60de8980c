"""Wind at the height for which evapotranspiration is defined."""

from __future__ import annotations

from math import log

STANDARD_HEIGHT_M = 2.0
# Below this the profile has no meaning: the grass itself is 0.12 m high.
HEIGHT_M_MIN = 0.1


def wind_at_2_m(wind_m_s: float, *, height_m: float) -> float:
    """The wind 2 m above short grass, m/s, where `wind_m_s` blows `height_m` above it.

    Heights from 0.1 m.

    Source: FAO-56, eq. 47; ASCE-EWRI 2005, eq. 33: a logarithmic profile.
    """
    assert height_m >= HEIGHT_M_MIN
    return wind_m_s * 4.87 / log(67.8 * height_m - 5.42)
