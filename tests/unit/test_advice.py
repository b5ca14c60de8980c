"""The parts of advice: bounds, needs, candidates, samples, and what is refused."""

from __future__ import annotations

import json
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import pytest

from controller.advice.candidate import Origin, on_demand, present, toml_of, tried
from controller.advice.courses import wanted_by
from controller.advice.lengths import lengths_of
from controller.advice.needs import needs_of
from controller.advice.question import loads_to_advise, question_of
from controller.advice.sampling import (
    Drawn,
    WateredDay,
    band_of,
    drawn_plants,
    generator_of,
    store_of,
)
from controller.advice.search import advise
from controller.advice.summer import summer_of
from controller.advice.waterings import Part, Stretch
from controller.core.cycle import parse_cycle
from controller.core.errors import NoAdviceError
from controller.core.plan import Sensor
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.reading import ReadPlan, read_plan
from controller.core.stands import stands_of
from controller.core.units import MINUTE_MS, date_of_number, day_number
from controller.core.water.root_store import RootStore
from controller.shell.weather_file import read_weather
from controller.weather.formats import parse_weather
from controller.weather.weather import Weather
from tests.advice_gardens import JULY, SITE, garden, question, unwatched
from tests.readme import ROOT
from tests.typical_years import GREENSBORO, hours_of
from tests.worlds import load, plan_of, stand
from tests.worlds import on_demand as demand_span

HEADS: dict[str, Any] = stand(air=None)
LIFT: dict[str, Any] = {
    "height_m": 1.5,
    "shut_off_head_m": 2.0,
    "free_flow_l_per_h": 1000,
    "hose_bore_mm": 13,
    "hose_length_m": 2.0,
}


