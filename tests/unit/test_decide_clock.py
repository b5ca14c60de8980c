"""Without a trusted clock loads run on elapsed time, and join the plan when it is trusted."""

from __future__ import annotations

from itertools import pairwise

import pytest

from controller.core.orders import Event, Why
from tests.worlds import MIDNIGHT, Driver, load, ms, plan_of


def test_a_board_without_the_time_waters_at_once_by_elapsed_time() -> None:
    """`without_clock` starts with its first step when the controller starts."""
    driver = Driver(
        plan_of(pump=load("15m off, 15m on", without_clock="5m on, 20m off")),
        is_clock_trusted=False,
    )
    driver.advance("30m")
    assert driver.told() == [
        "00:00:00 pump on: clock not trusted",
        "00:05:00 pump off: clock not trusted",
        "00:25:00 pump on: clock not trusted",
        "00:30:00 pump off: clock not trusted",
    ]
    assert driver.alarms() == ["clock not trusted"]


@pytest.mark.parametrize(
    ("kind", "spans", "expected"),
    [
        ("pump", ["off", "12:00 | 5m on, 5m off"], True),  # its first cycle that waters
        ("fan", ["off", "12:00 | 5m on, 5m off"], True),
        ("pump", ["off"], False),  # a pump that never waters need not now
        ("lamp", ["on"], False),  # light, heat and valves wait for the time
        ("heater", ["on"], False),
        ("valve", ["5m on, 5m off"], False),
    ],
)
def test_what_the_plan_leaves_open_is_safe(kind: str, spans: list[str], expected: bool) -> None:
    """Without `without_clock` what moves water or air runs its first cycle; all else is off."""
    driver = Driver(plan_of(it=load(*spans, kind=kind)), is_clock_trusted=False)
    driver.advance("1m")
    assert driver.states["it"] is expected


def test_joining_the_plan_makes_no_needless_change() -> None:
    """A load that the plan wants as it is stays so, and goes on by the plan."""
    driver = Driver(
        plan_of(pump=load("15m on, 15m off", without_clock="on")), is_clock_trusted=False
    )
    driver.advance("5m")
    driver.trust_clock()
    driver.advance("15m")
    assert driver.told() == ["00:00:00 pump on: clock not trusted", "00:15:00 pump off: plan"]
    assert driver.alarms() == []


def test_joining_the_plan_keeps_the_shortest_times() -> None:
    """A load switched on a moment ago is not switched off the moment the clock is trusted."""
    driver = Driver(
        plan_of(pump=load("off", without_clock="10m off, 10m on", shortest_on="5s")),
        is_clock_trusted=False,
    )
    driver.advance("10m1s")
    driver.trust_clock()
    driver.advance("1m")
    assert driver.told() == ["00:10:00 pump on: clock not trusted", "00:10:05 pump off: plan"]


def test_a_clock_that_comes_and_goes_does_not_flicker_a_load() -> None:
    """Trust lost and gained every second leaves each state for its shortest time."""
    driver = Driver(
        plan_of(
            pump=load("off", without_clock="on", shortest_on="20s", shortest_off="30s"),
        )
    )
    for _ in range(60):
        driver.distrust_clock()
        driver.advance("1s")
        driver.trust_clock()
        driver.advance("1s")
    times = [change.instant for change in driver.changes]
    lengths_s = [(after - before) // 1_000 for before, after in pairwise(times)]
    assert lengths_s == [20, 30, 20, 30, 20]


def test_a_clock_that_is_lost_starts_the_cycle_anew() -> None:
    """Each loss of the clock begins `without_clock` at its first step."""
    driver = Driver(plan_of(pump=load("off", without_clock="5m on, 20m off")))
    driver.advance("7m")
    driver.distrust_clock(off="-7h")
    driver.advance("10m")
    driver.trust_clock()
    driver.advance("10m")
    driver.distrust_clock(off="40m")
    driver.advance("10m")
    assert driver.told() == [
        "00:07:00 pump on: clock not trusted",
        "00:12:00 pump off: clock not trusted",
        "00:27:00 pump on: clock not trusted",
        "00:32:00 pump off: clock not trusted",
    ]
    assert driver.noted(Event.CLOCK_LOST, Event.CLOCK_TRUSTED) == [
        "00:07:00 clock not trusted",
        "00:17:00 clock trusted",
        "00:27:00 clock not trusted",
    ]


@pytest.mark.parametrize("off_ms", [-(10**15), -MIDNIGHT, ms("1h"), 10**13, 10**15])
def test_an_untrusted_clock_may_show_anything(off_ms: int) -> None:
    """1970, 2286 or the year 33,000: a clock that is not trusted is not looked at."""
    driver = Driver(
        plan_of(
            pump=load(
                "sunrise | 15m on, 15m off",
                without_clock="5m on, 5m off",
                variants=[
                    {
                        "name": "deluge",
                        "by_hand": True,
                        "spans": [{"from": "sunset", "cycle": "on"}],
                    }
                ],
            )
        )
    )
    driver.distrust_clock(off=off_ms)
    driver.advance("12m")
    driver.hold("pump", "deluge", "20m")
    driver.advance("30m")
    driver.lose_power("10m")
    driver.advance("30m")
    driver.trust_clock()
    assert driver.reason("pump").why in {Why.PLAN, Why.RECOVERY}


def test_a_step_forward_jumps_to_the_plan_of_the_new_time() -> None:
    """A trusted clock that is put right is believed at once."""
    driver = Driver(plan_of(lamp=load("06:00 | on", "22:00 | off", kind="lamp")))
    driver.advance("1h")
    driver.set_clock(by="6h")
    assert driver.told() == ["01:00:00 lamp on: plan"]
    assert driver.noted() == ["01:00:00 clock stepped (6h)"]


def test_a_step_back_repeats_the_plan() -> None:
    """Put back by 20 minutes, the watering of the last 20 minutes comes again."""
    driver = Driver(plan_of(pump=load("15m on, 45m off")))
    driver.advance("20m")
    driver.set_clock(by="-20m")
    driver.advance("20m")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:15:00 pump off: plan",
        "00:20:00 pump on: plan",
        "00:35:00 pump off: plan",
    ]


@pytest.mark.parametrize("step_ms", [-1_000, -3, 3, 1_000])
def test_small_steps_are_no_events(step_ms: int) -> None:
    """A clock that a time service keeps moves a little all the time; the plan follows it."""
    driver = Driver(plan_of(pump=load("15m on, 15m off")))
    driver.advance("5m")
    driver.set_clock(by=step_ms)
    driver.advance("11m")
    assert driver.noted() == []
    assert driver.changes[-1].instant == MIDNIGHT + ms("15m") - step_ms


def test_a_watch_that_gains_is_followed_without_a_word() -> None:
    """A second an hour, for a day: each change comes by the clock, and nothing is noted."""
    driver = Driver(plan_of(pump=load("15m on, 15m off")))
    for _ in range(24):
        driver.advance("1h")
        driver.set_clock(by="1s")
    assert driver.noted() == []
    driver.advance("15m")
    assert driver.changes[-1].instant == MIDNIGHT + ms("24h15m") - 24_000
