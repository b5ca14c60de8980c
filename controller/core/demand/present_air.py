"""The air that plants feel at a moment: by readings, and by sun and season where there are none.

Wind is taken as 2 m/s where nobody measures it, and humidity from the coolest of the day, both
as FAO-56 (chapter 4) has it for missing data. The sky is taken as cloudless: what the plants
are said to drink is then rather too much than too little, and the rest between waterings
rather too short than too long.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from controller.core.calendar import remember
from controller.core.units import DAY_MS, HOUR_MS, utc_datetime
from controller.core.water.air import air_pressure_kpa
from controller.core.water.leaf_hour import LeafHour
from controller.core.water.missing_inputs import WIND_2M_M_S, humidity_from_coolest_pct
from controller.core.water.radiation import (
    CLEARNESS_MAX,
    MJ_PER_M2_H_PER_W,
    clear_sky_mj_per_m2,
)
from controller.core.water.reference_et import open_hour_et_mm
from controller.core.water.sun_path import sun_path

if TYPE_CHECKING:
    from controller.core.plan import Site
    from controller.core.plan_parts.water import Stand
    from controller.core.typical_air import AirCourse
    from controller.core.units import Instant
    from controller.core.water.sun_path import SunPath

# A day has 288 reviews; who tries plans asks for the same day again and again.
_MOMENTS_MAX = 512


class AirFelt(NamedTuple):
    """What air plants feel: °C and % relative humidity."""

    temperature_c: float
    humidity_pct: float

    @classmethod
    def of(cls, temperature_c: float, humidity_pct: float) -> AirFelt:
        """Air of which a sensor may say more humidity than there can be, or less."""
        return cls(temperature_c, min(100.0, max(0.0, humidity_pct)))


class _Moment(NamedTuple):
    """An instant, and what sensors say then, °C and %; None where none does."""

    instant: Instant
    temperature_c: float | None
    humidity_pct: float | None


def room_of(stand: Stand) -> AirFelt:
    """The air that a stand's room is kept at, as the plan states it; only lamps are in rooms."""
    return AirFelt(stand.air_c, stand.humidity_pct)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenAir:
    """The air of a site under the sky; degrees, metres above sea level, kPa.

    What was asked for is remembered: all that hangs on the day alone, and the air of the last
    moments, which all stands feel alike that go by the same sensors.
    """

    latitude: float
    longitude: float
    elevation_m: float
    air_kpa: float
    course: AirCourse
    _sun_paths: dict[object, SunPath] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _coolest_c: dict[object, float] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _moments: dict[_Moment, tuple[AirFelt, LeafHour]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @classmethod
    def of(cls, site: Site, course: AirCourse) -> OpenAir:
        """The air of a plan's site."""
        elevation_m = site.elevation_m or 0.0
        return cls(
            latitude=site.latitude,
            longitude=site.longitude,
            elevation_m=elevation_m,
            air_kpa=air_pressure_kpa(elevation_m),
            course=course,
        )

    def around(
        self, instant: Instant, *, temperature_c: float | None, humidity_pct: float | None
    ) -> tuple[AirFelt, LeafHour]:
        """The air at an instant, as `felt` has it, and the hour around that as leaves feel it."""
        moment = _Moment(instant, temperature_c, humidity_pct)
        found = self._moments.get(moment)
        if found is None:
            felt = self.felt(instant, temperature_c=temperature_c, humidity_pct=humidity_pct)
            found = felt, self.leaf_hour(instant, felt)
            if len(self._moments) >= _MOMENTS_MAX:
                del self._moments[next(iter(self._moments))]
            self._moments[moment] = found
        return found

    def felt(
        self, instant: Instant, *, temperature_c: float | None, humidity_pct: float | None
    ) -> AirFelt:
        """The air at an instant, with the season's in the place of what is None."""
        if temperature_c is None:
            temperature_c = self.course.at_c(instant)
        if humidity_pct is None:
            day = self.course.solar_day(instant)
            coolest_c = remember(self._coolest_c, day, lambda: self.course.coolest_c(instant))
            humidity_pct = humidity_from_coolest_pct(
                temperature_c=temperature_c, coolest_c=coolest_c
            )
        return AirFelt.of(temperature_c, humidity_pct)

    def leaf_hour(self, instant: Instant, felt: AirFelt) -> LeafHour:
        """The hour around an instant, as leaves feel it under a cloudless sky."""
        sun = remember(self._sun_paths, instant // DAY_MS, lambda: self._sun_path(instant))
        above = sun.period_mj_per_m2(sun.hour_angle_rad(instant / HOUR_MS), length_h=1.0)
        clear = clear_sky_mj_per_m2(above, elevation_m=self.elevation_m)
        et0_mm = open_hour_et_mm(
            temperature_c=felt.temperature_c,
            humidity_pct=felt.humidity_pct,
            wind_2m_m_s=WIND_2M_M_S,
            radiation_mj_per_m2=clear,
            clearness=CLEARNESS_MAX,
            air_kpa=self.air_kpa,
        )
        return LeafHour.outdoors(
            temperature_c=felt.temperature_c,
            humidity_pct=felt.humidity_pct,
            wind_2m_m_s=WIND_2M_M_S,
            radiation_w_m2=clear / MJ_PER_M2_H_PER_W,
            et0_mm=et0_mm,
            pressure_kpa=self.air_kpa,
        )

    def _sun_path(self, instant: Instant) -> SunPath:
        """The sun's way on the UTC date of an instant."""
        return sun_path(
            latitude=self.latitude,
            longitude=self.longitude,
            day_of_year=utc_datetime(instant).timetuple().tm_yday,
        )
