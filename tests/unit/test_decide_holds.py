"""Holds: orders by hand override the plan, and always end."""

from __future__ import annotations

import pytest

from controller.core.orders import Event, Why
from tests.worlds import Driver, load, ms, plan_of, spans

PUMP = plan_of(pump=load("15m on, 15m off"))


def test_a_hold_off_keeps_a_load_off_and_gives_it_back() -> None:
    """When the hold is over, the plan goes on where it would be."""
    driver = Driver(PUMP)
    driver.advance("5m")
    driver.hold("pump", "off", "1h")
    driver.advance("70m")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:05:00 pump off: hold",
        "01:05:00 pump on: plan",
        "01:15:00 pump off: plan",
    ]
    assert driver.noted() == [
        "00:05:00 hold began pump (off for 1h)",
        "01:05:00 hold ended pump (its time is over)",
    ]


def test_a_hold_may_be_a_cycle_that_starts_at_once() -> None:
    """A cycle by hand runs from the moment of the order, to the millisecond of its end."""
    driver = Driver(PUMP)
    driver.advance("20m")
    driver.hold("pump", "2m on, 3m off", "9m")
    driver.advance("11m")
    assert driver.told()[2:] == [
        "00:20:00 pump on: hold",
        "00:22:00 pump off: hold",
        "00:25:00 pump on: hold",
        "00:27:00 pump off: hold",
        "00:30:00 pump on: plan",
    ]


def test_a_hold_may_be_a_variant() -> None:
    """A variant by hand runs on its own spans, for as long as was said."""
    deluge = {"name": "deluge", "by_hand": True, "spans": spans("10m on, 1m off")}
    driver = Driver(plan_of(pump=load("off", variants=[deluge])))
    driver.advance("15m")
    driver.hold("pump", "deluge", "10m")
    driver.advance("20m")
    assert driver.told() == [
        "00:15:00 pump on: hold",  # in its second round since midnight, not its first since now
        "00:21:00 pump off: hold",
        "00:22:00 pump on: hold",
        "00:25:00 pump off: plan",
    ]


def test_a_variant_by_hand_runs_by_elapsed_time_while_the_clock_is_not_trusted() -> None:
    """A wrong clock does not choose among a variant's spans."""
    deluge = {"name": "deluge", "by_hand": True, "spans": spans("00:00 | off", "06:00 | on")}
    driver = Driver(
        plan_of(pump=load("off", variants=[deluge], without_clock="5m on, 10m off")),
        is_clock_trusted=False,
    )
    driver.advance("7m")
    driver.hold("pump", "deluge", "16m")
    driver.advance("20m")
    assert driver.told() == [
        "00:00:00 pump on: clock not trusted",
        "00:05:00 pump off: clock not trusted",
        "00:07:00 pump on: hold",
        "00:12:00 pump off: hold",
        "00:22:00 pump on: hold",
        "00:23:00 pump off: clock not trusted",
    ]


def test_a_hold_is_released_by_hand() -> None:
    """Released, the plan goes on at once."""
    driver = Driver(PUMP)
    driver.advance("20m")
    driver.hold("pump", "on", "1h")
    driver.advance("1m")
    driver.release("pump")
    assert driver.told()[2:] == ["00:20:00 pump on: hold", "00:21:00 pump off: plan"]
    assert driver.noted(Event.HOLD_ENDED) == ["00:21:00 hold ended pump (released)"]


def test_a_release_without_a_hold_changes_nothing() -> None:
    """There is nothing to end, and nothing to note."""
    driver = Driver(PUMP)
    driver.release("pump")
    assert driver.noted() == []


def test_the_last_hold_counts() -> None:
    """A second order replaces the first and its end."""
    driver = Driver(PUMP)
    driver.hold("pump", "off", "2h")
    driver.advance("1m")
    driver.hold("pump", "on", "5m")
    driver.advance("20m")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:00:01 pump off: hold",  # after its shortest on
        "00:01:00 pump on: hold",
        "00:15:00 pump off: plan",  # the hold was over at 00:06
    ]


def test_a_hold_concerns_its_load_alone() -> None:
    """Other loads keep to the plan."""
    driver = Driver(plan_of(pump=load("15m on, 15m off"), fan=load("on", kind="fan")))
    driver.hold("fan", "off", "1h")
    driver.advance("15m")
    assert driver.told("pump") == ["00:00:00 pump on: plan", "00:15:00 pump off: plan"]


@pytest.mark.parametrize("step", ["-3h", "-1m", "1m", "3h"])
def test_a_step_of_the_clock_neither_lengthens_nor_shortens_a_hold(step: str) -> None:
    """A hold lasts for its time, whatever the clock does meanwhile."""
    driver = Driver(plan_of(pump=load("off")))
    driver.hold("pump", "on", "30m")
    driver.advance("10m")
    driver.set_clock(by=step)
    driver.advance("1h")
    assert driver.told() == ["00:00:00 pump on: hold", "00:30:00 pump off: plan"]


