"""Recovery waterings: what roots get first when a watering was lost."""

from __future__ import annotations

import pytest

from controller.core.orders import AlarmCode, Event, Why
from controller.core.plan import Plan
from tests.worlds import MIDNIGHT, Driver, load, ms, plan_of, spans

QUARTERS = plan_of(pump=load("15m on, 15m off"))
HOURS = plan_of(pump=load("15m on, 45m off"))


def settled(plan: Plan, at: str = "0s") -> Driver:
    """A garden in which the plan has been running until so long after midnight."""
    return Driver(plan, start=MIDNIGHT + ms(at), is_settled=True)


def test_after_a_long_outage_a_pump_waters_in_full_first() -> None:
    """Dry for longer than the plan's gap: a full watering at once, then the plan."""
    driver = settled(HOURS)
    driver.advance("15m")
    driver.lose_power("90m")
    driver.advance("1h15m")
    assert driver.told() == [
        "00:15:00 pump off: plan",
        "01:45:00 pump on: recovery watering",
        "02:15:00 pump off: plan",  # the watering of 02:00 followed without a break
        "03:00:00 pump on: plan",
    ]


def test_a_short_outage_in_a_rest_changes_nothing() -> None:
    """Power that fails and returns within a rest is noted, and nobody waters."""
    driver = settled(HOURS)
    driver.advance("20m")
    driver.lose_power("30m")
    driver.advance("10m")
    assert driver.told() == ["00:15:00 pump off: plan", "01:00:00 pump on: plan"]
    assert driver.noted() == ["00:50:00 power back"]


def test_a_short_outage_that_swallowed_the_watering_of_the_hour_counts() -> None:
    """15 minutes are less than the gap of 45, but the next watering is too far away."""
    driver = settled(HOURS)
    driver.advance("59m")
    driver.lose_power("17m")
    driver.advance("45m")
    assert driver.told() == [
        "00:15:00 pump off: plan",
        "01:16:00 pump on: recovery watering",
        "01:31:00 pump off: plan",
        "02:00:00 pump on: plan",
    ]


@pytest.mark.parametrize(
    ("outage", "is_needed"),
    [
        # Dry since 00:15; the plan waters next at 01:00, which is its own gap of 45 minutes.
        ("40m", False),
        # Back at 01:05: the plan waters now, and the roots were dry for 50 minutes.
        ("49m", True),
        ("46m", True),  # dry for 47 minutes
        ("44m", False),  # power is back at 01:00
    ],
)
def test_the_gap_of_the_span_is_the_measure(outage: str, is_needed: bool) -> None:
    """Only a dry time longer than the plan's own calls for more than the plan."""
    driver = settled(HOURS)
    driver.advance("16m")
    driver.lose_power(outage)
    assert (driver.reason("pump").why is Why.RECOVERY) is is_needed


def test_the_last_bit_of_a_watering_is_none() -> None:
    """Of the long watering before the long rest two minutes were given before an outage and one
    is left after it: no more than a splash before an hour without water."""
    driver = settled(plan_of(pump=load("15m on, 60m off, 2m on, 30m off")), "100m")
    driver.advance("9m")  # the long watering began at 01:47
    driver.lose_power("12m")
    driver.advance("16m")
    assert driver.told() == [
        "00:07:00 pump on: plan",
        "00:09:00 pump off: no power",
        "00:21:00 pump on: recovery watering",
        "00:36:00 pump off: plan",
    ]


def test_a_blink_in_the_second_half_of_a_watering_changes_nothing() -> None:
    """Watered for ten of fifteen minutes before it, roots need no more than the rest of them."""
    driver = settled(HOURS)
    driver.advance("1h10m")
    driver.lose_power("2s")
    driver.advance("10m")
    assert driver.told()[-2:] == ["01:10:02 pump on: plan", "01:15:00 pump off: plan"]
    assert driver.alarms() == []


