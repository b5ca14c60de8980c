"""What holds for every pump and hose."""

from __future__ import annotations

from itertools import pairwise
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.errors import BadPumpCurveError
from controller.core.water.bounds import Bounds
from controller.core.water.lifting import MEASURED, Tolerance, lifting, working_point
from controller.core.water.pipe_friction import friction_head_m
from controller.core.water.pump_curve import (
    PumpCurve,
    curve_of_label,
    curve_of_points,
    fault_of,
)
from controller.core.water.rising_hose import RisingHose
from controller.core.water.water_properties import water_at

HEADS_M = st.floats(0.05, 20.0)
FLOWS_L_PER_H = st.floats(10.0, 20_000.0)
HEIGHTS_M = st.floats(0.0, 25.0)
BORES_MM = st.floats(1.0, 60.0)
LENGTHS_M = st.floats(0.0, 100.0)
LOSSES = st.floats(0.0, 200.0)
WATERS_C = st.floats(0.0, 50.0)
ROUGHNESSES = st.floats(0.0, 0.05)  # by the bore


@st.composite
def charts(draw: st.DrawFn) -> PumpCurve:
    """A chart of three points or more that falls, in parts perhaps flat."""
    inner = draw(st.integers(1, 6))
    shares = st.integers(1, 999).map(lambda thousandths: thousandths / 1000)
    flows = sorted(draw(st.lists(shares, min_size=inner, max_size=inner, unique=True)))
    heads = sorted(draw(st.lists(st.floats(0, 1), min_size=inner, max_size=inner)), reverse=True)
    head_m, flow_l_per_h = draw(HEADS_M), draw(FLOWS_L_PER_H)
    points = [(0.0, 1.0), *zip(flows, heads, strict=True), (1.0, 0.0)]
    return curve_of_points([(flow * flow_l_per_h, head * head_m) for flow, head in points])


LABELS = st.builds(curve_of_label, shut_off_head_m=HEADS_M, free_flow_l_per_h=FLOWS_L_PER_H)
CURVES = st.one_of(LABELS, charts())


@st.composite
def hoses(draw: st.DrawFn) -> RisingHose:
    """Any hose that is not refused."""
    bore_mm = draw(BORES_MM)
    low, likely, high = sorted(draw(st.tuples(LOSSES, LOSSES, LOSSES)))
    return RisingHose(
        height_m=draw(HEIGHTS_M),
        bore_mm=bore_mm,
        length_m=draw(LENGTHS_M),
        roughness_mm=draw(ROUGHNESSES) * bore_mm,
        loss_coefficient=Bounds(low, likely, high),
    )


def flow_of(curve: PumpCurve, hose: RisingHose, loss: float, *, water_c: float = 20.0) -> float:
    """What arrives at the top."""
    found = working_point(curve, hose, loss_coefficient=loss, water=water_at(water_c))
    return found.flow_l_per_h


@given(charts(), st.lists(st.floats(0, 1), min_size=2, max_size=30))
def test_a_chart_never_rises_and_never_leaves_its_ends(
    curve: PumpCurve, shares: list[float]
) -> None:
    """Between any two flows, wherever they lie between the points."""
    heads = [curve.head_m(share * curve.free_flow_l_per_h) for share in sorted(shares)]
    assert all(0.0 <= head <= curve.shut_off_head_m for head in heads)
    slack = 1e-12 * curve.shut_off_head_m
    assert all(after <= before + slack for before, after in pairwise(heads))


@given(CURVES, st.floats(0, 1))
def test_flow_and_head_of_a_curve_are_each_other_s_inverse(curve: PumpCurve, share: float) -> None:
    """Where a flow is found, the pump makes that head there, and no more beyond."""
    head_m = share * curve.shut_off_head_m
    flow = curve.flow_l_per_h(head_m)
    assert 0.0 <= flow <= curve.free_flow_l_per_h
    step = 1e-9 * curve.free_flow_l_per_h
    slack = 1e-12 * curve.shut_off_head_m
    assert curve.head_m(flow - step) >= head_m - slack
    if head_m > 0:
        assert curve.head_m(flow + step) <= head_m + slack


@given(
    st.lists(st.tuples(st.floats(), st.floats()), max_size=6)
    | st.lists(st.tuples(st.floats(0, 1e300), st.floats(0, 1e300)), max_size=3).map(
        lambda inner: [(0.0, 1e300), *inner, (1e300, 0.0)]
    )
)
def test_points_are_a_curve_or_refused(points: list[tuple[float, float]]) -> None:
    """Whatever numbers: no crash, and a curve is finite where it is asked."""
    if fault_of(points) is not None:
        with pytest.raises(BadPumpCurveError):
            curve_of_points(points)
        return
    curve = curve_of_points(points)
    assert 0 < curve.shut_off_head_m < inf
    assert 0 <= curve.head_m(curve.free_flow_l_per_h / 2) <= curve.shut_off_head_m


