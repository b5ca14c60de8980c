"""What recurs is decided once: a run that passes periods tells what one step by step tells."""

from __future__ import annotations

from typing import Any, NamedTuple

from hypothesis import assume, given
from hypothesis import strategies as st

from controller.core.memory import Memory
from controller.core.plan import Plan
from controller.core.recurrence import later, recurs, rhythm_of, wake_of
from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, HOUR_MS, day_number, parse_date
from controller.dry_run.account import Account
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.listeners import Tape, Told
from controller.dry_run.run import run
from controller.dry_run.water.water_keeper import WaterKeeper
from controller.weather.air_series import DatedSeries
from tests.random_worlds import RandomWorld, Turmoil, random_world
from tests.recorder import script_of
from tests.strategies import examples
from tests.worlds import Driver, load, plan_of, spans, stand

WORLDS = st.integers(0, 10**9).map(lambda seed: random_world(seed, days=3))
_SITE = {"latitude": 36.1, "longitude": -79.95, "timezone": "America/New_York"}
_TARIFF = [{"from": "06:00", "price_per_kwh": 0.31}, {"from": "21:30", "price_per_kwh": 0.17}]
_SENSORS = {
    "air": {"measures": "air_temperature"},
    "float": {"measures": "level"},
    "meter": {"measures": "flow"},
}
_CYCLES = st.sampled_from(
    [
        "15m on, 15m off", "10m off, 20m on", "5m on, 25m off", "2m on, 3m off",
        "7m on, 8m off, 3m on, 12m off", "4m on, 6m off, 5m on", "1h on, 2h off", "on", "off",
    ]
)  # fmt: skip
_MOMENTS = st.integers(1, 2 * 24 * 60 - 1).map(lambda minutes: f"{minutes}m")


@st.composite
def _quiet_worlds(draw: st.DrawFn) -> RandomWorld:
    """Two days over a change of clocks in which little happens besides cycles."""
    names = [f"load_{number}" for number in range(draw(st.integers(1, 3)))]
    loads = {name: draw(_quiet_loads()) for name in names}
    loads[names[0]]["level"] = "float"
    for number, table in enumerate(loads.values()):
        table["line"] = number
    guards = draw(st.sampled_from([{}, {"starts_apart": "10s"}, {"watts_at_once": 45.0}]))
    plan = {
        "format": 1, "site": _SITE, "loads": loads, "guards": guards, "sensors": _SENSORS,
        "energy": {"currency": "EUR", "tariff": _TARIFF},
    }  # fmt: skip
    schedule = make_schedule(Plan.model_validate(plan))
    day = draw(st.sampled_from(["2026-03-07", "2026-06-20", "2026-10-31"]))
    start = schedule.calendar.midnight(day_number(parse_date(day)))
    faults = draw(st.lists(_quiet_faults(names), max_size=2))
    stamps = [start + hours * HOUR_MS for hours in range(0, 49, 6)]
    degrees = draw(st.lists(st.sampled_from([20.0, 34.0]), min_size=9, max_size=9))
    return RandomWorld(
        seed=0,
        schedule=schedule,
        start=start,
        end=start + 2 * DAY_MS,
        air={"air_temperature": DatedSeries(stamps, degrees)},
        script=script_of(*faults, start=start),
        knows_time=True,
        turmoil=Turmoil((), (), ()),
    )


@st.composite
def _quiet_loads(draw: st.DrawFn) -> dict[str, Any]:
    kind = draw(st.sampled_from(["pump", "pump", "valve", "lamp"]))
    anchors = draw(st.sampled_from([("00:00",), ("06:00", "sunset + 1h")]))
    table = load(*(f"{anchor} | {draw(_CYCLES)}" for anchor in anchors), kind=kind, watts=22)
    for key, value in (
        ("level", "float"),
        ("flow", "meter"),
        ("longest_on", "16m"),
        ("shortest_on", "9m"),
        ("shortest_off", "9m"),
        ("variants", [_HOT | {"spans": spans(draw(_CYCLES))}]),
    ):
        if draw(st.integers(0, 4)) == 0:
            table[key] = value
    return table


_HOT = {"name": "hot", "sensor": "air", "above": 30.0, "until": 27.0, "at_least": "3h"}


@st.composite
def _quiet_faults(draw: st.DrawFn, names: list[str]) -> dict[str, object]:
    name, at = draw(st.sampled_from(names)), draw(_MOMENTS)
    until = f"{int(at[:-1]) + draw(st.integers(1, 900))}m"
    return draw(
        st.sampled_from(
            [
                {"kind": "power_out", "from": at, "until": until},
                {"kind": "pump_fails", "load": name, "from": at, "until": until},
                {
                    "kind": "sensor_reads",
                    "sensor": "float",
                    "value": 0.0,
                    "from": at,
                    "until": until,
                },
                {"kind": "clock_wrong", "by": "+90m", "from": at, "until": until},
                {"kind": "hold", "load": name, "at": at, "order": "15m on, 15m off", "for": "9h"},
                {"kind": "hold", "load": name, "at": at, "order": "off", "for": "5h"},
            ]
        )
    )


