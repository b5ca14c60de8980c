"""The water of whole runs: what faults, dry reservoirs and lamps do to roots; findings; JSON."""

from __future__ import annotations

import json
from typing import Any

import pytest

from controller.core.findings import Finding
from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, HOUR_MS
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.air import air_of
from controller.dry_run.fault_script import read_fault_script
from controller.dry_run.run import run
from controller.dry_run.water.water_account import WaterAccount
from controller.dry_run.water.water_json import water_json
from controller.dry_run.water.water_keeper import WaterKeeper, tells_of_water
from controller.paper.run_water import water_findings
from tests.worlds import GARDEN, MIDNIGHT, load, plan_of, stand

LIFT: dict[str, Any] = {
    "height_m": 1.5,
    "shut_off_head_m": 2.2,
    "free_flow_l_per_h": 1200.0,
    "hose_bore_mm": 16.0,
    "hose_length_m": 3.0,
}


def garden(*, tank: dict[str, float] | None = None, **tables: Any) -> Plan:
    """A pump of quarters of an hour with forty heads; it draws from a tank if there is one."""
    return garden_of("15m on, 15m off", tank=tank, **tables)


def garden_of(cycle: str, *, tank: dict[str, float] | None = None, **tables: Any) -> Plan:
    """The same with a pump of another cycle."""
    pump = load(cycle, watts=22.0)
    usual = {"pump": pump, "stands": {"heads": stand(air=None)}}
    if tank is None:
        return plan_of(**usual | tables)
    return Plan.model_validate(
        {
            "format": 1,
            "site": GARDEN,
            "loads": {"pump": {"line": 17, "reservoir": "tank", **pump}},
            "stands": usual["stands"],
            "reservoirs": {"tank": tank},
        }
    )


def water_of(plan: Plan, *, days: int = 2, faults: str = "") -> WaterAccount:
    """The water of a run from midnight on."""
    schedule = make_schedule(plan)
    end = MIDNIGHT + days * DAY_MS
    keeper = WaterKeeper(schedule, None, start=MIDNIGHT, end=end)
    script = read_fault_script(faults.encode(), "faults.toml") if faults else None
    first, last = schedule.calendar.date_of(MIDNIGHT), schedule.calendar.date_of(end - 1)
    run(
        schedule,
        start=MIDNIGHT,
        end=end,
        air=air_of(plan.site, None, first=first, last=last).series,
        script=script,
        listeners=[AccountKeeper(schedule), keeper],
    )
    return keeper.account


def found_in(plan: Plan, water: WaterAccount) -> list[Finding]:
    """The findings about water."""
    return water_findings(make_schedule(plan), water)


def test_a_plan_without_water_costs_nothing() -> None:
    """No stand, lift, reservoir or weather: nothing to account for."""
    assert not tells_of_water(garden(stands={}), None)
    assert tells_of_water(garden(), None)
    assert tells_of_water(garden(stands={}, pump=load("15m on, 15m off", lift=LIFT)), None)


def test_the_days_of_a_stand_add_up_to_its_run() -> None:
    """Two days, each with what a plant drank; roots are driest by day."""
    water = water_of(garden())
    heads = water.stands["heads"]
    assert [day.date.isoformat() for day in heads.days] == ["2026-06-01", "2026-06-02"]
    assert sum(day.transpired_ml.likely for day in heads.days) == pytest.approx(
        heads.transpired_ml.likely
    )
    assert heads.driest is not None
    assert 6 <= (heads.driest.instant - MIDNIGHT) % DAY_MS / HOUR_MS <= 18
    assert set(water.courses["heads"]) == {water.warmest, water.mildest}


