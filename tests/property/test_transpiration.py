"""Transpiration over all that a plan and a weather file can say."""

from __future__ import annotations

from math import isfinite

from hypothesis import given
from hypothesis import strategies as st

from controller.core.water.canopy import (
    Canopy,
    LeafAir,
    leaf_vapour_g_per_m2_h,
    leaf_warming_c,
    vapour_of_each_g_per_h,
)
from controller.core.water.leaf_hour import LeafHour
from controller.core.water.surroundings import Surroundings
from controller.core.water.transpiration import Foliage
from tests.strategies import examples

PLACES: tuple[Surroundings, ...] = ("outdoors", "under-glass", "under-lamps")
places = st.sampled_from(PLACES)
ages = st.floats(0, 400)
temperatures_c = st.floats(-40, 60)
humidities_pct = st.floats(0, 100)
radiations_w_m2 = st.floats(-10, 1400)
shares = st.floats(0, 1)


@st.composite
def foliages(draw: st.DrawFn) -> Foliage:
    """Stands of any kind."""
    return Foliage(
        place=draw(places),
        plants_per_m2=draw(st.floats(1, 400)),
        light_share=draw(st.floats(0.01, 1)),
        ppfd_umol=draw(st.floats(0, 2500)),
        air_speed_m_s=draw(st.floats(0, 5)),
    )


@st.composite
def hours(draw: st.DrawFn, *, coolest_c: float = -40.0) -> LeafHour:
    """Hours of any weather, cold and hot beyond what plants bear."""
    return LeafHour.outdoors(
        temperature_c=draw(st.floats(coolest_c, 60)),
        humidity_pct=draw(humidities_pct),
        wind_2m_m_s=draw(st.floats(0, 40)),
        radiation_w_m2=draw(radiations_w_m2),
        et0_mm=draw(st.floats(-0.2, 2)),
        pressure_kpa=draw(st.floats(50, 108)),
    )


@examples(50)
@given(foliages(), ages, hours(), shares)
def test_bounds_are_numbers_in_order_and_never_below_nothing(
    foliage: Foliage, age_days: float, hour: LeafHour, lit_share: float
) -> None:
    """Whatever the stand and the hour."""
    drinks = foliage.at_age(age_days).transpiration_ml_per_h(hour, lit_share=lit_share)
    assert all(map(isfinite, drinks))
    assert 0.0 <= drinks.low <= drinks.likely <= drinks.high


@examples(100)
@given(foliages(), ages, hours(), st.booleans())
def test_the_highest_by_itself_is_the_highest_of_all_to_the_last_digit(
    foliage: Foliage, age_days: float, hour: LeafHour, is_lit: bool
) -> None:
    """A demand and the account of the run that carries it out reckon with one number."""
    leaves = foliage.at_age(age_days)
    of_all = leaves.transpiration_ml_per_h(hour, lit_share=float(is_lit))
    assert leaves.most_ml_per_h(hour, is_lit=is_lit) == of_all.high


@examples(50)
@given(foliages(), ages, ages, hours(coolest_c=0.0), shares)
def test_an_older_plant_drinks_no_less(
    foliage: Foliage, one: float, other: float, hour: LeafHour, lit_share: float
) -> None:
    """It has more leaves, and the air is no damper than saturated.

    Not so in hard frost under a strong sun, which no leaf would see: there leaves that shade
    each other stay so much cooler that they lose a little less.
    """
    younger, older = (
        foliage.at_age(age).transpiration_ml_per_h(hour, lit_share=lit_share)
        for age in sorted((one, other))
    )
    for less, more in zip(younger, older, strict=True):
        assert less <= more * (1 + 1e-9) + 1e-9


@examples(50)
@given(
    st.sampled_from(["under-glass", "under-lamps"]),
    st.floats(5, 60),
    st.tuples(st.floats(0, 50), st.floats(0, 50)),
    st.tuples(humidities_pct, humidities_pct),
    st.tuples(st.floats(0, 1000), st.floats(0, 1000)),
    st.floats(0.05, 5),
)
def test_indoors_warmer_drier_and_brighter_air_draws_no_less(
    place: Surroundings,
    age_days: float,
    temperatures: tuple[float, float],
    humidities: tuple[float, float],
    lights: tuple[float, float],
    air_speed: float,
) -> None:
    """Each of the three alone, so all together."""
    drinks = []
    for temperature_c, humidity_pct, light in zip(
        sorted(temperatures), sorted(humidities, reverse=True), sorted(lights), strict=True
    ):
        foliage = Foliage(place=place, plants_per_m2=25.0, ppfd_umol=light, air_speed_m_s=air_speed)
        hour = LeafHour.outdoors(
            temperature_c=temperature_c,
            humidity_pct=humidity_pct,
            wind_2m_m_s=0.0,
            radiation_w_m2=light,
            et0_mm=0.0,
        )
        drinks.append(foliage.at_age(age_days).transpiration_ml_per_h(hour, lit_share=1.0))
    for less, more in zip(*drinks, strict=True):
        assert less <= more * (1 + 1e-9) + 1e-9


