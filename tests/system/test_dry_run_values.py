"""Dry runs of whole plans against figures worked out by hand, the sums written beside them."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.units import HOUR_MS, MINUTE_MS, Instant, parse_rfc3339, rfc3339
from controller.dry_run.account import Account
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.air import air_of
from controller.dry_run.run import run
from controller.weather.air_series import DatedSeries
from tests.recorder import DryRun
from tests.worlds import load, plan_of, spans

ZURICH: dict[str, Any] = {"latitude": 47.1, "longitude": 8.3, "timezone": "Europe/Zurich"}

# A plan as growers write it, with every key that a pump needs to be safe.
PUMP: dict[str, Any] = {
    "watts": 22.0,
    "longest_on": "45m",
    "shortest_on": "5s",
    "shortest_off": "5s",
    "when_stopped": "off",
    "without_clock": "15m on, 15m off",
}


def local(text: str) -> Instant:
    """An instant by what Zurich's clocks show, its offset written out."""
    return parse_rfc3339(text)


def as_json(account: Account) -> dict[str, Any]:
    """The account of the pump as a script reads it."""
    loads: Any = account.as_json()["loads"]
    pump: dict[str, Any] = loads["pump"]
    return pump


def test_a_week_of_quarters() -> None:
    """15 on, 15 off, from midnight, for seven days.

    7 days x 24 h x 2 = 336 waterings of 15 min = 84 h. The first begins with the run, so that
    335 are switched on and 336 off, the last at 23:45: 335 + 336 = 671 switches.
    84 h x 22 W = 1.848 kWh.
    """
    plan = plan_of(site=ZURICH, pump=load("15m on, 15m off", **PUMP))
    done = DryRun(plan, "168h", start=local("2026-07-06T00:00:00+02:00"))
    told = as_json(done.account)
    waterings = sum("pump on" in line for line in done.heard.told()) + 1
    assert done.heard.began == ["pump on: plan"]
    assert waterings == 336
    assert {key: told[key] for key in ("on_s", "switches", "starts")} == {
        "on_s": 84 * 3600,
        "switches": 671,
        "starts": 335,
    }
    assert (told["longest_dry_gap_s"], told["longest_on_s"]) == (900, 900)
    assert told["energy_kwh"] == pytest.approx(1.848, abs=1e-12)
    assert told["most_starts_a_day"] == 48
    assert told["most_on_a_day_s"] == 12 * 3600
    # 671 switches are 335.5 operations in 7 days, 365.2425 days a year, of 100,000.
    assert told["contact_share_a_year"] == pytest.approx(335.5 / 7 * 365.2425 / 100_000)


def test_a_week_of_quarters_counted_from_a_rest() -> None:
    """From 00:15 the run begins with a rest: 336 are switched on, 335 off. The last, from
    00:00 to 00:15 a week later, is whole, and its end is no longer part of the run."""
    plan = plan_of(site=ZURICH, pump=load("15m on, 15m off", **PUMP))
    done = DryRun(plan, "168h", start=local("2026-07-06T00:15:00+02:00"))
    told = as_json(done.account)
    assert told["starts"] == 336
    assert told["switches"] == 671
    assert told["on_s"] == 336 * 900
    assert done.heard.began == ["pump off: plan"]


@pytest.mark.parametrize(
    ("start", "hours"),
    [
        ("2026-03-29T00:00:00+01:00", 23),  # the night on which the clocks go forward
        ("2026-10-25T00:00:00+02:00", 25),  # and back
        ("2026-07-06T00:00:00+02:00", 24),
    ],
)
def test_a_local_day_of_any_length(start: str, hours: int) -> None:
    """From midnight to midnight by the wall there are 23, 24 or 25 hours of 30 min on each:
    hours x 22 W / 2. No cycle is longer or shorter for it."""
    plan = plan_of(site=ZURICH, pump=load("15m on, 15m off", **PUMP))
    told = as_json(DryRun(plan, f"{hours}h", start=local(start)).account)
    assert told["on_s"] == hours * 1800
    assert told["switches"] == hours * 4 - 1  # the first watering begins with the run
    assert told["energy_kwh"] == pytest.approx(hours * 0.011)
    assert (told["longest_dry_gap_s"], told["longest_on_s"]) == (900, 900)
    assert told["most_starts_a_day"] == hours * 2 - 1


