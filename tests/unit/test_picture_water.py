"""Water in the picture of a run: roots through two days, pumps, reservoirs."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple
from xml.etree.ElementTree import Element, fromstring

import pytest

from controller.core.schedule import Schedule, make_schedule
from controller.core.units import DAY_MS, parse_date
from controller.dry_run.account import Account
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.water.water_account import WaterAccount
from controller.paper.carrying_out import carry_out, period
from controller.report.picture.curves import thinned
from controller.report.picture.draw import Run, draw, draw_pair
from controller.report.picture.recorder import PictureRecorder
from controller.report.picture.recording import Recording
from controller.report.picture.svg import text_width
from controller.report.terminal import render
from controller.shell.plan_file import read_plan_file
from tests.planned_runs import load, midnight, play, schedule_of
from tests.water_accounts import HEADS, LIFT, unsown, water_account

EXAMPLE = Path(__file__).parents[2] / "controller/examples/heat-wave.toml"
SVG = "{http://www.w3.org/2000/svg}"
LEFT, WIDTH, HEIGHT = 46.0, 336.0, 72.0  # of a panel of roots


class Played(NamedTuple):
    """A run with all that is drawn from it."""

    schedule: Schedule
    account: Account
    recording: Recording
    water: WaterAccount

    @property
    def root(self) -> Element:
        """Its picture, parsed."""
        return parsed(draw(*self[:3], water=self.water))


def parsed(text: str) -> Element:
    """An SVG as its root element; fails where it is not well formed."""
    return fromstring(text)  # noqa: S314 - a picture that we have just drawn ourselves


def garden(
    rows: int = 1,
    *,
    days: int = 5,
    cycle: str = "15m on, 15m off",
    dip: float = 0.6,
    reserve: float = 0.3,
    lamp: bool = False,
) -> Played:
    """So many pumps, each with a stand, a lift and a reservoir, through some days of July."""
    loads = {
        f"row_{row}": load(cycle, watts=22.0, lift=LIFT, reservoir=f"tank_{row}")
        for row in range(rows)
    }
    lit = {"place": "under-lamps", "lamp": "lamp", "ppfd_umol": 220} if lamp else {}
    stands: dict[str, object] = {
        f"heads_{row}": {**HEADS, "watered_by": pump, "reserve": reserve, **lit}
        for row, pump in enumerate(loads)
    }
    if lamp:
        loads["lamp"] = load("on", kind="lamp", start="22:00")
        loads["lamp"]["spans"].append({"from": "04:00", "cycle": "off"})
    tank = {"full_l": 60, "inlet_at_l": 8, "top_up_at_l": 20}
    schedule = schedule_of(
        loads, stands=stands, reservoirs={f"tank_{row}": tank for row in range(rows)}
    )
    keeper, recorder = AccountKeeper(schedule), PictureRecorder(schedule)
    start, end = midnight(schedule, "2026-07-01"), midnight(schedule, "2026-07-01", days)
    play(schedule, start, end, keeper, recorder)
    # Of many stands the later are the drier.
    water = water_account(schedule, start, days, dip_of=lambda row: dip + row / 200)
    return Played(schedule, keeper.account, recorder.recording, water)


def symbols(root: Element) -> dict[str, Element]:
    """The groups of stands, pumps and reservoirs, by what they are called."""
    groups = [g for g in root.iter(f"{SVG}g") if g.get("role") == "graphics-symbol img"]
    named = {(g.get("aria-label") or "").partition(":")[0]: g for g in groups}
    return {name: g for name, g in named.items() if re.match(r"(heads|row|tank)_\d+$", name)}


def paths(group: Element, kind: str) -> list[Element]:
    """The paths of a class, in order."""
    return [one for one in group.iter(f"{SVG}path") if one.get("class") == kind]


def points(element: Element) -> list[tuple[float, float]]:
    """The points of path data that only moves and draws lines."""
    numbers = [float(text) for text in re.findall(r"-?[\d.]+", element.get("d") or "")]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def panel_tops(group: Element) -> list[float]:
    """Where the panels of a stand begin: at the upper ends of their nights."""
    nights = [one.get("d") or "" for one in paths(group, "night")]
    return [float(re.findall(r"M[\d.]+ ([\d.]+)", data)[0]) for data in nights]


def texts(group: Element) -> list[str]:
    """All visible text."""
    return [element.text or "" for element in group.iter(f"{SVG}text")]


# Roots


def test_the_line_is_what_is_left() -> None:
    """Read back from the picture, each point of the day of heat lies on its account."""
    played = garden()
    group = symbols(played.root)["heads_0"]
    top, day = panel_tops(group)[0], played.water.warmest
    course = played.water.courses["heads_0"][day]
    start = course[0].instant // DAY_MS * DAY_MS
    drawn = points(paths(group, "line l-pump")[0])
    assert len(drawn) == len(course)
    for (x, y), (instant, left) in zip(drawn, course, strict=True):
        assert x == pytest.approx(LEFT + WIDTH * (instant - start) / DAY_MS, abs=0.06)
        assert y == pytest.approx(top + HEIGHT * (1 - left.likely), abs=0.06)


def test_the_line_lies_in_the_band() -> None:
    """The band ends where the driest and the wettest roots are."""
    group = symbols(garden().root)["heads_0"]
    for band, line in zip(paths(group, "i-pump"), paths(group, "line l-pump"), strict=True):
        inside = points(line)
        outline = points(band)
        highs, lows = outline[: len(inside)], outline[len(inside) :][::-1]
        for (_, high), (_, y), (_, low) in zip(highs, inside, lows, strict=True):
            assert high - 0.11 <= y <= low + 0.11


def test_the_driest_moment_is_marked_with_its_range() -> None:
    """A dot on the line at its lowest, on a stem from the driest to the wettest roots."""
    played = garden()
    group = symbols(played.root)["heads_0"]
    top = panel_tops(group)[0]
    dot = next(group.iter(f"{SVG}circle"))
    x, y = float(dot.get("cx") or "nan"), float(dot.get("cy") or "nan")
    minutes = 11 * 60 + 50
    assert x == pytest.approx(LEFT + WIDTH * minutes / 1440, abs=0.01)
    driest = played.water.stands["heads_0"].driest
    assert driest is not None
    assert y == pytest.approx(top + HEIGHT * (1 - driest.left_share.likely), abs=0.01)
    stem = paths(group, "line l-alarm")[1]
    ends = re.findall(r"M[\d.]+ ([\d.]+)V([\d.]+)", stem.get("d") or "")
    low, high = (top + HEIGHT * (1 - share) for share in driest.left_share[::2])
    assert [float(end) for end in ends[0]] == [
        pytest.approx(low, abs=0.01),
        pytest.approx(high, abs=0.01),
    ]


def test_waterings_stand_below_the_panel() -> None:
    """Forty-eight quarters of an hour on each of the two days."""
    group = symbols(garden().root)["heads_0"]
    for bars in paths(group, "bar pump"):
        drawn = re.findall(r"M([\d.]+) [\d.]+h([\d.]+)", bars.get("d") or "")
        assert len(drawn) == 48
        assert all(float(width) == pytest.approx(WIDTH / 96, abs=0.06) for _, width in drawn)


@pytest.mark.parametrize("reserve", [0.0, 0.04, 0.3, 0.9])
def test_the_reserve_is_a_dashed_line_with_its_share(reserve: float) -> None:
    """Where it lies, whatever it is; the numbers of the scale do not touch."""
    group = symbols(garden(reserve=reserve).root)["heads_0"]
    dashes = [one for one in paths(group, "line l-alarm") if one.get("stroke-dasharray")]
    if reserve == 0.0:
        assert dashes == []
        return
    top = panel_tops(group)[0]
    y = float(re.findall(r"M[\d.]+ ([\d.]+)", dashes[0].get("d") or "")[0])
    assert y == pytest.approx(top + HEIGHT * (1 - reserve), abs=0.01)
    scale = [one for one in group.iter(f"{SVG}text") if re.match(r"\d+ %$", one.text or "")]
    ys = sorted(float(one.get("y") or "nan") for one in scale[:3])
    assert {one.text for one in scale[:3]} == {"0 %", "100 %", f"{100 * reserve:.0f} %"}
    assert ys[1] - ys[0] >= 9
    assert ys[2] - ys[1] >= 9


def test_plants_under_lamps_have_their_own_day() -> None:
    """Light behind the curves is what their lamp gives: from 22:00 to 04:00."""
    group = symbols(garden(lamp=True).root)["heads_0"]
    assert paths(group, "twi") == []
    boxes = re.findall(r"M([\d.]+) [\d.]+h([\d.]+)", paths(group, "day")[0].get("d") or "")
    hours = [((float(x) - LEFT) / 14, float(width) / 14) for x, width in boxes]
    assert hours == [(0.0, 4.0), (22.0, 2.0)]


def test_a_curve_keeps_its_dips() -> None:
    """However many points a unit of width has: the lowest and the highest of it stay."""
    curve = [(place / 100, abs(place * 37 % 100 - 50.0)) for place in range(2_000)]
    kept = thinned(curve)
    assert len(kept) <= 4 * 20
    assert kept[0] == curve[0]
    assert kept[-1] == curve[-1]
    assert kept == sorted(kept, key=lambda point: point[0])
    for unit in range(20):
        before = [y for x, y in curve if int(x) == unit]
        after = [y for x, y in kept if int(x) == unit]
        assert (min(after), max(after)) == (min(before), max(before))


def test_a_stand_that_is_not_sown_is_not_drawn() -> None:
    """And one that grows on one of the two days only has that one."""
    played = garden(2)
    water = played.water
    late = replace(water.stands["heads_1"], days=water.stands["heads_1"].days[:1])
    courses = {**water.courses, "heads_1": {water.warmest: water.courses["heads_1"][water.warmest]}}
    stands = {"heads_0": unsown("heads_0", "row_0"), "heads_1": late}
    groups = symbols(played._replace(water=replace(water, stands=stands, courses=courses)).root)
    assert "heads_0" not in groups
    assert len(panel_tops(groups["heads_1"])) == 1


def test_what_lies_outside_of_its_day_is_not_drawn() -> None:
    """A run's first day has the evening before it, which is no part of its panel."""
    played = garden()
    water, day = played.water, played.water.warmest
    course = water.courses["heads_0"][day]
    early = [point._replace(instant=point.instant - DAY_MS) for point in course]
    for added, panels in ((course, 1), ((), 0)):
        courses = {"heads_0": {day: (*early, *added)}}
        changed = played._replace(water=replace(water, courses=courses))
        group = symbols(changed.root)["heads_0"]
        assert len(panel_tops(group)) == panels
        for line in paths(group, "line l-pump"):
            assert len(points(line)) == len(course)
            assert all(x >= LEFT for x, _ in points(line))


