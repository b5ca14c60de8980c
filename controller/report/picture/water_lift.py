"""The picture of a lift: the pump's curve, what the way up needs, and where the two meet."""

from __future__ import annotations

from math import floor, log10
from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import amount_words
from controller.core.water.lifting_words import lifting_words
from controller.core.water.water_properties import water_at
from controller.core.water_words import range_words
from controller.report.picture.scene import WIDTH
from controller.report.picture.svg import add, label, number, place, tell, text_lines
from controller.report.text_cells import printable

if TYPE_CHECKING:
    from collections.abc import Iterable
    from xml.etree.ElementTree import Element

    from controller.core.water.pump_curve import PumpCurve
    from controller.dry_run.water.water_account import LiftAccount

_LEFT, _RIGHT, _HIGH = 34.0, 10.0, 130.0  # margins beside the plot, and its height
_POINTS = 64  # of each curve
_TICKS_MAX = 6
_ROOM = 1.08  # of the axes beyond what is drawn
_SIZE = 9.5


class _Plot(NamedTuple):
    """Where flows and heads lie in the picture."""

    top: float
    flow_l_per_h_max: float
    head_m_max: float

    def x(self, flow_l_per_h: float) -> float:
        return _LEFT + (WIDTH - _LEFT - _RIGHT) * flow_l_per_h / self.flow_l_per_h_max

    def y(self, head_m: float) -> float:
        return self.bottom - _HIGH * head_m / self.head_m_max

    @property
    def bottom(self) -> float:
        return self.top + _HIGH


def draw_lift(parent: Element, lift: LiftAccount, top: float) -> float:
    """Draws a lift below `top`, as wide as a picture; returns where it ends."""
    told = _told(lift)
    title = f"{printable(lift.load)}: water to the top"
    group = add(parent, "g", role="graphics-symbol img")
    label(group, " ".join([f"{title}.", *told]))
    y = _write(group, [title], y=top, kind="b")
    y = _write(group, [lifting_words(lift.found)], y=y, kind="f")
    plot = _plot(lift, top=y + 12)
    _draw_axes(group, plot)
    _draw_pump(group, lift, plot)
    _draw_way_up(group, lift, plot)
    _draw_meeting(group, lift, plot)
    return _write(group, told[1:], y=plot.bottom + 24, kind="f s", line=11.0) + 5


def _told(lift: LiftAccount) -> list[str]:
    """The picture in words: its sentence, then a legend."""
    found = lift.found
    told = [
        lifting_words(found),
        f"Falling line, and the band about it: what the pump gives, at most "
        f"{range_words(found.reach_m, 'm')} and {lift.curve.free_flow_l_per_h:,.0f} L/h.",
        f"Rising line: what {found.height_m:.2f} m of lift, "
        f"{amount_words(lift.hose.length_m)} m of hose of {amount_words(lift.hose.bore_mm)} mm, "
        "fittings and outlet need.",
    ]
    if found.flow_l_per_h.high > 0.0:
        flow = range_words(found.flow_l_per_h, "L/h")
        told.append(f"Bar on the lower edge: what arrives at the top, {flow}.")
    if found.short_by_m.likely > 0.0:
        missing = range_words(found.short_by_m, "m")
        told.append(f"Bar on the left edge: what is missing to the top, {missing}.")
    return told


def _write(
    group: Element, texts: Iterable[str], *, y: float, kind: str, line: float = 13.0
) -> float:
    """Writes texts one under the other; returns the base of the last line."""
    for text in texts:
        for one in text_lines(text, size=_SIZE, width=WIDTH - 12):
            y += line
            add(group, "text", one, x=4, y=y, class_=kind)
    return y


def _plot(lift: LiftAccount, *, top: float) -> _Plot:
    _, strong = lift.found.tolerance.corners(lift.curve)
    return _Plot(
        top=top,
        flow_l_per_h_max=strong.free_flow_l_per_h * _ROOM,
        head_m_max=max(strong.shut_off_head_m, lift.found.height_m) * _ROOM,
    )