def test_a_night_span_on_the_night_of_the_change() -> None:
    """15 on, 45 off from 22:00 to 06:00, which is 7 h on the night of the change forward.

    Saturday 22:00 to Sunday 06:00: the clocks skip 02:00 to 03:00, so 7 hours pass: waterings
    at 22, 23, 00, 01, 03, 04 and 05 h by the wall, then the day's at 06:00.
    """
    plan = plan_of(
        site=ZURICH, pump=load("06:00 | 15m on, 15m off", "22:00 | 15m on, 45m off", **PUMP)
    )
    done = DryRun(plan, "8h", start=local("2026-03-28T21:59:00+01:00"))
    on = [line for line in done.heard.told() if "pump on" in line]
    assert on == [
        "00:01:00 pump on: plan",  # 22:00
        "01:01:00 pump on: plan",
        "02:01:00 pump on: plan",
        "03:01:00 pump on: plan",
        "04:01:00 pump on: plan",  # 03:00, an hour after 01:00
        "05:01:00 pump on: plan",
        "06:01:00 pump on: plan",
        "07:01:00 pump on: plan",  # 06:00, by the day's span
        "07:31:00 pump on: plan",
    ]


def test_two_spans_a_day() -> None:
    """06:00 to 22:00 15/15, 22:00 to 06:00 15/45, for six days from 06:00.

    16 h x 2 + 8 h = 40 waterings a day, 240 in six days, 60 h. The longest gap is the night's
    45 min. 60 h x 22 W = 1.32 kWh.
    """
    plan = plan_of(
        site=ZURICH, pump=load("06:00 | 15m on, 15m off", "22:00 | 15m on, 45m off", **PUMP)
    )
    told = as_json(DryRun(plan, "144h", start=local("2026-07-06T06:00:00+02:00")).account)
    assert told["on_s"] == 60 * 3600
    assert told["switches"] == 2 * 240 - 1
    assert told["longest_dry_gap_s"] == 45 * 60
    assert told["longest_dry_gap_from_utc"] == "2026-07-06T20:15:00Z"  # 22:15, the first night
    assert told["energy_kwh"] == pytest.approx(1.32)
    assert told["most_starts_a_day"] == 40


def test_spans_that_meet_in_a_watering() -> None:
    """A night of 45 off, 15 on before a day of 15 on, 15 off makes one watering of 30 min.

    Night from 22:00: on from 45 to 60 of each hour, the last from 05:45, on to 06:15. With
    `longest_on` of 20 min it is cut at 06:05 for the pump's shortest rest of 5 s.
    """
    spans_ = ("06:00 | 15m on, 15m off", "22:00 | 45m off, 15m on")
    start = local("2026-07-06T05:30:00+02:00")
    whole = DryRun(plan_of(site=ZURICH, pump=load(*spans_, **PUMP)), "1h", start=start)
    assert whole.heard.told() == [
        "00:15:00 pump on: plan",
        "00:45:00 pump off: plan",
    ]
    cut = DryRun(
        plan_of(site=ZURICH, pump=load(*spans_, **{**PUMP, "longest_on": "20m"})),
        "1h",
        start=start,
    )
    assert cut.heard.told() == [
        "00:15:00 pump on: plan",
        "00:35:00 pump off: longest on reached",
        "00:35:05 pump on: plan",
        "00:45:00 pump off: plan",
    ]


HOT_DAY: dict[str, Any] = {
    "variants": [
        {
            "name": "hot",
            "sensor": "air",
            "above": 32.0,
            "until": 29.0,
            "at_least": "30m",
            "spans": spans("10:00 | 20m on, 10m off", "18:00 | 15m on, 15m off"),
        }
    ]
}


