"""What a run did to roots, pumps and reservoirs, below the days of a picture."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from controller.core.phrases import counted
from controller.report.picture.scene import WIDTH
from controller.report.picture.svg import add, text_lines
from controller.report.picture.water_lift import draw_lift
from controller.report.picture.water_roots import draw_roots
from controller.report.picture.water_tank import draw_tank
from controller.report.text_cells import printable
from controller.report.water_stand_text import left_words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from xml.etree.ElementTree import Element

    from controller.dry_run.water.water_account import LiftAccount, StandAccount, WaterAccount
    from controller.report.picture.scene import Scene

_DRAWN_MAX = 6  # of a kind; a picture that nobody scrolls to the end tells nothing
_Told = TypeVar("_Told")


def draw_water(parent: Element, scene: Scene, water: WaterAccount, top: float) -> float:
    """Draws the roots of stands, lifts and reservoirs below `top`; returns where they end.

    Of many stands those are drawn that were driest, of many lifts those that bring least,
    of many reservoirs the first.
    """
    y = top
    stands = [one for one in water.stands.values() if one.driest is not None]
    drawn_stands = _worst(stands, _dryness)
    if drawn_stands:
        y = _head(parent, "Water in reach of the roots", y)
        for stand in drawn_stands:
            y = draw_roots(parent, scene, water, stand, y)
        y = _legend(parent, y)
    y = _left_out(parent, len(stands) - len(drawn_stands), "stand", y)
    lifts = _worst(list(water.lifts.values()), _weakness)
    for lift in lifts:
        y = draw_lift(parent, lift, y + 8)
    y = _left_out(parent, len(water.lifts) - len(lifts), "pump", y)
    tanks = list(water.reservoirs.values())[:_DRAWN_MAX]
    for tank in tanks:
        y = draw_tank(parent, tank, scene.schedule.calendar, y + 8)
    return _left_out(parent, len(water.reservoirs) - len(tanks), "reservoir", y)


def water_sentences(water: WaterAccount) -> list[str]:
    """What is drawn, for those who do not see it; each part tells itself further."""
    stands = [one for one in water.stands.values() if one.driest is not None]
    return [
        f"{printable(one.name)}: at its driest {left_words(one.driest, one)}."
        for one in _worst(stands, _dryness)
        if one.driest is not None
    ]


def _worst(values: Sequence[_Told], key: Callable[[_Told], float]) -> list[_Told]:
    """Those with the least of something, in the order in which they stood."""
    kept = sorted(range(len(values)), key=lambda number: (key(values[number]), number))
    return [values[number] for number in sorted(kept[:_DRAWN_MAX])]


def _dryness(stand: StandAccount) -> float:
    return 1.0 if stand.driest is None else stand.driest.left_share.likely


def _weakness(lift: LiftAccount) -> float:
    return lift.found.flow_l_per_h.likely / max(1, lift.plants)


def _head(parent: Element, text: str, top: float) -> float:
    add(parent, "text", text, x=4, y=top + 18, class_="h")
    return top + 22


def _legend(parent: Element, top: float) -> float:
    """What lines, band and marks of the roots mean."""
    text = (
        "Line: what is likely left of the water that the roots can draw. Band: from the driest "
        "roots to the wettest that sources allow. Dashed: the reserve of the plan. Dot: the "
        "driest moment of the day, with its range. Bars below: pump or valve on."
    )
    return _small(parent, text, top)


def _left_out(parent: Element, count: int, what: str, top: float) -> float:
    """Says how many are not drawn, if any."""
    if count <= 0:
        return top
    return _small(parent, f"{counted(count, f'further {what}')} not drawn: see the text.", top)


def _small(parent: Element, text: str, top: float) -> float:
    y = top
    for line in text_lines(text, size=9, width=WIDTH - 12):
        y += 11
        add(parent, "text", line, x=4, y=y, class_="f s")
    return y + 4