class _Ran(NamedTuple):
    told: list[Told]
    account: Account
    memory: Memory


def _ran(world: RandomWorld, *, is_stepped: bool) -> _Ran:
    keeper, tape = AccountKeeper(world.schedule), Tape()
    tape.start()
    memory = run(
        world.schedule,
        start=world.start,
        end=world.end,
        air=world.air,
        script=world.script,
        listeners=[keeper, tape],
        is_stepped=is_stepped,
    )
    return _Ran(tape.told, keeper.account, memory)


@given(st.one_of(_quiet_worlds(), _quiet_worlds(), WORLDS))
@examples(80)
def test_a_run_that_passes_periods_tells_what_one_by_steps_tells(world: RandomWorld) -> None:
    """Every change with its reason, every notice, the account with its costs and the last memory
    are the same, in quiet weeks and in worlds where much goes wrong."""
    passing, stepped = (_ran(world, is_stepped=is_stepped) for is_stepped in (False, True))
    assert passing.told == stepped.told
    assert passing.account == stepped.account
    assert passing.memory == stepped.memory


_LENGTHS = st.sampled_from(["5m", "10m", "15m", "20m", "30m", "45m"])


@st.composite
def _neighbours(draw: st.DrawFn) -> Driver:
    """A few pumps that crowd one another, a night gone."""
    pumps = {
        f"pump_{number}": load(
            f"{draw(_LENGTHS)} on, {draw(_LENGTHS)} off", watts=draw(st.sampled_from([20, 40]))
        )
        for number in range(draw(st.integers(1, 4)))
    }
    guards = {"starts_apart": "30s", "watts_at_once": draw(st.sampled_from([50.0, 90.0, 200.0]))}
    driver = Driver(plan_of(guards=guards, **pumps))
    driver.advance(6 * HOUR_MS)
    return driver


@given(_neighbours(), st.integers(1, 3))
@examples(40)
def test_a_state_that_recurs_is_followed_by_what_followed_it(driver: Driver, times: int) -> None:
    """Where a state is one of a period ago, the one after more periods is what `later` makes of
    it, and so is the wake: found by going there."""
    before = driver.memory
    assert before is not None
    rhythm = rhythm_of(driver.schedule, before)
    assert rhythm is not None
    driver.advance(rhythm.period_ms)
    after = driver.memory
    assert after is not None
    passed_ms = times * rhythm.period_ms
    assume(passed_ms < rhythm.alike_until - after.tick)
    assume(recurs(before, after, rhythm))
    promised = later(before, after, passed_ms)
    driver.advance(passed_ms)
    assert driver.memory == promised
    assert wake_of(promised) == min(its.look for its in promised.loads)


@st.composite
def _watered_plans(draw: st.DrawFn) -> Plan:
    """Two columns and the lamps over one of them, on a reservoir that may run dry."""
    media = st.sampled_from(["expanded-clay", "bare-roots"])
    loads = {
        "near": load(
            draw(_CYCLES), reservoir="tank", shortest_on=draw(st.sampled_from(["0s", "9m"]))
        ),
        "far": load(f"06:00 | {draw(_CYCLES)}", f"22:00 | {draw(_CYCLES)}", reservoir="tank"),
        "lamps": load(f"07:00 | {draw(_CYCLES)}", "21:00 | off", kind="lamp"),
    }
    for number, table in enumerate(loads.values()):
        table["line"] = number
    medium = {"medium": draw(media), "place": "outdoors", "air": None}
    if medium["medium"] == "bare-roots":
        medium["medium_ml"] = None
    lit = {"place": "under-lamps", "lamp": "lamps", "ppfd_umol": 250, "air": None}
    stands = {"open": stand("near", **medium), "shelf": stand("far", **lit)}
    tank = {"full_l": draw(st.sampled_from([6.0, 15.0, 200.0])), "inlet_at_l": 1.0}
    return Plan.model_validate(
        {
            "format": 1, "site": _SITE | {"elevation_m": 270}, "loads": loads, "stands": stands,
            "reservoirs": {"tank": tank},
        }
    )  # fmt: skip


@given(_watered_plans())
@examples(25)
def test_periods_that_are_passed_water_as_those_that_are_not(plan: Plan) -> None:
    """Roots, their days and courses come to the same where a run passes periods, with lamps
    that come and go and with a reservoir that is empty from some moment on."""
    schedule = make_schedule(plan)
    start = schedule.calendar.midnight(day_number(parse_date("2026-07-10")))
    end = start + 2 * DAY_MS
    accounts = []
    for is_stepped in (False, True):
        keeper = WaterKeeper(schedule, None, start=start, end=end)
        run(
            schedule,
            start=start,
            end=end,
            air={},
            script=None,
            listeners=[keeper],
            is_stepped=is_stepped,
        )
        accounts.append(keeper.account)
    passing, stepped = accounts
    assert passing.stands == stepped.stands
    assert passing.courses == stepped.courses