@pytest.mark.parametrize(
    "fault",
    [
        'kind = "power_out"\nfrom = "2026-06-01T10:00"\nuntil = "2026-06-01T16:00"',
        'kind = "pump_fails"\nload = "pump"\nfrom = "2026-06-01T10:00"\nuntil = "2026-06-01T16:00"',
    ],
    ids=["no power", "a pump that fails"],
)
def test_roots_dry_out_while_no_water_moves(fault: str) -> None:
    """Six hours of a June day without water: plants lack, and it ends with the fault."""
    whole, broken = water_of(garden()), water_of(garden(), faults=f"[[faults]]\n{fault}\n")
    before, heads = whole.stands["heads"], broken.stands["heads"]
    assert before.thirst_ml.likely == 0.0
    assert heads.thirst_ml.likely > 20.0
    assert heads.driest is not None
    assert heads.driest.left_share.likely == 0.0
    assert heads.days[1].thirst_ml.likely == 0.0
    drunk_ml = heads.transpired_ml.likely + heads.thirst_ml.likely
    assert drunk_ml == pytest.approx(before.transpired_ml.likely)
    assert [(one.level, one.where) for one in found_in(garden(), broken)][:2] == [
        ("warning", "stands.heads"),
        ("warning", "stands.heads"),
    ]


def test_nothing_comes_down_from_an_empty_reservoir() -> None:
    """Ten litres above the inlet last forty grown heads for a day or two; then roots dry out."""
    plan = garden(tank={"full_l": 12.0, "inlet_at_l": 2.0})
    water = water_of(plan, days=4)
    one, heads = water.reservoirs["tank"], water.stands["heads"]
    likely = one.dry_at.likely
    assert likely is not None
    assert one.dry_at.earliest is not None
    assert MIDNIGHT < one.dry_at.earliest < likely < MIDNIGHT + 4 * DAY_MS
    assert one.left_alone.water_l(likely).likely == pytest.approx(2.0, abs=1e-3)
    assert heads.days[3].thirst_ml.likely > 0.0
    assert "warning reservoirs.tank" in [f"{f.level} {f.where}" for f in found_in(plan, water)]


def test_a_reservoir_with_a_mark_is_filled_up_and_never_dry() -> None:
    """Somebody fills it whenever it falls to top_up_at_l, so no root lacks anything."""
    plan = garden(tank={"full_l": 12.0, "inlet_at_l": 2.0, "top_up_at_l": 4.0})
    water = water_of(plan, days=4)
    one = water.reservoirs["tank"]
    assert one.dry_at == (None, None, None)
    assert one.happened.likely.top_ups
    assert water.stands["heads"].thirst_ml.likely == 0.0


def test_lamps_make_plants_thirsty_only_while_they_are_lit() -> None:
    """A lamp of 16 h that the power takes away for 8 of them: less is drunk."""
    lit = stand(place="under-lamps", lamp="lamps", ppfd_umol=220.0, air=None)
    tables = {
        "lamps": load("06:00 | on", "22:00 | off", kind="lamp"),
        "stands": {"heads": lit},
    }
    fault = (
        '[[faults]]\nkind = "hold"\nload = "lamps"\norder = "off"\nfor = "8h"\n'
        'at = "2026-06-01T08:00"\n'
    )
    whole, dark = water_of(garden(**tables)), water_of(garden(**tables), faults=fault)
    of_whole, of_dark = (one.stands["heads"].days for one in (whole, dark))
    assert of_dark[0].transpired_ml.likely < 0.9 * of_whole[0].transpired_ml.likely
    assert of_dark[1].transpired_ml.likely == pytest.approx(of_whole[1].transpired_ml.likely)


def test_a_stated_reserve_is_a_limit_and_an_assumed_one_a_warning() -> None:
    """Roots that fall below it in all likelihood: exit code 1 only if the plan says so."""
    assumed = garden(pump=load("15m on, 3h off"))
    stated = garden(pump=load("15m on, 3h off"), stands={"heads": stand(air=None, reserve=0.3)})
    for plan, level, where in (
        (assumed, "warning", "stands.heads"),
        (stated, "error", "stands.heads.reserve"),
    ):
        first = found_in(plan, water_of(plan))[0]
        assert (first.level, first.where) == (level, where)
        assert "the reserve is 30 %" in first.message


