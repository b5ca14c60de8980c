"""What the sensors of a dry run read."""

from __future__ import annotations

from typing import Any

from controller.core.schedule import make_schedule
from controller.dry_run.fault_clock import NO_TROUBLE, FaultClock
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
