"""A reservoir in a report: its lines for a terminal, and its picture."""

from __future__ import annotations

import math
import re
from datetime import datetime
from xml.etree.ElementTree import Element, tostring
from zoneinfo import ZoneInfo

import pytest

from controller.core.calendar import Calendar
from controller.core.plan import Site
from controller.core.units import DAY_MS, HOUR_MS, Instant, instant_of
from controller.core.water.bounds import Bounds
from controller.core.water.draw import Draw
from controller.core.water.nutrient_use import uptake_ec_ms_per_cm
from controller.core.water.reservoir import Reservoir, Solution
from controller.core.water.reservoir_outlook import DrawBounds, Reached, look_ahead
from controller.core.water_words import ranged
from controller.dry_run.water.water_account import ReservoirAccount
from controller.report.ink import Ink
from controller.report.picture.water_tank import draw_tank
from controller.report.text_cells import width_of
from controller.report.water_tank_text import litre_words, reached_words, tank_block, tank_line

CALENDAR = Calendar(Site(latitude=47.1, longitude=8.3, timezone="Europe/Zurich"))
START = instant_of(datetime(2026, 7, 1, tzinfo=ZoneInfo("Europe/Zurich")))
# Invented: 60 L under a pipe on a balcony.
TANK = Reservoir(full_l=60.0, inlet_at_l=8.0, top_up_at_l=20.0, losses_l_per_day=0.5)


def days(count: float) -> Instant:
    """The instant so many days after the start."""
    return START + round(count * DAY_MS)


def draws(length_days: int, litres_a_day: float = 4.0) -> DrawBounds:
    """By day and not by night; a quarter less or more."""
    hours = range(24 * length_days)
    edges = [START + hour * HOUR_MS for hour in [*hours, 24 * length_days]]
    by_day = [max(0.0, math.sin((hour % 24 - 6) / 12 * math.pi)) for hour in hours]
    scale = litres_a_day / sum(by_day[:24])
    likely, low, high = (
        Draw(edges, [one * scale * share for one in by_day]) for share in (1.0, 0.75, 1.25)
    )
    return DrawBounds(low, likely, high)


def tank_of(
    length_days: int,
    reservoir: Reservoir = TANK,
    *,
    litres_a_day: float = 4.0,
    ec_is_known: bool = True,
    ppm_scale: int | None = 500,
    water_c: float = 22.0,
    began_ec: float = 1.6,
) -> ReservoirAccount:
    """A reservoir that began full of a solution."""
    solution = Solution.of_ec(reservoir.full_l, ec_ms_per_cm=began_ec)
    of_draw, uptake = draws(length_days, litres_a_day), uptake_ec_ms_per_cm()
    alone = look_ahead(reservoir, of_draw, solution=solution, uptake_ec=uptake)
    refilled = look_ahead(
        reservoir, of_draw, solution=solution, uptake_ec=uptake, refill_to_ec=began_ec
    )
    return ReservoirAccount(
        name="tank",
        loads=("pump",),
        left_alone=alone,
        refilled=None if reservoir.top_up_at_l is None else refilled,
        ec_is_known=ec_is_known,
        ppm_scale=ppm_scale,
        water_c=water_c,
        air_kpa=96.0,
    )


def block(tank: ReservoirAccount, width: int = 80) -> list[str]:
    """Its lines without colour."""
    return tank_block(tank, CALENDAR, width=width, ink=Ink(is_colour=False))


