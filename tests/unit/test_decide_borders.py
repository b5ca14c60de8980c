"""Rule 5: shortest on, shortest off and longest on hold wherever states meet."""

from __future__ import annotations

import pytest

from controller.core.orders import Why
from tests.worlds import Driver, load, plan_of


def test_an_on_cut_short_by_a_border_lasts_its_shortest_time() -> None:
    """A watering that began 2 s before a span of rest goes on for `shortest_on`."""
    driver = Driver(plan_of(pump=load("9m58s off, 10m on", "00:10 | off", shortest_on="5s")))
    driver.advance("20m")
    assert driver.told() == ["00:09:58 pump on: plan", "00:10:03 pump off: plan"]


def test_an_off_cut_short_by_a_border_lasts_its_shortest_time() -> None:
    """A rest that began 2 s before a span of watering goes on for `shortest_off`."""
    driver = Driver(plan_of(pump=load("9m58s on, 10m off", "00:10 | on", shortest_off="5s")))
    driver.advance("20m")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:09:58 pump off: plan",
        "00:10:03 pump on: plan",
    ]


@pytest.mark.parametrize(
    ("spans", "reasons"),
    [
        (("9m58s off, 10m on", "00:10 | off"), [Why.PLAN, Why.SHORTEST_ON, Why.PLAN]),
        (("9m58s on, 10m off", "00:10 | on"), [Why.PLAN, Why.SHORTEST_OFF, Why.PLAN]),
    ],
)
def test_the_wait_for_a_shortest_time_is_told(spans: tuple[str, ...], reasons: list[Why]) -> None:
    """While a load finishes its shortest time, that is its reason."""
    driver = Driver(plan_of(pump=load(*spans, shortest_on="5s", shortest_off="5s")))
    driver.advance("20m")
    assert [why for _, _, why in driver.reasons] == reasons


def test_waterings_that_run_together_are_cut_at_the_longest_on() -> None:
    """Two spans that meet in an on state give no watering longer than `longest_on`."""
    driver = Driver(
        plan_of(pump=load("45m off, 15m on", "01:00 | 15m on, 45m off", longest_on="20m"))
    )
    driver.advance("90m")
    assert driver.told() == [
        "00:45:00 pump on: plan",
        "01:05:00 pump off: longest on reached",
        "01:05:01 pump on: plan",  # the second span's watering goes on after a breath
        "01:15:00 pump off: plan",
    ]


def test_a_cut_load_rests_for_its_shortest_off() -> None:
    """After `longest_on` a load rests for `shortest_off`, not only for a breath."""
    driver = Driver(plan_of(pump=load("on", longest_on="20m", shortest_off="3m")))
    driver.advance("1h")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:20:00 pump off: longest on reached",
        "00:23:00 pump on: plan",
        "00:43:00 pump off: longest on reached",
        "00:46:00 pump on: plan",
    ]


def test_a_cut_load_rests_a_second_though_the_plan_asks_for_no_rest() -> None:
    """With `shortest_off = 0s` too, what was on for too long is off for a second, whatever
    else happens meanwhile."""
    driver = Driver(plan_of(pump=load("on", longest_on="20m", shortest_off="0s")))
    driver.advance("20m")
    driver.distrust_clock()
    driver.advance(500)
    driver.trust_clock()
    driver.advance("10s")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:20:00 pump off: longest on reached",
        "00:20:01 pump on: plan",
    ]


def test_a_rest_planned_meanwhile_is_kept() -> None:
    """A load that is cut shortly before its plan's rest stays off through it."""
    driver = Driver(plan_of(pump=load("20m30s on, 10m off", longest_on="20m", shortest_off="2m")))
    driver.advance("25m")
    assert driver.told() == ["00:00:00 pump on: plan", "00:20:00 pump off: longest on reached"]
    assert driver.reason("pump").why is Why.PLAN


@pytest.mark.parametrize(
    "order",
    ["on", "50m on, 1m off"],
)
def test_no_hold_is_longer_than_the_longest_on(order: str) -> None:
    """A person's order is cut like the plan."""
    driver = Driver(plan_of(pump=load("off", longest_on="20m", shortest_off="1m")))
    driver.hold("pump", order, "45m")
    driver.advance("45m")
    assert driver.told() == [
        "00:00:00 pump on: hold",
        "00:20:00 pump off: longest on reached",
        "00:21:00 pump on: hold",
        "00:41:00 pump off: longest on reached",
        "00:42:00 pump on: hold",
        "00:45:00 pump off: plan",
    ]


def test_a_watering_counts_from_its_start_when_a_hold_takes_it_over() -> None:
    """A hold that begins in the middle of a watering does not start `longest_on` anew."""
    driver = Driver(plan_of(pump=load("15m on, 15m off", longest_on="20m")))
    driver.advance("10m")
    driver.hold("pump", "on", "30m")
    driver.advance("11m")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:20:00 pump off: longest on reached",
        "00:20:01 pump on: hold",
    ]


def test_a_watering_counts_from_its_start_when_the_clock_is_lost() -> None:
    """The cycle that needs no clock goes on with a watering, not with a new one."""
    driver = Driver(plan_of(pump=load("15m on, 15m off", longest_on="20m", without_clock="on")))
    driver.advance("10m")
    driver.distrust_clock()
    driver.advance("11m")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:20:00 pump off: longest on reached",
        "00:20:01 pump on: clock not trusted",
    ]


def test_a_watering_counts_from_its_start_when_a_variant_takes_it_over() -> None:
    """A variant's watering and the plan's before it are one."""
    driver = Driver(
        plan_of(
            sensors={"air": {"measures": "air_temperature"}},
            pump=load(
                "15m on, 15m off",
                longest_on="20m",
                variants=[
                    {
                        "name": "hot",
                        "sensor": "air",
                        "above": 30,
                        "until": 27,
                        "spans": [{"from": "00:00", "cycle": "on"}],
                    }
                ],
            ),
        )
    )
    driver.advance("10m")
    driver.sense(air=31)
    driver.advance("11m")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:20:00 pump off: longest on reached",
        "00:20:01 pump on: variant",
    ]


def test_a_hold_does_not_flicker_a_load() -> None:
    """Orders by hand in quick succession keep shortest on and off."""
    driver = Driver(plan_of(pump=load("off", shortest_on="5s", shortest_off="10s")))
    driver.hold("pump", "on", "1h")
    driver.advance("1s")
    driver.hold("pump", "off", "1h")
    driver.advance("5s")
    driver.hold("pump", "on", "1h")
    driver.advance("20s")
    assert driver.told() == [
        "00:00:00 pump on: hold",
        "00:00:05 pump off: hold",
        "00:00:15 pump on: hold",
    ]


def test_a_hold_that_ends_within_the_shortest_on_ends_unseen() -> None:
    """An order for one second gives a watering of `shortest_on`, and no longer."""
    driver = Driver(plan_of(pump=load("off", shortest_on="5s")))
    driver.hold("pump", "on", "1s")
    driver.advance("1m")
    assert driver.told() == ["00:00:00 pump on: hold", "00:00:05 pump off: plan"]
