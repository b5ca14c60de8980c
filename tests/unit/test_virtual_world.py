"""The world of a dry run: each kind of fault, and what people do meanwhile."""

from __future__ import annotations

import pytest

from controller.core.orders import Event, Why
from controller.core.units import HOUR_MS, MINUTE_MS, SECOND_MS, parse_rfc3339
from tests.recorder import OUTAGE, QUARTERS, DryRun
from tests.worlds import MIDNIGHT, load, ms, plan_of

# A run without faults


def test_a_run_tells_its_starting_states_and_then_each_change() -> None:
    """The states at the start are those that the plan has then; the end is not part of it."""
    run = DryRun(QUARTERS, "1h")
    assert run.heard.began == ["pump on: plan"]
    assert run.heard.told() == [
        "00:15:00 pump off: plan",
        "00:30:00 pump on: plan",
        "00:45:00 pump off: plan",
    ]
    assert run.heard.noted() == []
    assert run.heard.ended == MIDNIGHT + HOUR_MS


@pytest.mark.parametrize(
    ("length", "changes"),
    [("15m", 0), ("15m0.001s", 1), ("30m", 1)],
)
def test_the_end_of_a_run_is_open(length: str, changes: int) -> None:
    """A change at the very end is not told; one a millisecond before is."""
    assert len(DryRun(QUARTERS, length).heard.told()) == changes


def test_a_run_may_start_in_the_middle_of_anything() -> None:
    """A load that would be on since before the start is on, and goes off in time."""
    run = DryRun(QUARTERS, "30m", start=MIDNIGHT + ms("10m"))
    assert run.heard.began == ["pump on: plan"]
    assert run.heard.told() == ["00:05:00 pump off: plan", "00:20:00 pump on: plan"]


# Power


def test_an_outage_switches_off_and_recovers() -> None:
    """Off when the power goes; a recovery watering when it is back after 45 dry minutes."""
    run = DryRun(QUARTERS, "2h", OUTAGE)
    assert run.heard.told() == [
        "00:15:00 pump off: plan",
        "00:20:00 pump off: no power",
        "01:00:00 pump on: recovery watering",
        "01:15:00 pump off: plan",
        "01:30:00 pump on: plan",
        "01:45:00 pump off: plan",
    ]
    assert run.heard.noted() == [
        "00:20:00 power lost",
        "01:00:00 power back",
        "01:00:00 alarm pump (roots left dry: dry for 45m)",
        "01:00:00 recovery watering began pump",
    ]


def test_an_outage_at_the_moment_of_a_change_comes_first() -> None:
    """What the plan orders at the instant of the outage does not happen."""
    run = DryRun(QUARTERS, "1h", {"kind": "power_out", "from": "30m", "until": "35m"})
    assert run.heard.told()[:2] == ["00:15:00 pump off: plan", "00:30:00 pump off: no power"]


def test_a_run_may_start_in_the_dark() -> None:
    """Everything is off; the controller begins at the moment at which the power is back."""
    run = DryRun(QUARTERS, "2h", {"kind": "power_out", "from": "-1h", "until": "1h"})
    assert run.heard.began == ["pump off: no power"]
    assert run.heard.told() == [
        "01:00:00 pump on: recovery watering",
        "01:15:00 pump off: plan",
        "01:30:00 pump on: plan",
        "01:45:00 pump off: plan",
    ]
    assert run.heard.noted(Event.POWER_LOST, Event.POWER_BACK) == [
        "00:00:00 power lost",
        "01:00:00 power back",
    ]


@pytest.mark.parametrize("until", ["1h", "5h"])
def test_a_run_may_end_in_the_dark(until: str) -> None:
    """The outage lasts to the end, and nothing is told at or after it."""
    run = DryRun(QUARTERS, "1h", {**OUTAGE, "until": until})
    assert run.heard.told() == ["00:15:00 pump off: plan", "00:20:00 pump off: no power"]
    assert run.heard.noted() == ["00:20:00 power lost"]
    assert run.account.loads["pump"].on_ms == 15 * MINUTE_MS


def test_a_run_may_be_dark_throughout() -> None:
    """Nothing is ever on, and all of it is one dry gap."""
    run = DryRun(QUARTERS, "2h", {"kind": "power_out", "from": "-1h", "until": "3h"})
    assert run.heard.began == ["pump off: no power"]
    assert run.heard.told() == []
    pump = run.account.loads["pump"]
    assert (pump.on_ms, pump.starts) == (0, 0)
    assert pump.longest_dry_gap == (MIDNIGHT, MIDNIGHT + 2 * HOUR_MS)
    assert pump.whys == {Why.NO_POWER: 2 * HOUR_MS}


def test_outages_that_touch_or_overlap_are_one() -> None:
    """The power is back when the last of them is over."""
    run = DryRun(
        QUARTERS,
        "2h",
        OUTAGE,
        {"kind": "power_out", "from": "50m", "until": "70m"},
        {"kind": "power_out", "from": "70m", "until": "80m"},
    )
    assert run.heard.noted(Event.POWER_LOST, Event.POWER_BACK) == [
        "00:20:00 power lost",
        "01:20:00 power back",
    ]


