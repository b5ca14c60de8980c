"""Water in reports: roots, pumps, reservoirs and days on a terminal, and two plans of them."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from controller.core.schedule import Schedule
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS
from controller.core.water.bounds import Bounds
from controller.core.water.missing_inputs import StandIn
from controller.core.water_words import (
    around_on_words,
    percent_text,
    ranged,
    rough_length_words,
    share_words,
)
from controller.dry_run.account import Account
from controller.dry_run.water.water_account import StandAccount, WaterAccount
from controller.report.ink import Ink
from controller.report.terminal import render
from controller.report.text_cells import width_of
from controller.report.water_comparison import WatersCompared, water_comparison
from controller.report.water_comparison_json import water_differences
from controller.report.water_days_text import in_part_words
from controller.report.water_stand_text import (
    age_words,
    below_words,
    drunk_words,
    left_words,
    stand_block,
    stand_table,
    stress_words,
    thirst_words,
)
from controller.report.water_text import water_lines
from tests.planned_runs import account_of_days, load, midnight, schedule_of
from tests.water_accounts import HEADS, LIFT, unsown, water_account

PLAIN = Ink(is_colour=False)
TANK: dict[str, Any] = {"full_l": 60, "inlet_at_l": 8, "top_up_at_l": 20}


def garden(
    rows: int, *, days: int = 5, name: str = "row_", dip: float = 0.6
) -> tuple[Schedule, Account, WaterAccount]:
    """So many pumps, each with a stand, a lift and a reservoir, and what a run did to them."""
    pumps = {
        f"{name}{row}": load("15m on, 15m off", watts=22.0, lift=LIFT, reservoir=f"tank_{row}")
        for row in range(rows)
    }
    stands: dict[str, object] = {
        f"heads_{row}": {**HEADS, "watered_by": pump} for row, pump in enumerate(pumps)
    }
    schedule = schedule_of(
        pumps, stands=stands, reservoirs={f"tank_{row}": TANK for row in range(rows)}
    )
    start = midnight(schedule, "2026-07-01")
    water = water_account(schedule, start, days, dip_of=lambda row: dip + row / 100)
    return schedule, account_of_days(schedule, "2026-07-01", days), water


def stand(**changes: Any) -> StandAccount:
    """The stand of a small garden, changed."""
    _, _, water = garden(1)
    return replace(water.stands["heads_0"], **changes)


# Words


@pytest.mark.parametrize(
    ("length_ms", "words"),
    [
        (0.0, "0 s"), (4_000.0, "under a minute"), (95 * MINUTE_MS + 9e3, "1 h 35 min"),
        (12.4 * HOUR_MS, "12 h"), (3.2 * DAY_MS, "3 days 5 h"),
    ],
)  # fmt: skip
def test_lengths_of_models_have_no_seconds(length_ms: float, words: str) -> None:
    """Minutes while they tell something, then hours."""
    assert rough_length_words(length_ms) == words


def test_shares_have_no_decimals_and_ranges_stand_behind() -> None:
    """And a range that reads the same three times is told once."""
    assert share_words(Bounds(0.18, 0.414, 0.626), after=" left") == "41 % left (18 to 63)"
    assert share_words(Bounds(0.998, 1.0, 1.0)) == "100 %"
    assert ranged(Bounds(1, 2, 3), percent_text) == "200 % (100 to 300)"


def test_a_moment_of_another_date_says_so() -> None:
    """A run's first day has the evening before it."""
    schedule, _, water = garden(1)
    at = midnight(schedule, "2026-07-01", 1) + 20 * HOUR_MS + 59_999
    assert around_on_words(at, water.days[1].date, schedule.calendar) == "20:00"
    assert around_on_words(at, water.days[2].date, schedule.calendar) == "Thu 2 Jul 20:00"


