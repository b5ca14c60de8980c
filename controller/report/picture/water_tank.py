"""The picture of a reservoir: its level through the run, and below it its strength."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import amount_words, date_words
from controller.core.water_words import ranged
from controller.report.picture.scene import WIDTH
from controller.report.picture.svg import add, label, number, path, place, tell, text_lines
from controller.report.picture.time_panel import (
    LEFT,
    RIGHT,
    TimePanel,
    draw_days,
    draw_scale,
    round_up,
)
from controller.report.text_cells import printable
from controller.report.water_tank_text import ec_words, fact_words, litre_words

if TYPE_CHECKING:
    from collections.abc import Callable
    from xml.etree.ElementTree import Element

    from controller.core.calendar import Calendar
    from controller.core.units import Instant
    from controller.core.water.reservoir import Solution
    from controller.core.water.reservoir_outlook import ReservoirOutlook
    from controller.core.water.reservoir_run import ReservoirRun
    from controller.dry_run.water.water_account import ReservoirAccount

_LEVEL_HEIGHT, _STRENGTH_HEIGHT = 96.0, 44.0
_POINTS = 240  # across the run


class _Point(NamedTuple):
    at: Instant
    solution: Solution


def draw_tank(parent: Element, tank: ReservoirAccount, calendar: Calendar, top: float) -> float:
    """Draws a reservoir below `top`, as wide as a picture; returns where it ends.

    Shown as it is filled at its mark, or left alone where it has none. Between little and
    much draw it is shaded, until the first time that it is filled.
    """
    outlook = tank.happened
    group = add(parent, "g", role="graphics-symbol img")
    words = _words(tank, outlook, calendar)
    label(tell(group, words), words)
    y = top
    for line in text_lines(_heading(tank, outlook), size=9.5, width=WIDTH - 12):
        y += 13
        add(group, "text", line, x=4, y=y, class_="b")
    level = TimePanel(outlook.start, outlook.end, y + 17, _LEVEL_HEIGHT, outlook.reservoir.full_l)
    draw_days(group, level, calendar, with_dates=True)
    draw_scale(group, level, fact_words(level.most))
    _draw_curves(group, level, outlook, lambda solution: solution.water_l, "pump")
    _draw_marks(group, level, outlook)
    bottom = level.bottom
    if tank.ec_is_known:
        most = _strongest(outlook)
        strength = level._replace(top=bottom + 14, height=_STRENGTH_HEIGHT, most=most)
        draw_scale(group, strength, amount_words(most), unit="mS/cm")
        _draw_curves(group, strength, outlook, lambda solution: _ec_up_to(solution, most), "change")
        draw_days(group, strength, calendar)
        bottom = strength.bottom
    return _draw_legend(group, outlook, bottom + 12)


def _heading(tank: ReservoirAccount, outlook: ReservoirOutlook) -> str:
    how = "filled at its mark" if tank.refilled is not None else "left alone"
    return f"{printable(tank.name)}: {fact_words(outlook.reservoir.full_l)}, {how}"


def _words(tank: ReservoirAccount, outlook: ReservoirOutlook, calendar: Calendar) -> str:
    """The curves for those who hear them; once filled, only what is likely."""
    level, strength = outlook.water_l(outlook.end), outlook.ec_ms_per_cm(outlook.end)
    has_top_ups = any(run.top_ups for run in outlook.runs)
    end = litre_words(level.likely) if has_top_ups else ranged(level, litre_words)
    told = [
        f"{_heading(tank, outlook)}.",
        f"Level from {litre_words(outlook.solution.water_l)} "
        f"{date_words(calendar.date_of(outlook.start))} to {end} "
        f"{date_words(calendar.date_of(outlook.end))}.",
    ]
    if tank.ec_is_known and strength is not None:
        end = ec_words(strength.likely) if has_top_ups else ranged(strength, ec_words)
        told.append(f"Strength at the end {end}.")
    return " ".join(told)


# Curves


def _points(run: ReservoirRun, end: Instant) -> list[_Point]:
    """What was in it, often enough for a curve; at a top-up twice."""
    pitch = max(1, (run.end - run.start) // _POINTS)
    points = []
    for stretch in run.stretches:
        if stretch.start > end:
            break
        stop = min(stretch.end, end)
        first = (stretch.start - run.start) // pitch + 1
        grid = range(run.start + first * pitch, stop, pitch)
        kinks = () if stretch.inlet_at is None else (stretch.inlet_at,)
        within = {at for at in (*grid, *kinks) if stretch.start < at < stop}
        instants = [stretch.start, *sorted(within), stop]
        points += [_Point(at, stretch.solution_at(at)) for at in instants]
    return points


def _draw_curves(
    group: Element,
    panel: TimePanel,
    outlook: ReservoirOutlook,
    value_of: Callable[[Solution], float | None],
    colour: str,
) -> None:
    """The likely curve, and the shade between the extremes of all runs."""
    first_top_ups = [run.top_ups[0].at for run in outlook.runs if run.top_ups]
    shade_end = min(first_top_ups, default=outlook.end)
    instants = [
        outlook.start + (shade_end - outlook.start) * step // _POINTS for step in range(_POINTS + 1)
    ]
    lows, highs = [], []
    for at in instants[: -1 if first_top_ups else None]:
        values = [value_of(run.at(at)) for run in outlook.runs]
        known = [value for value in values if value is not None]
        if len(known) == len(values):
            lows.append(place(panel.x(at), panel.y(min(known))))
            highs.append(place(panel.x(at), panel.y(max(known))))
    if lows:
        outline = f"M{'L'.join([*highs, *reversed(lows)])}Z"
        add(group, "path", d=outline, class_=f"i-{colour}", fill_opacity="0.22")
    parts, is_drawing = [], False
    for at, solution in _points(outlook.likely, outlook.end):
        value = value_of(solution)
        if value is not None:
            verb = "L" if is_drawing else "M"
            parts.append(f"{verb}{place(panel.x(at), panel.y(value))}")
        is_drawing = value is not None
    add(group, "path", d=path(parts), class_=f"line l-{colour}")


def _strongest(outlook: ReservoirOutlook) -> float:
    """The top of the scale of strengths: a round number that holds what is drawn of them,
    and at most four times what it began with, since a puddle's strength has no end."""
    points = [point for run in outlook.runs for point in _points(run, outlook.end)]
    known = [ec for one in points if (ec := one.solution.ec_ms_per_cm) is not None]
    began = outlook.solution.ec_ms_per_cm or 0.0
    return round_up(min(max(known, default=0.0), 4 * began) if began else max(known, default=0.0))