def minutes(lengths_ms: tuple[int, ...]) -> list[int]:
    """Lengths in minutes."""
    return [length_ms // MINUTE_MS for length_ms in lengths_ms]


# Bounds


def test_waterings_lie_within_what_the_load_may_do() -> None:
    """From three minutes to longest_on, with those that the plan has."""
    plan = garden(of_spans=[{"from": "00:00", "cycle": "7m on, 20m off"}], longest_on="25m")
    assert minutes(lengths_of(plan.loads["pump"]).waterings_ms) == [3, 5, 7, 8, 10, 15, 20]


def test_waterings_of_mist_are_as_short_as_the_plan_has_them() -> None:
    """And none is longer than the load may run."""
    spans = [{"from": "00:00", "cycle": "20s on, 5m off"}]
    mist = garden(of_spans=spans, longest_on="1m").loads["pump"]
    assert lengths_of(mist).waterings_ms == (20_000, 30_000, 60_000)
    pump = garden(longest_on="1m", of_spans=[{"from": "00:00", "cycle": "off"}]).loads["pump"]
    assert lengths_of(pump).waterings_ms == (60_000,)


@pytest.mark.parametrize(
    ("keys", "longest_min"),
    [({}, 60), ({"limits": {"longest_dry_gap": "50m30s"}}, 50)],
    ids=["an hour where nothing is stated", "whole minutes within the limit"],
)
def test_rests_end_at_the_plan_s_limit(keys: dict[str, Any], longest_min: int) -> None:
    """And else at an hour, or at what the plan itself rests, if that is longer."""
    lengths = lengths_of(garden(**keys).loads["pump"])
    assert lengths.longest_rest_ms == longest_min * MINUTE_MS
    assert lengths.shortest_rest_ms == MINUTE_MS


# Needs


def test_what_a_span_must_stand_is_the_thirstiest_of_its_hours() -> None:
    """Of two days, each span's hours told by the clock: 06:00 to 21:00, and the night."""
    asked = question(garden(), days=2)
    calendar, time = asked.schedule.calendar, asked.period
    wanted = wanted_by(stands_of(asked.read.plan)[0], asked.schedule, asked.air)
    by_day: dict[bool, list[tuple[float, ...]]] = {True: [], False: []}
    for place, edge in enumerate(wanted.edges[:-1]):
        is_day = 6 <= calendar.local(edge).hour < 21
        by_day[is_day].append(tuple(corner[place] for corner in wanted.corners))
    found = needs_of(
        asked.schedule.loads[0].own, [wanted], calendar, start=time.start, end=time.end
    )
    assert [span.span for span in found] == [0, 1]
    for span, is_day in zip(found, (True, False), strict=True):
        (need,) = span.needs
        assert need.rates_ml_per_s == [max(column) for column in zip(*by_day[is_day], strict=True)]
        assert need.age_days == 38
        assert need.day in {JULY, JULY + timedelta(days=1)}


# Candidates


def test_the_lines_to_paste_make_the_plan_that_was_tried() -> None:
    """Put in the place of the old spans they read back as the same spans."""
    text = (ROOT / "controller" / "examples" / "porch.toml").read_text(encoding="utf-8")
    plan = read_plan(text.encode(), "porch").plan
    name, pump = next(iter(plan.loads.items()))
    lengths = lengths_of(pump)
    kept = text.split(f"[[loads.{name}.spans]]")[0]
    candidate = on_demand(pump, lengths, fixed="15m on, 15m off")
    heads = """
[stands.heads]
watered_by = "pump"
plants = 40
age_days = 35
medium = "bare-roots"
place = "outdoors"
plants_per_m2 = 25
"""
    for one in (candidate, tried(" 10m on,  20m off", parse_cycle("10m on, 20m off"))):
        pasted = f"{kept}{toml_of(name, one)}\n{heads}"
        assert read_plan(pasted.encode(), "pasted").plan.loads[name].spans == one.spans


def test_a_candidate_changes_spans_and_takes_what_would_hide_them() -> None:
    """Variants of a sensor go, those of a hand stay; other loads keep all."""
    spans = [{"from": "00:00", "cycle": "15m on, 15m off"}]
    by_hand = {"name": "deluge", "by_hand": True, "spans": spans}
    hot = {"name": "hot", "sensor": "air", "above": 30.0, "until": 27.0, "spans": spans}
    plan = garden(variants=[hot, by_hand])
    made = tried("on", parse_cycle("on")).plan(plan, "pump")
    assert [one.name for one in made.loads["pump"].variants] == ["deluge"]
    assert present(plan.loads["pump"]).plan(plan, "pump").loads == plan.loads
    assert present(plan.loads["pump"]).label == "15m on, 15m/45m off + variants"


# Samples


@pytest.mark.parametrize("medium", ["expanded-clay", "mineral-wool", "bare-roots"])
@pytest.mark.parametrize(("end", "corner"), [(0.0, "driest"), (1.0, "wettest")])
def test_the_ends_of_all_ranges_are_the_corners(medium: str, end: float, corner: str) -> None:
    """Thin roots have more surface: the driest corner has thick ones."""
    medium_ml = None if medium == "bare-roots" else 90.0
    facts = stands_of(garden(stand(air=None, medium=medium, medium_ml=medium_ml)))[0]
    drawn = Drawn(*[end] * len(Drawn._fields))._replace(thickness=1.0 - end)
    found, stated = store_of(facts, 38, drawn), getattr(facts.stores_at(38), corner)
    for name in ("held_ml", "film_ml", "drain_per_ml2_s", "drip_ml_per_s", "caught_share"):
        assert getattr(found, name) == pytest.approx(getattr(stated, name), rel=1e-12)


def test_a_seed_draws_the_same_plants_on_every_machine() -> None:
    """Python promises the numbers of its generator: the first of seed 1 is written here."""
    first, second = drawn_plants(2, generator_of(1))
    assert first.demand == 0.13436424411240122
    assert first != second
    assert [first, second] == drawn_plants(2, generator_of(1))
    assert first != drawn_plants(1, generator_of(2))[0]


def test_waterings_that_do_not_fill_roots_are_gone_through_one_by_one() -> None:
    """10 mL and no film, of which each rest draws 8 and each watering brings back 6 (12 s at
    0.5 mL/s): 2 mL are left after the first rest, and none at the end of the second."""
    store = RootStore(
        held_ml=10.0, film_ml=0.0, drain_per_ml2_s=1.0, drip_ml_per_s=1.0, caught_share=0.5
    )
    watering = Stretch(is_wet=True, parts=(Part(12.0, 0.0, 0.0),))
    rest = Stretch(is_wet=False, parts=(Part(800.0, 0.01, 0.01),))
    assert WateredDay([watering, rest]).left_share(store, 0.5) == pytest.approx(0.2)
    assert WateredDay([watering, rest] * 2).left_share(store, 0.5) == 0.0
    long = Stretch(is_wet=True, parts=(Part(20.0, 0.0, 0.0),))
    assert WateredDay([long, rest] * 2).left_share(store, 0.5) == pytest.approx(0.2)


def test_a_band_leaves_out_one_in_twenty_at_each_end() -> None:
    """By nearest rank; what is exactly the reserve is kept."""
    assert band_of([number / 100 for number in range(101)], 0.5) == (0.05, 0.95, 51 / 101)
    assert band_of([0.4], 0.5) == (0.4, 0.4, 0.0)


# The summer


def test_the_summer_is_the_stretch_of_days_that_asks_most_of_leaves() -> None:
    """Found anew by sums over Greensboro's hours: no other 30 days of the year ask more."""
    weather = read_weather(GREENSBORO.path)
    plan = garden({**HEADS, "age_days": None, "sown": date(2027, 4, 1)})
    first, count = summer_of(plan, weather, days=30)
    sums: dict[int, float] = {}
    for hour in hours_of(GREENSBORO):
        number = (hour.start + GREENSBORO.utc_offset_h * 3_600_000) // 86_400_000
        sums[number] = sums.get(number, 0.0) + hour.et0_mm
    stretches = {
        start: sum(sums[number] for number in range(start, start + 30))
        for start in range(day_number(date(2027, 1, 1)), day_number(date(2027, 12, 1)))
    }
    assert count == 30
    assert first == date_of_number(max(stretches, key=lambda start: stretches[start]))


def test_a_typical_year_without_sowing_is_that_of_its_stamps() -> None:
    """So the same file gives the same advice whenever it is asked for."""
    assert summer_of(garden(), read_weather(GREENSBORO.path), days=92)[0].year == 2001


# Advice


def test_a_row_with_fewest_pump_hours_is_chosen_and_carried_out_through_the_period() -> None:
    """All rows of the ladder are there, each once, and the present plan first."""
    advice = advise(question(garden(), "15m on, 15m off", "20m on, 10m off", days=2), "pump")
    origins = [row.candidate.origin for row in advice.rows]
    assert origins[0] is Origin.PRESENT
    assert origins[-2:] == [Origin.TRIED, Origin.TRIED]
    assert Origin.DEMAND not in origins  # no sensor of the air
    assert len({row.candidate.spans for row in advice.rows}) == len(advice.rows)
    assert advice.row is not None
    assert advice.whole is not None
    assert advice.row.is_fit
    assert advice.row.is_careful
    assert advice.row.pump.hours_a_day == min(
        row.pump.hours_a_day for row in advice.rows if row.is_fit and row.is_careful
    )
    assert advice.leanest is not None
    assert advice.rows[advice.leanest].pump.hours_a_day == min(
        row.pump.hours_a_day for row in advice.rows if row.is_fit
    )
    assert advice.whole.lefts["s0"].likely >= 0.3
    assert advice.whole.pump.hours_a_day < advice.present.pump.hours_a_day
    assert read_spans(advice.lines) == len(advice.row.candidate.spans or ())


def read_spans(lines: str) -> int:
    """How many spans the lines write."""
    return lines.count("[[loads.pump.spans]]")


def test_longer_rests_leave_less() -> None:
    """The tried cycles come out in the order of their rests, for every corner and every draw."""
    tries = ("10m on, 5m off", "10m on, 15m off", "10m on, 30m off", "10m on, 50m off")
    rows = advise(question(garden(), *tries), "pump").rows[-4:]
    for wetter, drier in pairwise(rows):
        for more, less in zip(wetter.lefts["s0"], drier.lefts["s0"], strict=True):
            assert more >= less - 0.02  # rests fall on other hours
        assert wetter.kept_share >= drier.kept_share
        assert wetter.pump.hours_a_day > drier.pump.hours_a_day


def test_a_seedling_stand_and_a_grown_one_have_a_column_each() -> None:
    """The one that dries out first bounds the rests."""
    young = stand(age_days=12, air=None, medium="mineral-wool", medium_ml=400.0)
    advice = advise(question(garden(HEADS, young)), "pump")
    assert all(list(row.lefts) == ["s0", "s1"] for row in advice.rows)
    day_span = advice.spans[0]
    assert {rest.bound_by.facts.name for rest in day_span.likely if rest.bound_by} == {"s0"}


def test_demand_is_a_row_where_sensors_tell_the_air() -> None:
    """Within the load's bounds, from a sensor that the stand names."""
    sensors = {"air": {"measures": "air_temperature", "stale_after": "20m"}}
    plan = garden(stand(air="air")).model_copy(update={"sensors": read_sensors(sensors)})
    advice = advise(question(plan), "pump")
    (row,) = [one for one in advice.rows if one.candidate.origin is Origin.DEMAND]
    assert row.candidate.spans is not None
    assert row.candidate.spans[0].is_on_demand
    assert row.pump.starts_a_day > 0
    assert not any("Demand is not in the table" in note for note in advice.notes)


def test_a_demand_that_saves_next_to_nothing_is_not_advised() -> None:
    """Under lamps every hour is alike, so that readings have nothing to tell."""
    lamp = load(kind="lamp") | {"spans": [{"from": "00:00", "cycle": "on"}]}
    room: dict[str, Any] = {"place": "under-lamps", "lamp": "lamp", "ppfd_umol": 220.0, "air": None}
    pump = load("15m on, 15m off", kind="pump", longest_on="45m")
    plan = plan_of(site=SITE, stands={"s0": stand(**room)}, pump=pump, lamp=lamp)
    advice = advise(question(plan), "pump")
    assert advice.row is not None
    assert advice.row.candidate.origin is Origin.LIKELY
    assert Origin.DEMAND in [row.candidate.origin for row in advice.rows]


def read_sensors(tables: dict[str, Any]) -> dict[str, Any]:
    """Sensors as a plan holds them."""
    return {name: Sensor.model_validate(table) for name, table in tables.items()}


def test_a_present_plan_that_is_leanest_may_stay() -> None:
    """Then there are no lines to paste."""
    seedlings = stand(age_days=5, air=None, medium="mineral-wool", medium_ml=400.0)
    plan = garden(seedlings, of_spans=[{"from": "00:00", "cycle": "3m on, 2h off"}])
    advice = advise(question(plan), "pump")
    assert advice.row is not None
    assert advice.row.candidate.origin is Origin.PRESENT
    assert advice.lines == ""
    assert advice.whole is advice.present


def test_a_limit_on_starts_keeps_short_waterings_from_being_chosen() -> None:
    """Rows that break it are told, and another one is chosen."""
    plan = garden(limits={"starts_per_day": 24})
    advice = advise(question(plan), "pump")
    assert advice.row is not None
    assert advice.row.pump.starts_a_day <= 24
    assert any(row.breaks == ("starts_per_day",) for row in advice.rows)


# Nothing fits


def hindered(**keys: Any) -> str:
    """What is in the way of a pump's first span, and what would help."""
    keys_of_load = keys.pop("of_load", {})
    advice = advise(question(garden(stand(air=None, **keys), **keys_of_load)), "pump")
    assert advice.chosen is None
    first = advice.hindrances[0]
    return f"{first.message}: {first.mend}"


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"drip_ml_per_min": 0.1}, ("flow: a plant of s0 drinks", "bring more water")),
        ({"medium_ml": 1.0, "age_days": 20, "plants_per_m2": 4.0, "reserve": 0.9,
          "of_load": {"shortest_off": "30m"}},
         ("medium: full roots of s0", "shortest_off = 30m", "give more medium")),
        ({"drip_ml_per_min": 2.8, "medium_ml": 900.0,
          "of_load": {"longest_on": "1m", "shortest_off": "40m"}},
         ("watering: the longest, by longest_on = 1m", "a longer longest_on")),
        ({"of_load": {"shortest_off": "40m", "limits": {"longest_dry_gap": "30m"}}},
         ("no rest lies between shortest_off = 40m and limits.longest_dry_gap = 30m",)),
    ],
    ids=["little flow", "little medium", "short waterings", "bounds that cross"],
)  # fmt: skip
def test_what_is_in_the_way_is_named(keys: dict[str, Any], words: tuple[str, ...]) -> None:
    """The bound, and what would help."""
    told = hindered(**keys)
    for one in words:
        assert one in told