def _afternoon() -> dict[str, DatedSeries]:
    """Air by straight lines: 20 °C at 08:00, 36 °C at 16:00, 20 °C at 24:00, Zurich time.

    2 degrees an hour: 32 °C is passed at 14:00, 29 °C on the way down at 19:30.
    """
    points = {
        "2026-07-06T08:00:00+02:00": 20.0,
        "2026-07-06T10:40:00+02:00": 20.0 + 2 * (2 + 40 / 60),
        "2026-07-06T13:20:00+02:00": 20.0 + 2 * (5 + 20 / 60),
        "2026-07-06T16:00:00+02:00": 36.0,
        "2026-07-06T18:40:00+02:00": 36.0 - 2 * (2 + 40 / 60),
        "2026-07-06T21:20:00+02:00": 36.0 - 2 * (5 + 20 / 60),
        "2026-07-07T00:00:00+02:00": 20.0,
    }
    stamps = [local(text) for text in points]
    return {"air_temperature": DatedSeries(stamps, list(points.values()))}


def test_a_hot_afternoon() -> None:
    """From the moment past 32 °C at 14:00 the pump runs 20/10 from 10:00 and 15/15 from 18:00,
    until 19:30 at 29 °C.

    At 14:00 the variant's cycle is 4 h = 8 periods old: it begins with a watering, as the
    plan's does. Until 18:00 there are 8 waterings of 20 min; then three of the variant's
    15/15 from 18:00 to 19:30, and the plan's own from 19:30 on.
    """
    plan = plan_of(site=ZURICH, pump=load("06:00 | 15m on, 15m off", **PUMP, **HOT_DAY))
    done = DryRun(plan, "6h", start=local("2026-07-06T13:55:00+02:00"), air=_afternoon())
    begun = done.heard.told()
    # At 14:00 the plan's watering begins; a millisecond later it is the variant's.
    assert begun[:4] == [
        "00:05:00 pump on: plan",
        "00:05:00.001 pump on: variant",
        "00:25:00 pump off: variant",
        "00:35:00 pump on: variant",
    ]
    # 13:55 to 18:00: 8 x 20 min; 18:00 to 19:55: 18:00, 18:30, 19:00 and 19:30, 15 min each.
    assert as_json(done.account)["on_s"] == (8 * 20 + 4 * 15) * 60
    assert begun[-2:] == [
        "05:35:00 pump on: plan",  # 19:30, and the variant is left at the same moment
        "05:50:00 pump off: plan",
    ]
    notices = [line for line in done.heard.noted() if "variant" in line]
    assert notices == [
        "00:05:00.001 variant entered pump (hot)",
        "05:35:00 variant left pump (hot)",
    ]


def test_a_gust_of_heat_lasts_at_least_half_an_hour() -> None:
    """Above 32 °C for ten minutes from 12:00: the variant stays until 12:30 and no longer."""
    stamps = [
        local(f"2026-07-06T{text}:00+02:00")
        for text in ("11:00", "12:00", "12:05", "12:10", "14:00")
    ]
    air = {"air_temperature": DatedSeries(stamps, [25.0, 32.0, 34.0, 28.0, 25.0])}
    plan = plan_of(site=ZURICH, pump=load("06:00 | 15m on, 15m off", **PUMP, **HOT_DAY))
    done = DryRun(plan, "90m", start=local("2026-07-06T11:30:00+02:00"), air=air)
    notices = [line for line in done.heard.noted() if "variant" in line]
    assert notices == [
        "00:30:00.001 variant entered pump (hot)",
        "01:00:00.001 variant left pump (hot)",
    ]


def test_the_end_of_a_run_is_open() -> None:
    """A run that ends as a watering begins has no part of it; one that ends a millisecond
    later has a millisecond of it."""
    plan = plan_of(site=ZURICH, pump=load("06:00 | 15m on, 15m off", **PUMP))
    start = local("2026-07-06T06:15:00+02:00")
    until = DryRun(plan, "15m", start=start)
    assert until.heard.told() == []
    assert as_json(until.account)["on_s"] == 0
    past = DryRun(plan, "15m0.001s", start=start)
    assert past.heard.told() == ["00:15:00 pump on: plan"]
    assert as_json(past.account)["on_s"] == 0.001
    assert past.account.as_json()["to_utc"] == rfc3339(start + 15 * MINUTE_MS + 1)