@pytest.mark.parametrize("off", ["-3h", "3h"])
def test_losing_the_clock_neither_lengthens_nor_shortens_a_hold(off: str) -> None:
    """A hold lasts for its time, with and without a clock."""
    driver = Driver(plan_of(pump=load("off", without_clock="off")))
    driver.hold("pump", "on", "30m")
    driver.advance("10m")
    driver.distrust_clock(off=off)
    driver.advance("10m")
    driver.trust_clock()
    driver.advance("1h")
    assert driver.told() == ["00:00:00 pump on: hold", "00:30:00 pump off: plan"]


@pytest.mark.parametrize(
    ("outage", "expected"),
    [
        # The clock shows 00:25 at the end: five minutes are left.
        ("15m", ["00:10:00 pump off: no power", "00:25:00 pump on: hold",
                 "00:30:00 pump off: plan"]),
        # The end passed in the dark.
        ("20m", ["00:10:00 pump off: no power"]),
        ("5h", ["00:10:00 pump off: no power"]),
    ],
)  # fmt: skip
def test_a_hold_ends_when_the_clock_shows_its_end_across_an_outage(
    outage: str, expected: list[str]
) -> None:
    """An outage is part of a hold's time; one that ended in the dark does not come back."""
    driver = Driver(plan_of(pump=load("off")))
    driver.hold("pump", "on", "30m")
    driver.advance("10m")
    driver.lose_power(outage)
    driver.advance("1h")
    assert driver.told()[1:] == expected


def test_a_hold_that_ended_in_the_dark_is_told() -> None:
    """The journal says that it is over when the power is back."""
    driver = Driver(plan_of(pump=load("off")))
    driver.hold("pump", "on", "30m")
    driver.lose_power("1h")
    assert driver.noted()[1:] == [
        "01:00:00 power back",
        "01:00:00 hold ended pump (its time is over)",
    ]


def test_a_hold_waits_for_the_clock_to_know_how_long_it_was_dark() -> None:
    """Without a trusted clock the outage takes no time; once trusted, the hold ends at once."""
    driver = Driver(plan_of(pump=load("off", without_clock="off")))
    driver.hold("pump", "on", "30m")
    driver.advance("10m")
    driver.lose_power("1h", is_clock_trusted=False, clock_loses="1h")
    driver.advance("5m")
    assert driver.reason("pump").why is Why.HOLD
    driver.trust_clock()
    assert driver.told()[1:] == [
        "00:10:00 pump off: no power",
        "01:10:01 pump on: hold",  # nobody knows yet how long it has rested
        "01:15:00 pump off: plan",
    ]


def test_two_outages_without_a_clock_shorten_a_hold_by_both_and_no_more() -> None:
    """The time between two outages is counted once."""
    driver = Driver(plan_of(pump=load("off", without_clock="off")))
    driver.advance("1h")
    driver.hold("pump", "on", "4h")
    driver.lose_power("10m", is_clock_trusted=False, clock_loses="10m")
    driver.advance("1h")
    driver.lose_power("10m", clock_loses="10m")
    driver.advance("10m")
    driver.trust_clock()
    driver.advance("5h")
    assert driver.told()[-1] == "05:00:00 pump off: plan"


def test_a_hold_made_while_the_clock_was_unknown_lasts_its_time() -> None:
    """The length of an earlier outage is no part of a later hold."""
    driver = Driver(plan_of(pump=load("off", without_clock="off")))
    driver.lose_power("1h", is_clock_trusted=False, clock_loses="1h")
    driver.advance("5m")
    driver.hold("pump", "on", "30m")
    driver.advance("5m")
    driver.trust_clock()
    driver.advance("1h")
    assert driver.told() == ["01:05:00 pump on: hold", "01:35:00 pump off: plan"]


def test_a_held_cycle_goes_on_in_its_rhythm_across_an_outage() -> None:
    """A cycle by hand counts from the order, the outage included."""
    driver = Driver(plan_of(pump=load("off")))
    driver.hold("pump", "10m on, 10m off", "2h")
    driver.advance("5m")
    driver.lose_power("10m")
    driver.advance("10m")
    assert driver.told() == [
        "00:00:00 pump on: hold",
        "00:05:00 pump off: no power",
        "00:20:00 pump on: hold",
    ]


def test_a_hold_outlasts_a_crash_of_no_time() -> None:
    """A restart that nobody noticed leaves a hold as it was."""
    driver = Driver(plan_of(pump=load("off")))
    driver.hold("pump", "on", "30m")
    driver.advance("10m")
    driver.lose_power(0)
    driver.advance("1h")
    assert driver.told()[-1] == "00:30:00 pump off: plan"


@pytest.mark.parametrize("at_ms", [0, 1, 999])
def test_a_hold_ends_at_its_millisecond(at_ms: int) -> None:
    """A hold is half open: at its end it is over."""
    driver = Driver(plan_of(pump=load("off")))
    driver.hold("pump", "on", ms("10m") + at_ms)
    driver.advance("20m")
    end = driver.changes[-1]
    assert (end.instant - driver.start, end.is_on) == (ms("10m") + at_ms, False)
