"""Loads on demand in a preview: what they do hangs on readings and on stands, not on timelines."""

from __future__ import annotations

import os
from collections import Counter
from random import Random
from typing import TYPE_CHECKING, Any

import pytest

from controller.core.almanac import Almanac
from controller.core.plan_parts.energy import Energy
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.reading import ReadPlan
from controller.core.schedule import Schedule, make_schedule
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.run import run
from controller.paper.carrying_out import period
from tests.worlds import MIDNIGHT, load, on_demand, plan_of, stand
from web.paper.bands import BandKeeper, Spells
from web.paper.day_run import DayRun, day_run
from web.paper.group_run import Day, Groups, air_on

if TYPE_CHECKING:
    from controller.core.plan import Plan
    from controller.dry_run.account import Account

WORLDS = int(os.environ.get("ROOTCLOCK_EXAMPLES", "8"))
SITE = {
    "latitude": 47.1, "longitude": 8.3, "timezone": "Europe/Zurich",
    "typical_day": {"coolest_c": 17.0, "warmest_c": 34.0},
}  # fmt: skip
SENSORS = {"air": {"measures": "air_temperature"}, "meter": {"measures": "flow"}}


def _garden(dice: Random) -> Plan:
    """Pumps of which some are on demand, beside loads that go by the air, a meter, or nothing."""
    loads: dict[str, dict[str, Any]] = {}
    stands: dict[str, dict[str, Any]] = {}
    for name in ("alder", "beech", "cedar", "damson")[: dice.randint(2, 4)]:
        loads[name] = _pump(dice)
        if dice.random() < 0.6:
            sensor = dice.choice(("air", "air", None))
            stands[f"on_{name}"] = stand(name, age_days=dice.choice((25, 38)), air=sensor)
            later = load("18:00 | 15m on, 15m off")["spans"] if dice.random() < 0.3 else []
            loads[name]["spans"] = [on_demand(), *later]
    guards: dict[str, Any] = {"watts_at_once": 70.0} if dice.random() < 0.3 else {}
    if dice.random() < 0.3:
        guards |= {"starts_apart": "30s", "starts_together": 1}
    return plan_of(site=SITE, sensors=SENSORS, guards=guards, stands=stands, **loads)


def _pump(dice: Random) -> dict[str, Any]:
    keys: dict[str, Any] = {"watts": dice.choice((20.0, 45.0))}
    if dice.random() < 0.4:
        keys |= {"flow": "meter", "flow_within": "30s"}
    if dice.random() < 0.4:
        above = dice.choice((25.0, 28.7, 31.3))
        hot: dict[str, Any] = {"name": "hot", "sensor": "air", "above": above, "until": above - 2}
        keys["variants"] = [{**hot, "spans": load("11:00 | 20m on, 10m off")["spans"]}]
    return load(f"{dice.choice((7, 15))}m on, {dice.choice((13, 15))}m off", **keys)


def _day_of(schedule: Schedule) -> Day:
    date = schedule.calendar.date_of(MIDNIGHT)
    return Day(date, *period(schedule, date, 1))


def _apart(schedule: Schedule) -> DayRun:
    found = ReadPlan(schedule.plan, (), Lines("format = 1\n"))
    return day_run(found, schedule, Groups(schedule), _day_of(schedule))


def _spells(done: DayRun) -> list[Spells]:
    return [load.on for load in done.loads.values()]


def _together(schedule: Schedule) -> tuple[Account, list[Spells]]:
    day = _day_of(schedule)
    keeper, bands = AccountKeeper(schedule), BandKeeper(schedule)
    air = air_on(schedule.plan.site, day.date).series
    run(schedule, start=day.start, end=day.end, air=air, script=None, listeners=(keeper, bands))
    return keeper.account, [tuple(spells) for spells in bands.on]


@pytest.mark.parametrize("seed", range(WORLDS))
def test_demand_apart_and_together_is_the_same(seed: int) -> None:
    """A reading that is made for one load's sake is every load's, and changes a pace."""
    schedule = make_schedule(_garden(Random(f"demand {seed}")))
    done = _apart(schedule)
    together, spells = _together(schedule)
    assert _spells(done) == spells
    assert done.account.loads == together.loads
    assert done.account.watts_max == together.watts_max
    assert Counter(done.account.remarks) == Counter(together.remarks)


def test_the_worlds_have_demand_beside_loads_that_go_by_readings() -> None:
    """Else the test above would look at less than it says."""
    gardens = [make_schedule(_garden(Random(f"demand {seed}"))) for seed in range(24)]
    paced = [any(load.drinkers for load in garden.loads) for garden in gardens]
    disturbed = [
        any(load.variants or load.flow for load in garden.loads if not load.drinkers)
        for garden in gardens
    ]
    assert sum(paced) > 12
    assert sum(one and other for one, other in zip(paced, disturbed, strict=True)) > 3


@pytest.mark.parametrize(
    "edit", [{"age_days": 14}, {"medium_ml": 300.0}, {"plants_per_m2": 50.0}, {"reserve": 0.6}]
)
def test_another_stand_is_another_day(edit: dict[str, Any]) -> None:
    """What was remembered of a load is not told again when its stand has changed."""
    pump = load(kind="pump") | {"spans": [on_demand()]}
    almanac = Almanac()

    def schedule(**keys: Any) -> Schedule:
        stands = {"heads": stand(**keys)}
        plan = plan_of(site=SITE, sensors=SENSORS, stands=stands, pump=pump)
        return make_schedule(plan, almanac)

    before = _apart(schedule())
    after = _apart(schedule(**edit))
    assert _spells(after) != _spells(before)
    assert _spells(after) == _together(schedule(**edit))[1]


def test_another_price_is_another_cost() -> None:
    """What was remembered of a load is not told again at the old price."""
    pump = load("15m on, 15m off", watts=20.0)
    almanac = Almanac()

    def cost(price: float) -> float | None:
        plan = plan_of(site=SITE, pump=pump)
        energy = Energy(price_per_kwh=price, currency="CHF")
        schedule = make_schedule(plan.model_copy(update={"energy": energy}), almanac)
        return _apart(schedule).account.cost

    assert cost(0.2) == pytest.approx(0.048)
    assert cost(0.4) == pytest.approx(0.096)