@pytest.mark.parametrize(
    ("low", "likely", "high", "words"),
    [
        (0, 0, 0, "never"),
        (0, 0, 95, "likely never; 1 h 35 min with the driest roots that sources allow"),
        (0, 20, 95, "20 min in all (from never to 1 h 35 min)"),
        (20, 20, 20, "20 min"),
    ],
)
def test_time_below_the_reserve_is_told_with_its_range(
    low: float, likely: float, high: float, words: str
) -> None:
    """From the wettest roots to the driest."""
    assert below_words(Bounds(low, likely, high).times(MINUTE_MS)) == words


@pytest.mark.parametrize(
    ("low", "likely", "high", "words"),
    [
        (0.0, 0.0, 0.01, "none"),
        (0.0, 0.0, 12.3, "likely none; 12 mL a plant with the driest roots that sources allow"),
        (0.0, 4.1, 12.3, "4.1 mL (0 to 12) a plant wanted and not there"),
    ],
)
def test_thirst_is_told_where_there_is_some(
    low: float, likely: float, high: float, words: str
) -> None:
    """A hundredth of a millilitre is none."""
    assert thirst_words(Bounds(low, likely, high)) == words


@pytest.mark.parametrize(
    ("limit", "judged"),
    [
        (Bounds(0.5, 0.55, 0.58), "60 % (30 to 90) was: it likely suffered"),
        (Bounds(0.5, 0.55, 0.62), "60 % (30 to 90) was: it may have suffered"),
        (Bounds(0.65, 0.7, 0.8), "60 % (30 to 90) was: it may have suffered"),
        (Bounds(0.91, 0.93, 0.95), "60 % (30 to 90) was: it did not suffer"),
    ],
)
def test_what_dryness_means_is_judged_by_published_figures(limit: Bounds, judged: str) -> None:
    """Likely if the likely roots pass the highest figure, perhaps if the driest pass the lowest."""
    told = stand(stress_share=limit)
    assert told.driest is not None
    assert stress_words(told, told.driest).endswith(judged)


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (35, 35, "35 days from sowing"),
        (33, 38, "33 to 38 days from sowing"),
        (None, 1, "sown in this run, 1 day old at its end"),
        (None, None, "not sown in this run"),
    ],
)
def test_ages_are_told(first: int | None, last: int | None, words: str) -> None:
    """From sowing, or that there was none."""
    assert age_words(stand(first_age_days=first, last_age_days=last)) == words


@pytest.mark.parametrize(
    ("length_ms", "words"),
    [
        (2 * DAY_MS, "300 mL (240 to 360) a plant and day, 12 L (9.6 to 14) a day in all"),
        (3 * HOUR_MS, "600 mL (480 to 720) a plant, 24 L (19 to 29) in all, in this run"),
    ],
)
def test_what_is_drunk_is_told_by_day_where_there_is_one(length_ms: int, words: str) -> None:
    """Three hours of a night say nothing of a day."""
    assert drunk_words(stand(), length_ms) == words


def test_what_was_sown_in_the_run_drinks_on_its_own_days() -> None:
    """Two days of ten, on which alone there were roots."""
    assert drunk_words(stand(first_age_days=None), 10 * DAY_MS).startswith("300 mL (240 to 360)")


def test_plants_that_age_have_no_one_volume() -> None:
    """Their roots hold more from day to day, so only the share is told."""
    young, old = stand(first_age_days=33), stand()
    assert young.driest is not None
    assert left_words(young.driest, young) == "40 % left (10 to 70)"
    assert left_words(young.driest, old) == "40 % left (10 to 70), 6.8 mL of 17"


# Blocks