def _draw_axes(group: Element, plot: _Plot) -> None:
    axes = add(group, "g", aria_hidden="true")
    right = plot.x(plot.flow_l_per_h_max)
    for head_m in ticks(plot.head_m_max):
        y = plot.y(head_m)
        add(axes, "path", d=f"M{number(_LEFT)} {number(y)}H{number(right)}", class_="grid")
        add(axes, "text", amount_words(head_m), x=_LEFT - 4, y=y + 3.3, class_="r")
    for flow in ticks(plot.flow_l_per_h_max):
        x = plot.x(flow)
        line = f"M{number(x)} {number(plot.top)}V{number(plot.bottom)}"
        add(axes, "path", d=line, class_="grid")
        add(axes, "text", amount_words(flow), x=x, y=plot.bottom + 13, class_="m")
    add(axes, "text", "m", x=4, y=plot.top + 3.3, class_="f")
    add(axes, "text", "L/h", x=4, y=plot.bottom + 13, class_="f")


def ticks(most: float) -> list[float]:
    """Round numbers from 0 to at most `most`, more than 0: steps of 1, 2 or 5 times a power
    of ten, as many as six of them."""
    power = floor(log10(most / _TICKS_MAX))
    candidates = (
        factor * 10.0**exponent for exponent in (power, power + 1) for factor in (1, 2, 5)
    )
    step = next(step for step in candidates if most / step <= _TICKS_MAX)
    return [round(count * step, 9) for count in range(int(most / step) + 1)]


def _curve_points(curve: PumpCurve, plot: _Plot) -> list[str]:
    flows = (curve.free_flow_l_per_h * step / _POINTS for step in range(_POINTS + 1))
    return [_point(plot, flow, curve.head_m(flow)) for flow in flows]


def _point(plot: _Plot, flow_l_per_h: float, head_m: float) -> str:
    return place(plot.x(flow_l_per_h), plot.y(head_m))


def _draw_pump(group: Element, lift: LiftAccount, plot: _Plot) -> None:
    weak, strong = lift.found.tolerance.corners(lift.curve)
    band = [*_curve_points(weak, plot), *reversed(_curve_points(strong, plot))]
    add(group, "path", d=f"M{'L'.join(band)}z", class_="f-pump", fill_opacity="0.18")
    line = f"M{'L'.join(_curve_points(lift.curve, plot))}"
    tell(add(group, "path", d=line, class_="line pump"), "what the pump gives")


def _draw_way_up(group: Element, lift: LiftAccount, plot: _Plot) -> None:
    water = water_at(lift.water_c)
    loss = lift.hose.loss_coefficient.likely
    points = []
    for step in range(_POINTS + 1):
        flow = plot.flow_l_per_h_max * step / _POINTS
        needed_m = lift.hose.head_m(flow, loss_coefficient=loss, water=water)
        if needed_m > plot.head_m_max:
            break
        points.append(_point(plot, flow, needed_m))
    line = add(group, "path", d=f"M{'L'.join(points)}", class_="line l-change")
    line.set("stroke-dasharray", "5 2")
    tell(line, "what the way up needs")


def _draw_meeting(group: Element, lift: LiftAccount, plot: _Plot) -> None:
    """The working point with the range of the flow; or how much is missing."""
    found = lift.found
    flow = found.flow_l_per_h
    if flow.high > 0.0:
        ends = (plot.x(flow.low), plot.x(flow.high))
        bar = f"M{number(ends[0])} {number(plot.bottom)}H{number(ends[1])}"
        tell(
            add(group, "path", d=bar, class_="bar pump", stroke_width="4"),
            f"arrives at the top: {range_words(flow, 'L/h')}",
        )
    if found.lifts:
        x, y = plot.x(flow.likely), plot.y(found.head_m.likely)
        drop = f"M{number(x)} {number(y)}V{number(plot.bottom)}"
        add(group, "path", d=drop, class_="edge")
        tell(
            add(group, "circle", cx=x, cy=y, r=3.5, class_="f-pump"),
            f"works at {range_words(flow, 'L/h')} and {found.head_m.likely:.2f} m",
        )
    elif found.short_by_m.likely > 0.0:
        y = plot.y(found.reach_m.likely)
        gap = f"M{number(_LEFT)} {number(y)}V{number(plot.y(found.height_m))}"
        tell(
            add(group, "path", d=gap, class_="bar l-alarm", stroke_width="4"),
            f"missing: {range_words(found.short_by_m, 'm')}",
        )