def test_a_reservoir_is_told_in_lines() -> None:
    """What falls, when to fill it, how strong it gets and what filling does to that."""
    assert block(tank_of(30)) == [
        "tank (reservoir, 60 L)",
        "  level, unfilled      60 L Wed 1 Jul, 47 L (44 to 50) Fri 3 Jul, 33 L (27 to",
        "                       39) Mon 6 Jul, 20 L (11 to 29) Thu 9 Jul, 8 L (7 to 20)",
        "                       Sun 12 Jul",
        "  top up               at 20 L: likely Thu 9 Jul (Wed 8 Jul to Sun 12 Jul)",
        "  inlet draws air      at 8 L: likely Sun 12 Jul (Fri 10 Jul to Wed 15 Jul)",
        "  plants miss          74 L (45 to 100), if nobody fills it",
        "  filled at its mark   3 times (2 to 4), 120 L (80 to 160) in all",
        "  strength             1.6 mS/cm at the start, 3.6 mS/cm (2.5 to 4.3) when it is",
        "                       to be filled",
        "  on the 500 scale     800 ppm at the start, 1,800 ppm (1,250 to 2,150) when it",
        "                       is to be filled",
        "  uncompensated        a meter that does not allow for water of 22 °C shows 1.5",
        "                       mS/cm instead of 1.6",
        "  filled with water    1.2 mS/cm (0.8 to 1.4) after filling with water without",
        "                       salts",
        "  filled with more     2.3 mS/cm (1.9 to 2.5) after filling with solution of 1.6",
        "                       mS/cm",
        "  to have 1.6 again    fill with solution of 0.6 mS/cm (0.2 to 1.2)",
        "  oxygen               At 22 °C this water holds at most 8.3 mg/L of oxygen; the",
        "                       warmer it is, the less. Lettuce in solution grew no worse",
        "                       at 2.1 mg/L. How much a film on roots in air holds, no",
        "                       source known to us says.",
    ]


@pytest.mark.parametrize("width", [20, 40, 63, 64, 80, 120])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    """Whatever the width."""
    assert all(width_of(line) <= width for line in block(tank_of(30), width))


def labels(lines: list[str]) -> list[str]:
    """What stands before the values, at a width at which it has a column of its own."""
    return [line[2:23].strip() for line in lines[1:] if line[2] != " "]


def test_what_the_plan_does_not_say_is_not_told() -> None:
    """No strength, no scale, no mark: level, inlet and oxygen are left."""
    plain = Reservoir(full_l=60.0, inlet_at_l=8.0)
    lines = block(tank_of(5, plain, ec_is_known=False))
    assert labels(lines) == ["level, unfilled", "inlet draws air", "oxygen"]
    text = "\n".join(block(tank_of(5, ppm_scale=None)))
    assert "mS/cm" in text
    assert "ppm" not in text


def test_a_meter_without_compensation_is_told_where_it_shows_something_else() -> None:
    """By 2 %/K from 25 °C: 1.6 mS/cm are 1.70 in water of 28 °C, 1.66 of 27 °C and 1.616 of
    25.5 °C, which reads the same; ice has no conductivity of a solution."""
    for water_c, shown in (
        (28.04, "28 °C shows 1.7 mS/cm instead of 1.6"),
        (27.0, "27 °C shows 1.7 mS/cm instead of 1.6"),
        (0.5, "0.5 °C shows 0.8 mS/cm instead of 1.6"),
        (25.5, ""),
        (-3.0, ""),
    ):
        lines = "\n".join(block(tank_of(2, water_c=water_c), width=200))
        told = f"uncompensated        a meter that does not allow for water of {shown}"
        assert ("uncompensated" in lines) is bool(shown)
        assert told in lines or not shown
    assert "uncompensated" not in "\n".join(block(tank_of(2, ec_is_known=False, water_c=5.0)))


def test_a_strength_that_dries_up_is_not_told() -> None:
    """Without a mark it may run dry in the run: salts without water have no strength."""
    plain = Reservoir(full_l=60.0, inlet_at_l=8.0, losses_l_per_day=2.0)
    assert "  strength             not known: it may run dry" in block(tank_of(20, plain))


@pytest.mark.parametrize("began_ec", [0.0, 1e-9, 5e-324])
def test_water_without_salts_has_no_strength_to_tell(began_ec: float) -> None:
    """A plan may say 0: nothing is divided by it, in lines or in the picture. Nor is there any
    in what is a hundred thousand times as pure as water can be (5.5e-5 mS/cm; from memory)."""
    tank = tank_of(12, began_ec=began_ec)
    assert "  strength             no salts in it" in block(tank)
    assert drawn(tank)[1] > 10


def test_a_trace_of_salts_is_written_out() -> None:
    """Growers read no exponents, in lines or in the picture."""
    tank = tank_of(12, began_ec=4.2e-5)
    assert "0.000042 mS/cm at the start" in "\n".join(block(tank))
    words = [*block(tank), *(one.text or "" for one in drawn(tank)[0].iter("text"))]
    assert [one for one in words if re.search(r"[0-9]e-", one)] == []


