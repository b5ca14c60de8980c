"""A stand under lamps drinks by the light that it has: a person's hold on its lamp included."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from controller.core.demand.pace import REVIEW_MS
from controller.core.orders import Why
from controller.core.units import MINUTE_MS
from tests.worlds import MIDNIGHT, Driver, load, ms, on_demand, plan_of, stand

if TYPE_CHECKING:
    from collections.abc import Sequence

NOON = MIDNIGHT + ms("12h")
NIGHT = MIDNIGHT + ms("1h")
DAY_LIGHT = ("06:00 | on", "20:00 | off")
BY_HAND = {"name": "by_hand", "by_hand": True, "spans": [{"from": "00:00", "cycle": "on"}]}


def under_lamps(**keys: Any) -> dict[str, Any]:
    """Heads in a room that is kept at 24 °C and 60 %, under lamps."""
    room = {"air_c": 24.0, "humidity_pct": 60.0, "ppfd_umol": 220.0, "lamp": "lamps"}
    return stand(place="under-lamps", air=None, **{**room, **keys})


def garden(
    *lamp_spans: str,
    start: int,
    restores: bool = False,
    stands: dict[str, dict[str, Any]] | None = None,
    variants: Sequence[dict[str, Any]] = (),
    lamps_first: bool = False,
) -> Driver:
    """A pump on demand for stands under lamps, and the lamps; settled."""
    lamps = load(*(lamp_spans or DAY_LIGHT), kind="lamp")
    loads = {
        "pump": load(kind="pump") | {"spans": [on_demand(shortest_rest="1m", longest_rest="4h")]},
        "lamps": lamps | {"variants": [BY_HAND, *variants]},
        "more_lamps": lamps,
    }
    if lamps_first:
        loads = dict(reversed(loads.items()))
    plan = plan_of(stands=stands or {"heads": under_lamps()}, **loads)
    return Driver(plan, start=start, is_settled=True, restores=restores)


def next_rest_ms(driver: Driver) -> int:
    """How long the next whole rest of the pump lasts."""
    driver.advance_until("pump", is_on=True)
    driver.advance_until("pump", is_on=False)
    began = driver.true_now
    driver.advance_until("pump", is_on=True)
    return driver.true_now - began


LIT_MS = next_rest_ms(garden("00:00 | on", start=NOON))
DARK_MS = next_rest_ms(garden("00:00 | off", start=NOON))


def test_lamps_make_a_difference_that_these_tests_can_see() -> None:
    """A stand in the light drinks so much more that its rests are far shorter."""
    assert LIT_MS + 10 * MINUTE_MS < DARK_MS


@pytest.mark.parametrize(
    ("start", "order", "rest_ms"),
    [
        (NOON, "off", DARK_MS),
        (NIGHT, "on", LIT_MS),
        (NIGHT, "by_hand", LIT_MS),  # a variant that a person holds
        (NOON, "on", LIT_MS),
        (NIGHT, "off", DARK_MS),
    ],
)
def test_a_held_lamp_is_seen_as_it_is(start: int, order: str, rest_ms: int) -> None:
    """The rest is that of a stand whose plan has the lamp so."""
    driver = garden(start=start)
    driver.hold("lamps", order, "12h")
    assert next_rest_ms(driver) == rest_ms


def test_the_light_that_a_hold_brings_is_seen_at_once() -> None:
    """A rest in the dark is cut when somebody lights the lamp, at no later review."""
    driver = garden(start=NIGHT)
    driver.advance_until("pump", is_on=False)
    dark = driver.until("pump")
    driver.advance("61s")
    driver.hold("lamps", "on", "12h")
    lit = driver.until("pump")
    assert lit < dark


def test_the_plan_has_the_lamp_again_in_the_moment_in_which_its_hold_ends() -> None:
    """Lamps held off at noon come back, and a rest that began in the dark is cut then and there,
    between two reviews."""
    driver = garden(start=NOON)
    driver.hold("lamps", "off", "2h1m13s")
    driver.advance("2h1m12s")
    assert not driver.states["pump"]
    before = driver.until("pump")
    driver.advance("1s")
    after = driver.until("pump")
    assert driver.clock_now % REVIEW_MS
    assert after < before


def test_a_release_gives_the_lamp_back_to_the_plan_at_once() -> None:
    """Nobody waits for the hold's end."""
    driver = garden(start=NOON)
    driver.hold("lamps", "off", "12h")
    driver.advance_until("pump", is_on=False)
    dark = driver.until("pump")
    driver.advance("1s")
    driver.release("lamps")
    lit = driver.until("pump")
    assert lit < dark


def test_a_held_cycle_counts_as_it_stands_at_the_review() -> None:
    """Lamps that blink by hand are lit or dark for a pace as at any review; a hold that has just
    begun counts as it begins."""
    driver = garden(start=NIGHT + MINUTE_MS)
    driver.advance_until("pump", is_on=False)
    dark = driver.until("pump")
    driver.hold("lamps", "1m on, 9m off", "12h")
    lit = driver.until("pump")
    assert lit < dark