def test_an_outage_in_figures() -> None:
    """Without power from 10:20 to 12:05 in a day of 15/15.

    The pump has watered until 10:15 and is dry until 12:05: 110 min. It waters then, in the
    middle of the plan's rest or not, for 15 min: 12:05 to 12:20 by recovery, of which the
    plan itself gives 10 min; then 12:30 as planned. Lost are the waterings of 10:30, 11:00
    and 11:30 and five minutes of 12:00; won are the five minutes until 12:20.
    """
    plan = plan_of(site=ZURICH, pump=load("15m on, 15m off", **PUMP))
    done = DryRun(
        plan,
        "24h",
        {"kind": "power_out", "from": "10h20m", "until": "12h5m"},
        start=local("2026-07-06T00:00:00+02:00"),
    )
    told = as_json(done.account)
    assert told["longest_dry_gap_s"] == 110 * 60
    assert told["longest_dry_gap_from_utc"] == "2026-07-06T08:15:00Z"
    assert told["on_s"] == (48 - 3) * 900
    assert told["energy_kwh"] == pytest.approx(45 / 4 * 22 / 1000)


def test_two_loads_share_their_watts() -> None:
    """Two pumps of 60 W that may not run together, both 10 on, 20 off from the same moment.

    The first takes its 10 min, and the second's are over by then: 48 waterings or 8 h of the
    first in a day, none of the second, and a missed watering is told every half hour.
    """
    plan = plan_of(
        site=ZURICH,
        guards={"watts_at_once": 100},
        pump=load("10m on, 20m off", watts=60),
        other=load("10m on, 20m off", watts=60),
    )
    done = DryRun(plan, "24h", start=local("2026-07-06T00:20:00+02:00"))
    account = done.account
    assert account.loads["pump"].on_ms == 48 * 10 * MINUTE_MS
    assert account.loads["other"].on_ms == 0
    assert account.watts_max == 60
    missed = [line for line in done.heard.noted() if "watering missed" in line]
    assert len(missed) == 48


def test_a_lamp_and_what_follows_it() -> None:
    """18 h of light from 05:00, and a pump that keeps to it: 15/15 by day, 15/45 by night.

    Light 05:00 to 23:00: 36 waterings; dark: 6; 42 x 15 min = 10.5 h a day. 400 W x 18 h =
    7.2 kWh and 22 W x 10.5 h = 0.231 kWh a day.
    """
    plan: Plan = plan_of(
        site=ZURICH,
        lamp=load("05:00 | on", "23:00 | off", kind="lamp", watts=400),
        pump=load("lamp on | 15m on, 15m off", "lamp off | 15m on, 45m off", **PUMP),
    )
    done = DryRun(plan, "72h", start=local("2026-07-06T05:00:00+02:00"))
    lamp, pump = done.account.loads["lamp"], done.account.loads["pump"]
    assert lamp.on_ms == 3 * 18 * HOUR_MS
    assert lamp.energy_kwh == pytest.approx(3 * 7.2)
    assert pump.on_ms == 3 * 42 * 15 * MINUTE_MS
    assert pump.energy_kwh == pytest.approx(3 * 0.231)
    assert done.account.watts_max == 422


def test_a_plan_states_its_own_typical_day() -> None:
    """A stated day of 18 to 34 °C is hot for the share of it that the half cosine is above.

    Coolest at 05:00, warmest at 15:00 solar time, which on the meridian is UTC. Up within
    10 h: 26 - 8 cos(pi h/10) = 30 at h = 6 2/3, at 11:40; down within 14 h:
    26 + 8 cos(pi h/14) = 30 at h = 4 2/3, at 19:40. That is 8 h.
    """
    site = {
        "latitude": 0.0,
        "longitude": 0.0,
        "timezone": "Etc/UTC",
        "typical_day": {"coolest_c": 18.0, "warmest_c": 34.0},
    }
    hot = {"name": "hot", "sensor": "air", "above": 30.0, "until": 30.0, "spans": spans("on")}
    plan = plan_of(site=site, pump=load("off", variants=[hot]))
    schedule = make_schedule(plan)
    start = local("2026-07-06T00:00:00Z")
    day = schedule.calendar.date_of(start)
    keeper = AccountKeeper(schedule)
    run(
        schedule,
        start=start,
        end=start + 24 * HOUR_MS,
        air=air_of(plan.site, None, first=day, last=day).series,
        script=None,
        listeners=[keeper],
    )
    # Hourly points joined by straight lines come within a minute or two of the curve.
    assert keeper.account.loads["pump"].on_ms == pytest.approx(8 * HOUR_MS, abs=3 * MINUTE_MS)