def test_the_alarm_tells_how_long_the_roots_were_dry() -> None:
    """Somebody must look: the alarm stays, with the time that counts."""
    driver = settled(HOURS)
    driver.advance("15m")
    driver.lose_power("90m")
    assert driver.noted() == [
        "01:45:00 power back",
        "01:45:00 alarm pump (roots left dry: dry for 1h30m)",
        "01:45:00 recovery watering began pump",
    ]
    driver.advance("1h")
    assert driver.alarms() == ["roots left dry pump, over"]
    driver.acknowledge(AlarmCode.OUTAGE, "pump")
    assert driver.alarms() == []


def test_pumps_recover_one_after_another_the_driest_first() -> None:
    """Each gets its full watering before the next one's turn."""
    driver = settled(
        plan_of(
            a=load("00:00 | 5m off, 10m on, 45m off"),
            b=load("00:00 | 10m on, 50m off"),
            c=load("00:00 | 10m off, 10m on, 40m off"),
        )
    )
    driver.advance("29m")
    driver.lose_power("65m")
    driver.advance("25m")
    assert driver.told()[-5:] == [
        "01:34:00 b on: recovery watering",  # dry since 00:10
        "01:44:00 b off: plan",
        "01:44:00 a on: recovery watering",  # dry since 00:15
        "01:54:00 a off: plan",
        "01:54:00 c on: recovery watering",  # dry since 00:20
    ]


def test_a_pump_whose_plan_waters_does_not_wait_for_its_turn() -> None:
    """The order of recovery keeps nobody from what the plan gives."""
    driver = settled(plan_of(a=load("20m on, 40m off"), b=load("20m on, 40m off")))
    driver.advance("20m")
    driver.lose_power("40m")
    assert driver.told()[-2:] == ["01:00:00 a on: plan", "01:00:00 b on: plan"]
    driver.forget()
    driver.advance("30m")
    driver.lose_power("35m")  # back at 02:05, in the middle of a watering
    assert driver.states == {"a": True, "b": True}
    driver.forget()
    driver.advance("40m")
    assert driver.told() == [
        "00:15:00 b off: plan",  # by then b has had three quarters of a watering
        "00:20:00 a off: plan",  # it was a's turn: its watering is a full one
    ]


def test_recovery_is_told_for_the_one_whose_turn_it_is() -> None:
    """The journal says when each recovery watering begins."""
    driver = settled(plan_of(a=load("10m on, 50m off"), b=load("10m on, 50m off")))
    driver.advance("10m")
    driver.lose_power("1h30m")
    driver.advance("20m")
    assert driver.noted(Event.RECOVERY_BEGAN) == [
        "01:40:00 recovery watering began a",
        "01:50:00 recovery watering began b",
    ]


def test_other_loads_than_pumps_get_no_recovery() -> None:
    """Nobody lives on a lamp's light of yesterday."""
    driver = settled(plan_of(lamp=load("15m on, 45m off", kind="lamp")))
    driver.advance("15m")
    driver.lose_power("90m")
    assert driver.told() == ["00:15:00 lamp off: plan"]


# Rests without an end

NIGHTS = plan_of(pump=load("06:00 | 15m on, 45m off", "20:00 | off"))


def test_an_outage_in_a_rest_without_an_end_costs_nothing() -> None:
    """Where the plan rests for the night and the last watering was given, nobody waters."""
    driver = settled(NIGHTS, "19h20m")
    driver.lose_power("90m")
    driver.advance("9h10m")
    assert driver.told() == ["10:40:00 pump on: plan"]
    assert driver.alarms() == []


def test_the_last_watering_before_a_long_rest_is_given_after_an_outage() -> None:
    """Back in the night, roots get the watering of 19:00 that they were to rest on: it lasts as
    long as it would have."""
    driver = settled(NIGHTS, "18h20m")
    driver.lose_power("3h")
    driver.advance("10h")
    assert driver.told() == [
        "03:00:00 pump on: recovery watering",
        "03:15:00 pump off: plan",
        "11:40:00 pump on: plan",
        "11:55:00 pump off: plan",
        "12:40:00 pump on: plan",
        "12:55:00 pump off: plan",
    ]
    assert driver.alarms() == ["roots left dry pump, over"]


