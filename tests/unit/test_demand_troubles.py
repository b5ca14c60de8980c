"""Watering on demand where something goes wrong, and what roots must not pay for."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.demand.pace import pace_of
from controller.core.demand.signs import Signs
from controller.core.journal_history import State
from controller.core.order_differences import differences
from controller.core.orders import Why
from controller.core.units import MINUTE_MS
from tests.worlds import MIDNIGHT, Driver, load, ms, on_demand, plan_of, stand

NOON = MIDNIGHT + ms("12h")
NIGHT = MIDNIGHT + ms("1h")
AIR = {"air": {"measures": "air_temperature", "stale_after": "20m"}}


def garden(
    *,
    start: int = NOON,
    is_settled: bool = True,
    restores: bool = False,
    bounds: dict[str, str] | None = None,
    pump: dict[str, Any] | None = None,
    sensors: dict[str, Any] | None = None,
    guards: dict[str, Any] | None = None,
    others: dict[str, Any] | None = None,
    **keys: Any,
) -> Driver:
    """A pump on demand for one stand."""
    tables = {"guards": guards} if guards else {}
    plan = plan_of(
        sensors=AIR | (sensors or {}),
        stands={"heads": stand(**keys)},
        **tables,
        **(others or {}),
        pump=load(kind="pump") | {"spans": [on_demand(**(bounds or {}))]} | (pump or {}),
    )
    return Driver(plan, start=start, is_settled=is_settled, restores=restores)


def dry_ms(driver: Driver) -> int:
    """How long the roots have been dry; the pump is off."""
    watered = driver.its("pump").watered
    assert watered is not None
    return driver.tick - watered


def late_in_a_rest() -> Driver:
    """A pump at night, half an hour or more into a rest of 45 min; its fixed cycle is off, and
    will be until after the longest rest."""
    driver = garden(start=NIGHT, medium="mineral-wool")
    driver.sense(air=5.0)
    own = driver.schedule.loads[0].own
    while True:
        driver.advance("1m")
        look = own.look(driver.clock_now)
        if driver.states["pump"] or look.is_on or dry_ms(driver) < 30 * MINUTE_MS:
            continue
        if dry_ms(driver) + look.until - driver.clock_now > 47 * MINUTE_MS:
            return driver


# A watering that cannot make good for the rest


@pytest.mark.parametrize("drip_ml_per_min", [0.1, 2.0, 5.0, 10.0, 20.0, 50.0])
@pytest.mark.parametrize("air_c", [18.0, 25.0, 38.0])
@pytest.mark.parametrize("medium", ["expanded-clay", "mineral-wool"])
def test_roots_get_in_a_watering_what_they_lose_until_the_next(
    drip_ml_per_min: float, air_c: float, medium: str
) -> None:
    """The driest roots are no drier after a rest and its watering than before, or the plan's
    bounds allow no more water."""
    driver = garden(drip_ml_per_min=drip_ml_per_min, medium=medium)
    pump = driver.schedule.loads[0]
    bounds, drinkers = pump.own.demands[0], pump.drinkers
    assert bounds is not None
    signs = Signs({"air": air_c})
    pace = pace_of(drinkers, bounds, instant=NOON, signs=signs)
    thirst = drinkers[0].thirst(NOON, signs)
    assert pace is not None
    assert thirst is not None
    watering_ms = pace.watering_ms(pace.rest_ms)
    store = drinkers[0].facts.stores_at(38).driest
    demand = thirst.demand_ml_per_s
    rested = store.rested(store.full, length_s=pace.rest_ms / 1000, demand_ml_per_s=demand)
    wetted = store.watered(rested.after, length_s=watering_ms / 1000, demand_ml_per_s=demand)
    is_all_there_is = (
        pace.rest_ms == bounds.shortest_rest_ms and watering_ms == bounds.longest_watering_ms
    )
    assert is_all_there_is or wetted.after.stored_ml == pytest.approx(store.full.stored_ml)


def test_a_trickle_is_told_as_the_longest_watering_that_the_plan_allows() -> None:
    """Who reads why sees that the bounds stand between the roots and more water."""
    driver = garden(drip_ml_per_min=1.0)
    driver.sense(air=38.0)
    driver.advance_until("pump", is_on=False)
    assert "Rest cut" not in driver.reason("pump").detail
    assert "the shortest that the plan allows" in driver.reason("pump").detail
    driver.advance("6m")
    assert driver.states["pump"]
    assert "the longest that the plan allows" in driver.reason("pump").detail


def test_a_rest_drawn_out_by_hand_is_made_good_for_in_full() -> None:
    """After two hours that a person kept the pump off, the watering is for two hours."""
    usual, long = (garden(drip_ml_per_min=20.0, medium="mineral-wool") for _ in ("usual", "long"))
    for driver in (usual, long):
        driver.sense(air=30.0)
        driver.advance_until("pump", is_on=False)
    long.hold("pump", "off", "2h")
    long.advance("2h")
    usual.advance("1h")
    lengths = {}
    for name, driver in (("usual", usual), ("long", long)):
        driver.advance_until("pump", is_on=True)
        until = driver.until("pump")
        lengths[name] = until - driver.clock_now
    assert lengths["long"] > 1.5 * lengths["usual"]


# Readings that go, come back or cannot be


def test_no_rest_outlasts_the_longest_because_a_reading_goes_stale() -> None:
    """A sensor that falls silent late in a long rest puts the roots off to no turn of the fixed
    cycle that is beyond the longest rest."""
    driver = late_in_a_rest()
    driver.readings = {}
    driver.step()
    worst = 0
    for _ in range(60):
        driver.advance("1m")
        if not driver.states["pump"]:
            worst = max(worst, dry_ms(driver))
    assert worst <= 45 * MINUTE_MS


def test_a_watering_that_comes_before_the_fixed_cycle_is_a_whole_one_and_told() -> None:
    """It begins at the longest rest, lasts as long as one of the fixed cycle, and has its own
    reason."""
    driver = late_in_a_rest()
    driver.readings = {}
    driver.step()
    assert driver.reason("pump").why is Why.PLAN
    driver.forget()
    left_ms = 45 * MINUTE_MS - dry_ms(driver)
    driver.advance("30m")
    first, second = driver.changes[:2]
    assert (first.is_on, first.why) == (True, Why.RECOVERY)
    assert first.instant - driver.start == left_ms
    assert second.instant - first.instant >= 15 * MINUTE_MS


@pytest.mark.parametrize("air_c", [-300.0, -237.3, -127.0, 85.0, 1000.0, float("nan")])
def test_air_that_cannot_be_is_no_air(air_c: float) -> None:
    """What no thermometer truly shows stretches no rest and stops no decision: the fixed cycle
    is carried out, as without a reading."""
    driver = garden()
    driver.sense(air=air_c)
    assert driver.reason("pump").why is Why.PLAN
    driver.sense(air=25.0)
    assert driver.reason("pump").why is Why.DEMAND


@pytest.mark.parametrize("humidity_pct", [0.0, 100.0, 105.0])
def test_humidity_at_its_ends_keeps_the_demand(humidity_pct: float) -> None:
    """Saturated sensors and bone-dry air are air as well."""
    damp = {"damp": {"measures": "humidity", "stale_after": "20m"}}
    driver = garden(sensors=damp, humidity="damp")
    driver.sense(air=25.0, damp=humidity_pct)
    assert driver.reason("pump").why is Why.DEMAND


@pytest.mark.parametrize("humidity_pct", [-0.1, 105.1, 4500.0, float("nan"), float("inf")])
def test_humidity_that_cannot_be_is_no_air(humidity_pct: float) -> None:
    """A sensor that says hundredths of a per cent stretches no rest as if the air were damp."""
    damp = {"damp": {"measures": "humidity", "stale_after": "20m"}}
    driver = garden(sensors=damp, humidity="damp")
    driver.sense(air=25.0, damp=humidity_pct)
    assert driver.reason("pump").why is Why.PLAN


def test_a_reading_each_second_changes_nothing_but_the_readings() -> None:
    """Noise of a hundredth of a degree neither delays nor hastens a watering by much, and
    orders no more switchings."""
    changes = []
    for noise_c in (0.0, 0.01):
        driver = garden()
        driver.poll(air=30.0)
        for second in range(3600):
            driver.advance("1s")
            driver.poll(air=30.0 + noise_c * (second % 3))
        changes.append(len(driver.changes))
    assert changes[0] == changes[1]


def test_a_rest_in_the_heat_is_not_drawn_out_by_cooler_air() -> None:
    """What the roots drank before the air cooled is gone."""
    driver = garden()
    driver.sense(air=38.0)
    driver.advance_until("pump", is_on=False)
    told = driver.until("pump")
    driver.advance("6m")
    driver.sense(air=5.0)
    driver.forget()
    driver.advance("5m")
    assert driver.changes
    assert driver.changes[0].is_on
    assert driver.changes[0].instant <= told


def test_a_clock_that_jumps_ahead_makes_no_rest_shorter_than_the_shortest() -> None:
    """What was told to come at a time of day comes no sooner than the plan's bound has it."""
    driver = garden()
    driver.sense(air=25.0)
    driver.advance_until("pump", is_on=False)
    driver.forget()
    driver.advance("1m")
    driver.set_clock(by="2h")
    driver.advance("3m58s")
    assert driver.told() == []
    driver.advance("30m")
    assert driver.told()[0].endswith("pump on: demand")