def test_a_stand_is_told_in_lines() -> None:
    """Its driest moment first, what that means, what it drinks, and the two days."""
    schedule, account, water = garden(1)
    told = water.stands["heads_0"]
    lines = stand_block(told, water, schedule.calendar, account=account, width=80, ink=PLAIN)
    assert lines == [
        "heads_0 (stand, 40 plants on row_0)",
        "  age                  35 days from sowing",
        "  driest               Thu 2 Jul 11:50: 40 % left (10 to 70), 6.8 mL of 17",
        "  below 30 %           likely never; 1 h 35 min with the driest roots that",
        "                       sources allow",
        "  what that means      lettuce suffers once 30 % is gone (26 to 50), by FAO-56",
        "                       for soil and growers' figures for mineral wool; here 60 %",
        "                       (30 to 90) was: it likely suffered",
        "  thirst               likely none; 12 mL a plant with the driest roots that",
        "                       sources allow",
        "  drinks               120 mL (96 to 140) a plant and day, 4.8 L (3.8 to 5.8) a",
        "                       day in all",
        "  water in reach       17 mL (9.0 to 28) a plant, full and drained",
        "  comes down           50 mL/min a plant while watered",
        "  day of heat          Thu 2 Jul: driest 11:50, 40 % left (10 to 70); drinks 300",
        "                       mL (240 to 360) a plant",
        "  mildest day          Sun 5 Jul: driest 11:50, 70 % left (55 to 85); drinks 300",
        "                       mL (240 to 360) a plant",
    ]


@pytest.mark.parametrize(
    ("began_h", "ended_h", "words"),
    [
        (-1, -1, ["", ""]),  # summer time: the day of the air begins an hour later
        (12, 0, [" in 12 h of the run", ""]),
        (0, 11, ["", " in 35 h of the run"]),
        (-4, -3, [" in 28 h of the run", " in 21 h of the run"]),
        (23, -23, [" in 1 h of the run", " in 1 h of the run"]),
    ],
)
def test_a_day_that_is_not_whole_says_for_how_long_its_plants_drink(
    began_h: int, ended_h: int, words: list[str]
) -> None:
    """The run's first and last day have all from its start and until its end."""
    schedule, account, water = garden(1, days=3)
    first, whole, last = water.days
    start, end = first.start + began_h * HOUR_MS, last.end + ended_h * HOUR_MS
    run = replace(account, start=start, end=end)
    assert [in_part_words(water, day.date, run) for day in (first, last)] == words
    assert in_part_words(water, whole.date, run) == ""
    lines = stand_block(
        water.stands["heads_0"], water, schedule.calendar, account=run, width=200, ink=PLAIN
    )
    (mildest,) = (line for line in lines if line.startswith("  mildest day"))
    assert mildest.endswith(f"a plant{words[1]}")


def test_nothing_is_told_of_plants_that_are_not_there() -> None:
    """Before sowing there are no roots that could be dry."""
    schedule, account, water = garden(1)
    lines = stand_block(
        unsown("late", "row_0"),
        water,
        schedule.calendar,
        account=account,
        width=80,
        ink=PLAIN,
    )
    assert lines == [
        "late (stand, 40 plants on row_0)",
        "  age                  not sown in this run",
    ]


def test_roots_that_ran_dry_are_told_without_a_fault() -> None:
    """Nothing left has a share of nothing: the held water is told as it is when full."""
    schedule, account, water = garden(1, dip=1.2)
    text = " ".join(
        stand_block(
            water.stands["heads_0"],
            water,
            schedule.calendar,
            account=account,
            width=200,
            ink=PLAIN,
        )
    )
    assert "driest               Thu 2 Jul 09:50: 0 % left (0 to 50), 0 mL of 17" in text


def test_a_day_alone_is_not_compared() -> None:
    """A run of one day has no mildest one."""
    schedule, account, water = garden(1, days=1)
    lines = water_lines(schedule, account, water, width=80, ink=PLAIN)
    assert lines[-3:] == [
        "The air",
        "  day                  Wed 1 Jul: 15 to 30 °C, mean humidity 55 %, sun 20 MJ/m²,",
        "                       ET0 5.0 mm (what short grass would drink)",
    ]
    assert not any("mildest" in line for line in lines)