@pytest.mark.parametrize(
    ("into_watering", "is_needed"),
    [
        ("5m", True),  # a third of it
        ("10m", False),  # two thirds wet roots well enough for the night
    ],
)
def test_half_of_the_last_watering_is_enough_for_the_night(
    into_watering: str, *, is_needed: bool
) -> None:
    """What counts as a watering by day does so before the night."""
    driver = settled(NIGHTS, "18h20m")
    driver.advance("40m")
    driver.advance(into_watering)
    driver.lose_power("2h")
    assert driver.states["pump"] is is_needed


def test_a_reservoir_filled_at_night_makes_up_for_the_evening() -> None:
    """Dry since 17:15, because the float was low: watered when the water is back."""
    driver = settled(
        plan_of(
            sensors={"float": {"measures": "level", "stale_after": "24h"}},
            pump=load("06:00 | 15m on, 45m off", "20:00 | off", level="float"),
        ),
        "17h30m",
    )
    driver.sense(float=0)
    driver.advance("5h")
    driver.sense(float=1)
    driver.advance("20m")
    assert driver.told() == [
        "05:00:00 pump on: recovery watering",
        "05:15:00 pump off: plan",
    ]


def test_a_plan_that_only_rests_has_nothing_to_make_up_for() -> None:
    """Watered by hand, a pump whose plan is off for good gets nothing after an outage."""
    driver = settled(plan_of(pump=load("off")))
    driver.hold("pump", "on", "10m")
    driver.advance("20m")
    driver.lose_power("5h")
    assert driver.told()[2:] == []


def test_a_rest_after_waterings_without_a_break_has_nothing_to_make_up_for() -> None:
    """How long a watering in place of a day's would be, nobody has said."""
    driver = settled(plan_of(pump=load("06:00 | on", "20:00 | off")), "19h")
    driver.lose_power("2h")
    driver.advance("8h")
    assert driver.told() == ["00:00:00 pump off: no power"]


def test_the_first_watering_after_a_night_is_no_dry_time() -> None:
    """Dry since 19:15, as planned: a step of the clock in the morning's first watering, and an
    outage that ends just before it, are no reason for an alarm."""
    driver = settled(NIGHTS, "19h20m")
    driver.advance("10h50m")  # 06:10
    driver.set_clock(by="2s")
    assert driver.alarms() == []
    driver = settled(NIGHTS, "19h20m")
    driver.advance("10h30m")
    driver.lose_power("10m")
    assert driver.alarms() == []
    assert driver.reason("pump").why is Why.PLAN


def test_an_outage_from_the_evening_into_the_morning_counts_from_the_last_watering() -> None:
    """Dry for an hour longer than the night: recovery and alarm."""
    driver = settled(NIGHTS, "18h20m")
    driver.lose_power("11h40m")  # back at 06:00
    assert driver.reason("pump").why is Why.RECOVERY
    assert driver.noted(Event.ALARM_RAISED) == [
        "11:40:00 alarm pump (roots left dry: dry for 11h45m)"
    ]


def test_a_recovery_watering_is_no_longer_than_the_longest_on() -> None:
    """A full watering, within the guard."""
    driver = settled(plan_of(pump=load("30m on, 45m off", longest_on="20m")))
    driver.advance("40m")
    driver.lose_power("2h")
    driver.advance("25m")
    first = driver.changes[-2:]
    assert [change.is_on for change in first] == [True, False]
    assert first[1].instant - first[0].instant == ms("20m")


def test_a_hold_ends_a_turn_and_the_next_pump_follows() -> None:
    """Whom a person holds is not made to recover, and nobody waits for it."""
    driver = settled(plan_of(a=load("10m on, 50m off"), b=load("10m on, 50m off")))
    driver.advance("10m")
    driver.lose_power("1h30m")
    driver.advance("1m")
    driver.hold("a", "off", "1h")
    assert driver.told()[-2:] == ["01:41:00 a off: hold", "01:41:00 b on: recovery watering"]


