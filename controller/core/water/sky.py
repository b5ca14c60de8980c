"""How clear the sky is at an hour, by night too, when no sun tells it.

Source: ASCE-EWRI, The ASCE standardized reference evapotranspiration equation, 2005, eq. 45
and 46: radiation tells how clear the sky is while the sun is higher than 0.3 rad; from then
on the last such hour's clearness is carried along. FAO-56, chapter 4, carries it through the
night likewise.
"""

from __future__ import annotations

from typing import NamedTuple

from controller.core.water.radiation import clearness

SUN_HEIGHT_RAD_MIN = 0.3
# Far north the winter sun stays lower for weeks. A sky that was seen longer ago than this
# tells nothing any more; ours, no source.
CARRIED_H_MAX = 24.0
# Then, and before the first hour: between what FAO-56, chapter 4, gives for humid climates
# (0.4 to 0.6) and for arid ones (0.7 to 0.8); from memory.
CLEARNESS_UNSEEN = 0.7


class Sky(NamedTuple):
    """How clear the sky is taken to be, 0.3 to 1, and how many hours ago the sun told it."""

    clearness: float
    told_h_ago: float

    def after(
        self,
        *,
        radiation_mj_per_m2: float,
        clear_sky_mj_per_m2: float,
        sun_height_rad: float,
        length_h: float,
    ) -> Sky:
        """The sky of the next time of that length; `sun_height_rad` is that of its middle."""
        if sun_height_rad > SUN_HEIGHT_RAD_MIN:
            seen = clearness(radiation_mj_per_m2, clear_sky_mj_per_m2=clear_sky_mj_per_m2)
            return Sky(seen, 0.0)
        told_h_ago = self.told_h_ago + length_h
        if told_h_ago > CARRIED_H_MAX:
            return UNSEEN
        return Sky(self.clearness, told_h_ago)


UNSEEN = Sky(CLEARNESS_UNSEEN, CARRIED_H_MAX)