# The whole


def test_the_picture_grows_below_and_not_above() -> None:
    """A run without water has the picture that it always had; with it, the same begins it."""
    played = garden()
    plain = parsed(draw(*played[:3]))
    drawn = played.root
    assert symbols(plain) == {}
    height, whole = (float((one.get("viewBox") or "").split()[3]) for one in (plain, drawn))
    assert whole > height
    assert texts(drawn)[: len(texts(plain))] == texts(plain)
    assert set(symbols(drawn)) == {"heads_0", "row_0", "tank_0"}


def test_everything_lies_within_the_picture() -> None:
    """Text too: none is cut off at 390 units, and each part begins below the one before."""
    root = garden(3).root
    _, _, width, height = map(float, (root.get("viewBox") or "").split())
    for element in root.iter(f"{SVG}text"):
        classes = (element.get("class") or "").split()
        size = 15.0 if "h" in classes else 9.0 if "s" in classes else 9.5
        wide = text_width(element.text or "", size) * 0.95
        x = float(element.get("x") or "nan")
        left = x - wide if "r" in classes else x - wide / 2 if "m" in classes else x
        assert left >= -1
        assert left + wide <= width + 1
        assert 0 < float(element.get("y") or "nan") <= height
    firsts = [float(next(g.iter(f"{SVG}text")).get("y") or "nan") for g in symbols(root).values()]
    assert firsts == sorted(firsts)
    assert len(set(firsts)) == 9


