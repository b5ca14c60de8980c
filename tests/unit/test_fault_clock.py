"""A fault script laid on true time: what is in force when, and what is refused."""

from __future__ import annotations

import pytest

from controller.core.cycle import STEADY_ON
from controller.core.errors import BadFaultScriptError
from controller.core.schedule import make_schedule
from controller.core.units import HOUR_MS, MINUTE_MS, SECOND_MS, Instant, parse_rfc3339
from controller.dry_run.fault_clock import NO_TROUBLE, FaultClock, Trouble
from controller.dry_run.faults import FaultFile, HoldAt, StopAt
from tests.recorder import script_of
from tests.worlds import MIDNIGHT, load, plan_of, spans

ZURICH: dict[str, object] = {"latitude": 47.37, "longitude": 8.54, "timezone": "Europe/Zurich"}
SCHEDULE = make_schedule(
    plan_of(
        site=ZURICH,
        sensors={
            "float": {"measures": "level"},
            "air": {"measures": "air_temperature"},
            "idle": {"measures": "humidity"},
        },
        pump=load(
            "off",
            level="float",
            variants=[
                {"name": "hot", "sensor": "air", "above": 30, "until": 27, "spans": spans("on")}
            ],
        ),
    )
)


def clock_of(*faults: dict[str, object]) -> FaultClock:
    """The clock of faults whose times are lengths after midnight."""
    return FaultClock(SCHEDULE, script_of(*faults))


def local_clock_of(*faults: dict[str, object]) -> FaultClock:
    """The clock of faults whose times stand as written."""
    return FaultClock(SCHEDULE, FaultFile.model_validate({"faults": list(faults)}))


def at(minutes: float) -> Instant:
    """So many minutes after midnight."""
    return MIDNIGHT + round(minutes * MINUTE_MS)


def test_without_a_script_nothing_ever_happens() -> None:
    """No fault is in force, and there is no border to stop at."""
    clock = FaultClock(SCHEDULE, None)
    assert clock.trouble_at(MIDNIGHT) == NO_TROUBLE
    assert clock.next_border(0) is None
    assert clock.deeds_at(MIDNIGHT) == []


ALL_KINDS: list[tuple[dict[str, object], Trouble]] = [
    ({"kind": "power_out"}, Trouble(is_power_out=True)),
    ({"kind": "clock_wrong", "by": "+1h"}, Trouble(clock_off_ms=HOUR_MS)),
    ({"kind": "clock_wrong", "by": "-20m"}, Trouble(clock_off_ms=-20 * MINUTE_MS)),
    ({"kind": "clock_untrusted"}, Trouble(is_clock_trusted=False)),
    ({"kind": "sensor_silent", "sensor": "air"}, Trouble(silent=frozenset({"air"}))),
    ({"kind": "sensor_stuck", "sensor": "air"}, Trouble(stuck=frozenset({"air"}))),
    ({"kind": "sensor_reads", "sensor": "float", "value": 0.0},
     Trouble(false_values=(("float", 0.0),))),
    ({"kind": "pump_fails", "load": "pump"}, Trouble(failing=frozenset({"pump"}))),
]  # fmt: skip


@pytest.mark.parametrize(("fault", "trouble"), ALL_KINDS)
def test_each_fault_is_in_force_from_its_start_until_before_its_end(
    fault: dict[str, object], trouble: Trouble
) -> None:
    """A fault is half open: its first millisecond belongs to it, its end does not."""
    clock = clock_of({**fault, "from": "10m", "until": "20m"})
    assert clock.trouble_at(at(10) - 1) == NO_TROUBLE
    assert clock.trouble_at(at(10)) == trouble
    assert clock.trouble_at(at(20) - 1) == trouble
    assert clock.trouble_at(at(20)) == NO_TROUBLE
    assert [clock.next_border(at(minutes)) for minutes in (0, 10, 15, 20)] == [
        at(10),
        at(20),
        at(20),
        None,
    ]


def test_faults_of_one_time_are_in_force_together() -> None:
    """Whatever overlaps adds up; of two false values the later listed comes last."""
    clock = clock_of(
        {"kind": "clock_wrong", "by": "+1h", "from": "0s", "until": "1h"},
        {"kind": "clock_wrong", "by": "-10m", "from": "30m", "until": "2h"},
        {"kind": "sensor_reads", "sensor": "air", "value": 40.0, "from": "0s", "until": "2h"},
        {"kind": "sensor_reads", "sensor": "air", "value": 4.0, "from": "30m", "until": "1h"},
        {"kind": "pump_fails", "load": "pump", "from": "45m", "until": "50m"},
    )
    assert clock.trouble_at(at(47)) == Trouble(
        clock_off_ms=50 * MINUTE_MS,
        false_values=(("air", 40.0), ("air", 4.0)),
        failing=frozenset({"pump"}),
    )
    assert clock.trouble_at(at(90)) == Trouble(
        clock_off_ms=-10 * MINUTE_MS, false_values=(("air", 40.0),)
    )


def test_an_outage_may_leave_the_clock_unknown_for_a_while() -> None:
    """The clock is not trusted from the outage on until so long after it."""
    clock = clock_of(
        {"kind": "power_out", "from": "10m", "until": "20m", "clock_unknown_for": "5m"}
    )
    dark = Trouble(is_power_out=True, is_clock_trusted=False)
    assert [clock.trouble_at(at(minutes)) for minutes in (9, 10, 20, 25)] == [
        NO_TROUBLE,
        dark,
        Trouble(is_clock_trusted=False),
        NO_TROUBLE,
    ]
    assert clock.next_border(at(20)) == at(25)


