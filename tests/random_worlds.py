"""Worlds made by dice: a plan, its air and a script of faults, all from one number.

No hypothesis here: a hundred thousand hours want a generator that costs nothing. The same
seed gives the same world on any machine.
"""

from __future__ import annotations

from random import Random
from typing import Any, NamedTuple

from controller.core.observation import Trouble
from controller.core.orders import AlarmCode
from controller.core.plan import Plan
from controller.core.schedule import Schedule, make_schedule
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, Instant, duration_text, rfc3339
from controller.dry_run.faults import FaultFile
from controller.weather.air_series import DatedSeries
from tests.places import PLACES
from tests.worlds import MIDNIGHT, load, plan_of

# The last day and a half of each world is calm: whatever was wrong has ended by then, and a
# person has looked at everything.
CALM_MS = 36 * HOUR_MS
LOOKED_MS = 30 * HOUR_MS

_WHOLE_MINUTES = (2, 5, 10, 15, 15, 20, 30, 45, 60, 90, 120)
_CLOCK_ANCHORS = ("00:00", "02:30", "05:00", "06:30", "12:00", "13:37", "18:00", "21:00")
_SUN_ANCHORS = ("sunrise", "sunrise - 30m", "sunset", "sunset + 1h", "dawn", "dusk")
_NAMES = ("alder", "beech", "cedar", "damson", "elder", "fir")
_SENSORS = {
    "float": {"measures": "level"},
    "meter": {"measures": "flow"},
    "floor": {"measures": "leak"},
    "button": {"measures": "stop"},
    "air": {"measures": "air_temperature"},
}


class Turmoil(NamedTuple):
    """What happens to the controller itself, each at an instant: it is killed and back after
    so long; another plan comes into force; something is wrong with it from then on."""

    crashes: tuple[tuple[Instant, int], ...]
    adoptions: tuple[tuple[Instant, Schedule], ...]
    troubles: tuple[tuple[Instant, frozenset[Trouble]], ...]


class RandomWorld(NamedTuple):
    """Everything that a run needs; `knows_time` is False where a fault touches the clock."""

    seed: int
    schedule: Schedule
    start: Instant
    end: Instant
    air: dict[str, DatedSeries]
    script: FaultFile
    knows_time: bool
    turmoil: Turmoil


def random_world(seed: int, *, days: int) -> RandomWorld:
    """The world of that number."""
    dice = Random(f"rootclock {seed}")
    start = MIDNIGHT + dice.randrange(730) * DAY_MS + dice.randrange(1440) * MINUTE_MS
    end = start + days * DAY_MS
    plan = _plan(dice)
    schedule = make_schedule(plan)
    faults = _faults(dice, schedule, start=start, end=end - CALM_MS)
    looked = rfc3339(end - LOOKED_MS)
    faults += [{"kind": kind, "at": looked} for kind in ("resume", "acknowledge")]
    return RandomWorld(
        seed=seed,
        schedule=schedule,
        start=start,
        end=end,
        air={"air_temperature": _air(dice, start=start, end=end)},
        script=FaultFile.model_validate({"faults": faults}),
        knows_time=not any(
            fault["kind"] in {"clock_wrong", "clock_untrusted"} or "clock_unknown_for" in fault
            for fault in faults
        ),
        turmoil=_turmoil(Random(f"turmoil {seed}"), schedule, start=start, end=end - CALM_MS),
    )


def _turmoil(dice: Random, schedule: Schedule, *, start: Instant, end: Instant) -> Turmoil:
    def instants(most: int) -> list[Instant]:
        return sorted(dice.randrange(start + 1, end) for _ in range(dice.randint(0, most)))

    names = list(schedule.places)
    own = [Trouble(AlarmCode.JOURNAL, ""), Trouble(AlarmCode.PLAN_REFUSED, "")]
    own += [Trouble(AlarmCode.RELAY, name) for name in names]
    return Turmoil(
        crashes=tuple((at, dice.choice((1, 900, 2_000, 30_000, 600_000))) for at in instants(10)),
        adoptions=tuple((at, make_schedule(_other_plan(dice, schedule))) for at in instants(3)),
        troubles=tuple((at, frozenset(dice.sample(own, dice.randint(0, 2)))) for at in instants(6)),
    )


def _other_plan(dice: Random, schedule: Schedule) -> Plan:
    """A plan for the same loads at the same place, and with nothing else in common."""
    site = schedule.plan.site
    kinds = {load.name: load.kind for load in schedule.loads}
    loads = {name: _load(dice) | {"kind": kind} for name, kind in kinds.items()}
    return _plan_with(
        dice,
        {"latitude": site.latitude, "longitude": site.longitude, "timezone": site.timezone},
        loads,
    )


def _plan(dice: Random) -> Plan:
    place = dice.choice(PLACES)
    site = {
        "latitude": place.latitude, "longitude": place.longitude, "timezone": place.timezone,
    }  # fmt: skip
    return _plan_with(dice, site, None)


def _plan_with(dice: Random, site: dict[str, Any], loads: dict[str, dict[str, Any]] | None) -> Plan:
    guards: dict[str, object] = {}
    if dice.random() < 0.4:
        guards["starts_apart"] = dice.choice(("5s", "30s", "2m"))
        guards["starts_together"] = dice.randint(1, 2)
    if dice.random() < 0.3:
        guards["watts_at_once"] = dice.choice((60.0, 90.0, 200.0))
    if dice.random() < 0.4:
        guards["leak"] = "floor"
    if dice.random() < 0.4:
        guards["stop_switch"] = "button"
    if loads is None:
        names = _NAMES[: dice.choice((1, 1, 2, 2, 3, 4, 6))]
        loads = {name: _load(dice) for name in names}
    return plan_of(site=site, sensors=_SENSORS, guards=guards, **loads)