def test_each_part_tells_itself() -> None:
    """In words for those who do not see it, and in the description of the whole."""
    root = garden().root
    assert symbols(root)["heads_0"].get("aria-label") == (
        "heads_0: driest Thu 2 Jul 11:50, 40 % left (10 to 70), 6.8 mL of 17. "
        "Day of heat, Thu 2 Jul: driest 11:50, 40 % left (10 to 70); drinks 300 mL (240 to 360) "
        "a plant. Mildest day, Sun 5 Jul: driest 11:50, 70 % left (55 to 85); drinks 300 mL "
        "(240 to 360) a plant."
    )
    described = next(root.iter(f"{SVG}desc")).text or ""
    assert described.endswith("heads_0: at its driest 40 % left (10 to 70), 6.8 mL of 17.")


def test_of_many_the_driest_are_drawn() -> None:
    """Six of each kind, in the order of the plan; how many are not is said."""
    root = garden(9, days=3).root
    names = list(symbols(root))
    assert [name for name in names if "heads" in name] == [f"heads_{row}" for row in range(3, 9)]
    assert sum("row" in name for name in names) == 6
    assert [name for name in names if "tank" in name] == [f"tank_{row}" for row in range(6)]
    said = [text for text in texts(root) if "not drawn" in text]
    assert said == [
        f"3 further {kind} not drawn: see the text." for kind in ("stands", "pumps", "reservoirs")
    ]


