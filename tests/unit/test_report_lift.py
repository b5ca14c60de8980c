"""What a pump lifts, on a terminal and as a picture: what is told is what was found."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from xml.etree.ElementTree import Element, tostring

import pytest

from controller.core.water.bounds import Bounds
from controller.core.water.fittings import total_loss
from controller.core.water.lifting import lifting
from controller.core.water.pump_curve import curve_of_label, curve_of_points
from controller.core.water.pump_power import pump_power
from controller.core.water.rising_hose import RisingHose
from controller.core.water.water_properties import water_at
from controller.core.water_words import range_words, two_figures
from controller.dry_run.water.water_account import LiftAccount
from controller.report.ink import Ink
from controller.report.picture.water_lift import draw_lift, ticks
from controller.report.text_cells import width_of
from controller.report.water_lift_text import (
    gain_words,
    head_words,
    lift_line,
    lift_rows,
    lift_text,
)

LABEL = curve_of_label(shut_off_head_m=2.0, free_flow_l_per_h=1000.0)
CHART = curve_of_points([(1000, 0.0), (900, 0.5), (700, 1.0), (400, 1.6), (0, 2.0)])


def lift_of(
    height_m: float,
    *,
    load: str = "pump",
    label_w: float | None = 18.0,
    plants: int = 40,
    is_chart: bool = False,
) -> LiftAccount:
    """An invented pump of 2 m and 1000 L/h, a hose of 13 mm, two elbows and a valve."""
    curve = CHART if is_chart else LABEL
    loss = total_loss({"elbow": 2, "valve": 1})
    hose = RisingHose(height_m=height_m, bore_mm=13, length_m=3, loss_coefficient=loss)
    found = lifting(curve, hose)
    return LiftAccount(
        load=load,
        curve=curve,
        hose=hose,
        found=found,
        power=pump_power(curve, found, label_w=label_w, water=water_at(20.0)),
        plants=plants,
        water_c=20.0,
    )


def text_of(lift: LiftAccount, width: int = 80) -> str:
    """The block on a terminal without colours."""
    return "\n".join(lift_text(lift, width=width, ink=Ink(is_colour=False)))


# Numbers


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0.0, "0"), (5.7e-13, "0"), (0.0996, "0.10"), (0.071, "0.071"), (0.996, "1.0"),
        (8.449, "8.4"), (9.96, "10"), (335.2, "340"), (99.6, "100"), (12_345.0, "12,000"),
    ],
)  # fmt: skip
def test_numbers_have_two_figures(value: float, words: str) -> None:
    """No digit that the range makes a lie of."""
    assert two_figures(value) == words


@pytest.mark.parametrize(
    ("gain", "words"),
    [(0.1, "10 % more"), (0.23, "20 % more"), (0.94, "90 % more"), (0.96, "2.0 times as much"),
     (11.0, "12 times as much")],
)  # fmt: skip
def test_gains_are_told_roughly(gain: float, words: str) -> None:
    """In tens of percent, then in times."""
    assert gain_words(gain) == words


@pytest.mark.parametrize(
    ("head_m", "words"),
    [
        (0.0, "0.00 m"), (1.824, "1.82 m"), (9.996, "10.0 m"), (32.72, "32.7 m"),
        (99.96, "100 m"), (205_506_537.4, "205,506,537 m"),
    ],
)  # fmt: skip
def test_a_head_of_many_metres_has_no_centimetres(head_m: float, words: str) -> None:
    """A hose of 6 mm needs 33 m, give or take several, for what a pump moves without it."""
    assert head_words(head_m) == words


def test_a_range_that_is_none_is_one_number() -> None:
    """A label's watts, for one."""
    assert range_words(Bounds(18, 18, 18), "W") == "18 W"
    assert range_words(Bounds(250, 335, 410), "L/h") == "340 L/h (250 to 410)"


# The terminal