def test_a_hold_made_longer_late_in_a_rest_makes_that_no_shorter_than_the_shortest() -> None:
    """The old end of the hold ends no rest that has just begun."""
    care = {"name": "care", "by_hand": True, "spans": [on_demand()]}
    driver = garden(pump={"spans": load("15m on, 15m off")["spans"], "variants": [care]})
    driver.sense(air=20.0)
    driver.hold("pump", "care", "12h")
    driver.advance_until("pump", is_on=True)
    driver.advance_until("pump", is_on=False)
    driver.hold("pump", "care", "2m")
    driver.advance("1m")
    driver.forget()
    driver.hold("pump", "care", "3h")
    driver.advance("3m50s")
    assert driver.told() == []


# The first minutes, and restarts


def test_a_watering_that_power_cut_short_in_the_first_minute_is_given_again() -> None:
    """A controller switched on, off and on again has watered nobody: nothing is known of a
    watering, so none is waited for."""
    driver = garden(is_settled=False, restores=True)
    driver.sense(air=20.0)
    assert driver.states["pump"]
    driver.advance("30s")
    driver.lose_power("1m")
    driver.sense(air=20.0)
    assert driver.states["pump"]


def test_a_long_rest_is_the_same_after_a_crash() -> None:
    """The end of the last watering survives; the rest is counted once."""
    plain, crashed = (garden(start=NIGHT, medium="mineral-wool", restores=True) for _ in "ab")
    for driver in (plain, crashed):
        driver.sense(air=5.0)
        driver.advance_until("pump", is_on=False)
        driver.advance("20m")
    crashed.crash("5s")
    crashed.sense(air=5.0)
    plain.advance("5s")
    assert crashed.its("pump").watered == plain.its("pump").watered
    assert not crashed.states["pump"]
    for driver in (plain, crashed):
        driver.advance("24m30s")
        assert not driver.states["pump"]
        driver.advance("2m")
        assert driver.states["pump"]