def test_a_pump_that_does_not_lift_is_an_error_in_its_own_words() -> None:
    """A pump of 2.2 m before a column of 3 m."""
    plan = garden(stands={}, pump=load("15m on, 15m off", lift=LIFT | {"height_m": 3.0}))
    water = water_of(plan, days=1)
    assert water.lifts["pump"].plants == 0
    (found,) = found_in(plan, water)
    assert (found.level, found.where) == ("error", "loads.pump.lift")
    assert found.message.startswith("This pump does not lift that high: it ends 0.8 m below")


@pytest.mark.parametrize(
    ("height_m", "drawn"),
    [
        (1.5, (True, True, True)),
        (2.1, (True, True, True)),  # a weaker one brings nothing: the plants want it all the same
        (2.3, (False, False, True)),  # one that is stronger than its label brings a little
        (3.0, (False, False, False)),
    ],
)
def test_a_pump_that_does_not_lift_draws_no_water(
    height_m: float, drawn: tuple[bool, bool, bool]
) -> None:
    """What never comes down is not drunk, so that the reservoir and the plants tell of one water:
    0.5 L a day evaporate whatever the pump does."""
    pump = load("15m on, 15m off", lift=LIFT | {"height_m": height_m, "hose_length_m": 3.5})
    plan = Plan.model_validate(
        {
            "format": 1,
            "site": GARDEN,
            "loads": {"pump": {"line": 17, "reservoir": "tank", **pump}},
            "stands": {"heads": stand(air=None, drip_ml_per_min=None)},
            "reservoirs": {"tank": {"full_l": 60, "inlet_at_l": 8, "losses_l_per_day": 0.5}},
        }
    )
    outlook = water_of(plan, days=2).reservoirs["tank"].left_alone
    left_l = outlook.water_l(outlook.end)
    assert [one < 59.0 - 1e-9 for one in (left_l.high, left_l.likely, left_l.low)] == list(drawn)


@pytest.mark.parametrize(
    ("cycle", "is_told"), [("5m on, 4h off", True), ("15m on, 15m off", False)]
)
def test_a_reservoir_whose_plants_thirst_falls_more_slowly_than_told(
    cycle: str, *, is_told: bool
) -> None:
    """Its course is that of what plants want; what of that they got is told beside it."""
    plan = garden_of(cycle, tank={"full_l": 200, "inlet_at_l": 8})
    water = water_of(plan)
    notes = [one for one in found_in(plan, water) if "more slowly" in one.message]
    assert len(notes) == is_told
    if is_told:
        heads = water.stands["heads"]
        got_ml, lacked_ml = heads.transpired_ml.likely, heads.thirst_ml.likely
        share = round(100 * got_ml / (got_ml + lacked_ml))
        assert (notes[0].level, notes[0].where) == ("note", "reservoirs.tank")
        assert f"they got {share} % of that" in notes[0].message
        assert notes[0].mend == "see stands.heads"


def test_a_stand_that_is_sown_later_is_told_so() -> None:
    """No roots, no figures; the run goes on."""
    later = {"heads": stand(air=None, age_days=None, sown="2026-07-01")}
    plan = garden(stands=later)
    water = water_of(plan, days=1)
    assert water.stands["heads"].driest is None
    assert "not sown in this run" in found_in(plan, water)[0].message
    assert json.loads(json.dumps(water_json(water)))["stands"]["heads"]["driest_utc"] is None


def test_the_account_as_json_has_ranges_as_objects() -> None:
    """Days with their date, ET0 and every stand; all of it plain JSON."""
    plan = garden(pump=load("15m on, 15m off", lift=LIFT))
    told = json.loads(json.dumps(water_json(water_of(plan)), allow_nan=False))
    assert list(told) == ["days", "stands", "lifts", "reservoirs", "assumptions"]
    day = told["days"][0]
    assert (day["date"], day["et0_mm"] > 2) == ("2026-06-01", True)
    heads = day["stands"]["heads"]
    assert list(heads["transpired_ml"]) == ["low", "likely", "high"]
    assert 0 <= heads["driest_share"]["low"] <= heads["driest_share"]["high"] <= 1
    assert heads["driest_utc"].startswith("2026-06-01T")
    assert told["lifts"]["pump"]["lifts"] is True
