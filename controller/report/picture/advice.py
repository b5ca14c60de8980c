"""The picture of advice: what each cycle leaves to the roots, against its pump hours."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple
from xml.etree.ElementTree import Element, indent, tostring

from controller.core.phrases import date_words, rate_words
from controller.core.water_words import percent_text, share_words
from controller.report.advice_tables import row_name
from controller.report.advice_text import sentences
from controller.report.picture.scene import WIDTH
from controller.report.picture.style import style_sheet
from controller.report.picture.svg import add, label, number, tell, text_lines, text_width
from controller.report.picture.water_lift import ticks
from controller.report.text_cells import printable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.advice.advice import Advice
    from controller.advice.figures import Row

_LEFT, _RIGHT, _HIGH = 38.0, 12.0, 150.0  # margins beside a plot, and its height
_SIZE = 9.5
_LEVEL = 10.0  # between the rows of numbers above a plot
_LEVELS_MAX = 4
_STANDS_MAX = 6  # drawn; a picture that nobody scrolls to the end tells nothing
_ROOM = 1.05


class _Plot(NamedTuple):
    """Where pump hours and shares lie in the picture."""

    top: float
    hours_max: float

    @property
    def bottom(self) -> float:
        return self.top + _HIGH

    def x(self, hours: float) -> float:
        return _LEFT + (WIDTH - _LEFT - _RIGHT) * hours / self.hours_max

    def y(self, share: float) -> float:
        return self.bottom - _HIGH * share


def draw_advice(advices: Sequence[Advice]) -> str:
    """The picture of the advice for each load, as SVG text: the same for the same advice,
    without scripts and without anything from elsewhere."""
    root = Element("svg", {"role": "graphics-document document"})
    title = f"Advice for {', '.join(printable(one.load) for one in advices)}"
    add(root, "title", title)
    add(root, "desc", " ".join(sentence for one in advices for sentence in sentences(one)))
    add(root, "style").text = style_sheet()
    paper = add(root, "rect", width=WIDTH, height=0, class_="paper")
    y = _write(root, title, 6.0, size=15, kind="h")
    for advice in advices:
        if len(advices) > 1:
            y = _write(root, printable(advice.load), y + 8, kind="b")
        y = _draw_load(root, advice, y + 4)
    height = y + 8
    paper.set("height", number(height))
    root.set("xmlns", "http://www.w3.org/2000/svg")
    root.set("viewBox", f"0 0 {number(WIDTH)} {number(height)}")
    indent(root, space="")
    return tostring(root, encoding="unicode") + "\n"


def _write(parent: Element, text: str, y: float, *, size: float = _SIZE, kind: str = "") -> float:
    """Writes a text below `y`; returns the base of its last line."""
    for line in text_lines(text, size=size, width=WIDTH - 12):
        y += size + 3
        add(parent, "text", line, x=4, y=y, class_=kind)
    return y


def _draw_load(root: Element, advice: Advice, top: float) -> float:
    y = top
    for sentence in sentences(advice):
        y = _write(root, sentence, y)
    names = list(advice.rows[0].lefts)
    for name in names[:_STANDS_MAX]:
        y = _draw_stand(root, advice, name, y + 8)
    if len(names) > _STANDS_MAX:
        y = _write(root, f"{len(names) - _STANDS_MAX} further stands: see the text.", y, kind="f")
    return _draw_legend(root, advice, y + 6)


def _draw_stand(root: Element, advice: Advice, stand: str, top: float) -> float:
    """One stand's plot; returns where it ends."""
    group = add(root, "g", role="graphics-symbol img")
    days = " and ".join(map(date_words, advice.days))
    heading = f"{printable(stand)}: left at the driest moment of {days}"
    label(group, f"{heading}. {_told(advice, stand)}")
    y = _write(group, heading, top, kind="b")
    hours = [row.pump.hours_a_day for row in advice.rows]
    hours_max = max(*hours, 1.0) * _ROOM
    levels = _levels(advice, _Plot(0.0, hours_max))
    plot = _Plot(y + 8 + _LEVEL * (max(levels) + 1), hours_max)
    _draw_axes(group, plot, advice.reserves[stand])
    for place, row in enumerate(advice.rows):
        _draw_row(group, plot, advice, stand, place)
        x = plot.x(row.pump.hours_a_day)
        text = _number(advice, place)
        kind = "m b" if place == advice.chosen else "m"
        add(group, "text", text, x=x, y=plot.top - 5 - _LEVEL * levels[place], class_=kind)
    return plot.bottom + 28


