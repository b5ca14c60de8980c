"""What the sensors of a dry run read."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.schedule import Schedule, make_schedule
from controller.dry_run.fault_clock import NO_TROUBLE, FaultClock, Trouble
from controller.dry_run.virtual_sensors import VirtualSensors
from tests.recorder import warm
from tests.worlds import MIDNIGHT, load, ms, on_demand, plan_of, stand


def _readings(**stands: dict[str, Any]) -> dict[str, float]:
    """By sensor, on a hot afternoon, where two pumps water on demand."""
    demand = {"kind": "pump", "active": "low", "spans": [on_demand()]}
    schedule = make_schedule(
        plan_of(
            near=demand,
            far=demand,
            lamps=load("on", kind="lamp"),
            sensors={
                "air": {"measures": "air_temperature"},
                "room": {"measures": "air_temperature"},
                "damp": {"measures": "humidity"},
            },
            stands=stands,
        )
    )
    end = MIDNIGHT + ms("24h")
    air = warm(("0h", 34.0), ("2h", 34.0))
    sensors = VirtualSensors(schedule, air, FaultClock(schedule, None), end)
    read = sensors.readings(MIDNIGHT + ms("1h"), MIDNIGHT, NO_TROUBLE, (False, False, True))
    return {name: reading.value for name, reading in read.items()}


def test_a_sensor_in_a_room_reads_the_air_that_the_room_is_kept_at() -> None:
    """A stand under lamps stands in a room: its sensors know nothing of the weather, while those
    of a stand outdoors do."""
    shelf = stand(
        "far",
        place="under-lamps",
        lamp="lamps",
        ppfd_umol=200,
        air="room",
        humidity="damp",
        air_c=21.5,
        humidity_pct=58.0,
    )
    assert _readings(open=stand("near"), shelf=shelf) == {"air": 34.0, "room": 21.5, "damp": 58.0}


def test_a_sensor_that_stands_outdoors_as_well_reads_the_weather() -> None:
    """Where a plan names one sensor for the room and for the garden, it hangs in the garden."""
    shelf = stand("far", place="under-lamps", lamp="lamps", ppfd_umol=200, air="air")
    assert _readings(open=stand("near"), shelf=shelf) == {"air": 34.0}


def _by_night() -> Schedule:
    """A pump on demand by day, by a cycle of its own by night."""
    spans = [on_demand("06:00"), {"from": "22:00", "cycle": "15m on, 45m off"}]
    return make_schedule(
        plan_of(
            pump={"kind": "pump", "active": "low", "spans": spans},
            sensors={"air": {"measures": "air_temperature"}},
            stands={"heads": stand()},
        )
    )


@pytest.mark.parametrize(
    ("at", "trouble", "fresh_until"),
    [
        ("12h2m", NO_TROUBLE, "12h5m"),
        ("21h58m", NO_TROUBLE, "22h"),
        ("22h", NO_TROUBLE, "30h"),
        ("27h2m", NO_TROUBLE, "30h"),
        # The controller may take night for day.
        ("27h2m", NO_TROUBLE._replace(clock_off_ms=ms("4h")), "27h5m"),
        ("27h2m", NO_TROUBLE._replace(is_clock_trusted=False), "27h5m"),
    ],
)
def test_the_air_is_read_again_while_plants_are_asked(
    at: str, trouble: Trouble, fresh_until: str
) -> None:
    """Every five minutes in a span on demand; by night, in a cycle of its own, not before the
    day's span starts, if the clock is right."""
    schedule = _by_night()
    end = MIDNIGHT + ms("72h")
    sensors = VirtualSensors(
        schedule, warm(("0h", 20.0), ("3h", 34.0)), FaultClock(schedule, None), end
    )
    sensors.readings(MIDNIGHT + ms(at), MIDNIGHT, trouble, (False,))
    assert sensors.fresh_until == MIDNIGHT + ms(fresh_until)
