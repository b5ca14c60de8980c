"""The shape of each kind of mark, in a box of 8 by 8, and the colour that goes with it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.report.picture.marks import MarkKind
from controller.report.picture.svg import add, number

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

SIZE = 8.0


class Shape(NamedTuple):
    """Path data (even-odd fill) and the colour's name in the palette."""

    data: str
    colour: str


SHAPES = {
    MarkKind.POWER: Shape("M4.8 0L1 4.7H3.5L2.8 8 7 3.1H4.4Z", "alarm"),
    MarkKind.STOPPED: Shape("M2.4 0H5.6L8 2.4V5.6L5.6 8H2.4L0 5.6V2.4Z", "alarm"),
    MarkKind.FAILING: Shape("M1 0L4 3 7 0 8 1 5 4 8 7 7 8 4 5 1 8 0 7 3 4 0 1Z", "alarm"),
    MarkKind.GUARD: Shape("M0 .7L4 0 8 .7V4.2C8 6.4 5.8 7.6 4 8 2.2 7.6 0 6.4 0 4.2Z", "alarm"),
    MarkKind.CLOCK: Shape(
        "M4 0A4 4 0 1 1 4 8 4 4 0 1 1 4 0ZM3.4 1.3V4.5L5.7 6.3 6.5 5.3 4.6 3.9V1.3Z", "faint"
    ),
    MarkKind.SENSOR: Shape("M0 3H2V5H0ZM3 3H5V5H3ZM6 3H8V5H6Z", "faint"),
    MarkKind.MISSED: Shape(
        "M4 0C5.6 2.2 7.2 3.7 7.2 5.2A3.2 2.8 0 0 1 .8 5.2C.8 3.7 2.4 2.2 4 0Z"
        "M4 2C3 3.3 2 4.3 2 5.2A2 1.7 0 0 0 6 5.2C6 4.3 5 3.3 4 2Z",
        "alarm",
    ),
    MarkKind.RECOVERY: Shape(
        "M4 0C5.6 2.2 7.2 3.7 7.2 5.2A3.2 2.8 0 0 1 .8 5.2C.8 3.7 2.4 2.2 4 0Z", "pump"
    ),
    MarkKind.HOLD: Shape(
        "M4 0A2.6 2.6 0 1 1 4 5.2 2.6 2.6 0 1 1 4 0ZM3.2 5.3H4.8V8H3.2Z", "person"
    ),
    MarkKind.VARIANT: Shape("M4 .4L8 7.6H0Z", "change"),
    MarkKind.DIAL: Shape("M0 .4H8L4.9 4 8 7.6H0L3.1 4Z", "faint"),
    MarkKind.DRIEST: Shape("M0 4L2.6 1.4V3.2H5.4V1.4L8 4 5.4 6.6V4.8H2.6V6.6Z", "alarm"),
}


def add_shape(parent: Element, kind: MarkKind, x: float, y: float) -> Element:
    """The shape with its upper left corner there."""
    shape = SHAPES[kind]
    place = f"translate({number(x)} {number(y)})"
    return add(
        parent,
        "path",
        d=shape.data,
        transform=place,
        class_=f"i-{shape.colour}",
        fill_rule="evenodd",
    )