def test_a_pump_that_lifts_is_told_in_full() -> None:
    """What arrives, who gets it, what takes the head and what it costs; then the curves."""
    assert (
        text_of(lift_of(1.5))
        == """\
pump: water to the top
  This pump lifts 1.50 m.
  at the top           340 L/h (250 to 410)
  each plant           140 mL/min (110 to 170), if 40 plants get the same
  head                 1.77 m: 1.50 m of lift, 0.19 m in the hose, 0.09 m in
                       fittings and outlet
  in the hose          0.70 m/s
  a wider hose         one of 16 mm would bring about 20 % more
  power                18 W
  energy               54 Wh (44 to 71) for 1,000 L
    L/h  pump gives  way up needs
      0      2.00 m        1.50 m
    200      1.92 m        1.61 m
    340      1.77 m        1.77 m  works here
    400      1.68 m        1.88 m
    600      1.28 m        2.30 m
    800      0.72 m        2.85 m
  1,000      0.00 m        3.55 m"""
    )


def test_a_pump_that_does_not_lift_says_how_high_it_gets() -> None:
    """No flow, no cost of a litre, no working point."""
    text = text_of(lift_of(2.3, label_w=None))
    assert "This pump does not lift that high: it ends 0.3 m below the top." in text
    assert "reaches              2.0 m (1.8 to 2.2)" in text
    assert "power                17 W (8.4 to 42), reckoned from what it lifts" in text
    assert not re.search("at the top |each plant|energy|works here|in the hose|a wider hose", text)


def test_a_pump_that_may_lift_says_both() -> None:
    """At 2.06 m this one does not; a strong one brings a little."""
    text = text_of(lift_of(2.06))
    assert "it ends 6 cm below the top." in text
    assert re.search(r"at the top +0 L/h \(0 to \d+\)", text)


def test_without_plants_nothing_is_shared() -> None:
    """Nor is anything said of one plant's neighbours."""
    assert "each plant" not in text_of(lift_of(1.5, plants=0))
    assert "get the same" not in text_of(lift_of(1.5, plants=1))


def test_one_of_many_is_told_in_short() -> None:
    """What arrives and what a plant gets of it; or that nothing does."""
    assert lift_line(lift_of(1.5), width=80) == [
        "  pump: 340 L/h (250 to 410) at the top, 140 mL/min (110 to 170) a plant",
    ]
    assert lift_line(lift_of(1.5, plants=0), width=80) == [
        "  pump: 340 L/h (250 to 410) at the top",
    ]
    assert "does not lift that high" in " ".join(lift_line(lift_of(2.3), width=80))


def test_the_curves_can_be_left_out() -> None:
    """For reports of several lifts: the lines above them stay as they are."""
    lift = lift_of(1.5)
    whole = lift_text(lift, width=80, ink=Ink(is_colour=False))
    part = lift_text(lift, width=80, ink=Ink(is_colour=False), with_curves=False)
    assert part == whole[: len(part)]
    assert len(whole) - len(part) == 8


@pytest.mark.parametrize("width", [16, 24, 30, 40, 63, 64, 80, 200])
@pytest.mark.parametrize("height_m", [0.0, 1.5, 1.95, 2.0, 2.3])
def test_no_line_is_wider_than_the_terminal(width: int, height_m: float) -> None:
    """With a name as long as names may be, and in colour as without."""
    lift = lift_of(height_m, load="pump" * 8, label_w=None)
    for line in text_of(lift, width).splitlines():
        assert width_of(line) <= width
        assert line == line.rstrip()


def test_the_table_shows_both_curves_and_where_they_meet() -> None:
    """One falls, one rises, and the working point has the same head on both."""
    rows = lift_rows(lift_of(1.5, is_chart=True))
    for before, after in pairwise(rows):
        assert before.flow_l_per_h < after.flow_l_per_h
        assert before.pump_m > after.pump_m
        assert before.needed_m < after.needed_m
    (here,) = [row for row in rows if row.is_working_point]
    assert here.pump_m == pytest.approx(here.needed_m, abs=1e-9)


# The picture


def root_of(lift: LiftAccount) -> Element:
    """The picture below 10, in a root that says how high it is."""
    root = Element("svg")
    root.set("viewBox", f"0 0 390 {draw_lift(root, lift, 10.0)}")
    return root


def path_of(root: Element, kind: str) -> list[tuple[float, float]]:
    """The points of the one path of a class."""
    (path,) = [one for one in root.iter("path") if one.get("class") == kind]
    numbers = [float(text) for text in re.findall(r"-?[\d.]+", path.get("d") or "")]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def y_on(line: list[tuple[float, float]], x: float) -> float:
    """The height of a drawn line at an x."""
    for (left, upper), (right, lower) in pairwise(line):
        if left <= x <= right:
            return upper + (lower - upper) * (x - left) / (right - left)
    raise AssertionError(f"the line does not reach {x}")