def _load(dice: Random) -> dict[str, Any]:
    keys: dict[str, Any] = {"watts": dice.choice((7.0, 22.0, 22.1, 45.0, 60.0))}
    longest_min = dice.choice((None, None, 45, 90))
    if longest_min is not None:
        keys["longest_on"] = f"{longest_min}m"
    for key, lengths in (("shortest_on", ("0s", "5s", "1m")), ("shortest_off", ("0s", "5s", "1m"))):
        if dice.random() < 0.5:
            keys[key] = dice.choice(lengths)
    if dice.random() < 0.3:
        keys["level"] = "float"
    if dice.random() < 0.3:
        keys |= {"flow": "meter", "flow_within": "30s"}
    if dice.random() < 0.5:
        keys["without_clock"] = _cycle(dice, longest_min)
    if dice.random() < 0.3:
        keys["variants"] = [
            {
                "name": "hot",
                "sensor": "air",
                "above": 30.0,
                "until": 27.0,
                "at_least": dice.choice(("0s", "30m")),
                "spans": _spans(dice, longest_min),
            }
        ]
    kind = dice.choice(("pump", "pump", "pump", "valve", "lamp", "fan"))
    return load(kind=kind, **keys) | {"spans": _spans(dice, longest_min)}


def _spans(dice: Random, longest_min: int | None) -> list[dict[str, str]]:
    anchors = _SUN_ANCHORS if dice.random() < 0.4 else _CLOCK_ANCHORS
    chosen = dice.sample(anchors, dice.randint(1, 3))
    return [{"from": anchor, "cycle": _cycle(dice, longest_min)} for anchor in chosen]


def _cycle(dice: Random, longest_min: int | None) -> str:
    if dice.random() < 0.07:
        return "off" if longest_min or dice.random() < 0.5 else "on"
    steps = []
    for _ in range(1 if dice.random() < 0.8 else 3):
        on_min = min(dice.choice(_WHOLE_MINUTES), longest_min or 120)
        steps += [f"{on_min}m on", f"{dice.choice(_WHOLE_MINUTES)}m off"]
    return ", ".join(steps)


def _air(dice: Random, *, start: Instant, end: Instant) -> DatedSeries:
    stamps = range(start - HOUR_MS, end + 2 * HOUR_MS, HOUR_MS)
    return DatedSeries(stamps, [dice.uniform(15.0, 38.0) for _ in stamps])


def _faults(
    dice: Random, schedule: Schedule, *, start: Instant, end: Instant
) -> list[dict[str, Any]]:
    count = dice.randint(0, 2 * ((end - start) // DAY_MS + 1))
    touches_clock = dice.random() < 0.5
    made: list[dict[str, Any]] = []
    before: Instant | None = None
    for _ in range(count):
        # A few begin before the run does.
        begin = dice.randrange(start - HOUR_MS, end - MINUTE_MS)
        if before is not None and dice.random() < 0.5:  # troubles come in company
            begin = min(end - MINUTE_MS, before + dice.randrange(2 * HOUR_MS))
        before = begin
        until = min(
            end, max(begin, start) + dice.choice((1, 37, 5_000, 240_000)) * dice.randint(1, 60)
        )
        times = {"from": rfc3339(begin), "until": rfc3339(max(until, begin + 1))}
        fault = _fault(dice, schedule, touches_clock=touches_clock)
        if "at" in fault:
            fault["at"] = rfc3339(max(begin, start))
        else:
            fault |= times
        made.append(fault)
    return made


def _fault(dice: Random, schedule: Schedule, *, touches_clock: bool) -> dict[str, Any]:
    name = dice.choice(schedule.loads).name
    used = sorted(schedule.sensors)
    choices: list[dict[str, Any]] = [
        {"kind": "power_out"},
        {"kind": "power_out"},
        {"kind": "pump_fails", "load": name},
        {
            "kind": "hold", "at": "", "load": name,
            "order": dice.choice(("on", "off", "2m on, 3m off", "40s on, 5m off")),
            "for": duration_text(dice.randint(1, 4 * HOUR_MS)),
        },
        {"kind": "release", "at": "", "load": name},
        {"kind": dice.choice(("stop", "resume", "resume")), "at": ""},
        {"kind": "acknowledge", "at": ""},
    ]  # fmt: skip
    if used:
        sensor = dice.choice(used)
        value = dice.choice((0.0, 1.0, 26.0, 35.0))
        choices += [
            {"kind": "sensor_silent", "sensor": sensor},
            {"kind": "sensor_stuck", "sensor": sensor},
            {"kind": "sensor_reads", "sensor": sensor, "value": value},
        ]
    if touches_clock:
        by = dice.choice((-1, 1)) * dice.choice((700, 90_000, 3_600_000, 20_000_000))
        sign = "-" if by < 0 else "+"
        choices += [
            {"kind": "clock_wrong", "by": sign + duration_text(abs(by))},
            {"kind": "clock_untrusted"},
            {"kind": "power_out", "clock_unknown_for": duration_text(dice.randint(1, HOUR_MS))},
        ]
    return dice.choice(choices)