@examples(50)
@given(st.floats(0, 60), hours(), st.tuples(shares, shares), st.floats(0, 0.5))
def test_outdoors_more_sun_and_a_higher_reference_draw_no_less(
    age_days: float, hour: LeafHour, light_shares: tuple[float, float], more_mm: float
) -> None:
    """Less shade, or a thirstier hour of the same air."""
    dim, clear = (
        Foliage(place="outdoors", plants_per_m2=25.0, light_share=share).at_age(age_days)
        for share in sorted(light_shares)
    )
    thirstier = hour._replace(et0_mm=hour.et0_mm + more_mm)
    before = dim.transpiration_ml_per_h(hour)
    for after in (clear.transpiration_ml_per_h(hour), dim.transpiration_ml_per_h(thirstier)):
        assert all(less <= more + 1e-9 for less, more in zip(before, after, strict=True))


@examples(50)
@given(
    temperatures_c,
    humidities_pct,
    st.floats(0, 2000),
    st.floats(60, 450),
    st.floats(5, 200),
)
def test_the_leaf_s_temperature_is_that_of_a_bisection(
    temperature_c: float, humidity_pct: float, absorbed: float, stomata: float, air_s: float
) -> None:
    """Newton's answer lies where the balance changes its sign."""
    air = LeafAir.of(temperature_c=temperature_c, humidity_pct=humidity_pct)
    found_c = leaf_warming_c(
        absorbed_w_m2=absorbed, air=air, stomata_s_per_m=stomata, air_s_per_m=air_s
    )

    def surplus(warming_c: float) -> float:
        leaf = LeafAir.of(temperature_c=temperature_c + warming_c, humidity_pct=100.0)
        latent = 2450.0 * (leaf.vapour_g_m3 - air.vapour_g_m3) / (stomata + air_s)
        return absorbed - 1.2 * 1010.0 * warming_c / air_s - latent

    assert surplus(found_c - 1e-6) > 0.0 > surplus(found_c + 1e-6)


@examples(50)
@given(foliages().filter(lambda foliage: foliage.place != "under-lamps"), ages, st.lists(hours()))
def test_many_hours_at_once_are_one_after_the_other(
    foliage: Foliage, age_days: float, several: list[LeafHour]
) -> None:
    """Outdoors and under glass, to the last digit."""
    leaves = foliage.at_age(age_days)
    lows, likelies, highs = leaves.under_the_sky_ml_per_h(several)
    one_by_one = [leaves.transpiration_ml_per_h(hour) for hour in several]
    assert list(zip(lows, likelies, highs, strict=True)) == one_by_one


@examples(50)
@given(
    st.lists(st.one_of(st.floats(1e-3, 2), st.floats(3, 9)), max_size=4),
    st.one_of(st.just(0.0), st.floats(0, 600)),
    temperatures_c,
    humidities_pct,
)
def test_canopies_together_transpire_what_each_does_alone(
    indices: list[float], absorbed_w_m2: float, temperature_c: float, humidity_pct: float
) -> None:
    """In the dark and in the light, of seedlings and of leaves that cover everything."""
    air = LeafAir.of(temperature_c=temperature_c, humidity_pct=humidity_pct)
    canopies = [Canopy.of(index) for index in indices]
    together = vapour_of_each_g_per_h(
        canopies, absorbed_w_m2=absorbed_w_m2, air=air, stomata_s_per_m=200.0, air_s_per_m=70.0
    )
    assert together == [
        canopy.exchanging_m2
        * leaf_vapour_g_per_m2_h(
            absorbed_w_m2=absorbed_w_m2 * canopy.light_per_leaf,
            air=air,
            stomata_s_per_m=200.0,
            air_s_per_m=70.0,
        )
        for canopy in canopies
    ]