def test_two_outages_in_a_run_are_two() -> None:
    """Each is told, and each leaves its own dry time."""
    run = DryRun(QUARTERS, "3h", OUTAGE, {"kind": "power_out", "from": "90m", "until": "100m"})
    assert run.heard.noted(Event.POWER_LOST, Event.POWER_BACK) == [
        "00:20:00 power lost",
        "01:00:00 power back",
        "01:30:00 power lost",
        "01:40:00 power back",
    ]


# What people do


def test_people_hold_release_stop_and_resume() -> None:
    """Deeds come at their instant."""
    run = DryRun(
        QUARTERS,
        "2h",
        {"kind": "hold", "at": "20m", "load": "pump", "order": "on", "for": "1h"},
        {"kind": "release", "at": "25m", "load": "pump"},
        {"kind": "stop", "at": "35m"},
        {"kind": "resume", "at": "70m"},
    )
    assert run.heard.told() == [
        "00:15:00 pump off: plan",
        "00:20:00 pump on: hold",
        "00:25:00 pump off: plan",
        "00:30:00 pump on: plan",
        "00:35:00 pump off: stop switch",
        "01:10:00 pump on: recovery watering",
        "01:25:00 pump off: plan",
        "01:30:00 pump on: plan",
        "01:45:00 pump off: plan",
    ]


def test_a_deed_at_the_start_is_done_at_the_start() -> None:
    """It is part of the state in which the run begins."""
    hold = {"kind": "hold", "at": "0s", "load": "pump", "order": "off", "for": "1h"}
    run = DryRun(QUARTERS, "50m", hold, start=MIDNIGHT + ms("10m"))
    assert run.heard.began == ["pump off: hold"]
    assert run.heard.told() == []


def test_deeds_in_the_dark_are_refused() -> None:
    """Without power nobody can be obeyed; at the moment of its return they can."""
    run = DryRun(
        QUARTERS,
        "2h",
        OUTAGE,
        {"kind": "stop", "at": "20m"},
        {"kind": "acknowledge", "at": "30m"},
        {"kind": "hold", "at": "1h", "load": "pump", "order": "off", "for": "20m"},
    )
    assert run.heard.noted(Event.REQUEST_REFUSED) == [
        "00:20:00 request refused stop (there was no power)",
        "00:30:00 request refused acknowledge (there was no power)",
    ]
    assert run.heard.noted(Event.HOLD_BEGAN) == ["01:00:00 hold began pump (off for 20m)"]


def test_a_deed_at_a_start_in_the_dark_is_refused() -> None:
    """The run's first moment is no exception."""
    run = DryRun(
        QUARTERS,
        "2h",
        {"kind": "power_out", "from": "-1h", "until": "1h"},
        {"kind": "stop", "at": "0s"},
    )
    assert run.heard.noted(Event.REQUEST_REFUSED, Event.STOPPED) == [
        "00:00:00 request refused stop (there was no power)"
    ]
    assert run.heard.told() != []


def test_acknowledging_takes_every_alarm_that_stands() -> None:
    """One look at the list is a look at all of it."""
    run = DryRun(
        plan_of(
            sensors={"float": {"measures": "level"}},
            a=load("15m on, 15m off", level="float"),
            b=load("15m on, 15m off"),
        ),
        "3h",
        OUTAGE,
        {"kind": "sensor_reads", "sensor": "float", "value": 0, "from": "70m", "until": "80m"},
        {"kind": "acknowledge", "at": "90m"},
    )
    assert run.heard.noted(Event.ALARM_CLEARED) == [
        "01:30:00 alarm over a (roots left dry)",
        "01:30:00 alarm over b (roots left dry)",
        "01:30:00 alarm over float (reservoir low)",
    ]
    assert run.memory.alarms == ()


def test_a_hold_ends_in_the_dark() -> None:
    """An order whose end passes without power does not come back with it."""
    hold = {"kind": "hold", "at": "16m", "load": "pump", "order": "on", "for": "30m"}
    run = DryRun(QUARTERS, "70m", OUTAGE, hold)
    assert run.heard.told()[-1] == "01:00:00 pump on: recovery watering"
    assert run.heard.noted(Event.HOLD_ENDED) == ["01:00:00 hold ended pump (its time is over)"]


# Clocks


def test_a_clock_set_wrong_moves_the_plan_and_back() -> None:
    """Ten minutes fast for half an hour: everything comes ten minutes early meanwhile."""
    run = DryRun(
        plan_of(lamp=load("15m on, 15m off", kind="lamp")),
        "2h",
        {"kind": "clock_wrong", "by": "+10m", "from": "32m", "until": "64m"},
    )
    assert run.heard.told() == [
        "00:15:00 lamp off: plan",
        "00:30:00 lamp on: plan",
        "00:35:00 lamp off: plan",  # 00:45 on its clock
        "00:50:00 lamp on: plan",
        "01:15:00 lamp off: plan",  # back: 01:04, and on as it is
        "01:30:00 lamp on: plan",
        "01:45:00 lamp off: plan",
    ]
    assert run.heard.noted() == ["00:32:00 clock stepped (10m)", "01:04:00 clock stepped (-10m)"]


