"""Which periods of a run are decided once, and how listeners hear of the rest."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from controller.core.memory import settled_memory
from controller.core.observation import Observation
from controller.core.plan import Plan
from controller.core.recurrence import rhythm_of
from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, parse_rfc3339
from controller.dry_run import run as running
from controller.dry_run.listeners import Change, Tape, Told
from controller.dry_run.water.water_keeper import WaterKeeper
from controller.step import take_step
from tests.recorder import QUARTERS, DryRun, Recorder, script_of
from tests.worlds import GARDEN, MIDNIGHT, load, ms, on_demand, plan_of, stand


def _decisions(monkeypatch: pytest.MonkeyPatch, **wanted: Any) -> int:
    """How many decisions ten days of quarters take."""
    taken = 0

    def counted(*args: Any) -> Any:
        nonlocal taken
        taken += 1
        return take_step(*args)

    monkeypatch.setattr(running, "take_step", counted)
    running.run(
        make_schedule(QUARTERS),
        start=MIDNIGHT,
        end=MIDNIGHT + 10 * DAY_MS,
        air={},
        listeners=[],
        **{"script": None, **wanted},
    )
    return taken


def test_a_day_of_one_cycle_takes_a_dozen_decisions(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 96 changes a day a few are decided; the rest is told again."""
    assert _decisions(monkeypatch, is_stepped=True) == 10 * 96
    assert _decisions(monkeypatch) < 10 * 12


def test_a_fault_is_met_at_its_instant(monkeypatch: pytest.MonkeyPatch) -> None:
    """Periods are passed up to a fault and again after it, not over it."""
    hold = {"kind": "hold", "at": "30h7m", "load": "pump", "order": "off", "for": "1h"}
    assert _decisions(monkeypatch, script=script_of(hold)) < 10 * 14
    told = DryRun(QUARTERS, "48h", hold).heard.told()
    assert "30:07:00 pump off: hold" in told
    assert "31:07:00 pump on: plan" in told
    assert told[-1] == "47:45:00 pump off: plan"


class _Bulk(Tape):
    """Takes the same again in one go, and keeps how often."""

    def __init__(self) -> None:
        super().__init__()
        self.start()
        self.times = 0

    def again(self, told: Sequence[Told], *, period_ms: int, times: int) -> None:
        """Counts."""
        assert period_ms == 30 * MINUTE_MS
        assert len(told) == 2
        assert all(isinstance(one, Change) for one in told)
        self.times += times


def test_a_listener_that_can_hears_of_many_periods_at_once() -> None:
    """One that can is told how often, any other each change with its own time and reason."""
    schedule = make_schedule(QUARTERS)
    bulk, heard = _Bulk(), Recorder(schedule)
    running.run(
        schedule,
        start=MIDNIGHT,
        end=MIDNIGHT + DAY_MS,
        air={},
        script=None,
        listeners=[bulk, heard],
    )
    assert bulk.times > 40
    assert len(bulk.told) + 2 * bulk.times == len(heard.changes) == 95
    assert [at for at, _ in heard.changes] == [
        MIDNIGHT + quarters * 15 * MINUTE_MS for quarters in range(1, 96)
    ]


@pytest.mark.parametrize(
    ("plan", "period_ms"),
    [
        pytest.param(QUARTERS, 30 * MINUTE_MS, id="one cycle"),
        pytest.param(
            plan_of(a=load("15m on, 15m off"), b=load("5m on, 15m off")), HOUR_MS, id="two"
        ),
        pytest.param(plan_of(a=load("on"), b=load("1m on, 4m off")), 5 * MINUTE_MS, id="steady"),
        pytest.param(plan_of(a=load("on")), None, id="nothing but steady"),
        pytest.param(
            plan_of(
                pump={"kind": "pump", "active": "low", "spans": [on_demand()]},
                sensors={"air": {"measures": "air_temperature"}},
                stands={"heads": stand()},
            ),
            None,
            id="on demand",
        ),
    ],
)
def test_a_rhythm_is_what_all_cycles_have_in_common(plan: Any, period_ms: int | None) -> None:
    """The least common multiple of the periods in force; none where plants are asked."""
    schedule = make_schedule(plan)
    seen = Observation(MIDNIGHT + ms("6h"), 0, 1, True, {})
    memory = settled_memory(schedule, seen)
    rhythm = rhythm_of(schedule, memory._replace(sensor_look=10**15))
    assert (None if rhythm is None else rhythm.period_ms) == period_ms


_FAR_NORTH = {"latitude": 69.6, "longitude": 18.9, "timezone": "Europe/Oslo"}


def test_a_change_that_comes_in_sight_meanwhile_is_told() -> None:
    """In polar night a pump is off with no change in sight, until eight days before the sun is
    back; one that is weighed anew at each change of the meter's is told of it in time."""
    metered = {"flow": "meter", "flow_within": "10s"}
    plan = plan_of(
        site=_FAR_NORTH,
        sensors={"meter": {"measures": "flow"}},
        near=load("15m on, 15m off", **metered),
        far=load("sunrise | 5m on, 5m off", "sunset | off", **metered),
    )
    # The sun is back on 15 January at 10:24:23Z, by the plan's own calendar.
    passing, stepped = (
        running.run(
            make_schedule(plan),
            start=parse_rfc3339("2026-01-06T23:00:00Z"),
            end=parse_rfc3339("2026-01-07T10:30:01Z"),
            air={},
            script=None,
            listeners=[],
            is_stepped=is_stepped,
        )
        for is_stepped in (False, True)
    )
    assert stepped.loads[1].reason.until == parse_rfc3339("2026-01-15T10:24:23Z")
    assert passing == stepped


def test_another_reason_after_the_last_drop_ends_no_watering() -> None:
    """A pump whose reservoir runs dry while it is on, and that is told to stay on for its
    shortest on, ends its watering where it goes off, whether each change is decided or not."""
    plan = Plan.model_validate(
        {
            "format": 1,
            "site": GARDEN | {"elevation_m": 270},
            "loads": {"pump": load("20m on, 10m off", line=1, reservoir="tank", shortest_on="25m")},
            "stands": {"heads": stand(medium="bare-roots", medium_ml=None, air=None)},
            "reservoirs": {"tank": {"full_l": 5.0, "inlet_at_l": 1.0}},
        }
    )
    schedule, courses = make_schedule(plan), []
    for is_stepped in (False, True):
        keeper = WaterKeeper(schedule, None, start=MIDNIGHT, end=MIDNIGHT + 2 * DAY_MS)
        running.run(
            schedule,
            start=MIDNIGHT,
            end=MIDNIGHT + 2 * DAY_MS,
            air={},
            script=None,
            listeners=[keeper],
            is_stepped=is_stepped,
        )
        courses.append(keeper.account.courses)
    passing, stepped = courses
    assert passing == stepped
