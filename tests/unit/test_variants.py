"""Variants: entered past a threshold, left at another, and never by guessing."""

from __future__ import annotations

import pytest

from controller.core.orders import Event, Why
from controller.core.plan import Plan, Variant
from controller.core.variants import holds
from tests.worlds import Driver, load, plan_of, spans


def _variant(**keys: object) -> Variant:
    return Variant.model_validate({"name": "v", "sensor": "air", "spans": spans("on"), **keys})


@pytest.mark.parametrize(
    ("keys", "value", "is_in_force", "expected"),
    [
        ({"above": 32.0, "until": 29.0}, 32.0, False, False),  # strictly past, to enter
        ({"above": 32.0, "until": 29.0}, 32.001, False, True),
        ({"above": 32.0, "until": 29.0}, 30.0, False, False),
        ({"above": 32.0, "until": 29.0}, 30.0, True, True),  # hysteresis
        ({"above": 32.0, "until": 29.0}, 29.0, True, False),  # back at `until`: left
        ({"above": 32.0, "until": 29.0}, 29.001, True, True),
        ({"below": 5.0, "until": 8.0}, 5.0, False, False),
        ({"below": 5.0, "until": 8.0}, 4.999, False, True),
        ({"below": 5.0, "until": 8.0}, 7.0, True, True),
        ({"below": 5.0, "until": 8.0}, 8.0, True, False),
        ({"above": 0.0, "until": -1.0}, -0.5, True, True),  # nought is a threshold too
        ({"above": 32.0, "until": 32.0}, 32.0, True, False),  # no hysteresis, no flicker
    ],
)
def test_a_reading_calls_for_a_variant(
    keys: dict[str, float], value: float, is_in_force: bool, expected: bool
) -> None:
    """Past the threshold enters, back at `until` leaves, and in between nothing changes."""
    assert holds(_variant(**keys), value, is_in_force=is_in_force) is expected


def hot(*variants: dict[str, object], **keys: object) -> Plan:
    """A pump with a variant for hot air, and others listed after it."""
    of_heat = {"name": "hot", "sensor": "air", "above": 30, "until": 27, "spans": spans("on")}
    return plan_of(
        sensors={
            "air": {"measures": "air_temperature", "stale_after": "10m"},
            "float": {"measures": "level"},
        },
        pump=load("off", variants=[{**of_heat, **keys}, *variants], level="float"),
    )


def test_a_variant_takes_over_at_once_and_gives_back_at_once() -> None:
    """The pump follows the variant's spans from the reading that calls for it to the one
    that does not."""
    driver = Driver(hot())
    for degrees in (25, 30, 31, 28, 27, 28, 31):
        driver.advance("1m")
        driver.sense(air=degrees)
    assert driver.told() == [
        "00:03:00 pump on: variant",
        "00:05:00 pump off: plan",
        "00:07:00 pump on: variant",
    ]
    assert driver.noted(Event.VARIANT_ENTERED, Event.VARIANT_LEFT) == [
        "00:03:00 variant entered pump (hot)",
        "00:05:00 variant left pump (hot)",
        "00:07:00 variant entered pump (hot)",
    ]


def test_a_variant_lasts_at_least_so_long() -> None:
    """A variant called for by one gust stays for `at_least`, and is left at its end."""
    driver = Driver(hot(at_least="30m"))
    driver.sense(air=31)
    driver.advance("1m")
    driver.sense(air=20)
    driver.advance("1h")
    assert driver.told() == ["00:00:00 pump on: variant", "00:30:00 pump off: plan"]


def test_a_variant_goes_on_after_its_least_time_while_it_is_called_for() -> None:
    """`at_least` is no end."""
    driver = Driver(hot(at_least="30m"))
    driver.sense(air=31)
    driver.advance("2h")
    driver.sense(air=20)
    assert driver.told() == ["00:00:00 pump on: variant", "02:00:00 pump off: plan"]


