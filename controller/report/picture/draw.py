"""The picture of a dry run: days as rows, hours as columns, as an SVG that stands alone."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple
from xml.etree.ElementTree import Element, indent, tostring

from controller.report.period import days_words, from_to_words
from controller.report.picture.daybook import draw_days
from controller.report.picture.folded import draw_folded
from controller.report.picture.ground import add_hatch
from controller.report.picture.legend import draw_legend, load_words
from controller.report.picture.note_band import mark_words
from controller.report.picture.scene import WIDTH, scene_of
from controller.report.picture.style import style_sheet
from controller.report.picture.svg import add, number, text_lines
from controller.report.picture.water import draw_water, water_sentences
from controller.report.text_cells import printable

if TYPE_CHECKING:
    from controller.core.schedule import Schedule
    from controller.dry_run.account import Account
    from controller.dry_run.water.water_account import WaterAccount
    from controller.report.picture.recording import Recording
    from controller.report.picture.scene import Scene

_ROWS_MAX = 31  # more days are folded
_TOLD_MAX = 25  # marks told in the description


def draw(
    schedule: Schedule,
    account: Account,
    recording: Recording,
    *,
    plan_name: str = "the plan",
    water: WaterAccount | None = None,
) -> str:
    """The picture as SVG text: the same for the same run, without scripts and without
    anything from elsewhere.

    Args:
        schedule: the plan that ran.
        account: what it did; of the same run.
        recording: of a `PictureRecorder`; of the same run.
        plan_name: what the reader calls the plan.
        water: what the run did to roots, pumps and reservoirs, where that was reckoned.
    """
    scene = scene_of(schedule, account, recording)
    root, height = _picture(scene, plan_name, water)
    return _document(root, height)


class Run(NamedTuple):
    """One of two runs that are drawn together; what `draw` takes."""

    schedule: Schedule
    account: Account
    recording: Recording
    plan_name: str
    water: WaterAccount | None = None


def draw_pair(first: Run, second: Run) -> str:
    """Two pictures one above the other, as one SVG."""
    root = Element("svg", {"role": "graphics-document document"})
    add(root, "title", f"{first.plan_name} and {second.plan_name}")
    bottom = 0.0
    for number_, run in enumerate((first, second), 1):
        scene = scene_of(run.schedule, run.account, run.recording, id_prefix=f"p{number_}-")
        picture, height = _picture(scene, f"{number_}: {run.plan_name}", run.water)
        picture.set("role", "graphics-object group")
        picture.set("y", number(bottom))
        _set_size(picture, height)
        root.append(picture)
        bottom += height
    return _document(root, bottom)


def _set_size(picture: Element, height: float) -> None:
    """Makes a picture a part of another of the same width."""
    picture.set("width", number(WIDTH))
    picture.set("height", number(height))
    picture.set("viewBox", f"0 0 {number(WIDTH)} {number(height)}")


def _document(root: Element, height: float) -> str:
    """An SVG element made the root of a document of its own."""
    root.set("xmlns", "http://www.w3.org/2000/svg")
    root.set("viewBox", f"0 0 {number(WIDTH)} {number(height)}")
    style = Element("style")
    style.text = style_sheet()
    root.insert(_place_of_style(root), style)
    indent(root, space="")
    return tostring(root, encoding="unicode") + "\n"


def _place_of_style(root: Element) -> int:
    """After title and description, which come first for those who cannot see."""
    return sum(1 for child in root if child.tag in {"title", "desc"})


def _picture(scene: Scene, plan_name: str, water: WaterAccount | None) -> tuple[Element, float]:
    """The picture as an element without a style, and how high it is."""
    prefix = scene.id_prefix
    root = Element("svg", {"role": "graphics-document document"})
    root.set("aria-labelledby", f"{prefix}title {prefix}desc")
    title = f"{printable(plan_name)}, day by day"
    add(root, "title", title, id=f"{prefix}title")
    add(root, "desc", _description(scene, water), id=f"{prefix}desc")
    add_hatch(root, scene)
    paper = add(root, "rect", width=WIDTH, height=0, class_="paper")
    top = _draw_head(root, scene, title)
    draw_rows = draw_days if len(scene.rows) <= _ROWS_MAX else draw_folded
    drawn = draw_rows(root, scene, top)
    bottom = draw_legend(root, scene, drawn.lanes, drawn.bottom + 8) + 8
    if water is not None:
        bottom = draw_water(root, scene, water, bottom) + 8
    paper.set("height", number(bottom))
    return root, bottom


def _draw_head(root: Element, scene: Scene, title: str) -> float:
    y = 6.0
    for line in text_lines(title, size=15, width=WIDTH - 12):
        y += 16
        add(root, "text", line, x=4, y=y, class_="h")
    period = (scene.schedule.calendar, scene.recording.start, scene.recording.end)
    for text in (from_to_words(*period), days_words(*period)):
        for line in text_lines(text, size=9.5, width=WIDTH - 8):
            y += 13
            add(root, "text", line, x=4, y=y, class_="f")
    return y + 6


def _description(scene: Scene, water: WaterAccount | None) -> str:
    """The picture in words."""
    told = [f"{load_words(scene, load)}." for load in scene.schedule.loads]
    told += [f"{mark_words(scene.schedule, mark)}." for mark in scene.marks[:_TOLD_MAX]]
    if len(scene.marks) > _TOLD_MAX:
        told.append(f"{len(scene.marks) - _TOLD_MAX} further marks.")
    if water is not None:
        told += water_sentences(water)
    return " ".join(["Rows are days, columns the hours of the local day.", *told])
