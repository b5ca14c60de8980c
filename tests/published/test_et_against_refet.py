"""Evapotranspiration of two whole typical years against the open package refet.

refet (Hourly and Daily, method "asce") follows ASCE-EWRI 2005 but for one thing, which its
documentation tells: where the sun is lower than 0.3 rad it takes the sky for cloudless, where
the standard carries the last clearness along. A cloudless night loses more heat, so refet's
days are lower. Here it is given the standard's clearness to compare everything else, and left
as it is where the sun is high.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
import refet
from refet import calcs

from controller.core.water.air import vapour_kpa
from controller.core.water.day_of_air import DayOfAir
from controller.core.water.radiation import ASCE_STEFAN_BOLTZMANN_MJ_PER_M2_DAY
from controller.core.water.reference_et import SHORT, TALL, Surface
from controller.core.water.sun_path import sun_path
from controller.core.water.wind import wind_at_2_m
from tests.typical_years import GREENSBORO, SAND_POINT, TypicalYear, column, hours_of

YEARS = [GREENSBORO, SAND_POINT]
DAYS = np.repeat(np.arange(1, 366), 24)


@cache
def theirs(year: TypicalYear) -> Any:
    """The year as refet has it: hours start at the stamp less an hour, in UTC."""
    temperature_c = np.array(column(year, "Dry-bulb (C)"))
    humidity = np.array(column(year, "RHum (%)")) / 100
    return refet.Hourly(
        tmean=temperature_c,
        ea=calcs.sat_vapor_pressure(temperature_c) * humidity,
        rs=np.array(column(year, "GHI (W/m^2)")) * 0.0036,
        uz=np.array(column(year, "Wspd (m/s)")),
        zw=10.0,
        elev=year.elevation_m,
        lat=year.latitude,
        lon=year.longitude,
        doy=DAYS,
        time=np.tile(np.arange(24), 365) - year.utc_offset_h,
        method="asce",
    )


@cache
def sun_heights(year: TypicalYear, into_the_hour_h: float) -> Any:
    """The height of the sun at a moment of each hour, rad, by refet's own functions."""
    time = np.tile(np.arange(24), 365) - year.utc_offset_h + into_the_hour_h
    longitude, latitude = np.radians(year.longitude), np.radians(year.latitude)
    solar_h = calcs.solar_time_rad(longitude, time, calcs.seasonal_correction(DAYS))
    declination = calcs.declination(DAYS)
    across = np.cos(latitude) * np.cos(declination) * np.cos(calcs.solar_hour_angle(solar_h))
    return np.arcsin(np.sin(latitude) * np.sin(declination) + across)


def ours(year: TypicalYear) -> Any:
    """Our hours of the same year, mm."""
    return np.array([hour.et0_mm for hour in hours_of(year)])


def with_carried_sky(year: TypicalYear) -> Any:
    """Refet's hours once its clearness is carried as eq. 46 has it, for 24 h at most."""
    hourly = theirs(year)
    heights = sun_heights(year, 0.5)
    told = np.empty(8760)
    last, age = 0.7, 10**6
    for index in [*range(8760 - 48, 8760), *range(8760)]:
        if heights[index] > 0.3:
            last, age = float(np.clip(hourly.rs[index] / hourly.rso[index], 0.3, 1.0)), 0
        else:
            age += 1
        told[index] = last if age <= 24 else 0.7
    lost = calcs.rnl_hourly(hourly.tmean, hourly.ea, 1.35 * told - 0.35)
    net = calcs.rn_hourly(hourly.rs, lost)
    is_light = net >= 0
    return calcs.etsz(
        rn=net,
        g=np.where(is_light, 0.1, 0.5) * net,
        tmean=hourly.tmean,
        u2=hourly.u2,
        vpd=hourly.vpd,
        es_slope=hourly.es_slope,
        psy=hourly.psy,
        cn=37.0,
        cd=np.where(is_light, 0.24, 0.96),
    )