@given(CURVES, hoses(), LOSSES, WATERS_C)
def test_a_working_point_lies_on_both_curves(
    curve: PumpCurve, hose: RisingHose, loss: float, water_c: float
) -> None:
    """And between no flow and the free flow; without one, the pump ends at its shut-off head."""
    water = water_at(water_c)
    found = working_point(curve, hose, loss_coefficient=loss, water=water)
    assert 0.0 <= found.flow_l_per_h <= curve.free_flow_l_per_h
    if hose.height_m >= curve.shut_off_head_m:
        assert found == (0.0, curve.shut_off_head_m)
        return
    step = 1e-9 * curve.free_flow_l_per_h
    below, above = max(0.0, found.flow_l_per_h - step), found.flow_l_per_h + step
    slack = 1e-9 * curve.shut_off_head_m
    assert hose.head_m(below, loss_coefficient=loss, water=water) <= curve.head_m(below) + slack
    if above < curve.free_flow_l_per_h:
        assert hose.head_m(above, loss_coefficient=loss, water=water) >= curve.head_m(above) - slack


@given(CURVES, hoses(), LOSSES, st.floats(0, 3), st.sampled_from(["height", "length", "rough"]))
def test_more_height_length_or_roughness_never_brings_more(
    curve: PumpCurve, hose: RisingHose, loss: float, more: float, what: str
) -> None:
    """Each by itself."""
    harder = RisingHose(
        height_m=hose.height_m + (more if what == "height" else 0.0),
        bore_mm=hose.bore_mm,
        length_m=hose.length_m + (more * 10 if what == "length" else 0.0),
        roughness_mm=0.05 * hose.bore_mm if what == "rough" else hose.roughness_mm,
        loss_coefficient=hose.loss_coefficient,
    )
    slack = 1e-9 * curve.free_flow_l_per_h
    assert flow_of(curve, harder, loss) <= flow_of(curve, hose, loss) + slack


@given(CURVES, hoses(), LOSSES, st.floats(0, 20))
def test_more_fittings_never_bring_more(
    curve: PumpCurve, hose: RisingHose, loss: float, more: float
) -> None:
    """The loss coefficient by itself."""
    slack = 1e-9 * curve.free_flow_l_per_h
    assert flow_of(curve, hose, loss + more) <= flow_of(curve, hose, loss) + slack


@given(CURVES, hoses(), LOSSES, st.floats(1.0, 3.0))
def test_a_wider_hose_never_brings_less(
    curve: PumpCurve, hose: RisingHose, loss: float, times: float
) -> None:
    """Of the same roughness in millimetres."""
    wider = RisingHose(
        height_m=hose.height_m,
        bore_mm=hose.bore_mm * times,
        length_m=hose.length_m,
        roughness_mm=hose.roughness_mm,
        loss_coefficient=hose.loss_coefficient,
    )
    slack = 1e-9 * curve.free_flow_l_per_h
    assert flow_of(curve, wider, loss) >= flow_of(curve, hose, loss) - slack


@given(st.floats(0, 20_000), st.floats(0, 1000), BORES_MM, ROUGHNESSES, WATERS_C)
def test_friction_grows_with_the_flow(
    flow: float, more: float, bore_mm: float, roughness: float, water_c: float
) -> None:
    """Through the laminar, the transitional and the turbulent range: so there is one working
    point at most."""
    water = water_at(water_c)

    def lost_m(flow_l_per_h: float) -> float:
        return friction_head_m(
            flow_l_per_h,
            bore_mm=bore_mm,
            length_m=1.0,
            roughness_mm=roughness * bore_mm,
            water=water,
        )

    assert 0.0 <= lost_m(flow) <= lost_m(flow + more) * (1 + 1e-12)


@given(CURVES, hoses(), WATERS_C, st.sampled_from([MEASURED, Tolerance(0.1, 0.08)]))
def test_what_is_found_is_a_range_in_order(
    curve: PumpCurve, hose: RisingHose, water_c: float, tolerance: Tolerance
) -> None:
    """Least, likely and most; and water either arrives or is missing some height."""
    found = lifting(curve, hose, water_c=water_c, tolerance=tolerance)
    for bounds in (found.flow_l_per_h, found.head_m, found.reach_m, found.short_by_m):
        assert 0.0 <= bounds.low <= bounds.likely <= bounds.high
    assert found.flow_l_per_h.high <= (1 + tolerance.flow) * curve.free_flow_l_per_h
    if hose.height_m >= curve.shut_off_head_m:
        assert not found.lifts
    elif hose.height_m < 0.99 * curve.shut_off_head_m:
        assert found.lifts
    assert not (found.lifts and found.short_by_m.likely > 0)