def test_a_guard_ends_a_turn_and_the_next_pump_follows() -> None:
    """A pump whose reservoir is low does not hold up the others."""
    driver = settled(
        plan_of(
            sensors={"float": {"measures": "level"}},
            a=load("10m on, 50m off", level="float"),
            b=load("10m on, 50m off"),
        )
    )
    driver.advance("10m")
    driver.lose_power("1h30m")
    driver.advance("1m")
    driver.sense(float=0)
    assert driver.told()[-2:] == [
        "01:41:00 a off: reservoir low",
        "01:41:00 b on: recovery watering",
    ]


def test_who_is_lined_up_late_costs_nobody_a_second_watering() -> None:
    """While the first recovers, the plan waters the second; a third is lined up after that. The
    second has had its watering and gets no other."""
    hot = {"name": "hot", "sensor": "air", "above": 30, "until": 27,
           "spans": spans("50m off, 10m on")}  # fmt: skip
    driver = settled(
        plan_of(
            sensors={"air": {"measures": "air_temperature"}},
            first=load("20m on, 3h40m off"),
            second=load("5m off, 5m on, 50m off"),
            third=load("off", variants=[hot]),
        ),
        "1h",
    )
    driver.hold("third", "on", "10m")
    driver.advance("1h")
    driver.lose_power("3h")  # back at 05:00
    driver.advance("15m")
    driver.sense(air=35)
    driver.advance("49m")
    assert driver.told()[-8:] == [
        "04:00:00 first on: recovery watering",
        "04:05:00 second on: plan",
        "04:10:00 second off: plan",
        "04:20:00 first off: plan",
        "04:20:00 third on: recovery watering",  # lined up at 04:15
        "04:30:00 third off: variant",
        "04:50:00 third on: variant",
        "05:00:00 third off: variant",
    ]


# The clock


def test_a_step_of_the_clock_that_skips_a_watering_calls_for_recovery() -> None:
    """Put forward from 00:59 to 01:16, the clock skipped the watering of 01:00."""
    driver = settled(HOURS)
    driver.advance("59m")
    driver.set_clock(by="17m")
    driver.advance("20m")
    assert driver.told() == [
        "00:15:00 pump off: plan",
        "00:59:00 pump on: recovery watering",
        "01:14:00 pump off: plan",
    ]


def test_a_step_in_the_middle_of_a_watering_is_nothing_to_recover_from() -> None:
    """A pump that waters is not dry, and goes on by the plan without an alarm."""
    driver = settled(QUARTERS)
    driver.advance("33m")
    driver.set_clock(by="2s")
    assert driver.reason("pump").why is Why.PLAN
    assert driver.alarms() == []


def test_a_step_that_ends_a_watering_just_begun_calls_for_recovery() -> None:
    """Three minutes of fifteen are no watering: the pump stays on for all of them."""
    driver = settled(QUARTERS)
    driver.advance("33m")
    driver.set_clock(by="13m")  # to 00:46, in the plan's rest
    driver.advance("20m")
    assert driver.told() == [
        "00:15:00 pump off: plan",
        "00:30:00 pump on: plan",
        "00:45:00 pump off: plan",  # a full watering, by recovery since 00:33
        "00:47:00 pump on: plan",
    ]


def test_without_a_clock_the_roots_are_not_called_dry_once_it_is_back() -> None:
    """Waterings of the clockless cycle count, though they are shorter than the plan's."""
    driver = settled(plan_of(pump=load("15m on, 15m off", without_clock="5m on, 10m off")))
    driver.advance("20m")
    driver.distrust_clock()
    driver.advance("6h12m")  # on until 06:25, trusted again at 06:32, watered next at 06:30
    driver.trust_clock()
    assert driver.reason("pump").why is Why.PLAN
    assert driver.alarms() == []