def test_the_air_is_told_where_something_rests_on_it() -> None:
    """A pump's lift alone does not, unless a weather file asks what its days were like."""
    schedule, account, water = garden(1)
    assumed = tuple(day._replace(assumed=(StandIn.TEMPERATURE,)) for day in water.days)
    of_lift = replace(water, stands={}, reservoirs={}, courses={})
    for told, is_told in (
        (replace(water, days=assumed), True),
        (of_lift, True),
        (replace(of_lift, days=assumed), False),
    ):
        lines = water_lines(schedule, account, told, width=80, ink=PLAIN)
        assert ("The day of heat and the mildest day" in lines) is is_told


def test_many_stands_make_a_table() -> None:
    """A row each, in the order of the plan, and an entry each where there is no room."""
    schedule, account, water = garden(6)
    stands = [*water.stands.values(), unsown("late", "row_0")]
    wide, narrow = (
        stand_table(stands, schedule.calendar, run_ms=account.run_ms, width=width, ink=PLAIN)
        for width in (80, 40)
    )
    assert wide[1:3] == [
        "stand             driest  left  from    to  thirst mL  at worst  mL a day",
        "heads_0  Thu 2 Jul 11:50  40 %  10 %  70 %          0        12       120",
    ]
    assert wide[-1] == "late            not sown     -     -     -          -         -         -"
    assert len(wide) == 9
    assert narrow[1:3] == ["  heads_0: 40 % left (10 to 70), 6.8 mL", "    of 17"]
    assert narrow[-1] == "  late: not sown in this run"


@pytest.mark.parametrize("width", [24, 40, 63, 64, 80, 132])
@pytest.mark.parametrize("rows", [1, 4, 5, 18])
@pytest.mark.parametrize("name", ["r", "the_easternmost_row_of_the_"])
def test_no_line_is_wider_than_the_terminal(width: int, rows: int, name: str) -> None:
    """Few and many of everything, with short names and long ones."""
    schedule, account, water = garden(rows, days=3, name=name)
    lines = water_lines(schedule, account, water, width=width, ink=PLAIN)
    assert max(map(width_of, lines)) <= width
    assert lines[0] == ""


def test_the_report_has_it_between_loads_and_sums() -> None:
    """And a run without water has the report that it always had."""
    schedule, account, water = garden(1)
    whole, plain = (
        render(schedule, account, [], "Air.", width=80, is_colour=False, water=one)
        for one in (water, None)
    )
    lines = "\n".join(water_lines(schedule, account, water, width=80, ink=PLAIN))
    assert whole == plain.replace("\n\nAll loads\n", f"\n{lines}\n\nAll loads\n")
    assert "heads_0" not in plain


# Two plans


def compared(first: WaterAccount, second: WaterAccount, width: int = 80) -> list[str]:
    """Both beside each other."""
    schedule, _, _ = garden(1)
    waters = WatersCompared(first, second, schedule.calendar)
    return water_comparison(waters, width=width, ink=PLAIN)


def test_two_plans_are_told_by_their_driest_moments() -> None:
    """What differs in words, then both figures; lifts and reservoirs alike are only named."""
    first, second = garden(1)[2], garden(1, dip=0.4)[2]
    assert compared(first, second) == [
        "",
        "heads_0 (stand)",
        "  With 2: 60 % left when driest instead of 40 %.",
        "                                   1              2",
        "  left when driest              40 %           60 %",
        "  its range               10 to 70 %     40 to 80 %",
        "  below its reserve            never          never",
        "  a plant's thirst              none           none",
        "  thirst at worst              12 mL          12 mL",
        "  drunk in the run            600 mL         600 mL",
        "",
        "The same in both: row_0 (water to the top), tank_0 (reservoir).",
    ]


def test_a_reservoir_is_compared_by_its_dates() -> None:
    """When it wants water and when its inlet draws air, if nobody fills it."""
    first, second = garden(1, days=20)[2], garden(1, days=8)[2]
    lines = compared(first, second)
    assert "tank_0 (reservoir)" in lines
    assert "  to be filled             Thu 9 Jul not in the run" in lines
    assert "  inlet draws air         Sun 12 Jul not in the run" in lines


