"""Findings of a run: broken limits with their figures, warnings, notes, and their order."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from controller.core.findings import Finding
from controller.core.orders import AlarmCode, Event, Notice, Reason, Why
from controller.core.schedule import Schedule
from controller.core.units import DAY_MS, MINUTE_MS, parse_rfc3339
from controller.dry_run.account import Account, Remark
from controller.dry_run.account_keeper import AccountKeeper
from controller.paper.run_findings import breaks_a_limit, findings
from tests.planned_runs import PLANNED, account_of_days, load, schedule_of

START = parse_rfc3339("2026-06-01T00:00:00Z")
M = MINUTE_MS
QUARTERS = "15m on, 15m off"


def found_of(loads: dict[str, dict[str, Any]], days: int = 1, **tables: Any) -> list[Finding]:
    """The findings of a plan carried out undisturbed from 1 June on."""
    schedule = schedule_of(loads, **tables)
    return findings(schedule, account_of_days(schedule, "2026-06-01", days))


def one_limit(limit: str, value: object, cycle: str = QUARTERS, **keys: Any) -> list[Finding]:
    """The findings of a day of one pump with one limit."""
    return found_of({"pump": load(cycle, limits={limit: value}, **keys)})


@pytest.mark.parametrize(
    ("limit", "kept", "broken", "message"),
    [
        (
            "longest_dry_gap",
            "15m",
            "14m59.5s",
            "dry for 15 min, Mon 1 Jun 00:15 to 00:30; the limit is 14 min 59.5 s",
        ),
        ("starts_per_day", 47, 46, "47 waterings on its busiest day; the limit is 46"),
        (
            "on_per_day",
            "12h",
            "11h59m",
            "on for 12 h of its longest day; the limit is 11 h 59 min",
        ),
        (
            "energy_per_month_kwh",
            8.035335,  # 22 W for half of 30.436875 days
            8.0353,
            "8.04 kWh a month at the rate of these 24 h; the limit is 8.04 kWh",
        ),
    ],
)
def test_a_load_s_limit_is_kept_or_broken(
    limit: str, kept: object, broken: object, message: str
) -> None:
    """What is met exactly is kept; what is missed by a little is an error with its figure."""
    assert one_limit(limit, kept, watts=22.0) == []
    found = one_limit(limit, broken, watts=22.0)
    assert [(f.level, f.where, f.message) for f in found] == [
        ("error", f"loads.pump.limits.{limit}", message)
    ]
    assert breaks_a_limit(found)


@pytest.mark.parametrize(
    ("spans", "mend"),
    [
        (
            [{"from": "00:00", "cycle": QUARTERS}, {"from": "20:00", "cycle": "15m on, 2h off"}],
            "shorten the off steps of the span from 20:00 (15m on, 2h off), or raise the limit",
        ),
        (
            [{"from": "00:00", "cycle": QUARTERS}, {"from": "20:00", "cycle": "off"}],
            "shorten the off steps of the span from 20:00 (off), or raise the limit",
        ),
        (
            [
                {"from": "00:00", "cycle": "15m on, 45m off"},
                {"from": "12:00", "cycle": "45m off, 15m on"},
            ],
            "here the span from 00:00 (15m on, 45m off) ends and another begins: let the next one "
            "begin with an on step, or move its start",
        ),
    ],
)
def test_a_gap_that_the_plan_makes_is_mended_in_the_plan(
    spans: list[dict[str, str]], mend: str
) -> None:
    """The span with the long off step is named, or the seam between two spans."""
    pump = load("off", limits={"longest_dry_gap": "50m"})
    pump["spans"] = spans
    found = found_of({"pump": pump})
    assert [f.mend for f in found if f.level == "error"] == [mend]


def test_a_gap_that_the_plan_does_not_make_is_looked_up() -> None:
    """The plan waters at 00:30, and the pump was kept off."""
    schedule = schedule_of({"pump": load(QUARTERS, limits={"longest_dry_gap": "50m"})})
    keeper = AccountKeeper(schedule)
    keeper.begin(START, [(True, PLANNED)])
    keeper.change(START + 15 * M, 0, PLANNED, is_on=False, is_wet=False)
    keeper.change(START + 75 * M, 0, PLANNED, is_on=True, is_wet=True)
    keeper.finish(START + 80 * M)
    (found,) = findings(schedule, keeper.account)
    assert found.mend == (
        "the plan has it on at 00:30: see in the events file what kept it from that"
    )


def test_a_gap_in_the_middle_of_a_planned_watering_is_looked_up() -> None:
    """The pump went off while the plan had it on."""
    schedule = schedule_of({"pump": load("on", limits={"longest_dry_gap": "5m"})})
    keeper = AccountKeeper(schedule)
    keeper.begin(START, [(True, PLANNED)])
    keeper.change(START + 15 * M, 0, Reason(Why.NO_POWER), is_on=False, is_wet=False)
    keeper.change(START + 25 * M, 0, PLANNED, is_on=True, is_wet=True)
    keeper.finish(START + 80 * M)
    found = findings(schedule, keeper.account)
    assert found[0].mend.startswith("the plan has it on at 00:15: ")


def test_a_gap_without_a_span_is_told_as_one() -> None:
    """A pump that follows a lamp which is never on has no span at all."""
    pump = load("on", start="lamp on", limits={"longest_dry_gap": "5m"})
    found = found_of({"lamp": load("off", kind="lamp"), "pump": pump})
    assert found[0].mend == "shorten the off steps of the time without a span, or raise the limit"


def test_a_lamp_s_gap_is_not_called_dry() -> None:
    """The limit holds for every kind of load."""
    (found,) = found_of(
        {"lamp": load("1h on, 1h off", kind="lamp", limits={"longest_dry_gap": "30m"})}
    )
    assert found.message.startswith("off for 1 h, ")


@pytest.mark.parametrize(
    ("limits", "message"),
    [
        ({"energy_per_month_kwh": 20.0}, None),  # 2 x 8.04 kWh: kept
        (
            {"energy_per_month_kwh": 16.0},
            "16.1 kWh a month at the rate of these 24 h; the limit is 16 kWh",
        ),
        ({"cost_per_month": 5.0}, None),  # 16.07 kWh at 0.30: kept
        (
            {"cost_per_month": 4.8},
            "4.82 EUR a month at the rate of these 24 h; the limit is 4.8 EUR",
        ),
        ({"watts_at_once": 44.0}, None),  # met exactly: kept
        (
            {"watts_at_once": 43.9},
            "44 W at once, first Mon 1 Jun 00:00; the limit is 43.9 W",
        ),
    ],
)
def test_a_limit_of_the_site_is_kept_or_broken(
    limits: dict[str, object], message: str | None
) -> None:
    """Over all loads together."""
    pumps = {name: load(QUARTERS, watts=22.0) for name in ("a", "b")}
    found = found_of(pumps, limits=limits, energy={"price_per_kwh": 0.3, "currency": "EUR"})
    (key,) = limits
    expected = [] if message is None else [("error", f"limits.{key}", message)]
    assert [(f.level, f.where, f.message) for f in found] == expected


def test_the_greatest_consumer_is_named() -> None:
    """Where to save."""
    loads = {"pump": load(QUARTERS, watts=20.0), "lamp": load("on", kind="lamp", watts=90.0)}
    (found,) = found_of(loads, limits={"energy_per_month_kwh": 1.0})
    assert found.mend == "lamp draws 90 % of it: shorten its time on, or raise the limit"


@pytest.mark.parametrize(
    ("limits", "of_load", "where"),
    [
        ({}, {"energy_per_month_kwh": 5.0}, "loads.a.limits.energy_per_month_kwh"),
        ({"energy_per_month_kwh": 50.0}, {}, "limits.energy_per_month_kwh"),
        ({"cost_per_month": 50.0}, {}, "limits.cost_per_month"),
        ({"watts_at_once": 50.0}, {}, "limits.watts_at_once"),
    ],
)
def test_a_limit_that_unknown_watts_leave_open_is_an_error(
    limits: dict[str, object], of_load: dict[str, object], where: str
) -> None:
    """It cannot be told, so it is not held; the message says whose watts are wanting."""
    loads = {"a": load(QUARTERS, limits=of_load), "b": load(QUARTERS, watts=22.0)}
    (found,) = found_of(loads, limits=limits, energy={"price_per_kwh": 0.3, "currency": "EUR"})
    assert (found.level, found.where) == ("error", where)
    assert found.message.startswith("cannot be told: the plan does not say how many watts")


def test_a_limit_broken_by_known_watts_alone_is_broken() -> None:
    """What the others draw would only make it worse."""
    loads = {"a": load(QUARTERS), "b": load(QUARTERS, watts=22.0)}
    (found,) = found_of(loads, limits={"energy_per_month_kwh": 8.0})
    assert found.message.startswith("8.04 kWh a month")


def test_a_cost_limit_without_a_price_cannot_be_told() -> None:
    """The plan must say what energy costs."""
    (found,) = found_of({"a": load(QUARTERS, watts=22.0)}, limits={"cost_per_month": 1.0})
    assert found == Finding(
        "error",
        "limits.cost_per_month",
        "cannot be told: the plan does not say what energy costs",
        "write price_per_kwh and currency under [energy]",
    )


def test_an_ordinary_run_has_nothing_to_tell() -> None:
    """Quarters all day, every limit far away: no finding, exit code 0."""
    found = found_of({"pump": load(QUARTERS)}, days=7)
    assert found == []
    assert not breaks_a_limit(found)


def test_a_pump_that_never_runs_is_a_warning_and_a_lamp_a_note() -> None:
    """Dry roots are worse than a dark shelf."""
    found = found_of({"lamp": load("off", kind="lamp"), "pump": load("off")})
    assert [(f.level, f.where, f.message) for f in found] == [
        ("warning", "loads.pump", "never watered in these 24 h"),
        ("note", "loads.lamp", "was never on in these 24 h"),
    ]


@pytest.mark.parametrize(
    ("cycle", "lamp", "message"),
    [
        # On 1 June at 47 degrees north the sun is up from before 05:00 to after 19:00.
        ("15m on, 5h off", (), "dry for 5 h, 5 h of it in the light: "),
        ("15m on, 4h off", (), None),  # four hours of light, not more
        # Under lamps the plants' day is the lamps': on from 20:00 to 02:00 or to 12:00.
        ("15m on, 5h off", ("20:00", "02:00"), None),
        ("15m on, 5h off", ("20:00", "12:00"), "dry for 5 h, 5 h of it in the light: "),
    ],
)
def test_long_gaps_in_the_light_are_told(
    cycle: str, lamp: tuple[str, ...], message: str | None
) -> None:
    """More than four hours without water by day; of gaps alike the first counts."""
    loads = {"pump": load(cycle, start="06:00")}
    if lamp:
        loads["lamp"] = load("off", kind="lamp")
        loads["lamp"]["spans"] = [
            {"from": lamp[0], "cycle": "on"},
            {"from": lamp[1], "cycle": "off"},
        ]
    found = [f.message for f in found_of(loads) if f.level == "warning"]
    expected = [] if message is None else [f"{message}Mon 1 Jun 06:15 to 11:15"]
    assert found == expected


def disturbed(*spells: tuple[int, int, Why], length_ms: int = DAY_MS) -> list[Finding]:
    """The findings of a pump that other rules keep off, each from so many minutes on for so
    many, and that is on otherwise."""
    schedule = schedule_of({"pump": load("on", longest_on="45m")})
    keeper = AccountKeeper(schedule)
    keeper.begin(START, [(True, PLANNED)])
    for begin_min, length_min, why in spells:
        at = START + begin_min * M
        keeper.change(at, 0, Reason(why), is_on=False, is_wet=False)
        keeper.change(at + length_min * M, 0, PLANNED, is_on=True, is_wet=True)
    keeper.finish(START + length_ms)
    return findings(schedule, keeper.account)


def test_a_guard_on_the_longest_time_on_is_told() -> None:
    """How long the load was on, when, and how long the guard kept it off."""
    spells = [(45, 1, Why.LONGEST_ON), (91, 1, Why.LONGEST_ON)]
    (found,) = disturbed(*spells, length_ms=100 * M)
    assert (found.level, found.where) == ("warning", "loads.pump.longest_on")
    assert found.message == (
        "switched off by its guard after 45 min on, as at Mon 1 Jun 00:00 to 00:45, and kept "
        "off for 2 min in all"
    )


def test_guards_that_decide_more_than_a_tenth_are_told_by_their_share() -> None:
    """The longest first; exactly a tenth is not told."""
    spells = [(60, 100, Why.LEVEL_LOW), (300, 45, Why.NO_POWER)]
    (found,) = disturbed(*spells)
    assert found.message == (
        "guards and faults, not the plan, decided 10.1 % of the time: reservoir low 1 h 40 "
        "min, no power 45 min"
    )
    assert disturbed((60, 144, Why.LEVEL_LOW)) == []


def test_a_variant_or_a_person_is_no_guard() -> None:
    """They may decide for as long as they like."""
    assert disturbed((60, 200, Why.VARIANT), (300, 200, Why.HOLD)) == []


def with_remarks(*remarks: tuple[int, Notice], left_out: int = 0) -> list[Finding]:
    """The findings of an undisturbed day with these notices, so many minutes after its start."""
    schedule, account = _quiet_day()
    told = tuple(Remark(START + minutes * M, notice) for minutes, notice in remarks)
    return findings(schedule, replace(account, remarks=told, remarks_left_out=left_out))


def _quiet_day() -> tuple[Schedule, Account]:
    sensors: dict[str, object] = {"float": {"measures": "level"}}
    schedule = schedule_of({"pump": load(QUARTERS, level="float")}, sensors=sensors)
    return schedule, account_of_days(schedule, "2026-06-01", 1)


def alarm(code: AlarmCode, subject: str, detail: str = "") -> Notice:
    """The notice of an alarm, as the alarm board writes it."""
    return Notice(Event.ALARM_RAISED, subject, code.value + (f": {detail}" if detail else ""))


# What is wrong with the controller itself; no plan brings it about, so no dry run tells it.
OF_THE_CONTROLLER = {AlarmCode.RELAY, AlarmCode.JOURNAL, AlarmCode.PLAN_REFUSED}


@pytest.mark.parametrize("code", [code for code in AlarmCode if code not in OF_THE_CONTROLLER])
def test_every_alarm_is_told_with_what_to_do(code: AlarmCode) -> None:
    """Once for its subject, however often it came, with when it came first."""
    notice = alarm(code, "pump", "why")
    (found,) = with_remarks((61, notice), (200, notice))
    assert (found.level, found.where) == ("warning", "loads.pump")
    assert "Mon 1 Jun 01:01" in found.message
    assert "twice" in found.message or "2 waterings" in found.message
    assert found.mend


def test_a_silent_sensor_of_the_air_may_be_the_weather_files() -> None:
    """A file may end within the run, and no wire is to blame for hours that it has not."""
    sensors: dict[str, object] = {
        "leaf": {"measures": "air_temperature"},
        "float": {"measures": "level"},
    }
    schedule = schedule_of({"pump": load(QUARTERS)}, sensors=sensors)
    account = account_of_days(schedule, "2026-06-01", 1)
    silent = tuple(Remark(START, alarm(AlarmCode.SENSOR_SILENT, name)) for name in sensors)
    mends = {one.where: one.mend for one in findings(schedule, replace(account, remarks=silent))}
    assert mends["sensors.leaf"].startswith("on paper, take a weather file that has these hours")
    assert mends["sensors.float"].startswith("look at its wire")


def test_alarms_come_in_the_order_of_what_they_threaten() -> None:
    """Not in the order in which they came; each subject has its own."""
    found = with_remarks(
        (1, alarm(AlarmCode.SENSOR_SILENT, "float")),
        (2, alarm(AlarmCode.CLOCK_UNTRUSTED, "")),
        (3, alarm(AlarmCode.WATERING_MISSED, "pump", "starts kept apart")),
        (4, alarm(AlarmCode.LEVEL_LOW, "float")),
    )
    assert [f.where for f in found] == ["sensors.float", "loads.pump", "site", "sensors.float"]
    assert "reservoir" in found[0].message
    assert found[1].message == (
        "missed 1 watering while it waited (starts kept apart), first Mon 1 Jun 00:03"
    )


def test_refused_requests_and_stepping_clocks_are_told() -> None:
    """Each with when it happened; other notices are not findings."""
    found = with_remarks(
        (1, Notice(Event.VARIANT_ENTERED, "pump", "hot")),
        (2, Notice(Event.CLOCK_STEPPED, "", "-1h")),
        (3, Notice(Event.REQUEST_REFUSED, "", "there is no load 'x'")),
    )
    assert [(f.level, f.message) for f in found] == [
        ("warning", "Mon 1 Jun 00:03: a person's order was refused: there is no load 'x'"),
        ("note", "Mon 1 Jun 00:02: the clock stepped by -1h"),
    ]


def test_notices_that_were_left_out_are_owned_up_to() -> None:
    """What the account could not keep may hide alarms."""
    assert with_remarks(left_out=7) == [
        Finding(
            "note", "site", "7 further notices left out of this", "a shorter run tells all of them"
        )
    ]


def test_findings_come_worst_first() -> None:
    """Errors, then warnings, then notes."""
    loads = {
        "lamp": load("off", kind="lamp"),
        "pump": load("1m on, 4m off", limits={"starts_per_day": 10}),
    }
    assert [f.level for f in found_of(loads)] == ["error", "warning", "note"]


def test_a_pump_may_rest_at_night() -> None:
    """Six hours off while the sun is down are no finding."""
    pump = load("off")
    pump["spans"] = [
        {"from": "03:00", "cycle": QUARTERS},
        {"from": "21:00", "cycle": "off"},
    ]
    assert found_of({"pump": pump}) == []