@pytest.mark.parametrize("year", YEARS)
def test_every_hour_is_refet_s_with_the_standard_s_sky(year: TypicalYear) -> None:
    """All 8,760 hours within 0.0001 mm: the slope's constant is rounded in refet's way of asce."""
    assert ours(year) == pytest.approx(with_carried_sky(year), abs=1e-4)


@pytest.mark.parametrize("year", YEARS)
def test_every_day_is_refet_s_with_the_standard_s_sky(year: TypicalYear) -> None:
    """All 365 sums within 0.0003 mm, which is far below a hundredth of any day's."""
    days = with_carried_sky(year).reshape(365, 24).sum(axis=1)
    assert ours(year).reshape(365, 24).sum(axis=1) == pytest.approx(days, abs=3e-4)


@pytest.mark.parametrize("year", YEARS)
def test_hours_of_a_high_sun_are_refet_s_as_it_is(year: TypicalYear) -> None:
    """Where the sun is above 0.3 rad at the hour's start, at which refet looks, and its middle."""
    is_high = (sun_heights(year, 0.0) > 0.3) & (sun_heights(year, 0.5) > 0.3)
    assert is_high.sum() > 1500
    assert ours(year)[is_high] == pytest.approx(theirs(year).eto()[is_high], abs=1e-4)


def test_refet_as_it_is_asks_less_because_of_its_cloudless_nights() -> None:
    """Greensboro: 5.4 % over the year, 3.3 % in July, at most 0.37 mm on any day."""
    mine = ours(GREENSBORO).reshape(365, 24).sum(axis=1)
    other = theirs(GREENSBORO).eto().reshape(365, 24).sum(axis=1)
    assert mine.sum() / other.sum() == pytest.approx(1.054, abs=0.001)
    july = slice(181, 212)
    assert mine[july].sum() / other[july].sum() == pytest.approx(1.033, abs=0.001)
    assert np.abs(mine - other).max() < 0.37


@pytest.mark.parametrize("year", YEARS)
@pytest.mark.parametrize(("surface", "name"), [(SHORT, "eto"), (TALL, "etr")])
def test_every_day_of_daily_values_is_refet_s(
    year: TypicalYear, surface: Surface, name: str
) -> None:
    """365 days from their extremes, both surfaces, within 0.0002 of the result."""
    temperatures = np.array(column(year, "Dry-bulb (C)")).reshape(365, 24)
    humidities = np.array(column(year, "RHum (%)")).reshape(365, 24)
    radiation = np.array(column(year, "GHI (W/m^2)")).reshape(365, 24).sum(axis=1) * 0.0036
    winds = np.array(column(year, "Wspd (m/s)")).reshape(365, 24).mean(axis=1)
    days = [
        DayOfAir(
            warmest_c=float(temperatures[day].max()),
            coolest_c=float(temperatures[day].min()),
            vapour_kpa=vapour_kpa(
                temperature_c=float(temperatures[day].mean()),
                humidity_pct=float(humidities[day].mean()),
            ),
            wind_2m_m_s=wind_at_2_m(float(winds[day]), height_m=10.0),
            radiation_mj_per_m2=float(radiation[day]),
            extraterrestrial_mj_per_m2=sun_path(
                latitude=year.latitude, longitude=year.longitude, day_of_year=day + 1
            ).day_mj_per_m2(),
            elevation_m=year.elevation_m,
        )
        for day in range(365)
    ]
    daily = refet.Daily(
        tmin=temperatures.min(axis=1),
        tmax=temperatures.max(axis=1),
        ea=np.array([day.vapour_kpa for day in days]),
        rs=radiation,
        uz=winds,
        zw=10.0,
        elev=year.elevation_m,
        lat=year.latitude,
        doy=np.arange(1, 366),
        method="asce",
    )
    ours_mm = [
        day.et0_mm(surface=surface, stefan_boltzmann=ASCE_STEFAN_BOLTZMANN_MJ_PER_M2_DAY)
        for day in days
    ]
    assert ours_mm == pytest.approx(getattr(daily, name)(), rel=2e-4, abs=2e-4)