@pytest.mark.parametrize(
    ("changes", "there", "back"),
    [
        ({"thirst_ml": Bounds(0.0, 0.0, 0.0)},
         "no thirst at worst instead of 12 mL", "at worst a thirst of 12 mL instead of none"),
        ({"thirst_ml": Bounds(0.0, 8.0, 12.0)},
         "a plant's thirst 8.0 mL instead of none", "no thirst instead of 8.0 mL a plant"),
        ({"transpired_ml": Bounds(0.0, 0.0, 0.0)},
         "a plant drinks nothing in the run instead of 600 mL",
         "a plant drinks 600 mL in the run instead of nothing"),
        ({"below_reserve_ms": Bounds(0.0, 3.0 * HOUR_MS, 4.0 * HOUR_MS)},
         "below its reserve for 3 h instead of never",
         "never below its reserve instead of for 3 h"),
        ({"driest": None},
         "not sown instead of 40 % left when driest", "40 % left when driest instead of not sown"),
    ],
    ids=["worst", "thirst", "drunk", "reserve", "sown"],
)  # fmt: skip
def test_what_becomes_nothing_is_told_as_people_say_it(
    changes: dict[str, Any], there: str, back: str
) -> None:
    """And not as an amount of none."""
    one = garden(1)[2]
    other = replace(one, stands={"heads_0": stand(**changes)})
    assert there in " ".join(compared(one, other, width=500))
    assert back in " ".join(compared(other, one, width=500))


def test_a_reservoir_that_lasts_is_told_as_such() -> None:
    """A date instead of none, and none instead of a date."""
    long, short = garden(1, days=20)[2], garden(1, days=8)[2]
    words = " ".join(compared(long, short, width=500))
    assert "not to be filled in the run instead of Thu 9 Jul" in words
    assert "inlet draws no air in the run instead of Sun 12 Jul" in words
    words = " ".join(compared(short, long, width=500))
    assert "to be filled Thu 9 Jul instead of not in the run" in words


def test_the_json_tells_what_differs_in_roots_and_reservoirs() -> None:
    """The figures of both, second less first where both are numbers, and the words."""
    schedule, _, first = garden(1, days=20)
    second = garden(1, days=8, dip=0.4)[2]
    told = water_differences(WatersCompared(first, second, schedule.calendar))
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    assert list(told) == ["stands", "lifts", "reservoirs"]
    heads, tank, lift = told["stands"]["heads_0"], told["reservoirs"]["tank_0"], told["lifts"]
    assert heads["first"]["driest_share"] == pytest.approx(0.4, abs=0.01)
    assert heads["difference"]["driest_share"] == pytest.approx(0.2, abs=0.01)
    assert heads["words"].startswith("60 % left when driest instead of 40 %")
    assert tank["first"]["dry_if_left_alone_utc"].startswith("2026-07-1")
    assert tank["second"]["dry_if_left_alone_utc"] is None
    assert tank["difference"] == {
        "end_if_left_alone_l": pytest.approx(
            tank["second"]["end_if_left_alone_l"] - tank["first"]["end_if_left_alone_l"]
        )
    }
    assert "inlet draws no air in the run instead of Sun 12 Jul" in tank["words"]
    assert lift["row_0"]["words"] == "the same in both"


def test_the_json_tells_what_only_one_plan_has() -> None:
    """With no figures of the other."""
    schedule, _, first = garden(1)
    told = water_differences(WatersCompared(first, garden(2)[2], schedule.calendar))
    assert told["stands"]["heads_1"]["first"] is told["stands"]["heads_1"]["difference"] is None
    assert told["stands"]["heads_1"]["second"] is not None
    assert told["stands"]["heads_1"]["words"] == "only the second plan has it"


def test_what_only_one_plan_has_is_said() -> None:
    """A stand, a lift and a reservoir of one of them."""
    first, second = garden(1)[2], garden(2)[2]
    assert sum("only the second plan has it" in line for line in compared(first, second)) == 3
    assert sum("only the first plan has it" in line for line in compared(second, first)) == 3
    assert all(width_of(line) <= 30 for line in compared(first, second, width=30))
