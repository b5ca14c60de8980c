"""Pump curves: what is taken for one, what is refused and how that is told."""

from __future__ import annotations

from math import inf, nan

import pytest

from controller.core.errors import BadPumpCurveError
from controller.core.water.pump_curve import (
    curve_of_label,
    curve_of_points,
    fault_of,
)

CHART = [(1000.0, 0.0), (900.0, 0.5), (700.0, 1.0), (400.0, 1.6), (0.0, 2.0)]


def test_a_chart_goes_through_its_points() -> None:
    """In whatever order they are given, and back from head to flow."""
    for points in (CHART, CHART[::-1], CHART[2:] + CHART[:2]):
        curve = curve_of_points(points)
        for flow_l_per_h, head_m in CHART:
            assert curve.head_m(flow_l_per_h) == pytest.approx(head_m, abs=1e-12)
            assert curve.flow_l_per_h(head_m) == pytest.approx(flow_l_per_h, abs=1e-9)


def test_a_straight_chart_stays_straight() -> None:
    """Three points on a line have nothing between them but the line."""
    curve = curve_of_points([(0, 2), (500, 1), (1000, 0)])
    for flow_l_per_h in range(0, 1001, 50):
        assert curve.head_m(flow_l_per_h) == pytest.approx(2 - flow_l_per_h / 500, abs=1e-12)


def test_a_flat_part_stays_flat_and_the_corner_is_not_overshot() -> None:
    """Charts are rounded: equal heads at low flows are no mistake."""
    curve = curve_of_points([(0, 2.0), (200, 2.0), (900, 0.2), (1000, 0)])
    assert {curve.head_m(flow) for flow in range(0, 201, 10)} == {2.0}
    assert curve.flow_l_per_h(2.0) == 0.0
    assert 200 < curve.flow_l_per_h(1.99) < 300


def test_two_points_are_a_label() -> None:
    """They say no more than a label does, so nothing else comes of them."""
    label = curve_of_label(shut_off_head_m=2.0, free_flow_l_per_h=1000.0)
    assert curve_of_points([(1000, 0), (0, 2)]) == label


@pytest.mark.parametrize("points", [CHART, CHART[::4]], ids=["chart", "label"])
def test_beyond_its_ends_a_pump_delivers_nothing_or_all(points: list[tuple[float, float]]) -> None:
    """Above the shut-off head 0, below a head of 0 the free flow; never nan."""
    curve = curve_of_points(points)
    assert [curve.flow_l_per_h(head) for head in (2.0, 2.1, 1e9, inf)] == [0.0] * 4
    assert [curve.flow_l_per_h(head) for head in (0.0, -0.1, -inf)] == [1000.0] * 3
    assert [curve.head_m(flow) for flow in (-1.0, 0.0, 1000.0, 1e9)] == [2.0, 2.0, 0.0, 0.0]


def test_a_scaled_curve_keeps_its_shape() -> None:
    """Nine tenths of the flow at 0.92 of the head, at every point."""
    weak = curve_of_points(CHART).scaled(flow=0.9, head=0.92)
    for flow_l_per_h, head_m in CHART:
        assert weak.head_m(flow_l_per_h * 0.9) == pytest.approx(head_m * 0.92, abs=1e-12)


@pytest.mark.parametrize(
    ("points", "told"),
    [
        ([(0, 2), (300, 1.2), (400, 1.5), (1000, 0)],
         "the curve rises from 300 L/h at 1.2 m to 400 L/h at 1.5 m"),
        ([(0, 2), (400, 1.5), (400, 1.4), (1000, 0)],
         "the curve has two heads at 400 L/h, 1.4 m and 1.5 m: leave one out"),
        ([(2, 0), (1, 700), (0, 1000)], None),
        ([(100, 1.9), (1000, 0)],
         "the curve begins at 100 L/h at 1.9 m: add the head at which nothing flows any more"),
        ([(0, 2), (700, 1)], "the curve ends at 700 L/h at 1 m: add the flow without a lift"),
        ([], "0 points of the curve: it needs two at least"),
        ([(0, 2)], "1 point of the curve: it needs two at least"),
        ([(0, 2), (-5, 1), (1000, 0)], "point 2 of the curve, -5 L/h at 1 m, has a number"),
        ([(0, 2), (nan, 1), (1000, 0)], "point 2 of the curve, nan L/h at 1 m, has a number"),
        ([(0, inf), (1000, 0)], "point 1 of the curve, 0 L/h at inf m, has a number"),
    ],
)  # fmt: skip
def test_what_is_no_falling_curve_is_refused(
    points: list[tuple[float, float]], told: str | None
) -> None:
    """The text says which point, and what to do."""
    fault = fault_of(points)
    if told is None:
        assert fault is None
        curve_of_points(points)
    else:
        assert fault is not None
        assert fault.startswith(told)
        with pytest.raises(BadPumpCurveError) as error:
            curve_of_points(points)
        assert str(error.value) == fault


def test_a_curve_that_is_0_everywhere_is_refused() -> None:
    """Two points without a head do not rise, and still are no pump."""
    fault = fault_of([(0, 0), (1000, 0)])
    assert fault is not None
    assert fault.startswith("the curve's greatest head is 0 m")


@pytest.mark.parametrize("bad", [0.0, -1.0, nan, inf])
def test_a_label_without_lift_or_flow_is_refused(bad: float) -> None:
    """Each number by its name."""
    with pytest.raises(BadPumpCurveError, match=r"shut_off_head_m is .* m: a pump that lifts"):
        curve_of_label(shut_off_head_m=bad, free_flow_l_per_h=1000.0)
    with pytest.raises(BadPumpCurveError, match=r"free_flow_l_per_h is .* L/h: a pump that lifts"):
        curve_of_label(shut_off_head_m=2.0, free_flow_l_per_h=bad)
