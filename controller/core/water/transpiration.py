"""What one plant of a stand drinks in an hour, from the stand's facts and the hour's air.

Outdoors the crop is a field's: reference evaporation times a coefficient, as FAO-56 has it
(`crop_cover`), because wind, sun and the cold sky are in the reference already. Under glass
and under lamps there is no reference: the air is stiller, glass keeps the cold sky away,
lamps shine when the sun does not. There the leaves' own energy balance stands (`canopy`).

Results are ranges. A plant's leaf area is known to a factor of two or so; what a square metre
of leaf drinks, to a half more or a fifth less.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from controller.core.water.bounds import Bounds
from controller.core.water.canopy import (
    Canopy,
    absorbed_lamp_w_m2,
    air_resistance_s_per_m,
    stomatal_resistance_s_per_m,
    vapour_of_each_g_per_h,
)
from controller.core.water.crop_cover import FULL_COVER_KCB, basal_coefficient, leaf_area_index
from controller.core.water.leaf_area import leaf_area_m2
from controller.core.water.surroundings import Surroundings

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from controller.core.water.canopy import LeafAir
    from controller.core.water.leaf_hour import LeafHour

ML_PER_MM_M2 = 1000.0  # a millimetre of water on a square metre is a litre

# A plant in a column is not one of a field. The column's other side and its neighbours shade
# it for hours: less. Sun and wind reach it from all sides: more, up to the 1.4 that FAO-56
# (chapter 10, from memory) has for small stands higher than what is around them. The lower
# value is an estimate, no source.
COLUMN_EXPOSURE = Bounds(0.7, 1.0, 1.4)

# Graamans et al. 2017 (see `canopy`) measured 0.032 where their model had 0.030 g/m²/s on the
# mean of a day, with an error of 15.87 g/m²/h, 15 %; in the dark 0.016 against 0.011, 1.45
# times. The higher value is the latter; the lower one leaves room for crops less lush.
CANOPY_ERROR = Bounds(0.8, 1.0, 1.45)

# From the sun's radiation to light that grows plants: 0.45 of it, at 4.57 µmol/J (McCree,
# Test of current definitions of photosynthetically active radiation, 1972; from memory).
SUN_UMOL_PER_J = 0.45 * 4.57
SUN_REFLECTED = 0.23  # of the sun's whole radiation, by green leaves; FAO-56, eq. 38


@dataclass(frozen=True, slots=True, kw_only=True)
class Foliage:
    """What a stand's leaves have in common at every age.

    `plants_per_m2` stand on a square metre of lit area. `light_share` of the sun outdoors
    reaches them. `ppfd_umol`, in µmol/m²/s, is what lamps give while they are on;
    `air_speed_m_s` blows under glass and under lamps.
    """

    place: Surroundings
    plants_per_m2: float
    light_share: float = 1.0
    ppfd_umol: float = 0.0
    air_speed_m_s: float = 0.3

    def at_age(self, age_days: float) -> Leaves:
        """The leaves so many days from sowing, 0 or more: they tell what a plant drinks."""
        area = leaf_area_m2(age_days)
        density = self.plants_per_m2
        indices = Bounds(*(leaf_area_index(m2, density) for m2 in area))
        kcb = [
            basal_coefficient(index, full_cover=full) * exposure
            for index, full, exposure in zip(indices, FULL_COVER_KCB, COLUMN_EXPOSURE, strict=True)
        ]
        return Leaves(
            foliage=self,
            leaf_area_m2=area,
            kcb=Bounds(*kcb),
            canopies=(
                Canopy.of(indices.low),
                Canopy.of(indices.likely),
                Canopy.of(indices.high),
            ),
            air_s_per_m=air_resistance_s_per_m(self.air_speed_m_s),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaves:
    """A stand's leaves at one age: made once a day, asked every hour."""

    foliage: Foliage
    leaf_area_m2: Bounds
    kcb: Bounds
    canopies: tuple[Canopy, Canopy, Canopy]
    air_s_per_m: float

    def transpiration_ml_per_h(self, hour: LeafHour, *, lit_share: float = 0.0) -> Bounds:
        """What one plant transpires, mL/h; never below 0, and in the dark seldom 0.

        Args:
            hour: the hour's air.
            lit_share: the share of the hour for which the stand's lamps are on, 0 to 1;
                elsewhere than under lamps it has no meaning.
        """
        if self.foliage.place != "under-lamps":
            (low,), (likely,), (high,) = self.under_the_sky_ml_per_h((hour,))
            return Bounds(low, likely, high)
        dark = self._under_lamps(hour.leaf_air, ppfd_umol=0.0) if lit_share < 1.0 else _NOTHING
        if lit_share <= 0.0:
            return dark
        lit = self._under_lamps(hour.leaf_air, ppfd_umol=self.foliage.ppfd_umol)
        return _plus(lit.times(lit_share), dark.times(1.0 - lit_share))

    def most_ml_per_h(self, hour: LeafHour, *, is_lit: bool) -> float:
        """The highest of `transpiration_ml_per_h`, by itself, with lamps lit all the hour or not
        at all."""
        foliage = self.foliage
        if foliage.place == "outdoors":
            per_plant = ML_PER_MM_M2 / foliage.plants_per_m2
            return self.kcb.high * (per_plant * hour.shaded_et0_mm(foliage.light_share))
        if foliage.place == "under-lamps":
            ppfd_umol = foliage.ppfd_umol if is_lit else 0.0
            absorbed_w_m2 = absorbed_lamp_w_m2(ppfd_umol)
        else:
            ppfd_umol, absorbed_w_m2 = self._of_sun(hour)
        (vapour_g_per_h,) = self._vapours_g_per_h(
            self.canopies[-1:], hour.leaf_air, absorbed_w_m2=absorbed_w_m2, ppfd_umol=ppfd_umol
        )
        return vapour_g_per_h / foliage.plants_per_m2 * CANOPY_ERROR.high

    def under_the_sky_ml_per_h(
        self, hours: Sequence[LeafHour]
    ) -> tuple[list[float], list[float], list[float]]:
        """What one plant outdoors or under glass transpires in each of these hours, mL/h: at the
        least, likely, and at the most."""
        if self.foliage.place == "outdoors":
            return self._outdoors(hours)
        lows, likelies, highs = [], [], []
        for hour in hours:
            ppfd_umol, absorbed_w_m2 = self._of_sun(hour)
            low, likely, high = self._canopy(
                hour.leaf_air, absorbed_w_m2=absorbed_w_m2, ppfd_umol=ppfd_umol
            )
            lows.append(low)
            likelies.append(likely)
            highs.append(high)
        return lows, likelies, highs

    def _outdoors(self, hours: Sequence[LeafHour]) -> tuple[list[float], list[float], list[float]]:
        """Reference evaporation, as far as sun and wind reach the plant, times coefficients.

        Shade takes sun away, not dry air and wind. At the least it takes both alike: what
        shades often shelters too.
        """
        light_share, kcb = self.foliage.light_share, self.kcb
        per_plant = ML_PER_MM_M2 / self.foliage.plants_per_m2
        shaded = [per_plant * hour.shaded_et0_mm(light_share) for hour in hours]
        return (
            [kcb.low * (per_plant * hour.et0_mm * light_share) for hour in hours],
            [kcb.likely * et0_ml for et0_ml in shaded],
            [kcb.high * et0_ml for et0_ml in shaded],
        )

    def _under_lamps(self, air: LeafAir, *, ppfd_umol: float) -> Bounds:
        absorbed_w_m2 = absorbed_lamp_w_m2(ppfd_umol)
        return Bounds(*self._canopy(air, absorbed_w_m2=absorbed_w_m2, ppfd_umol=ppfd_umol))

    def _of_sun(self, hour: LeafHour) -> tuple[float, float]:
        """What leaves under glass get of the sun: light, µmol/m²/s, and what they take in, W/m²."""
        sun_w_m2 = hour.radiation_w_m2 * self.foliage.light_share
        return SUN_UMOL_PER_J * sun_w_m2, (1.0 - SUN_REFLECTED) * sun_w_m2

    def _canopy(
        self, air: LeafAir, *, absorbed_w_m2: float, ppfd_umol: float
    ) -> tuple[float, float, float]:
        """The energy balance of the canopy, between its errors."""
        vapours_g_per_h = self._vapours_g_per_h(
            self.canopies, air, absorbed_w_m2=absorbed_w_m2, ppfd_umol=ppfd_umol
        )
        plants_per_m2 = self.foliage.plants_per_m2
        low, likely, high = [vapour / plants_per_m2 for vapour in vapours_g_per_h]
        return low * CANOPY_ERROR.low, likely * CANOPY_ERROR.likely, high * CANOPY_ERROR.high

    def _vapours_g_per_h(
        self, canopies: Iterable[Canopy], air: LeafAir, *, absorbed_w_m2: float, ppfd_umol: float
    ) -> list[float]:
        return vapour_of_each_g_per_h(
            canopies,
            absorbed_w_m2=absorbed_w_m2,
            air=air,
            stomata_s_per_m=stomatal_resistance_s_per_m(ppfd_umol),
            air_s_per_m=self.air_s_per_m,
        )


_NOTHING = Bounds(0.0, 0.0, 0.0)


def _plus(one: Bounds, other: Bounds) -> Bounds:
    return Bounds(one.low + other.low, one.likely + other.likely, one.high + other.high)
