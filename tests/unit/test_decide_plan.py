"""Decide carries the plan out when nothing objects, at borders of spans and bounds too."""

from __future__ import annotations

import pytest

from controller.core.decide import decide
from controller.core.memory import settled_memory
from controller.core.orders import Order, Why
from controller.core.units import MINUTE_MS
from tests.worlds import MIDNIGHT, Driver, load, ms, plan_of


def test_a_cycle_runs_from_the_start_of_its_span() -> None:
    """15 on, 15 off from midnight switches at every quarter of an hour."""
    driver = Driver(plan_of(pump=load("15m on, 15m off")))
    driver.advance("1h")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:15:00 pump off: plan",
        "00:30:00 pump on: plan",
        "00:45:00 pump off: plan",
        "01:00:00 pump on: plan",
    ]


def test_a_controller_that_starts_in_the_middle_joins_the_cycle() -> None:
    """A first decision in the middle of a rest waits for the next watering."""
    driver = Driver(plan_of(pump=load("15m on, 15m off")), start=MIDNIGHT + ms("20m"))
    driver.advance("30m")
    assert driver.told() == ["00:10:00 pump on: plan", "00:25:00 pump off: plan"]


def test_nothing_is_decided_between_the_changes() -> None:
    """A day of 15/15 takes a decision for each change, and no more than one for each span."""
    driver = Driver(plan_of(pump=load("15m on, 15m off")), is_settled=True)
    driver.advance("24h")
    assert len(driver.changes) == 96  # 95 in the day and the one at its end
    assert driver.decisions <= 96 + 2


def test_loads_keep_their_own_time() -> None:
    """Two loads with different cycles do not hold each other up."""
    driver = Driver(plan_of(pump=load("2m on, 3m off"), fan=load("3m off, 1m on", kind="fan")))
    driver.advance("6m")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:02:00 pump off: plan",
        "00:03:00 fan on: plan",
        "00:04:00 fan off: plan",
        "00:05:00 pump on: plan",
    ]


@pytest.mark.parametrize(
    ("second", "expected"),
    [
        # The state goes on where both spans have it, and the cycle starts afresh.
        ("00:20 | 10m off, 5m on", ["00:15:00 pump off: plan", "00:30:00 pump on: plan"]),
        ("00:10 | 10m on, 5m off", ["00:20:00 pump off: plan", "00:25:00 pump on: plan"]),
        # A border changes the state at once where nothing forbids it.
        ("00:10 | 10m off, 5m on", ["00:10:00 pump off: plan", "00:20:00 pump on: plan"]),
        ("00:20 | 5m on, 10m off", ["00:15:00 pump off: plan", "00:20:00 pump on: plan"]),
    ],
)
def test_the_next_span_starts_its_cycle_at_its_anchor(second: str, expected: list[str]) -> None:
    """What is on stays on and what is off stays off across a border, where both agree."""
    driver = Driver(plan_of(pump=load("15m on, 15m off", second)))
    driver.forget()
    driver.advance("30m")
    assert driver.told()[:2] == expected


def test_the_reason_follows_the_span_even_where_the_state_does_not_change() -> None:
    """From its border on a new span is the reason, also for a state that the old one left."""
    driver = Driver(plan_of(pump=load("15m on, 45m off", "00:30 | 5m off, 10m on")))
    driver.advance("29m59s")
    before = driver.reason("pump").piece
    driver.advance("1s")
    after = driver.reason("pump").piece
    assert before is not None
    assert after is not None
    assert (before.span, after.span) == (0, 1)
    assert driver.told()[-1] == "00:15:00 pump off: plan"


def test_the_reason_tells_when_the_state_ends_across_a_border() -> None:
    """A rest that the next span prolongs is told with its real end."""
    driver = Driver(plan_of(pump=load("15m on, 45m off", "00:30 | 5m off, 10m on")))
    driver.advance("20m")
    assert driver.reason("pump").until == MIDNIGHT + ms("35m")


def test_all_loads_are_ordered_when_the_controller_gets_them() -> None:
    """The first decision orders every load, on or off; later ones what changes."""
    driver = Driver(plan_of(pump=load("on"), fan=load("off", kind="fan")), begins=False)
    first = driver.step()
    second = driver.step()
    assert [(order.load, order.is_on) for order in first.orders] == [("pump", True), ("fan", False)]
    assert second.orders == ()


def test_a_settled_start_orders_nothing_that_is_already_so() -> None:
    """A dry run begins with the states that the plan would have brought about."""
    driver = Driver(plan_of(pump=load("15m on, 15m off")), is_settled=True)
    assert driver.changes == []
    assert driver.states == {"pump": True}
    driver.advance("15m")
    assert driver.told() == ["00:15:00 pump off: plan"]


def test_a_settled_load_has_been_on_since_its_watering_began() -> None:
    """`longest_on` counts the part of a watering that lies before the start."""
    driver = Driver(
        plan_of(pump=load("30m on, 15m off", longest_on="20m")),
        start=MIDNIGHT + ms("10m"),
        is_settled=True,
    )
    driver.advance("15m")
    assert driver.told() == [
        "00:10:00 pump off: longest on reached",
        "00:10:01 pump on: plan",
    ]


def test_decide_is_told_everything_and_keeps_nothing() -> None:
    """The same plan, memory and observation give the same decision again."""
    driver = Driver(plan_of(pump=load("15m on, 15m off")), begins=False)
    memory = settled_memory(driver.schedule, driver.seen())
    first = decide(driver.schedule, memory, driver.seen())
    assert decide(driver.schedule, memory, driver.seen()) == first


def test_an_order_carries_the_piece_of_the_plan_that_it_follows() -> None:
    """The reason of an order names rule, piece and end."""
    driver = Driver(plan_of(pump=load("15m on, 15m off")), begins=False)
    (order,) = driver.step().orders
    piece = driver.schedule.loads[0].own.piece_at(MIDNIGHT)
    assert order == Order("pump", True, order.reason)
    assert order.reason == (Why.PLAN, piece, "", MIDNIGHT + 15 * MINUTE_MS)


def test_a_load_without_a_span_in_force_is_off() -> None:
    """Where an anchor never happens there is no span, and the reason says so."""
    driver = Driver(
        plan_of(
            lamp=load("on", kind="lamp"),  # never changes to on: it always is
            pump=load("lamp on | 15m on, 15m off"),
        )
    )
    driver.advance("1h")
    assert driver.told() == ["00:00:00 lamp on: plan"]
    assert driver.reason("pump").why is Why.NO_SPAN
