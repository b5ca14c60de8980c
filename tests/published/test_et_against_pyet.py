"""Daily evapotranspiration of a whole typical year against the open package pyet.

pyet follows FAO-56; it rounds the psychrometric constant from physical ones, and takes
273.15 K for 0 °C where FAO-56 writes 273.16.
"""

from __future__ import annotations

from functools import cache
from math import radians
from typing import Any

import pandas as pd
import pyet
import pytest

from controller.core.water.air import LATENT_HEAT_MJ_PER_KG, vapour_from_humidities_kpa
from controller.core.water.day_of_air import DayOfAir
from controller.core.water.reference_et import hargreaves_day_et_mm
from controller.core.water.sun_path import sun_path
from controller.core.water.wind import wind_at_2_m
from tests.typical_years import GREENSBORO, YEAR, column


@cache
def table() -> Any:
    """The days of the year: extremes of temperature and humidity, means of wind, sums of sun."""
    hours = pd.DataFrame(
        {
            "temperature_c": column(GREENSBORO, "Dry-bulb (C)"),
            "humidity_pct": column(GREENSBORO, "RHum (%)"),
            "wind_m_s": column(GREENSBORO, "Wspd (m/s)"),
            "radiation_mj": [one * 0.0036 for one in column(GREENSBORO, "GHI (W/m^2)")],
        },
        index=pd.date_range(f"{YEAR}-01-01", periods=8760, freq="h"),
    )
    grouped = hours.resample("D")
    return pd.DataFrame(
        {
            "warmest_c": grouped["temperature_c"].max(),
            "coolest_c": grouped["temperature_c"].min(),
            "highest_pct": grouped["humidity_pct"].max(),
            "lowest_pct": grouped["humidity_pct"].min(),
            "wind_2m_m_s": grouped["wind_m_s"].mean() * wind_at_2_m(1.0, height_m=10.0),
            "radiation_mj": grouped["radiation_mj"].sum(),
        }
    )


@cache
def days() -> tuple[DayOfAir, ...]:
    """The same days as ours."""
    return tuple(
        DayOfAir(
            warmest_c=row.warmest_c,
            coolest_c=row.coolest_c,
            vapour_kpa=vapour_from_humidities_kpa(
                warmest_c=row.warmest_c,
                coolest_c=row.coolest_c,
                highest_pct=row.highest_pct,
                lowest_pct=row.lowest_pct,
            ),
            wind_2m_m_s=row.wind_2m_m_s,
            radiation_mj_per_m2=row.radiation_mj,
            extraterrestrial_mj_per_m2=sun_path(
                latitude=GREENSBORO.latitude, longitude=GREENSBORO.longitude, day_of_year=number
            ).day_mj_per_m2(),
            elevation_m=GREENSBORO.elevation_m,
        )
        for number, row in enumerate(table().itertuples(), 1)
    )


def test_extraterrestrial_radiation_of_every_day() -> None:
    """Within 0.1 %: pyet has the solar constant as 0.0820 too."""
    theirs = pyet.extraterrestrial_r(table().index, radians(GREENSBORO.latitude))
    ours = [day.extraterrestrial_mj_per_m2 for day in days()]
    assert ours == pytest.approx(list(theirs), rel=1e-3)


def test_fao_56_of_every_day() -> None:
    """365 days within 0.2 % and 0.005 mm."""
    year = table()
    theirs = pyet.pm_fao56(
        (year.warmest_c + year.coolest_c) / 2,
        year.wind_2m_m_s,
        rs=year.radiation_mj,
        tmax=year.warmest_c,
        tmin=year.coolest_c,
        rhmax=year.highest_pct,
        rhmin=year.lowest_pct,
        elevation=GREENSBORO.elevation_m,
        lat=radians(GREENSBORO.latitude),
        clip_zero=False,
    )
    assert [day.et0_mm() for day in days()] == pytest.approx(list(theirs), rel=2e-3, abs=5e-3)


def test_hargreaves_of_every_day() -> None:
    """365 days within 0.1 %, once pyet's latent heat is the constant 2.45 MJ/kg too."""
    year = table()
    mean_c = (year.warmest_c + year.coolest_c) / 2
    theirs = pyet.hargreaves(mean_c, year.warmest_c, year.coolest_c, radians(GREENSBORO.latitude))
    theirs = theirs * pyet.calc_lambda(mean_c) / LATENT_HEAT_MJ_PER_KG
    ours = [
        hargreaves_day_et_mm(
            warmest_c=day.warmest_c,
            coolest_c=day.coolest_c,
            extraterrestrial_mj_per_m2=day.extraterrestrial_mj_per_m2,
        )
        for day in days()
    ]
    assert ours == pytest.approx(list(theirs), rel=1e-3)
