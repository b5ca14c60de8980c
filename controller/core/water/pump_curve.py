"""How much a pump delivers against which head: its curve, from a label or from a chart.

A label has two numbers, the greatest lift and the greatest flow; between them a parabola is
taken. A maker's chart has more points. Both fall from the shut-off head, where nothing flows
any more, to the free flow, where nothing has to be lifted.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import inf, isfinite, sqrt
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import BadPumpCurveError
from controller.core.water.monotone_cubic import MonotoneCubic, monotone_cubic

if TYPE_CHECKING:
    from collections.abc import Sequence

_STEP_MIN = 1e-9  # of the free flow: points nearer than this are at one flow
_HALVINGS = 60  # of an interval: more than double precision can tell apart


class CurvePoint(NamedTuple):
    """A point of a pump's curve: L/h against m of head."""

    flow_l_per_h: float
    head_m: float


@dataclass(frozen=True, slots=True)
class PumpCurve:
    """A pump's curve, which never rises; `chart` is None where only the label is known.

    `shut_off_head_m` and `free_flow_l_per_h` are more than 0.
    """

    shut_off_head_m: float
    free_flow_l_per_h: float
    chart: MonotoneCubic | None = None

    def head_m(self, flow_l_per_h: float) -> float:
        """The head that the pump makes at a flow; 0 from the free flow on."""
        if flow_l_per_h <= 0.0:
            return self.shut_off_head_m
        if flow_l_per_h >= self.free_flow_l_per_h:
            return 0.0
        share = flow_l_per_h / self.free_flow_l_per_h
        if self.chart is None:
            return self.shut_off_head_m * (1.0 - share * share)
        return self.shut_off_head_m * self.chart.y(share)

    def flow_l_per_h(self, head_m: float) -> float:
        """The flow that the pump delivers against a head; 0 from the shut-off head on."""
        if head_m >= self.shut_off_head_m:
            return 0.0
        if head_m <= 0.0:
            return self.free_flow_l_per_h
        if self.chart is None:
            return self.free_flow_l_per_h * sqrt(1.0 - head_m / self.shut_off_head_m)
        low, high = 0.0, self.free_flow_l_per_h
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            low, high = (middle, high) if self.head_m(middle) >= head_m else (low, middle)
        return low

    def scaled(self, *, flow: float, head: float) -> PumpCurve:
        """The curve of a pump that delivers `flow` times as much at `head` times the head."""
        return PumpCurve(self.shut_off_head_m * head, self.free_flow_l_per_h * flow, self.chart)


def curve_of_label(*, shut_off_head_m: float, free_flow_l_per_h: float) -> PumpCurve:
    """The curve by a label: H = H0 (1 − (Q/Q0)²).

    Args:
        shut_off_head_m: the greatest lift, more than 0.
        free_flow_l_per_h: the greatest flow, more than 0.

    Raises:
        BadPumpCurveError: a number is not more than 0.

    Source: a parabola for small centrifugal pumps is common practice, no source.
    """
    for name, value, unit in (
        ("shut_off_head_m", shut_off_head_m, "m"),
        ("free_flow_l_per_h", free_flow_l_per_h, "L/h"),
    ):
        if not 0.0 < value < inf:
            raise BadPumpCurveError(
                f"{name} is {value:g} {unit}: a pump that lifts has more than 0; copy it from the "
                "pump's label"
            )
    return PumpCurve(shut_off_head_m, free_flow_l_per_h)


def curve_of_points(points: Sequence[tuple[float, float]]) -> PumpCurve:
    """The curve through the points of a chart (L/h, m), in any order.

    Two points say no more than a label does, so they get a label's parabola; more are joined
    smoothly, without overshoot.

    Raises:
        BadPumpCurveError: the points are no falling curve from flow 0 to head 0; the text says
            which point is the first that is not fit.

    Source: `MonotoneCubic`.
    """
    fault = fault_of(points)
    if fault is not None:
        raise BadPumpCurveError(fault)
    ordered = sorted(CurvePoint(*point) for point in points)
    shut_off_head_m, free_flow_l_per_h = ordered[0].head_m, ordered[-1].flow_l_per_h
    if len(ordered) == 2:
        return PumpCurve(shut_off_head_m, free_flow_l_per_h)
    chart = monotone_cubic(
        [point.flow_l_per_h / free_flow_l_per_h for point in ordered],
        [point.head_m / shut_off_head_m for point in ordered],
    )
    return PumpCurve(shut_off_head_m, free_flow_l_per_h, chart)


def fault_of(points: Sequence[tuple[float, float]]) -> str | None:
    """Why points (L/h, m) are no pump's curve, and how to mend it; None where they are one."""
    for number, (flow_l_per_h, head_m) in enumerate(points, 1):
        if not all(isfinite(value) and value >= 0.0 for value in (flow_l_per_h, head_m)):
            return (
                f"point {number} of the curve, {_words(flow_l_per_h, head_m)}, has a number that "
                "is not 0 or more: write [flow in L/h, head in m]"
            )
    ordered = sorted(CurvePoint(*point) for point in points)
    if len(ordered) < 2:
        return (
            f"{len(ordered)} point{'' if len(ordered) == 1 else 's'} of the curve: it needs two at "
            "least, the head at which nothing flows [0, m] and the flow without a lift [L/h, 0]"
        )
    first, last = ordered[0], ordered[-1]
    if first.flow_l_per_h > 0.0:
        return (
            f"the curve begins at {_words(*first)}: add the head at which nothing flows any "
            "more, [0, m], the greatest lift on the pump's label"
        )
    if first.head_m == 0.0:
        return "the curve's greatest head is 0 m: in [0, m] write the greatest lift on the label"
    return _rise_in(ordered) or (
        f"the curve ends at {_words(*last)}: add the flow without a lift, [L/h, 0], the greatest "
        "flow on the pump's label"
        if last.head_m > 0.0
        else None
    )


def _rise_in(ordered: Sequence[CurvePoint]) -> str | None:
    """Where points in order of flow repeat a flow or rise."""
    least_step_l_per_h = _STEP_MIN * ordered[-1].flow_l_per_h
    for before, after in pairwise(ordered):
        if after.flow_l_per_h - before.flow_l_per_h <= least_step_l_per_h:
            return (
                f"the curve has two heads at {after.flow_l_per_h:g} L/h, {before.head_m:g} m and "
                f"{after.head_m:g} m: leave one out"
            )
        if after.head_m > before.head_m:
            return (
                f"the curve rises from {_words(*before)} to {_words(*after)}: a pump delivers "
                "less against a higher head; see whether a point is [L/h, m] the wrong way round"
            )
    return None


def _words(flow_l_per_h: float, head_m: float) -> str:
    return f"{flow_l_per_h:g} L/h at {head_m:g} m"
