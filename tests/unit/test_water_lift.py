"""The way up and what arrives there: edges, ranges, refusals and words."""

from __future__ import annotations

from math import inf, nan
from timeit import repeat
from typing import Any

import pytest

from controller.core.water.bounds import Bounds
from controller.core.water.fittings import FITTINGS, OUTLET, total_loss
from controller.core.water.hose_choice import wider_hose
from controller.core.water.lifting import MEASURED, Lifting, lifting, working_point
from controller.core.water.lifting_words import lifting_words
from controller.core.water.pump_curve import curve_of_label
from controller.core.water.pump_power import hydraulic_w, pump_power
from controller.core.water.rising_hose import RisingHose
from controller.core.water.water_properties import water_at

LABEL = curve_of_label(shut_off_head_m=2.0, free_flow_l_per_h=1000.0)
WATER = water_at(20.0)


def found_at(height_m: float, **more: Any) -> Lifting:
    """What the pump of 2 m and 1000 L/h does through 3 m of a hose of 13 mm."""
    return lifting(LABEL, RisingHose(height_m=height_m, bore_mm=13, length_m=3), **more)


# Fittings


def test_every_fitting_is_a_range_with_a_source() -> None:
    """None is below 0, and each says what it is."""
    for fitting in FITTINGS.values():
        bounds = fitting.loss_coefficient
        assert 0 <= bounds.low <= bounds.likely <= bounds.high
        assert fitting.meaning
        assert fitting.source


def test_the_outlet_counts_once() -> None:
    """By itself, in what the grower states, or as a fitting of the list, but never twice."""
    assert total_loss() == OUTLET
    assert total_loss({}) == OUTLET
    assert total_loss({"exit": 1}) == OUTLET
    assert total_loss({"exit": 0}) == OUTLET
    assert total_loss({"drip_manifold": 1}) == FITTINGS["drip_manifold"].loss_coefficient
    assert total_loss(None, 5.0) == Bounds(5.0, 5.0, 5.0)


def test_fittings_add_up() -> None:
    """Two elbows and a valve and the outlet; or and the grower's own number."""
    by_list = total_loss({"elbow": 2, "valve": 1})
    assert by_list == pytest.approx((2 * 0.75 + 0.07 + 1, 2 * 1.2 + 0.15 + 1, 2 * 2 + 0.6 + 1.1))
    assert total_loss({"elbow": 2}, 3.0) == pytest.approx((4.5, 5.4, 7.0))


@pytest.mark.parametrize(
    ("fittings", "loss", "told"),
    [
        ({"elbows": 2}, None, "there is no fitting 'elbows': choose from elbow, elbow_45, bend"),
        ({"elbow": -1}, None, "-1 of the fitting 'elbow': state 0 or more"),
        ({}, -0.1, "a loss coefficient of -0.1: state 0 or more"),
        ({}, nan, "a loss coefficient of nan: state 0 or more"),
    ],
)
def test_unknown_fittings_and_negative_losses_are_refused(
    fittings: dict[str, int], loss: float | None, told: str
) -> None:
    """With what is allowed."""
    with pytest.raises(ValueError) as error:
        total_loss(fittings, loss)
    assert str(error.value).startswith(told)


# The hose


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"height_m": -0.1}, "height_m is -0.1: state 0 or more"),
        ({"height_m": nan}, "height_m is nan: state 0 or more"),
        ({"length_m": inf}, "length_m is inf: state 0 or more"),
        ({"bore_mm": 0}, "bore_mm is 0: state more than 0"),
        ({"roughness_mm": 1.0}, "roughness_mm is 1: state 0 to 0.65, a twentieth of the bore"),
        ({"loss_coefficient": Bounds(-1, 0, 1)}, "loss_coefficient is -1: state 0 or more"),
    ],
)
def test_a_hose_that_cannot_be_is_refused(given: dict[str, Any], told: str) -> None:
    """Each number by its name, with what is allowed."""
    fit: dict[str, Any] = {"height_m": 1.5, "bore_mm": 13, "length_m": 2}
    with pytest.raises(ValueError) as error:
        RisingHose(**{**fit, **given})
    assert str(error.value) == told