def test_of_two_stands_under_like_lamps_the_lit_one_tells() -> None:
    """Stands that are alike but for whose lamp lights them are two, when one of the lamps is
    held."""
    stands = {"heads": under_lamps(), "others": under_lamps(lamp="more_lamps")}
    for held in ("lamps", "more_lamps"):
        driver = garden(start=NIGHT, stands=stands)
        driver.hold(held, "on", "12h")
        assert next_rest_ms(driver) == LIT_MS


def test_a_held_lamp_is_seen_after_a_crash() -> None:
    """The hold outlives the controller, and so does what it means to the roots."""
    driver = garden(start=NIGHT, restores=True)
    driver.hold("lamps", "on", "12h")
    driver.crash("5s")
    assert next_rest_ms(driver) == LIT_MS


def test_other_loads_that_are_held_change_no_pace() -> None:
    """Only the lamp over a stand counts."""
    driver = garden(start=NIGHT)
    driver.hold("more_lamps", "on", "12h")
    assert next_rest_ms(driver) == DARK_MS


def with_variants(*variants: dict[str, Any], start: int, **keys: Any) -> Driver:
    """The garden, its lamps with variants that a sensor `attic` calls for."""
    driver = garden(start=start, variants=variants, **keys)
    driver.sense(attic=20.0)
    return driver


def sensed(name: str, cycle: str, **keys: Any) -> dict[str, Any]:
    """A variant of the lamps that has them on or off while the attic is hot or cold."""
    spans = [{"from": "00:00", "cycle": cycle}]
    return {"name": name, "sensor": "attic", "spans": spans, "at_least": "0s", **keys}


COLD = sensed("cold", "on", below=5.0, until=8.0)
HOT = sensed("hot", "off", above=35.0, until=30.0)


@pytest.mark.parametrize(
    ("start", "variant", "attic_c", "rest_ms"),
    [(NIGHT, COLD, 2.0, LIT_MS), (NOON, HOT, 40.0, DARK_MS)],
)
def test_a_lamp_that_follows_a_sensor_is_seen_as_it_is(
    start: int, variant: dict[str, Any], attic_c: float, rest_ms: int
) -> None:
    """Lamps lit against the cold, or dark in the heat, count as they are, and not as planned."""
    driver = with_variants(variant, start=start)
    driver.sense(attic=attic_c)
    assert driver.states["lamps"] is (rest_ms == LIT_MS)
    assert next_rest_ms(driver) == rest_ms


def test_the_light_that_a_variant_brings_is_seen_at_once() -> None:
    """A rest in the dark is cut in the moment in which the attic is cold, at no later review, and
    whichever of the two loads the plan has first."""
    for lamps_first in (False, True):
        driver = with_variants(COLD, start=NIGHT, lamps_first=lamps_first)
        while driver.states["pump"]:
            driver.advance("1s")
        dark = driver.reason("pump").until
        driver.advance("61s")
        driver.sense(attic=2.0)
        lit = driver.reason("pump").until
        assert dark is not None
        assert lit is not None
        assert lit < dark


def test_the_plan_has_the_lamp_again_when_its_variant_has_lasted_for_its_least_time() -> None:
    """Lamps that are dark for the least time of a variant are lit after it, and a rest is cut then
    and there, between two reviews, though no reading changes."""
    driver = with_variants({**HOT, "at_least": "2h1m13s"}, start=NOON)
    driver.sense(attic=40.0)
    driver.sense(attic=20.0)
    driver.advance("2h1m12s")
    assert driver.states == {"pump": False, "lamps": False, "more_lamps": True}
    before = driver.reason("pump").until
    driver.advance("1s")
    assert driver.states == {"pump": False, "lamps": True, "more_lamps": True}
    after = driver.reason("pump").until
    assert driver.clock_now % REVIEW_MS
    assert before is not None
    assert after is not None
    assert after < before


def test_a_hold_on_a_lamp_goes_before_its_variant() -> None:
    """As it does for the lamp itself."""
    driver = with_variants(COLD, start=NIGHT)
    driver.sense(attic=2.0)
    driver.hold("lamps", "off", "12h")
    assert next_rest_ms(driver) == DARK_MS


def test_a_clock_that_nobody_trusts_is_not_asked_what_a_lamp_does() -> None:
    """Its time may be in no year that there is, and without a trusted clock nothing demands."""
    driver = with_variants(COLD, start=NIGHT)
    driver.sense(attic=2.0)
    driver.distrust_clock(off=-(10**15))
    assert driver.reason("pump").why is Why.WITHOUT_CLOCK
    driver.trust_clock()
    assert next_rest_ms(driver) == LIT_MS