@pytest.mark.parametrize("is_chart", [False, True])
@pytest.mark.parametrize("height_m", [0.0, 1.5, 1.9])
def test_the_dot_is_where_the_drawn_lines_cross(height_m: float, is_chart: bool) -> None:
    """Within a pixel on both, and its drop stands in the bar of what arrives."""
    root = root_of(lift_of(height_m, is_chart=is_chart))
    (dot,) = root.iter("circle")
    x, y = float(dot.get("cx") or "nan"), float(dot.get("cy") or "nan")
    assert y_on(path_of(root, "line pump"), x) == pytest.approx(y, abs=1.0)
    assert y_on(path_of(root, "line l-change"), x) == pytest.approx(y, abs=1.0)
    (bar,) = [one for one in root.iter("path") if one.get("class") == "bar pump"]
    left, _, right = map(float, re.findall(r"[\d.]+", bar.get("d") or ""))
    assert left < x < right


def test_a_pump_that_does_not_lift_has_a_gap_and_no_dot() -> None:
    """The gap is as high as what is missing."""
    root = root_of(lift_of(2.3))
    assert list(root.iter("circle")) == []
    (gap,) = [one for one in root.iter("path") if one.get("class") == "bar l-alarm"]
    assert [title.text for title in gap.iter("title")] == ["missing: 0.30 m (0.14 to 0.46)"]
    _, lower, upper = map(float, re.findall(r"[\d.]+", gap.get("d") or ""))
    top_of_pump = path_of(root, "line pump")[0][1]
    assert lower == pytest.approx(top_of_pump, abs=0.06)
    assert upper == pytest.approx(path_of(root, "line l-change")[0][1], abs=0.06)


@pytest.mark.parametrize("height_m", [0.0, 1.5, 2.0, 2.3, 25.0])
def test_nothing_is_drawn_outside_of_the_picture(height_m: float) -> None:
    """However high the column is; and the same lift gives the same picture."""
    lift = lift_of(height_m, load="<a> & b")
    root = root_of(lift)
    assert tostring(root) == tostring(root_of(lift))
    _, _, width, bottom = map(float, (root.get("viewBox") or "").split())
    for kind in ("line pump", "line l-change", "f-pump"):
        for x, y in path_of(root, kind):
            assert 0 <= x <= width
            assert 10 <= y <= bottom
    texts = [(text.text, float(text.get("y") or "nan")) for text in root.iter("text")]
    assert texts[0][0] == "<a> & b: water to the top"
    assert all(10 < y <= bottom for _, y in texts)


def test_a_picture_of_almost_nothing_is_written_without_exponents() -> None:
    """A curve may end at any head and flow above 0, and a hose be of any length."""
    curve = curve_of_points([(0, 1e-9), (1e-9, 0)])
    hose = RisingHose(
        height_m=0.0, bore_mm=13, length_m=1e-9, loss_coefficient=Bounds(0.0, 0.0, 0.0)
    )
    root = root_of(replace(lift_of(1.5), curve=curve, hose=hose, found=lifting(curve, hose)))
    words = [root[0].get("aria-label") or "", *(one.text or "" for one in root.iter("text"))]
    assert [one for one in words if re.search(r"[0-9]e-", one)] == []


def test_the_picture_tells_itself_in_words() -> None:
    """Its label has the sentence and the range, for those who do not see it."""
    words = root_of(lift_of(1.5))[0].get("aria-label") or ""
    assert words.startswith("pump: water to the top. This pump lifts 1.50 m. Falling line")
    assert "340 L/h (250 to 410)" in words


@pytest.mark.parametrize(
    ("most", "found"),
    [
        (1.0, [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]),
        (2.3328, [0.0, 0.5, 1.0, 1.5, 2.0]),
        (1188.0, [0.0, 200.0, 400.0, 600.0, 800.0, 1000.0]),
        (0.06, [0.0, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06]),
    ],
)
def test_axes_are_numbered_by_round_steps(most: float, found: list[float]) -> None:
    """Ones, twos and fives of a power of ten."""
    assert ticks(most) == found
