"""The colours of pictures: readable in light, in dark and in grey."""

from __future__ import annotations

import re
from itertools import combinations

import pytest

from controller.report.picture.marks import MarkKind
from controller.report.picture.shapes import SHAPES
from controller.report.picture.style import DARK, LIGHT, Palette, style_sheet

THEMES = pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
GROUNDS = ("day", "twilight", "night")


def luminance(colour: str) -> float:
    """Relative luminance of `#rrggbb` (WCAG 2.1, definition of relative luminance)."""
    red, green, blue = (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
    linear = [
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (red, green, blue)
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.1, definition of contrast ratio)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@THEMES
def test_text_can_be_read_on_paper(palette: Palette) -> None:
    """4.5 to 1 for text (WCAG 2.1, success criterion 1.4.3)."""
    assert contrast(palette.ink, palette.paper) >= 4.5
    assert contrast(palette.faint, palette.paper) >= 4.5


@THEMES
@pytest.mark.parametrize("kind", ["pump", "lamp", "fan", "valve", "heater", "alarm"])
def test_times_on_and_gaps_stand_out_from_day_and_night(palette: Palette, kind: str) -> None:
    """3 to 1 for what carries meaning (WCAG 2.1, success criterion 1.4.11); so does a print
    in grey."""
    colours = palette._asdict()
    assert min(contrast(colours[kind], colours[ground]) for ground in GROUNDS) >= 3


@THEMES
@pytest.mark.parametrize("kind", ["alarm", "person", "change", "faint", "pump"])
def test_marks_stand_out_from_paper(palette: Palette, kind: str) -> None:
    """3 to 1 as well: their shapes stand on the paper."""
    assert contrast(palette._asdict()[kind], palette.paper) >= 3


@THEMES
def test_day_twilight_and_night_differ_without_colour(palette: Palette) -> None:
    """Each lighter than the next by a step that a grey print keeps: ours, 1.1 to 1."""
    day, twilight, night = (luminance(getattr(palette, ground)) for ground in GROUNDS)
    assert day > twilight > night
    assert contrast(palette.day, palette.twilight) > 1.1
    assert contrast(palette.twilight, palette.night) > 1.1


def test_every_kind_of_mark_has_a_shape_of_its_own() -> None:
    """No two marks differ by colour alone."""
    assert set(SHAPES) == set(MarkKind)
    for one, other in combinations(SHAPES.values(), 2):
        assert one.data != other.data


def test_dark_is_for_screens_only() -> None:
    """A print is light whatever the screen is."""
    sheet = style_sheet()
    light, _, dark = sheet.partition("@media screen and (prefers-color-scheme:dark)")
    assert LIGHT.paper in light
    assert DARK.paper not in light
    assert DARK.paper in dark


def test_no_text_is_smaller_than_nine_units() -> None:
    """A picture 390 units wide is read on a telephone 390 pixels wide."""
    sizes = [float(size) for size in re.findall(r"font-size:([0-9.]+)px", style_sheet())]
    assert min(sizes) >= 9
