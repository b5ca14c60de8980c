"""One date of a plan, as JSON and as text."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from controller.core.plan import Plan
from controller.core.schedule import Schedule, make_schedule
from controller.report.day import day_json, day_text
from tests.worlds import load, on_demand, plan_of, stand


def _schedule(site: dict[str, Any], *spans: tuple[str, str]) -> Schedule:
    pump = {
        "kind": "pump",
        "line": 17,
        "active": "low",
        "spans": [{"from": anchor, "cycle": cycle} for anchor, cycle in spans],
    }
    plan = {"format": 1, "site": site, "loads": {"pump": pump}}
    return make_schedule(Plan.model_validate(plan))


_ZURICH = {"latitude": 47.1, "longitude": 8.3, "timezone": "Europe/Zurich"}
_TROMSO = {"latitude": 69.65, "longitude": 18.96, "timezone": "Europe/Oslo"}


def test_spans_come_in_the_order_in_which_they_start() -> None:
    """The list follows the clock, not the plan's order of listing."""
    schedule = _schedule(
        _ZURICH, ("sunset + 1h", "15m on, 45m off"), ("sunrise - 30m", "15m on, 15m off")
    )
    told: Any = day_json(schedule, date(2026, 7, 1))
    assert told["date"] == "2026-07-01"
    assert told["loads"]["pump"]["spans"] == [
        {
            "start_utc": "2026-07-01T03:05:16Z",
            "from": "sunrise - 30m",
            "cycle": "15m on, 15m off",
        },
        {
            "start_utc": "2026-07-01T20:25:52Z",
            "from": "sunset + 1h",
            "cycle": "15m on, 45m off",
        },
    ]
    assert told["anchors"] == {
        "sunrise": "2026-07-01T03:35:16Z",
        "sunset": "2026-07-01T19:25:52Z",
        "dawn": "2026-07-01T02:55:33Z",
        "dusk": "2026-07-01T20:05:30Z",
    }
    assert told["absences"] == {}


def test_events_that_do_not_happen_are_null_with_a_reason_beside() -> None:
    """In polar night there is no sunrise, but a dawn."""
    schedule = _schedule(_TROMSO, ("sunrise", "15m on, 15m off"))
    told: Any = day_json(schedule, date(2026, 12, 24))
    assert told["anchors"]["sunrise"] is None
    assert told["anchors"]["dawn"] == "2026-12-24T08:32:11Z"
    assert told["absences"] == {
        "sunrise": "none: the sun stays down",
        "sunset": "none: the sun stays down",
    }
    # The span stands at solar noon, and says so by its start.
    assert told["loads"]["pump"]["spans"][0]["start_utc"] == "2026-12-24T10:43:42Z"


def test_what_is_in_force_at_midnight_is_told_beside() -> None:
    """The day begins in a span that yesterday's anchor started."""
    schedule = _schedule(_ZURICH, ("22:00", "15m on, 45m off"))
    told: Any = day_json(schedule, date(2026, 7, 1))
    assert told["loads"]["pump"]["in_force_at_midnight"] == {
        "start_utc": "2026-06-30T20:00:00Z",
        "from": "22:00",
        "cycle": "15m on, 45m off",
    }


def test_the_text_is_for_people_in_local_time() -> None:
    """The night on which the clocks change says how long it is."""
    schedule = _schedule(_ZURICH, ("02:30", "15m on, 15m off"), ("12:00", "off"))
    assert day_text(schedule, date(2026, 3, 29), width=80) == (
        "Sunday 29 March 2026, Europe/Zurich, 23 h long\n"
        "\n"
        "  dawn     06:41:25\n"
        "  sunrise  07:12:06\n"
        "  sunset   19:51:51\n"
        "  dusk     20:22:38\n"
        "\n"
        "pump (pump)\n"
        "  before that: off, since 12:00 on 28 Mar\n"
        "  03:00  15m on, 15m off   (02:30)\n"
        "  12:00  off"
    )


def test_a_span_on_demand_is_told_as_such_with_its_bounds() -> None:
    """Its fixed cycle is what is done while the air is not known, and not what it is."""
    pump = load(kind="pump") | {"spans": [on_demand("06:00", shortest_rest="4m")]}
    plan = plan_of(
        sensors={"air": {"measures": "air_temperature"}}, stands={"heads": stand()}, pump=pump
    )
    schedule = make_schedule(plan)
    told: Any = day_json(schedule, date(2026, 7, 1))
    assert told["loads"]["pump"]["spans"] == [
        {"start_utc": "2026-07-01T06:00:00Z", "from": "06:00", "cycle": "demand"}
    ]
    assert told["loads"]["pump"]["in_force_at_midnight"]["cycle"] == "demand"
    lines = day_text(schedule, date(2026, 7, 1), width=100).splitlines()
    assert lines[-1] == (
        "  06:00  on demand, rests of 4m to 45m; 15m on, 15m off while the air is not known"
    )


def _wide() -> Schedule:
    """A plan with everything that makes long lines: demands, a long cycle, variants, names."""
    demand = on_demand("sunrise - 1h30m", longest_rest="1h17m30s", shortest_rest="4m30s")
    many = {"from": "sunset + 2h15m", "cycle": ", ".join(["1m30s on, 12m45s off"] * 6)}
    pump = load(kind="pump", variants=[{"name": "w" * 30, "by_hand": True, "spans": [demand]}])
    pump |= {"spans": [demand, many]}
    name = "a_pump_with_a_name_that_goes_on_and_on"
    return make_schedule(
        plan_of(
            site={"latitude": 5.0, "longitude": -52.3, "timezone": "America/Cayenne"},
            sensors={"air": {"measures": "air_temperature"}},
            stands={"heads": stand(name)},
            **{name: pump},
        )
    )


@pytest.mark.parametrize("width", [40, 57, 80, 100])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    """What does not fit goes on in the next line, and nothing of it is lost."""
    day = date(2026, 7, 1)
    text = day_text(_wide(), day, width=width)
    assert max(map(len, text.splitlines())) <= width
    assert text.split() == day_text(_wide(), day, width=10_000).split()


def test_a_long_span_goes_on_below_its_own_words() -> None:
    """The clock times stay in a column of their own."""
    pump = load(kind="pump") | {"spans": [on_demand("sunrise", shortest_rest="4m")]}
    plan = plan_of(
        sensors={"air": {"measures": "air_temperature"}}, stands={"heads": stand()}, pump=pump
    )
    lines = day_text(make_schedule(plan), date(2026, 7, 1), width=80).splitlines()
    assert lines[-4:] == [
        "  before that: on demand, rests of 4m to 45m; 15m on, 15m off while the air is",
        "    not known, since 04:07:54 on 30 Jun",
        "  04:08:28  on demand, rests of 4m to 45m; 15m on, 15m off while the air is not",
        "            known (sunrise)",
    ]
