"""The look of a picture: colours for light and dark, as a style sheet.

Meaning never hangs on colour alone: marks have shapes and labels, loads their places, and
day and night differ by lightness, so that a print in grey reads the same
(tests/unit/test_picture_style.py holds the contrasts).
"""

from __future__ import annotations

from typing import NamedTuple


class Palette(NamedTuple):
    """The colours of one theme."""

    paper: str
    ink: str
    faint: str
    day: str
    twilight: str
    night: str
    pump: str
    lamp: str
    fan: str
    valve: str
    heater: str
    alarm: str
    person: str
    change: str


LIGHT = Palette(
    paper="#fcfbf7",
    ink="#25303a",
    faint="#586470",
    day="#fdf2cd",
    twilight="#e3e1e6",
    night="#c5cddd",
    pump="#0f5884",
    lamp="#925400",
    fan="#2f6a2b",
    valve="#64418f",
    heater="#9d3119",
    alarm="#a3143c",
    person="#5a3a8c",
    change="#874900",
)
DARK = Palette(
    paper="#13171c",
    ink="#e7eaed",
    faint="#a6b0b9",
    day="#46412c",
    twilight="#2d303b",
    night="#181d2a",
    pump="#74c2f4",
    lamp="#f2bd62",
    fan="#8dd484",
    valve="#cbaef5",
    heater="#ff9f86",
    alarm="#ff8ba3",
    person="#cbb2ff",
    change="#f5b96b",
)

_KINDS = ("pump", "lamp", "fan", "valve", "heater")
_MARKS = ("alarm", "person", "change", "faint", "pump")

# Alone in a window the picture is as wide as that, and never so wide that it blurs into a
# poster; inside a page the page decides.
_SHAPE = """
:root{font-family:system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans","DejaVu Sans",sans-serif}
svg:root{width:100%;max-width:860px;height:auto;display:block;margin:0 auto}
text{font-size:9.5px}
.h{font-size:15px;font-weight:700}
.b{font-weight:700}
.s{font-size:9px}
.r{text-anchor:end}
.m{text-anchor:middle}
.bar{fill:none}
.line{fill:none;stroke-width:1.1}
.thin{stroke-width:.7}
.grid{fill:none;stroke-width:.5;stroke-opacity:.28}
.noon{stroke-opacity:.55}
.edge{fill:none;stroke-width:.6;stroke-dasharray:2 1.5}
"""


def style_sheet() -> str:
    """The whole sheet: light, for print too, and dark where a screen asks for it."""
    dark = "".join(_rules(DARK))
    return (
        f"{_SHAPE}{''.join(_rules(LIGHT))}@media screen and (prefers-color-scheme:dark){{{dark}}}"
    )


def _rules(palette: Palette) -> list[str]:
    colours = palette._asdict()
    rules = [
        f"svg:root{{background:{palette.paper}}}",
        f".paper{{fill:{palette.paper}}}",
        f"text{{fill:{palette.ink}}}",
        f"text.f{{fill:{palette.faint}}}",
        f".day{{fill:{palette.day}}}",
        f".twi{{fill:{palette.twilight}}}",
        f".night{{fill:{palette.night}}}",
        f".grid,.edge{{stroke:{palette.ink}}}",
        f".hatch{{stroke:{palette.ink};stroke-width:.7;stroke-opacity:.6}}",
        f".hollow{{fill:none;stroke:{palette.paper}}}",
    ]
    rules += [f".{kind}{{stroke:{colours[kind]}}}" for kind in _KINDS]
    rules += [f".f-{kind}{{fill:{colours[kind]}}}" for kind in _KINDS]
    rules += [f".i-{mark}{{fill:{colours[mark]}}}" for mark in _MARKS]
    rules += [f".l-{mark}{{stroke:{colours[mark]}}}" for mark in _MARKS]
    return [rule + "\n" for rule in rules]