def test_two_plans_have_both_their_waters() -> None:
    """One above the other, each with its own; a plan that tells of none has none."""
    first, second = garden(), garden(cycle="10m on, 20m off", dip=0.8)
    runs = [Run(*played[:3], "one", played.water) for played in (first, second)]
    both = parsed(draw_pair(runs[0], runs[1]))
    labels = [g.get("aria-label") or "" for g in both.iter(f"{SVG}g")]
    told = [words for words in labels if words.startswith("heads_0: driest")]
    assert len(told) == 2
    assert "40 % left" in told[0]
    assert "20 % left" in told[1]
    alone = parsed(draw_pair(runs[0], runs[1]._replace(water=None)))
    labels = [g.get("aria-label") or "" for g in alone.iter(f"{SVG}g")]
    assert sum(words.startswith("heads_0: driest") for words in labels) == 1


def test_text_and_picture_of_a_real_run_agree() -> None:
    """The example of a heat wave, carried out for two days: what the picture says of each
    stand stands in the text, and all is drawn that its plan has."""
    read = read_plan_file(EXAMPLE)
    schedule = make_schedule(read.plan)
    start, end = period(schedule, parse_date("2026-07-01"), 2)
    recorder = PictureRecorder(schedule)
    done = carry_out(read, schedule, start=start, end=end, listeners=[recorder])
    assert done.water is not None
    text = render(schedule, done.account, [], "Air.", width=200, is_colour=False, water=done.water)
    drawn = parsed(draw(schedule, done.account, recorder.recording, water=done.water))
    labels = [g.get("aria-label") or "" for g in drawn.iter(f"{SVG}g")]
    for name in read.plan.stands:
        told = next(words for words in labels if words.startswith(f"{name}: driest"))
        when, _, left = told.partition(". ")[0].removeprefix(f"{name}: driest ").partition(", ")
        assert re.search(f"driest +{re.escape(when)}: {re.escape(left)}", text)
    lifts = [name for name, load in read.plan.loads.items() if load.lift is not None]
    assert lifts
    for name in lifts:
        assert any(words.startswith(f"{name}: water to the top. ") for words in labels)
        assert f"{name}: water to the top" in text
    assert read.plan.reservoirs
    for name, reservoir in read.plan.reservoirs.items():
        assert any(words.startswith(f"{name}: {reservoir.full_l:g} L") for words in labels)
        assert f"{name} (reservoir, {reservoir.full_l:g} L)" in text


def test_a_year_stays_below_a_megabyte() -> None:
    """As many pumps as are drawn, with a stand, a lift and a reservoir each: what they add to
    the picture of a year."""
    played = garden(6, days=365, cycle="15m on, 45m off")
    text, plain = draw(*played[:3], water=played.water), draw(*played[:3])
    assert len(symbols(parsed(text))) == 18
    assert len(text.encode()) < 700_000
    assert len(text.encode()) - len(plain.encode()) < 250_000


def test_restless_courses_stay_small() -> None:
    """A point each ten seconds, as of a pump that ticks, is drawn by what an eye can tell."""
    played = garden()
    water = played.water
    course = [point for one in water.courses["heads_0"][water.warmest] for point in [one] * 60]
    restless = tuple(
        point._replace(instant=course[0].instant + place * 10_000)
        for place, point in enumerate(course)
    )
    courses = {"heads_0": {water.warmest: restless}}
    text = draw(*played[:3], water=replace(water, courses=courses))
    assert len(restless) * 10_000 == DAY_MS
    assert len(text.encode()) < 120_000