def _ec_up_to(solution: Solution, most: float) -> float | None:
    """Its strength; None where it has none or the scale ends."""
    strength = solution.ec_ms_per_cm
    return None if strength is None or strength > most else strength


# Marks and words


def _draw_marks(group: Element, panel: TimePanel, outlook: ReservoirOutlook) -> None:
    """Lines at the inlet and where it is to be filled, each with its name."""
    reservoir = outlook.reservoir
    marks = [("inlet", reservoir.inlet_at_l)]
    if reservoir.top_up_at_l is not None:
        marks.insert(0, ("top up", reservoir.top_up_at_l))
    ys = [panel.y(level_l) for _, level_l in marks]
    text_ys = list(ys)
    if len(ys) > 1 and ys[1] - ys[0] < 10:  # their names would touch
        text_ys[0] = ys[1] - 10
    for (name, level_l), y, text_y in zip(marks, ys, text_ys, strict=True):
        line = f"M{number(LEFT)} {number(y)}h{number(WIDTH - LEFT - RIGHT)}"
        colour = "l-alarm" if name == "inlet" else "l-person"
        add(group, "path", d=line, class_=f"edge {colour}")
        text = f"{name} {fact_words(level_l)}"
        add(group, "text", text, x=WIDTH - RIGHT + 4, y=text_y + 3, class_="s")


def _draw_legend(group: Element, outlook: ReservoirOutlook, top: float) -> float:
    """What line and shade mean."""
    has_top_ups = any(run.top_ups for run in outlook.runs)
    until = ", until it is first filled" if has_top_ups else ""
    text = f"Line: what is likely. Shaded: between little and much draw and uptake{until}."
    y = top
    for line in text_lines(text, size=9, width=WIDTH - LEFT):
        add(group, "text", line, x=LEFT, y=y, class_="f s")
        y += 11
    return y - 6