# Refusals


def refusal(call: Any) -> str:
    """The words of a refusal."""
    with pytest.raises(NoAdviceError) as caught:
        call()
    return str(caught.value)


def test_loads_without_stands_are_refused() -> None:
    """With the mend, and with what was likely meant."""
    plan = garden()
    assert "did you mean pump?" in refusal(lambda: loads_to_advise(plan, "pomp"))
    bare = plan.model_copy(update={"stands": {}})
    assert "add [stands.heads]" in refusal(lambda: loads_to_advise(bare, None))
    assert 'watered_by = "pump"' in refusal(lambda: loads_to_advise(bare, "pump"))
    assert loads_to_advise(plan, None) == ["pump"]


def test_a_pump_that_does_not_lift_is_refused() -> None:
    """No cycle makes water of it."""
    weak = garden(lift={**LIFT, "height_m": 2.5, "hose_length_m": 3.0})
    assert "does not lift that high" in refusal(lambda: loads_to_advise(weak, None))
    assert loads_to_advise(garden(lift=LIFT), None) == ["pump"]


def test_stands_that_are_not_sown_yet_are_refused() -> None:
    """There is nothing to be thirsty."""
    plan = garden({**HEADS, "age_days": None, "sown": date(2027, 1, 1)})
    assert "nothing grows on pump" in refusal(lambda: advise(question(plan), "pump"))