@pytest.mark.parametrize("guarded", ["level", "hold"])
def test_a_least_time_ends_though_guards_and_holds_are_in_force(guarded: str) -> None:
    """What keeps a load off does not keep its variant: cooled down meanwhile, it is left,
    and a reading between the thresholds does not bring it back."""
    driver = Driver(hot(at_least="30m"))
    driver.sense(air=31)
    driver.advance("1m")
    if guarded == "level":
        driver.sense(float=0)
    else:
        driver.hold("pump", "off", "50m")
    driver.sense(air=20)
    driver.advance("40m")
    assert driver.noted(Event.VARIANT_LEFT) == ["00:30:00 variant left pump (hot)"]
    driver.sense(air=28)
    driver.sense(float=1)
    driver.release("pump")
    assert driver.reason("pump").why is Why.PLAN


def test_a_stale_reading_calls_for_nothing() -> None:
    """A sensor that says nothing for `stale_after` is no reading, and the plan goes on."""
    driver = Driver(hot())
    driver.sense(air=31)
    driver.silence("air")
    driver.advance("20m")
    assert driver.told() == ["00:00:00 pump on: variant", "00:10:00.001 pump off: plan"]
    assert driver.noted(Event.ALARM_RAISED) == [
        "00:10:00.001 alarm air (sensor silent)",
        "00:10:00.001 alarm float (sensor silent)",  # it has never spoken
    ]


def test_a_reading_is_fresh_until_its_last_millisecond() -> None:
    """`stale_after` old is still a reading."""
    driver = Driver(hot())
    driver.poll(air=31)
    driver.advance("9m59s")
    driver.advance(1_000)
    assert driver.states["pump"] is True
    driver.advance(1)
    assert driver.states["pump"] is False


def test_a_sensor_that_speaks_again_ends_its_alarm() -> None:
    """The alarm of a silent sensor needs nobody to look: it goes when the sensor is back."""
    driver = Driver(hot())
    driver.poll(air=31, float=1)
    driver.advance("11m")
    assert driver.alarms() == ["sensor silent air", "sensor silent float"]
    driver.poll(air=31, float=1)
    assert driver.alarms() == []
    assert driver.states["pump"] is True


def test_of_two_variants_the_later_listed_wins() -> None:
    """Hotter comes after hot in the list, and overrides it while it holds."""
    hotter = {
        "name": "hotter", "sensor": "air", "above": 35, "until": 32,
        "spans": spans("1m off, 1m on"),
    }  # fmt: skip
    driver = Driver(hot(hotter))
    for degrees in (31, 36, 33, 31, 20):
        driver.sense(air=degrees)
        driver.advance("10m")
    assert driver.noted(Event.VARIANT_ENTERED, Event.VARIANT_LEFT) == [
        "00:00:00 variant entered pump (hot)",
        "00:10:00 variant left pump (hot)",
        "00:10:00 variant entered pump (hotter)",
        "00:30:00 variant left pump (hotter)",
        "00:30:00 variant entered pump (hot)",
        "00:40:00 variant left pump (hot)",
    ]


def test_a_variant_by_hand_is_entered_by_nothing_else() -> None:
    """Without a sensor no reading calls for it."""
    by_hand = {"name": "deluge", "by_hand": True, "spans": spans("on")}
    driver = Driver(hot(by_hand))
    driver.sense(air=20)
    driver.advance("10m")
    assert driver.its("pump").variant == -1


def test_a_variant_survives_an_outage_by_its_reading_alone() -> None:
    """After a restart the reading decides, within the hysteresis that was in force."""
    driver = Driver(hot(at_least="2h"))
    driver.sense(air=31)
    driver.sense(air=28)
    driver.advance("1m")
    driver.lose_power("10m")
    driver.advance("1m")
    assert driver.reason("pump").why is Why.VARIANT
    driver.sense(air=27)
    assert driver.reason("pump").why is Why.PLAN


def test_a_variant_waits_while_the_clock_is_not_trusted() -> None:
    """A variant's spans need the time of the day; without a clock the load runs without."""
    driver = Driver(hot(), is_clock_trusted=False)
    driver.sense(air=31)
    assert driver.reason("pump").why is Why.WITHOUT_CLOCK
    driver.trust_clock()
    assert driver.reason("pump").why is Why.VARIANT
