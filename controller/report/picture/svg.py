"""Elements of an SVG, and how wide their text is."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element, SubElement

from controller.report.text_cells import printable, width_of, wrapped

if TYPE_CHECKING:
    from collections.abc import Sequence

# The mean advance of a sans-serif's characters, in ems; on the wide side, so that what is
# reckoned to fit does.
_ADVANCE_EM = 0.56


def number(value: float) -> str:
    """A coordinate, to a thousandth, as short as it can be written."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def add(parent: Element, tag: str, text: str = "", **attributes: str | float) -> Element:
    """A new child. Attribute names write `_` for `-`; a last `_` only avoids a keyword."""
    named = {
        name.rstrip("_").replace("_", "-"): value if isinstance(value, str) else number(value)
        for name, value in attributes.items()
    }
    element = SubElement(parent, tag, named)
    if text:
        element.text = printable(text)
    return element


def tell(element: Element, title: str) -> Element:
    """The element, with a text that shows where a pointer rests on it."""
    add(element, "title", title)
    return element


def label(element: Element, words: str) -> Element:
    """The element, with words for those who hear the picture instead of seeing it."""
    element.set("aria-label", printable(words))
    return element


def text_width(text: str, size: float) -> float:
    """About how wide a text is at a font size."""
    return width_of(text) * size * _ADVANCE_EM


def text_lines(text: str, *, size: float, width: float) -> list[str]:
    """The text in lines that fit into a width at a font size."""
    return wrapped(printable(text), max(8, int(width / (size * _ADVANCE_EM))))


def path(parts: Sequence[str]) -> str:
    """Path data from its parts."""
    return "".join(parts)


def place(x: float, y: float) -> str:
    """A point of a curve, to a tenth: nobody sees more of a curve."""
    return f"{number(round(x, 1))} {number(round(y, 1))}"


def box(x: float, y: float, width: float, height: float) -> str:
    """Path data of a rectangle."""
    return f"M{number(x)} {number(y)}h{number(width)}v{number(height)}h{number(-width)}z"