def test_oxygen_is_not_told_beyond_its_formula() -> None:
    """A plan may say 45 °C, and air may be below freezing: its mean is no water's then."""
    for water_c, words in (
        (45.0, "water of 45 °C, known from 0 to 40 °C"),
        (-3.04, "in air of -3 °C on average, water freezes"),
        (-30.04, "in air of -30 °C on average, water freezes"),
    ):
        assert f"  oxygen               not told: {words}" in block(tank_of(2, water_c=water_c))


def test_a_run_in_which_nothing_is_due_says_so() -> None:
    """Two days: no mark is reached, and dates are not told twice."""
    lines = block(tank_of(2))
    assert (
        lines[1] == "  level, unfilled      60 L Wed 1 Jul, 56 L (54 to 56) Thu 2 Jul, 51 L (49 to"
    )
    assert "  top up               at 20 L: not in this run" in lines
    assert "  inlet draws air      at 8 L: not in this run" in lines
    assert "  filled at its mark   not in this run" in lines
    assert "plants miss" not in labels(lines)


@pytest.mark.parametrize(
    ("reached", "words"),
    [
        ((None, None, None), "not in this run"),
        ((0.0, 0.0, 0.0), "from the start"),
        ((8.2, None, None), "likely not in this run, at the earliest Thu 9 Jul"),
        (
            (8.2, 9.5, None),
            "likely Fri 10 Jul, at the earliest Thu 9 Jul, perhaps not in this run",
        ),
        ((8.2, 8.9, None), "likely Thu 9 Jul, perhaps not in this run"),
        ((8.2, 9.5, 12.0), "likely Fri 10 Jul (Thu 9 Jul to Mon 13 Jul)"),
        ((8.26, 8.3, 8.4), "Thu 9 Jul 06:00 to 10:00"),  # 06:14 and 09:36: whole hours around
        ((8.9, 9.0, 9.1), "Thu 9 Jul 21:00 to Fri 10 Jul 03:00"),
    ],
)
def test_a_mark_is_told_as_finely_as_it_is_known(
    reached: tuple[float | None, float | None, float | None], words: str
) -> None:
    """By the date, or by whole hours where less than a day lies between."""
    earliest, likely, latest = (None if one is None else days(one) for one in reached)
    assert reached_words(Reached(earliest, likely, latest), START, CALENDAR) == words


@pytest.mark.parametrize(
    ("litres", "words"),
    [
        (0.0, "0 L"),
        (0.44, "0.4 L"),
        (9.94, "9.9 L"),
        (9.96, "10 L"),
        (52.4, "52 L"),
        (2144, "2,140 L"),
    ],
)
def test_litres_have_no_false_digits(litres: float, words: str) -> None:
    """A tenth under ten, ten over a hundred."""
    assert litre_words(litres) == words


def test_a_range_is_told_only_where_there_is_one() -> None:
    """What reads the same three times is told once."""
    assert ranged(Bounds(51.8, 52.0, 52.3), litre_words) == "52 L"
    assert ranged(Bounds(40.0, 44.0, 48.0), litre_words) == "44 L (40 to 48)"


def test_one_of_many_is_told_in_short() -> None:
    """When it wants water, and what happens if it gets none."""
    text = " ".join(" ".join(tank_line(tank_of(30), CALENDAR, width=80)).split())
    assert text == (
        "tank: to be filled at 20 L: likely Thu 9 Jul (Wed 8 Jul to Sun 12 Jul); inlet draws air, "
        "if nobody fills it: likely Sun 12 Jul (Fri 10 Jul to Wed 15 Jul)"
    )
    plain = tank_of(5, Reservoir(full_l=60.0, inlet_at_l=8.0))
    assert tank_line(plain, CALENDAR, width=80) == [
        "  tank: need not be filled in this run, 40 L (35 to 45) left"
    ]


# Picture


def drawn(tank: ReservoirAccount) -> tuple[Element, float]:
    """Its picture below 10, and where it ends."""
    root = Element("svg")
    return root, draw_tank(root, tank, CALENDAR, 10.0)


def numbers_of(root: Element) -> list[tuple[float, float]]:
    """Every point of the likely curves and the shades."""
    curves = [one for one in root.iter("path") if "edge" not in one.attrib["class"]]
    data = " ".join(one.attrib["d"] for one in curves)
    pairs = re.findall(r"[ML](-?[0-9.]+) (-?[0-9.]+)", data)
    return [(float(x), float(y)) for x, y in pairs]