def test_an_outage_of_unknown_length_is_judged_when_the_clock_is_back() -> None:
    """Without a clock nobody knows how dry roots are; with it, the whole time counts."""
    driver = settled(plan_of(pump=load("15m on, 45m off", without_clock="20m off, 1m on")))
    driver.advance("15m")
    driver.lose_power("80m", is_clock_trusted=False, clock_loses="80m")
    driver.advance("10m")
    assert driver.alarms() == ["clock not trusted"]
    driver.trust_clock()
    assert driver.told()[-1] == "01:45:00 pump on: recovery watering"
    assert driver.alarms() == ["roots left dry pump, over"]


# What changes the length of a recovery watering while it runs


def test_a_variant_that_waters_for_less_ends_a_recovery_that_has_had_it() -> None:
    """In the twelfth minute of twenty the air turns hot, and five are enough: it is over."""
    hot = {"name": "hot", "sensor": "air", "above": 30, "until": 27,
           "spans": spans("5m on, 55m off")}  # fmt: skip
    driver = settled(
        plan_of(
            sensors={"air": {"measures": "air_temperature"}},
            a=load("20m on, 40m off", variants=[hot]),
            b=load("20m on, 40m off"),
        )
    )
    driver.advance("20m")
    driver.lose_power("70m")
    driver.advance("12m")
    driver.sense(air=31)
    assert driver.told()[-3:] == [
        "01:30:00 a on: recovery watering",
        "01:42:00 a off: variant",
        "01:42:00 b on: recovery watering",
    ]


def test_a_span_that_waters_for_less_ends_a_recovery_that_has_had_it() -> None:
    """At the border of a span a recovery watering is measured by the new cycle."""
    driver = settled(plan_of(pump=load("20m on, 40m off", "01:42 | 10m off, 5m on")))
    driver.advance("20m")
    driver.lose_power("70m")
    driver.advance("30m")
    assert driver.told()[-4:] == [
        "01:30:00 pump on: recovery watering",
        "01:42:00 pump off: plan",
        "01:52:00 pump on: plan",
        "01:57:00 pump off: plan",
    ]


def test_a_reservoir_that_is_filled_again_gets_its_roots_wetted_first() -> None:
    """Roots that a guard kept dry do not wait for the plan's next watering."""
    driver = settled(
        plan_of(
            sensors={"float": {"measures": "level"}},
            pump=load("15m on, 45m off", level="float"),
        )
    )
    driver.advance("14m")
    driver.sense(float=0)
    driver.advance("2h10m")
    driver.sense(float=1)
    driver.advance("36m")
    assert driver.told() == [
        "00:14:00 pump off: reservoir low",
        "02:24:00 pump on: recovery watering",
        "02:39:00 pump off: plan",
        "03:00:00 pump on: plan",
    ]


def test_a_turn_begins_when_it_is_given() -> None:
    """A reservoir is filled, and all roots are looked at: the ones of another pump, dry since a
    person held it off, get their watering at that moment and not when its plan is next due."""
    driver = settled(
        plan_of(
            sensors={"float": {"measures": "level", "stale_after": "24h"}},
            fed=load("off", level="float"),
            other=load("15m on, 45m off"),
        ),
        "50m",
    )
    driver.sense(float=0)
    driver.hold("other", "off", "26m")
    driver.advance("30m")
    driver.sense(float=1)
    driver.advance("1m")
    assert driver.told() == ["00:30:00 other on: recovery watering"]


# What is no reason to recover, and what is no reason to wait for ever


def test_the_first_watering_after_a_longer_rest_is_no_dry_time() -> None:
    """A step of the clock in the morning's first watering finds roots that rested by the
    night's cycle: longer than the day's gap, and as planned."""
    driver = settled(plan_of(pump=load("00:00 | 15m on, 45m off", "06:00 | 15m on, 15m off")))
    driver.advance("6h10m")
    driver.set_clock(by="2s")
    assert driver.alarms() == []
    assert driver.reason("pump").why is Why.PLAN