def test_a_cycle_to_try_keeps_to_the_plan_s_rules() -> None:
    """What the load may not do is refused with the rule's own words."""
    told = refusal(lambda: advise(question(garden(), "60m on, 15m off"), "pump"))
    assert "--try '60m on, 15m off'" in told
    assert "longest_on" in told


def test_weather_must_be_of_the_time_that_is_asked_about() -> None:
    """Without a file there must be a time."""
    read = ReadPlan(garden(), (), Lines(""))
    ask: dict[str, Any] = {"days": 1, "tries": (), "samples": 1, "seed": 1, "watch": unwatched}
    told = refusal(lambda: question_of(read, None, start=None, **ask))
    assert "give --weather FILE, or --from" in told
    dated = weather_of_two_days()
    told = refusal(lambda: question_of(read, dated, start=JULY, **ask))
    assert "2020-01-01" in told
    assert "give --from and --days within it" in told


def weather_of_two_days() -> Weather:
    """Invented hours of January 2020, in plain columns."""
    rows = "".join(
        f"2020-01-0{1 + hour // 24}T{hour % 24:02}:00:00Z,{5 + hour % 5}\n" for hour in range(48)
    )
    return parse_weather(f"time,air_temperature_c\n{rows}".encode(), name="january.csv")


def test_rows_are_plain_json() -> None:
    """Numbers, texts and lists, and the same for the same seed."""
    plan = garden()
    texts = {
        json.dumps(advise(question(plan, seed=seed), "pump").as_json(), allow_nan=False)
        for seed in (1, 1, 2)
    }
    assert len(texts) == 2


def test_spans_on_demand_are_told_as_such() -> None:
    """The present plan may go by demand already."""
    plan = garden(HEADS, of_spans=[demand_span()])
    assert present(plan.loads["pump"]).label == "demand"