@pytest.mark.parametrize("water_c", [-0.1, 50.1, nan])
def test_water_that_is_ice_or_hot_is_refused(water_c: float) -> None:
    """From 0 to 50 °C the formulae hold."""
    with pytest.raises(ValueError, match="is not reckoned with: state 0 to 50 °C"):
        found_at(1.0, water_c=water_c)


# The working point


def test_the_head_is_lift_and_losses() -> None:
    """At the working point what the pump makes is what height, wall and fittings need."""
    found = found_at(1.2)
    assert found.head_m.likely == pytest.approx(
        found.height_m + found.friction_m + found.fittings_m, abs=1e-9
    )
    assert found.flow_l_per_h.low < found.flow_l_per_h.likely < found.flow_l_per_h.high


def test_the_range_is_from_the_weakest_pump_with_most_losses_to_the_strongest_with_least() -> None:
    """A tenth of the flow and 8 % of the head either way, from the label's numbers by hand."""
    loss = Bounds(1.0, 4.0, 9.0)
    hose = RisingHose(height_m=1.2, bore_mm=13, length_m=3, loss_coefficient=loss)
    corners = [(1.84, 900.0, 9.0), (2.0, 1000.0, 4.0), (2.16, 1100.0, 1.0)]
    flows = [
        working_point(
            curve_of_label(shut_off_head_m=head_m, free_flow_l_per_h=flow_l_per_h),
            hose,
            loss_coefficient=loss_coefficient,
            water=WATER,
        ).flow_l_per_h
        for head_m, flow_l_per_h, loss_coefficient in corners
    ]
    assert lifting(LABEL, hose).flow_l_per_h == pytest.approx(tuple(flows), rel=1e-9)


def test_a_column_higher_than_the_pump_gets_nothing() -> None:
    """And the result says how much is missing: 0.3 m, or with another such pump 0.14 to 0.46."""
    found = found_at(2.3)
    assert not found.lifts
    assert found.flow_l_per_h == Bounds(0.0, 0.0, 0.0)
    assert found.reach_m == pytest.approx((1.84, 2.0, 2.16))
    assert found.short_by_m == pytest.approx((0.14, 0.3, 0.46))
    assert found.head_m == pytest.approx((1.84, 2.0, 2.16))
    assert (found.friction_m, found.fittings_m, found.velocity_m_per_s) == (0.0, 0.0, 0.0)


def test_at_the_very_shut_off_head_nothing_flows() -> None:
    """One thousandth below it, a little does."""
    assert found_at(2.0, tolerance=MEASURED).flow_l_per_h.likely == 0.0
    assert found_at(2.0, tolerance=MEASURED).short_by_m == Bounds(0.0, 0.0, 0.0)
    assert 0 < found_at(1.999, tolerance=MEASURED).flow_l_per_h.likely < 30


def test_a_hose_like_a_hair_lets_a_trickle_through_and_ends() -> None:
    """Half a millimetre: a creeping flow, found as any other."""
    hair = RisingHose(height_m=1.0, bore_mm=0.5, length_m=5)
    found = working_point(LABEL, hose=hair, loss_coefficient=1.0, water=WATER)
    assert 0 < found.flow_l_per_h < 0.1
    assert found.head_m == pytest.approx(2.0)


def test_plants_share_the_flow() -> None:
    """40 plants get a fortieth each; no plants are refused."""
    found = found_at(1.2)
    each = found.flow_per_plant_l_per_h(40)
    assert each.likely * 40 == pytest.approx(found.flow_l_per_h.likely)
    with pytest.raises(ValueError, match="0 plants share the water: state 1 or more"):
        found.flow_per_plant_l_per_h(0)


def test_one_working_point_takes_less_than_a_millisecond() -> None:
    """The best of many tries, so that a busy machine does not decide."""
    hose = RisingHose(height_m=1.2, bore_mm=13, length_m=3)
    best_s = min(
        repeat(
            lambda: working_point(LABEL, hose, loss_coefficient=5.0, water=WATER),
            number=1,
            repeat=50,
        )
    )
    assert best_s < 1e-3


