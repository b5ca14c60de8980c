"""The fixed cycle of a span on demand, while nobody tells the air: its waterings are waterings."""

from __future__ import annotations

from datetime import date

import pytest

from controller.core.orders import Why
from controller.core.units import MINUTE_MS
from tests.worlds import MIDNIGHT, Driver, load, ms, on_demand, plan_of, stand

AIR = {"air": {"measures": "air_temperature", "stale_after": "20m"}}


def garden(*, weighs_all: bool, **bounds: str) -> Driver:
    """A pump whose plan waters on demand and whose sensor never speaks; weighed at each step, or
    only when it is due."""
    pump = load(kind="pump") | {"spans": [on_demand(**bounds)]}
    plan = plan_of(sensors=AIR, stands={"heads": stand()}, pump=pump)
    return Driver(plan, start=MIDNIGHT + ms("12h"), is_settled=True, weighs_all=weighs_all)


def whys(driver: Driver) -> set[Why]:
    """By which rules the pump was switched."""
    return {change.why for change in driver.changes}


@pytest.mark.parametrize("weighs_all", [False, True], ids=["when due", "at each step"])
def test_a_fixed_watering_that_is_shorter_than_a_demanded_one_counts(weighs_all: bool) -> None:
    """It is measured by its own cycle: after each of them roots are wet, and no recovery is due
    when the longest rest is over, whenever one looks."""
    driver = garden(
        weighs_all=weighs_all, fixed="1m on, 1m off", shortest_watering="5m", longest_rest="7m"
    )
    for _ in range(200):
        driver.advance("7s")
        driver.step()
    assert whys(driver) == {Why.PLAN}
    assert driver.its("pump").watered == driver.its("pump").since or driver.states["pump"]


@pytest.mark.parametrize("weighs_all", [False, True], ids=["when due", "at each step"])
def test_after_a_fixed_watering_that_was_cut_short_the_longest_rest_still_ends(
    weighs_all: bool,
) -> None:
    """A person holds the pump off for most of a watering: what is left of it wets no roots, so the
    next comes when the longest rest is over and not with the next round of the cycle."""
    driver = garden(weighs_all=weighs_all, fixed="1m on, 5m off", longest_rest="7m")
    driver.advance_until("pump", is_on=True)
    driver.advance_until("pump", is_on=False)
    watered = driver.tick
    driver.advance("4m50s")
    driver.hold("pump", "off", "55s")
    driver.advance("70s")
    assert not driver.states["pump"]
    assert driver.its("pump").watered == watered, "15 of 60 seconds wet no roots"
    driver.advance_until("pump", is_on=True)
    assert driver.its("pump").reason.why is Why.RECOVERY
    assert driver.tick - watered == 7 * MINUTE_MS


def test_a_fixed_watering_that_shortest_on_draws_out_is_not_watched_by_the_millisecond() -> None:
    """The air falls silent during a watering on demand, while the fixed cycle rests: the pump stays
    on for its shortest on, and is looked at when that is over. Decisions are counted."""
    span = on_demand(
        fixed="5m on, 45m off", shortest_watering="5m", shortest_rest="5m", longest_rest="7m"
    )
    pump = load(kind="pump", shortest_on="5m") | {"spans": [span]}
    plan = plan_of(sensors=AIR, stands={"heads": stand()}, pump=pump)
    driver = Driver(plan, start=MIDNIGHT + ms("12h"), is_settled=True)
    driver.sense(air=24.0)
    while len(driver.changes) < 3:  # on at noon, off, and on again after a rest on demand
        driver.advance("1s")
    driver.advance("1m")
    driver.silence("air")
    before = driver.decisions
    driver.advance("1h")
    assert driver.decisions - before < 50


def test_plants_are_asked_from_the_midnight_at_which_they_are_sown() -> None:
    """Where no span begins then, nor the day of UTC; the fixed cycle is carried out before."""
    site = {"latitude": 47.1, "longitude": 180.0, "timezone": "Etc/GMT-12"}
    heads = stand(age_days=None, sown=date(2026, 6, 2))
    pump = load(kind="pump") | {"spans": [on_demand("03:00", fixed="6h on, 20m off")]}
    plan = plan_of(site=site, sensors=AIR, stands={"heads": heads}, pump=pump)
    driver = Driver(plan, start=MIDNIGHT + ms("10h"), is_settled=True)
    driver.sense(air=24.0)
    driver.advance("1h59m")
    assert driver.its("pump").reason.why is Why.PLAN
    driver.advance("1m")
    assert driver.its("pump").reason.why is Why.DEMAND
