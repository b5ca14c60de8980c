"""What a pump lifts to the top of a column, as text for a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import counted
from controller.core.water.hose_choice import wider_hose
from controller.core.water.lifting_words import lifting_words
from controller.core.water.water_properties import water_at
from controller.core.water_words import range_words, two_figures
from controller.report.load_blocks import entry
from controller.report.text_cells import printable, width_of, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from controller.core.water.bounds import Bounds
    from controller.dry_run.water.water_account import LiftAccount
    from controller.report.ink import Ink

_ML_PER_MIN_A_L_PER_H = 1000.0 / 60.0
_STEPS = 5  # of the free flow, each a row of the table


class LiftRow(NamedTuple):
    """At a flow (L/h): what the pump makes and what hose and height need, in m."""

    flow_l_per_h: float
    pump_m: float
    needed_m: float
    is_working_point: bool


def lift_line(lift: LiftAccount, *, width: int) -> list[str]:
    """A load's way up in short: what arrives, or that nothing does."""
    words = lifting_words(lift.found)
    if lift.found.lifts:
        words = f"{range_words(lift.found.flow_l_per_h, 'L/h')} at the top"
        if lift.plants > 0:
            words += f", {range_words(_each_ml_per_min(lift), 'mL/min')} a plant"
    return wrapped(f"{printable(lift.load)}: {words}", width, first="  ", rest="    ")


def _each_ml_per_min(lift: LiftAccount) -> Bounds:
    return lift.found.flow_per_plant_l_per_h(lift.plants).times(_ML_PER_MIN_A_L_PER_H)


def lift_text(lift: LiftAccount, *, width: int, ink: Ink, with_curves: bool = True) -> list[str]:
    """The block of one load as lines of at most that width: what arrives, then the two curves."""
    head = wrapped(f"{printable(lift.load)}: water to the top", width, rest="  ")
    lines = [ink.heading(line) for line in head]
    lines += wrapped(lifting_words(lift.found), width, first="  ", rest="  ")
    for label, value in _entries(lift):
        lines += entry(label, value, width=width)
    if with_curves:
        lines += [f"  {line}" for line in _table(lift_rows(lift), width=width - 2)]
    return lines


def lift_rows(lift: LiftAccount) -> tuple[LiftRow, ...]:
    """The two curves at some flows from nothing to the free flow, the working point among
    them where there is one."""
    water = water_at(lift.water_c)

    def needed_m(flow_l_per_h: float) -> float:
        loss = lift.hose.loss_coefficient.likely
        return lift.hose.head_m(flow_l_per_h, loss_coefficient=loss, water=water)

    free = lift.curve.free_flow_l_per_h
    flows = {free * step / _STEPS: False for step in range(_STEPS + 1)}
    if lift.found.lifts:
        flows[lift.found.flow_l_per_h.likely] = True
    return tuple(
        LiftRow(flow, lift.curve.head_m(flow), needed_m(flow), is_here)
        for flow, is_here in sorted(flows.items())
    )


def _entries(lift: LiftAccount) -> Iterator[tuple[str, str]]:
    found, power = lift.found, lift.power
    flow = found.flow_l_per_h
    if flow.high > 0.0:
        yield "at the top", range_words(flow, "L/h")
        if lift.plants > 0:
            each = _each_ml_per_min(lift)
            shared = f", if {counted(lift.plants, 'plant')} get the same"
            yield "each plant", range_words(each, "mL/min") + (shared if lift.plants > 1 else "")
    if found.lifts:
        yield (
            "head",
            f"{found.head_m.likely:.2f} m: {found.height_m:.2f} m of lift, "
            f"{found.friction_m:.2f} m in the hose, "
            f"{found.fittings_m:.2f} m in fittings and outlet",
        )
        yield "in the hose", f"{two_figures(found.velocity_m_per_s)} m/s"
        wider = wider_hose(lift.curve, lift.hose, water_c=lift.water_c)
        if wider is not None:
            more = gain_words(wider.gain)
            yield "a wider hose", f"one of {wider.bore_mm:g} mm would bring about {more}"
    else:
        yield "reaches", range_words(found.reach_m, "m")
    watts = range_words(power.electric_w, "W")
    yield "power", watts if power.is_from_label else f"{watts}, reckoned from what it lifts"
    if power.wh_per_l is not None:
        yield "energy", f"{range_words(power.wh_per_l.times(1000.0), 'Wh')} for 1,000 L"


def gain_words(gain: float) -> str:
    """A gain as a share of what there is: `20 % more`, `2.4 times as much`."""
    return f"{gain * 10:.0f}0 % more" if gain < 0.95 else f"{two_figures(1.0 + gain)} times as much"


def head_words(head_m: float) -> str:
    """A head to three figures or the metre: `1.82 m`, `32.7 m`, `206 m`."""
    if head_m < 9.995:
        return f"{head_m:.2f} m"
    return f"{head_m:.1f} m" if head_m < 99.95 else f"{head_m:,.0f} m"


def _table(rows: Sequence[LiftRow], *, width: int) -> list[str]:
    """The rows under their heads, in shorter words where there is little room; none where
    there is too little for numbers."""
    for heads, here in (
        (("L/h", "pump gives", "way up needs"), "  works here"),
        (("L/h", "pump gives", "way up needs"), " <"),
        (("L/h", "gives", "needs"), " <"),
    ):
        lines = _columns(rows, heads, here)
        if max(map(width_of, lines)) <= width:
            return lines
    return []


def _columns(rows: Sequence[LiftRow], heads: tuple[str, str, str], here: str) -> list[str]:
    cells = [heads]
    cells += [
        (two_figures(row.flow_l_per_h), head_words(row.pump_m), head_words(row.needed_m))
        for row in rows
    ]
    widths = [max(map(width_of, column)) for column in zip(*cells, strict=True)]
    lines = [
        "  ".join(cell.rjust(wide) for cell, wide in zip(row, widths, strict=True)) for row in cells
    ]
    marks = ["", *(here if row.is_working_point else "" for row in rows)]
    return [line + mark for line, mark in zip(lines, marks, strict=True)]