def test_a_wider_hose_is_told_where_it_brings_a_tenth_more() -> None:
    """The next that is sold, with what arrives through it by the same reckoning."""
    narrow = RisingHose(height_m=1.2, bore_mm=9, length_m=3)
    wider = wider_hose(LABEL, narrow)
    assert wider is not None
    through_it = lifting(LABEL, RisingHose(height_m=1.2, bore_mm=13, length_m=3))
    before = lifting(LABEL, narrow).flow_l_per_h.likely
    assert wider.bore_mm == 13
    assert wider.flow_l_per_h == pytest.approx(through_it.flow_l_per_h.likely)
    assert wider.gain == pytest.approx(through_it.flow_l_per_h.likely / before - 1)


@pytest.mark.parametrize(
    ("height_m", "bore_mm"),
    [
        pytest.param(1.2, 25, id="the hose is wide already"),
        pytest.param(2.3, 9, id="nothing arrives through any"),
        pytest.param(1.2, 50, id="none is sold"),
    ],
)
def test_no_wider_hose_is_told_where_it_would_not_help(height_m: float, bore_mm: float) -> None:
    """A gain within what a pump differs from its label is none."""
    hose = RisingHose(height_m=height_m, bore_mm=bore_mm, length_m=3)
    assert wider_hose(LABEL, hose) is None


# Words


@pytest.mark.parametrize(
    ("height_m", "words"),
    [
        (1.5, "This pump lifts 1.50 m."),
        (1.95, "This pump lifts 1.95 m, but only just: one that is as much weaker than its label "
               "as makers allow ends 0.1 m below the top."),
        (1.84, "This pump lifts 1.84 m, but only just: one that is as much weaker than its label "
               "as makers allow brings nothing."),
        (2.0, "This pump does not lift that high: its water stands at the top and does not flow. "
              "One that is stronger than its label may bring a little."),
        (2.06, "This pump does not lift that high: it ends 6 cm below the top. "
               "One that is stronger than its label may bring a little."),
        (2.3, "This pump does not lift that high: it ends 0.3 m below the top."),
    ],
)  # fmt: skip
def test_whether_it_lifts_is_told_in_a_sentence(height_m: float, words: str) -> None:
    """What is certain, what is likely, and by how much it is not enough."""
    assert lifting_words(found_at(height_m)) == words


# Power


def test_a_litre_a_second_by_a_metre_is_nearly_ten_watts() -> None:
    """998.2 kg/m³ × 9.80665 m/s² × 0.001 m³/s × 1 m = 9.789 W."""
    assert hydraulic_w(3600.0, 1.0, water=WATER) == pytest.approx(9.789, abs=1e-3)


def test_a_label_s_watts_are_taken_as_they_are() -> None:
    """And a litre costs them by the litres that arrive."""
    found = found_at(1.2)
    power = pump_power(LABEL, found, label_w=18.0, water=WATER)
    assert power.electric_w == Bounds(18.0, 18.0, 18.0)
    assert power.is_from_label
    assert power.wh_per_l is not None
    assert power.wh_per_l.likely == pytest.approx(18.0 / found.flow_l_per_h.likely)
    assert power.wh_per_l.low < power.wh_per_l.likely < power.wh_per_l.high
    assert 0 < power.lifting_w < 0.25 * 18.0


def test_without_a_label_watts_are_a_wide_range() -> None:
    """2.09 W at best on the curve, of which 5 to 25 % are what a small pump makes."""
    power = pump_power(LABEL, found_at(1.2), water=WATER)
    assert not power.is_from_label
    assert power.electric_w == pytest.approx(
        (2.0932 / 0.25, 2.0932 / 0.12, 2.0932 / 0.05), rel=1e-3
    )


@pytest.mark.parametrize("height_m", [1.95, 2.3])
def test_a_litre_that_may_never_arrive_has_no_cost(height_m: float) -> None:
    """Nothing is divided by nothing."""
    power = pump_power(LABEL, found_at(height_m), label_w=18.0, water=WATER)
    assert power.wh_per_l is None


@pytest.mark.parametrize("label_w", [0.0, -1.0, nan])
def test_a_label_without_watts_is_refused(label_w: float) -> None:
    """With what to do instead."""
    with pytest.raises(ValueError, match="state more than 0, or leave it out"):
        pump_power(LABEL, found_at(1.2), label_w=label_w, water=WATER)