CASES = pytest.mark.parametrize(
    "tank",
    [
        tank_of(30),
        tank_of(1),
        tank_of(365, litres_a_day=6.0),
        tank_of(30, Reservoir(full_l=60.0, inlet_at_l=8.0, losses_l_per_day=2.0)),
        tank_of(5, Reservoir(full_l=60.0), litres_a_day=0.0),
        tank_of(9, Reservoir(full_l=10.0, inlet_at_l=2.0, top_up_at_l=2.3), ec_is_known=False),
    ],
    ids=["month", "day", "year", "dry", "unused", "small"],
)


@CASES
def test_a_picture_stays_in_its_frame(tank: ReservoirAccount) -> None:
    """Every point lies on it, between where it was to begin and where it says that it ends."""
    root, bottom = drawn(tank)
    points = numbers_of(root)
    assert len(points) > 20
    assert all(0 <= x <= 390 and 10 <= y <= bottom for x, y in points)
    texts = [float(one.attrib["y"]) for one in root.iter("text")]
    assert 10 < min(texts) <= max(texts) <= bottom


@CASES
def test_a_picture_is_bounded(tank: ReservoirAccount) -> None:
    """A year of top-ups too: under 40 kB, so that a page with ten of them stays light."""
    root, _ = drawn(tank)
    assert len(tostring(root)) < 40_000


def test_a_picture_shows_what_the_lines_say() -> None:
    """At noon of the third day the curve is where the level is; filled, it is at the top."""
    tank = tank_of(30)
    root, _ = drawn(tank)
    outlook = tank.refilled
    assert outlook is not None
    curve = next(one for one in root.iter("path") if one.attrib["class"] == "line l-pump")
    points = re.findall(r"[ML]([0-9.]+) ([0-9.]+)", curve.attrib["d"])
    top, bottom = 40.0, 136.0  # of its panel, below a heading of one line that begins at 10
    for x, y in points[:: len(points) // 9]:
        at = START + (float(x) - 36) / 288 * (outlook.end - START)
        level_l = outlook.likely.at(round(at)).water_l
        assert float(y) == pytest.approx(bottom - (bottom - top) * level_l / 60, abs=0.2)
    tops = [y for _, y in points if float(y) == top]
    assert len(tops) >= 1 + len(outlook.likely.top_ups)


def test_a_picture_names_its_marks_and_tells_itself() -> None:
    """Inlet and top up beside their lines; all of it in words for those who cannot see it."""
    root, _ = drawn(tank_of(30))
    texts = {one.text for one in root.iter("text")}
    assert {"top up 20 L", "inlet 8 L", "60 L", "mS/cm", "tank: 60 L, filled at its mark"} <= texts
    group = root[0]
    assert group.attrib["aria-label"] == (
        "tank: 60 L, filled at its mark. Level from 60 L Wed 1 Jul to 45 L Fri 31 Jul. "
        "Strength at the end 1.9 mS/cm."
    )
    root, _ = drawn(tank_of(6))
    assert root[0].attrib["aria-label"] == (
        "tank: 60 L, filled at its mark. Level from 60 L Wed 1 Jul to 33 L (27 to 39) Tue 7 Jul. "
        "Strength at the end 2.4 mS/cm (1.9 to 3.2)."
    )


def test_names_of_marks_do_not_touch() -> None:
    """2.3 L and 2 L of 10 lie three units apart; their names ten."""
    root, _ = drawn(tank_of(9, Reservoir(full_l=10.0, inlet_at_l=2.0, top_up_at_l=2.3)))
    ys = {one.text: float(one.attrib["y"]) for one in root.iter("text")}
    assert ys["inlet 2 L"] - ys["top up 2.3 L"] >= 10


def test_without_a_strength_there_is_no_second_curve() -> None:
    """And the picture is lower."""
    with_it, without = drawn(tank_of(9)), drawn(tank_of(9, ec_is_known=False))
    assert without[1] < with_it[1]
    assert not any("l-change" in one.attrib["class"] for one in without[0].iter("path"))
    assert any("l-change" in one.attrib["class"] for one in with_it[0].iter("path"))