def test_a_small_step_of_the_clock_late_in_a_long_rest_is_no_alarm() -> None:
    """Roots within the longest rest are as planned: no alarm that they were left dry."""
    driver = late_in_a_rest()
    assert dry_ms(driver) < 45 * MINUTE_MS
    driver.set_clock(by="2s")
    assert driver.alarms() == []


# What cuts a watering short


def test_a_pump_that_saw_no_flow_has_watered_nobody() -> None:
    """It tries again as soon as a pump may that stopped for want of flow, whatever the rest."""
    driver = garden(
        start=NIGHT,
        medium="mineral-wool",
        sensors={"meter": {"measures": "flow", "stale_after": "20m"}},
        pump={"flow": "meter", "flow_within": "2m"},
    )
    driver.sense(air=5.0, meter=3.0)
    driver.advance_until("pump", is_on=False)
    while not driver.states["pump"]:
        driver.advance("1m")
        driver.poll(meter=0.0)
    driver.advance("2m")
    driver.poll(meter=0.0)
    assert driver.reason("pump").why is Why.NO_FLOW
    driver.forget()
    driver.advance("15m")
    assert driver.told()[0].endswith("pump on: demand")


def test_a_long_watering_cut_short_does_not_begin_a_whole_rest() -> None:
    """Two minutes of a needed fifteen, then the power: the roots are not full."""
    driver = garden(drip_ml_per_min=6.0, restores=True)
    driver.sense(air=30.0)
    driver.advance_until("pump", is_on=False)
    driver.advance_until("pump", is_on=True)
    until = driver.until("pump")
    assert until - driver.clock_now > 8 * MINUTE_MS
    driver.advance("2m")
    driver.lose_power("10s")
    driver.sense(air=30.0)
    assert driver.states["pump"]