def test_a_turn_that_waits_for_as_long_as_its_watering_is_missed_and_told() -> None:
    """A lamp holds the watts: the first pump's recovery waits for its 20 minutes, is told as
    missed, and does not hold up the second pump, for which there are watts."""
    driver = settled(
        plan_of(
            guards={"watts_at_once": 100},
            lamp=load("on", kind="lamp", watts=50),
            large=load("20m on, 3h40m off", watts=60),
            small=load("20m on, 3h40m off", watts=20),
        ),
        "3h50m",
    )
    driver.lose_power("30m")  # back at 04:20, when the watering of 04:00 is over
    driver.advance("1m")
    assert driver.states == {"lamp": True, "large": False, "small": False}
    driver.advance("1h")
    assert driver.told("small")[-2:] == [
        "00:50:00 small on: recovery watering",
        "01:10:00 small off: plan",
    ]
    assert driver.noted(Event.ALARM_RAISED)[2:] == [
        "00:50:00 alarm large (watering missed: watts at once)"
    ]


def test_a_recovery_that_is_given_up_leaves_its_start_to_the_next() -> None:
    """Two loads wait for their turn to start. The first one's recovery watering has waited for
    as long as it would have lasted, and its plan rests: the second starts at that moment."""
    driver = Driver(
        plan_of(
            guards={"starts_apart": "3m"},
            north=load("1m on, 1m off"),
            south=load("on", without_clock="1m on, 1m off"),
        ),
        is_settled=True,
    )
    driver.distrust_clock(off="-2h")
    driver.advance("20m34s")
    driver.hold("north", "on", 1)
    driver.advance(1)
    driver.trust_clock()
    driver.forget()
    driver.advance("1m")
    assert driver.told() == ["00:00:25.999 south on: plan"]


def test_nobody_recovers_by_a_clock_that_is_not_trusted() -> None:
    """A guard that is lifted meanwhile lines nobody up: the plan cannot be read."""
    driver = settled(HOURS)
    driver.advance("1h20m")
    driver.distrust_clock(off=-(10**15))
    driver.advance("3h")
    driver.stop()
    driver.advance("3h")
    driver.resume()
    driver.acknowledge_all()
    driver.advance("1m")
    assert driver.reason("pump").why is Why.WITHOUT_CLOCK


def test_no_watering_is_lost_between_a_variant_and_the_plan() -> None:
    """A variant that is left just before its watering, into the plan's rest: roots are wetted
    at once and not two rests later."""
    hot = {
        "name": "hot",
        "sensor": "air",
        "above": 30.0,
        "until": 28.0,
        "spans": spans("20m off, 10m on"),
    }
    driver = settled(plan_of(pump=load("15m on, 15m off", variants=[hot])))
    driver.sense(air=35.0)
    driver.advance("49m")  # the variant watered from 00:20 to 00:30 and would again at 00:50
    driver.sense(air=20.0)  # the plan waters from 00:30 to 00:45 and again at 01:00
    driver.advance("11m")
    assert driver.told() == [
        "00:00:01 pump off: variant",  # after its shortest on
        "00:20:00 pump on: variant",
        "00:30:00 pump off: variant",
        "00:49:00 pump on: recovery watering",
    ]


def test_a_hold_that_ended_in_the_dark_costs_no_recovery() -> None:
    """An order whose end passed without power does not keep its pump from its turn."""
    driver = settled(HOURS)
    driver.advance("30m")
    driver.hold("pump", "off", "10m")
    driver.lose_power("50m")  # back at 01:20, when the watering of 01:00 is over
    assert driver.told()[-1] == "01:20:00 pump on: recovery watering"


def test_a_variant_without_a_clock_lines_nobody_up() -> None:
    """A reading that calls for a variant asks nothing of a plan that cannot be read."""
    hot = {"name": "hot", "sensor": "air", "above": 30, "until": 27,
           "spans": spans("5m on, 55m off")}  # fmt: skip
    driver = settled(
        plan_of(
            sensors={"air": {"measures": "air_temperature"}},
            pump=load("15m on, 45m off", variants=[hot], without_clock="off"),
        )
    )
    driver.advance("20m")
    driver.distrust_clock(off=-(10**15))
    driver.advance("3h")
    driver.sense(air=31)
    assert driver.reason("pump").why is Why.WITHOUT_CLOCK