def test_a_clock_that_is_not_trusted_is_not_followed() -> None:
    """Loads run on elapsed time from the loss of the clock until it is back."""
    run = DryRun(
        plan_of(pump=load("15m on, 15m off", without_clock="5m on, 5m off")),
        "1h",
        {"kind": "clock_untrusted", "from": "20m", "until": "50m"},
    )
    assert run.heard.told() == [
        "00:15:00 pump off: plan",
        "00:20:00 pump on: clock not trusted",
        "00:25:00 pump off: clock not trusted",
        "00:30:00 pump on: clock not trusted",
        "00:35:00 pump off: clock not trusted",
        "00:40:00 pump on: clock not trusted",
        "00:45:00 pump off: clock not trusted",
        "00:50:00 pump off: plan",
    ]


def test_a_clock_unknown_after_an_outage_is_behind_by_it() -> None:
    """The board's clock stood still in the dark: each outage puts it further behind."""
    unknown = {"kind": "power_out", "clock_unknown_for": "5h"}
    one = DryRun(QUARTERS, "2h", {**unknown, "from": "20m", "until": "1h"})
    assert one.memory.now - one.memory.tick == MIDNIGHT + ms("20m")
    two = DryRun(
        QUARTERS,
        "3h",
        {**unknown, "from": "20m", "until": "1h"},
        {**unknown, "from": "90m", "until": "100m"},
    )
    # 20 minutes before the first, 30 between the two.
    assert two.memory.now - two.memory.tick == MIDNIGHT + ms("50m")


def test_a_clock_set_after_an_outage_is_not_behind_when_it_is_lost_again() -> None:
    """An outage that is over and set right has no part in a later distrust."""
    run = DryRun(QUARTERS, "3h", OUTAGE, {"kind": "clock_untrusted", "from": "2h", "until": "4h"})
    assert run.memory.now - run.memory.tick == MIDNIGHT + HOUR_MS  # booted at 01:00, on time


def test_a_clock_is_set_right_in_the_middle_of_a_run() -> None:
    """When the clock is known again, it shows the truth."""
    run = DryRun(QUARTERS, "3h", {**OUTAGE, "clock_unknown_for": "30m"})
    assert run.memory.now - run.memory.tick == MIDNIGHT + HOUR_MS
    assert run.heard.noted(Event.CLOCK_LOST, Event.CLOCK_TRUSTED) == [
        "01:00:00 clock not trusted",
        "01:30:00 clock trusted",
    ]


# Faults outside of the run, and the days on which the clocks change


def test_faults_before_and_after_a_run_do_not_touch_it() -> None:
    """A run with faults at other times equals one without any."""
    run = DryRun(
        QUARTERS,
        "2h",
        {"kind": "power_out", "from": "-2h", "until": "0s"},
        {"kind": "pump_fails", "load": "pump", "from": "2h", "until": "3h"},
        {"kind": "hold", "at": "-1h", "load": "pump", "order": "off", "for": "3h"},
        {"kind": "stop", "at": "2h"},
    )
    assert run.heard.told() == DryRun(QUARTERS, "2h").heard.told()
    assert run.heard.noted() == []


@pytest.mark.parametrize(
    ("start", "length", "starts"),
    [
        ("2026-03-29T00:00:00+01:00", "23h", 46),  # Zurich puts its clocks forward
        ("2026-10-25T00:00:00+02:00", "25h", 50),  # and back
        ("2026-06-01T00:00:00+02:00", "24h", 48),
    ],
)
def test_a_day_of_changing_clocks_has_its_own_number_of_waterings(
    start: str, length: str, starts: int
) -> None:
    """15/15 since midnight gives two waterings in each hour that passes."""
    site: dict[str, object] = {
        "latitude": 47.37, "longitude": 8.54, "timezone": "Europe/Zurich",
    }  # fmt: skip
    plan = plan_of(site=site, pump=load("15m on, 15m off"))
    run = DryRun(plan, length, start=parse_rfc3339(start))
    pump = run.account.loads["pump"]
    # The first watering begins with the day: it is part of the starting state.
    assert (pump.starts + 1, pump.on_ms) == (starts, starts * 15 * MINUTE_MS)
    assert pump.longest_dry_gap is not None
    assert pump.longest_dry_gap.length_ms == 15 * MINUTE_MS


def test_a_fault_across_the_skipped_hour_lasts_for_its_elapsed_time() -> None:
    """From 01:59:50 to 03:00:10 on the night of the change is 20 seconds."""
    site: dict[str, object] = {
        "latitude": 47.37, "longitude": 8.54, "timezone": "Europe/Zurich",
    }  # fmt: skip
    plan = plan_of(site=site, lamp=load("on", kind="lamp", shortest_off="0s"))
    start = parse_rfc3339("2026-03-29T00:00:00+01:00")
    run = DryRun(
        plan,
        "4h",
        {"kind": "power_out", "from": "1h59m50s", "until": "2h10s"},
        start=start,
    )
    lamp = run.account.loads["lamp"]
    assert lamp.on_ms == 4 * HOUR_MS - 20 * SECOND_MS