def test_a_level_low_for_hours_is_followed_by_water_at_once() -> None:
    """The reservoir refilled, nothing waits for a turn."""
    driver = garden(
        sensors={"float": {"measures": "level", "stale_after": "20m"}}, pump={"level": "float"}
    )
    driver.sense(air=33.0, float=1.0)
    driver.sense(float=0.0)
    driver.advance("5h")
    assert not driver.states["pump"]
    driver.sense(float=1.0)
    assert driver.states["pump"]


# Turns and watts


def test_a_load_that_waits_for_watts_goes_on_waiting_when_the_air_cools() -> None:
    """A watering that is due is put off by no later reading, and none is told as missed."""
    driver = garden(
        guards={"watts_at_once": 50},
        pump={"watts": 30.0},
        others={"lamp": load("00:00 | off", kind="lamp", watts=30.0)},
    )
    driver.sense(air=38.0)
    driver.advance_until("pump", is_on=False)
    driver.hold("lamp", "on", "6h")
    while driver.its("pump").waits_since is None:
        driver.advance("1s")
    driver.sense(air=2.0)
    assert driver.its("pump").waits_since is not None
    assert not [alarm for alarm in driver.alarms() if alarm.startswith("watering")]


# Another plan


def test_a_plan_without_the_demand_leaves_no_long_rest_behind() -> None:
    """Forty minutes into a rest on demand, a plan of 15/15 owes a watering."""
    driver = late_in_a_rest()
    plan = plan_of(
        sensors=AIR, stands={"heads": stand(medium="mineral-wool")}, pump=load("15m on, 15m off")
    )
    driver.adopt(plan)
    assert driver.states["pump"]


def test_another_bound_in_the_middle_of_a_rest_counts_from_the_last_watering() -> None:
    """A shorter longest rest ends the rest that runs, and loses none of it."""
    driver = garden(start=NIGHT, medium="mineral-wool")
    driver.sense(air=5.0)
    driver.advance_until("pump", is_on=False)
    driver.advance("25m")
    shorter = garden(start=NIGHT, medium="mineral-wool", bounds={"longest_rest": "30m"})
    driver.adopt(shorter.schedule)
    assert not driver.states["pump"]
    driver.advance("4m")
    assert not driver.states["pump"]
    driver.advance("2m")
    assert driver.states["pump"]


# What is told of the past


def test_a_rest_that_a_demand_took_over_is_no_difference() -> None:
    """A reading came back while the pump was off: what followed was as planned."""
    driver = garden(start=NIGHT, medium="mineral-wool")
    driver.advance("50m")  # nothing was ever read: the fixed cycle, in its second rest
    assert driver.changes[-1].why is Why.PLAN
    assert not driver.states["pump"]
    off = driver.changes[-1]
    driver.sense(air=5.0)
    driver.advance("40m")
    states = [
        State(one.instant, after, one.is_on, one.why.value)
        for one, after in zip(
            driver.changes,
            [*(it.instant for it in driver.changes[1:]), driver.clock_now],
            strict=True,
        )
    ]
    own = driver.schedule.loads[0].own
    assert differences(states, (), own, since=off.instant, until=driver.clock_now) == []
