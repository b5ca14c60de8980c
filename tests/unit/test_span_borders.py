"""Where a span on demand ends: how long its roots may stay dry, and what `check` says of it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from controller.core.findings import Finding
from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.year.span_borders import runs_where_spans_meet
from controller.core.year.span_list import SpanList
from controller.core.year.walk import walk
from tests.worlds import Driver, load, ms, on_demand, plan_of, spans, stand

AIR = {"air": {"measures": "air_temperature", "stale_after": "20m"}}
MEND = "let the next span begin with water, or state a longer limit if the roots can bear it"


def garden(
    *then: str, limit: str | None = "50m", bounds: dict[str, str] | None = None, **keys: Any
) -> Plan:
    """A pump on demand from six on, with the spans that follow and a limit on the dry gap."""
    pump = load(kind="pump", **keys)
    pump["spans"] = [on_demand("06:00", **(bounds or {})), *spans(*then)]
    if limit is not None:
        pump["limits"] = {"longest_dry_gap": limit}
    return plan_of(sensors=AIR, stands={"heads": stand(medium="mineral-wool")}, pump=pump)


def found(plan: Plan) -> list[Finding]:
    """What the walk through the year finds."""
    return walk(make_schedule(plan), date(2026, 1, 1))


def told(plan: Plan) -> list[str]:
    """The messages of it."""
    return [finding.message for finding in found(plan)]


def test_a_rest_that_goes_on_through_an_off_span_is_told_against_the_limit() -> None:
    """Rests of up to 45 min until 21:00, then nothing until the first on at six: 9 h 45 min."""
    assert found(garden("21:00 | off")) == [
        Finding(
            "warning",
            "loads.pump.spans",
            "pump: where a span on demand ends, its longest rest may go on through the next span, "
            "and the roots stay dry for up to 9 h 45 min on 1 Jan 2026 from 20:15; the limit "
            "longest_dry_gap is 50m",
            MEND,
        )
    ]


def test_the_off_span_that_is_longest_in_the_year_tells() -> None:
    """The earliest sunset is around 10 December (almanac), and the warning names its day."""
    (message,) = told(garden("sunset | off"))
    assert "up to 14 h 35 min on 10 Dec 2026 from 15:25" in message


@pytest.mark.parametrize(
    ("then", "limit"),
    [
        (("21:00 | off",), None),  # the plan does not state how long roots may stay dry
        (("21:00 | off",), "9h45m"),  # just as long
        (("21:00 | 15m on, 45m off", "23:00 | off", "23:30 | 15m on, 15m off"), "50m"),
        (("21:00 | on", "21:05 | off", "21:40 | 15m on, 45m off"), "50m"),  # water between
        ((), "50m"),  # the demand goes on from day to day
    ],
)
def test_nothing_is_told_where_the_limit_holds(then: tuple[str, ...], limit: str | None) -> None:
    """A warning is for what the plan itself says should not be."""
    assert told(garden(*then, limit=limit)) == []


def test_an_off_span_between_two_demands_counts_until_the_second_waters() -> None:
    """20 min off after a rest of 45, and the second demand waters at once, its own longest being
    shorter; were it longer, roots might wait for that."""
    short = plan_with_two_demands(longest_rest="30m")
    long = plan_with_two_demands(longest_rest="1h30m")
    assert ["up to 1 h 5 min on" in message for message in told(short)] == [True]
    assert ["up to 1 h 30 min on" in message for message in told(long)] == [True]


def plan_with_two_demands(**bounds: str) -> Plan:
    """Rests of up to 45 min until noon, 20 min off, then rests within other bounds."""
    pump = load(kind="pump", limits={"longest_dry_gap": "50m"})
    pump["spans"] = [
        on_demand("00:00"),
        *spans("12:00 | off"),
        on_demand("12:20", **bounds),
    ]
    return plan_of(sensors=AIR, stands={"heads": stand(medium="mineral-wool")}, pump=pump)


def test_a_variant_on_demand_is_told_by_its_name() -> None:
    """Its spans meet each other as the load's own do."""
    care = {"name": "care", "by_hand": True}
    care |= {"spans": [on_demand("06:00"), *spans("21:00 | off")]}
    pump = load("15m on, 15m off", variants=[care], limits={"longest_dry_gap": "50m"})
    plan = plan_of(sensors=AIR, stands={"heads": stand(medium="mineral-wool")}, pump=pump)
    (finding,) = found(plan)
    assert finding.where == "loads.pump.variants.0.spans"
    assert finding.message.startswith("pump, variant care: where a span on demand ends, ")


def test_where_every_span_waters_a_long_rest_is_told_against_the_spans_own() -> None:
    """45 min on demand and 45 min before the first watering of the night are an hour and a half,
    and no span has more than 45; it needs no limit to be a surprise."""
    assert told(garden("21:00 | 45m off, 15m on", limit=None)) == [
        "pump: where spans meet, the roots stay dry for up to 1 h 30 min on 1 Jan 2026 from 20:15, "
        "longer than any cycle's own rest of 45 min"
    ]


@pytest.mark.parametrize(("days", "often"), [(1, "once"), (2, "twice"), (3, "3 times")])
def test_waterings_that_run_together_are_counted_as_people_count(days: int, often: str) -> None:
    """20 min at the end of the night and 20 min at the start of the day, on each of the days."""
    pump = load("00:00 | 10m off, 20m on", "06:00 | 20m on, 10m off", longest_on="30m")
    schedule = make_schedule(plan_of(pump=pump))
    only = SpanList(schedule.loads[0], schedule.loads[0].own, "loads.pump.spans", "pump")
    findings = runs_where_spans_meet(schedule.calendar, only, range(20_600, 20_600 + days))
    (note,) = (finding.message for finding in findings if finding.level == "note")
    assert f"waterings run together {often} in the year, longest 40m on" in note


def test_a_rest_that_a_demand_allows_anyway_is_no_surprise() -> None:
    """25 min off before a demand whose rests may last 45 are as planned."""
    assert told(garden("21:00 | 5m on, 25m off", bounds={"fixed": "5m off, 5m on"})) == []


def test_what_is_warned_of_can_happen() -> None:
    """In cold air roots are left dry from the last rest of the evening until six, by `decide`
    itself, and never for longer than the warning says."""
    plan = garden("21:00 | off")
    driver = Driver(plan, start=make_schedule(plan).calendar.midnight(20_600), is_settled=True)
    driver.advance("18h")
    driver.sense(air=2.0)
    driver.forget()
    driver.advance("14h")
    offs = [change for change in driver.changes if not change.is_on]
    ons = [change for change in driver.changes if change.is_on]
    gaps = [
        min(on.instant for on in ons if on.instant > off.instant) - off.instant
        for off in offs
        if off.instant < ons[-1].instant
    ]
    assert ms("9h15m") < max(gaps) <= ms("9h45m")