def test_deeds_are_done_at_their_instant_in_the_order_of_the_script() -> None:
    """Two orders of one moment come as listed; others do not come."""
    clock = clock_of(
        {"kind": "stop", "at": "10m"},
        {"kind": "hold", "at": "5m", "load": "pump", "order": "on", "for": "20m"},
        {"kind": "hold", "at": "10m", "load": "pump", "order": "hot", "for": "20m"},
    )
    assert [type(deed) for deed in clock.deeds_at(at(10))] == [StopAt, HoldAt]
    (hold,) = clock.deeds_at(at(5))
    assert isinstance(hold, HoldAt)
    assert (hold.order, hold.for_ms) == (STEADY_ON, 20 * MINUTE_MS)
    assert clock.deeds_at(at(7)) == []
    assert clock.next_border(at(5)) == at(10)


def test_times_without_an_offset_are_the_sites_local_time() -> None:
    """13:00 in Zurich in July is 11:00 UTC."""
    clock = local_clock_of(
        {"kind": "power_out", "from": "2026-07-12T13:00", "until": "2026-07-12T14:30:15.250"}
    )
    start = parse_rfc3339("2026-07-12T11:00:00Z")
    assert clock.next_border(0) == start
    assert clock.next_border(start) == start + 90 * MINUTE_MS + 15 * SECOND_MS + 250


@pytest.mark.parametrize(
    ("local", "utc"),
    [
        ("2026-03-29T01:59", "2026-03-29T00:59:00Z"),
        ("2026-03-29T02:30", "2026-03-29T01:00:00Z"),  # skipped: the first instant after
        ("2026-03-29T03:00", "2026-03-29T01:00:00Z"),
        ("2026-10-25T02:30", "2026-10-25T00:30:00Z"),  # shown twice: the first
        ("2026-10-25T03:00", "2026-10-25T02:00:00Z"),
    ],
)
def test_local_times_of_a_changing_clock_are_read_by_the_rule(local: str, utc: str) -> None:
    """A skipped time is the first after the gap, a repeated one its first occurrence."""
    clock = local_clock_of({"kind": "stop", "at": local})
    assert clock.next_border(0) == parse_rfc3339(utc)


def test_an_hour_before_the_clocks_go_forward_lasts_no_hour_more() -> None:
    """From 01:30 to 03:30 local time is one hour on the night of the change."""
    clock = local_clock_of(
        {"kind": "power_out", "from": "2026-03-29T01:30", "until": "2026-03-29T03:30"}
    )
    start = clock.next_border(0)
    assert start is not None
    assert clock.next_border(start) == start + HOUR_MS


REFUSED: list[tuple[dict[str, object], str]] = [
    ({"kind": "power_out", "from": "20m", "until": "10m"},
     "faults.0 (power_out): ends at 2026-06-01T00:10:00Z, not after its start at "
     "2026-06-01T00:20:00Z; give an `until` later than `from`"),
    ({"kind": "clock_untrusted", "from": "20m", "until": "20m"},
     "faults.0 (clock_untrusted): ends at 2026-06-01T00:20:00Z, not after its start at "
     "2026-06-01T00:20:00Z; give an `until` later than `from`"),
    ({"kind": "pump_fails", "from": "0s", "until": "1h", "load": "pomp"},
     "faults.0 (pump_fails): there is no load 'pomp'; the plan has pump"),
    ({"kind": "release", "at": "0s", "load": "pomp"},
     "faults.0 (release): there is no load 'pomp'; the plan has pump"),
    ({"kind": "hold", "at": "0s", "load": "pomp", "order": "on", "for": "1h"},
     "faults.0 (hold): there is no load 'pomp'; the plan has pump"),
    ({"kind": "hold", "at": "0s", "load": "pump", "order": "hott", "for": "1h"},
     "faults.0 (hold): pump has no variant 'hott'; it has hot"),
    ({"kind": "hold", "at": "0s", "load": "pump", "order": "on", "for": "0s"},
     "faults.0 (hold): a hold lasts from 1 ms to a week (168h): say for how long"),
    ({"kind": "sensor_silent", "from": "0s", "until": "1h", "sensor": "idle"},
     "faults.0 (sensor_silent): the plan decides nothing by a sensor 'idle'; it uses air, float"),
    ({"kind": "sensor_reads", "from": "0s", "until": "1h", "sensor": "flaot", "value": 0.0},
     "faults.0 (sensor_reads): the plan decides nothing by a sensor 'flaot'; it uses air, float"),
]  # fmt: skip


@pytest.mark.parametrize(("fault", "message"), REFUSED)
def test_a_fault_that_does_not_fit_the_plan_is_refused(
    fault: dict[str, object], message: str
) -> None:
    """The refusal says which fault, what is wrong, and what there is."""
    with pytest.raises(BadFaultScriptError) as refused:
        clock_of(fault)
    assert str(refused.value) == message


def test_all_that_does_not_fit_is_told_at_once() -> None:
    """One line for each mistake, in the order of the script."""
    with pytest.raises(BadFaultScriptError) as refused:
        clock_of(*(fault for fault, _ in REFUSED))
    lines = str(refused.value).splitlines()
    assert [line.partition(" ")[0] for line in lines] == [f"faults.{n}" for n in range(9)]


def test_an_outage_that_ends_before_it_begins_is_told_once() -> None:
    """A clock unknown for a while after it does not make it two mistakes."""
    with pytest.raises(BadFaultScriptError) as refused:
        clock_of({"kind": "power_out", "from": "20m", "until": "10m", "clock_unknown_for": "1h"})
    assert len(str(refused.value).splitlines()) == 1