def _told(advice: Advice, stand: str) -> str:
    return " ".join(
        f"{row_name(advice, place).strip()}: {rate_words(row.pump.hours_a_day)} h a day, "
        f"{share_words(row.lefts[stand], after=' left')}."
        for place, row in enumerate(advice.rows)
    )


def _number(advice: Advice, place: int) -> str:
    return f"{place + 1}*" if place == advice.chosen else f"{place + 1}"


def _levels(advice: Advice, plot: _Plot) -> list[int]:
    """On which row above the plot each number stands, so that none lies on another."""
    ends = [-1.0] * _LEVELS_MAX
    levels = [0] * len(advice.rows)
    order = sorted(range(len(levels)), key=lambda place: advice.rows[place].pump.hours_a_day)
    for place in order:
        half = text_width(_number(advice, place), _SIZE) / 2 + 1
        x = plot.x(advice.rows[place].pump.hours_a_day)
        free = [level for level, end in enumerate(ends) if end <= x - half]
        levels[place] = free[0] if free else ends.index(min(ends))
        ends[levels[place]] = x + half
    return levels


def _draw_axes(group: Element, plot: _Plot, reserve: float) -> None:
    axes = add(group, "g", aria_hidden="true")
    right = plot.x(plot.hours_max)
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        y = plot.y(share)
        add(axes, "path", d=f"M{number(_LEFT)} {number(y)}H{number(right)}", class_="grid")
        if abs(share - reserve) > 0.06:
            add(axes, "text", percent_text(share), x=_LEFT - 4, y=y + 3.3, class_="r")
    for hours in ticks(plot.hours_max):
        x = plot.x(hours)
        line = f"M{number(x)} {number(plot.top)}V{number(plot.bottom)}"
        add(axes, "path", d=line, class_="grid")
        add(axes, "text", f"{hours:g}", x=x, y=plot.bottom + 12, class_="m")
    add(axes, "text", "pump hours a day", x=right, y=plot.bottom + 24, class_="f r")
    y = plot.y(reserve)
    line = f"M{number(_LEFT)} {number(y)}H{number(right)}"
    dashed = add(group, "path", d=line, class_="line l-alarm")
    dashed.set("stroke-dasharray", "4 2")
    tell(dashed, f"reserve of the plan: {percent_text(reserve)}")
    add(axes, "text", percent_text(reserve), x=_LEFT - 4, y=y + 3.3, class_="r b")


def _draw_row(group: Element, plot: _Plot, advice: Advice, stand: str, place: int) -> None:
    """A row's range as a thin line, its nine in ten as a bar, its likely value as a dot."""
    row = advice.rows[place]
    left, band = row.lefts[stand], row.bands[stand]
    x = plot.x(row.pump.hours_a_day)
    mark = add(group, "g")
    low, high = number(plot.y(left.low)), number(plot.y(left.high))
    x0, x1 = number(x - 2), number(x + 2)
    ends = f"M{number(x)} {low}V{high}M{x0} {low}H{x1}M{x0} {high}H{x1}"
    add(mark, "path", d=ends, class_="line thin l-faint")
    bar = f"M{number(x)} {number(plot.y(band.p5))}V{number(plot.y(band.p95))}"
    add(mark, "path", d=bar, class_="bar pump", stroke_width="5", stroke_opacity="0.35")
    add(mark, "circle", cx=x, cy=plot.y(left.likely), r=2.6, class_="i-pump")
    if place == advice.chosen:
        add(mark, "circle", cx=x, cy=plot.y(left.likely), r=5.5, class_="bar l-change")
    tell(mark, f"{row_name(advice, place).strip()}: {_row_words(row, stand)}")


def _row_words(row: Row, stand: str) -> str:
    hours = rate_words(row.pump.hours_a_day)
    return f"{hours} h a day, {share_words(row.lefts[stand], after=' left')}"


def _draw_legend(root: Element, advice: Advice, top: float) -> float:
    """What the marks mean, and which number is which cycle."""
    y = _write(
        root,
        "Dot: likely roots. Thin line: from the driest roots to the wettest that sources allow. "
        "Bar: nine in ten plants drawn at random. Dashed: the reserve. Ring and star: advised.",
        top,
        kind="f",
    )
    for place in range(len(advice.rows)):
        y = _write(root, row_name(advice, place).strip(), y)
    return y
