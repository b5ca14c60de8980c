"""Gardens of water that nobody sane would plant, each made from one number.

Every number of the plan's tables of water comes from either end of its range as often as
from anywhere between, in wild combinations; the air and the faults are no kinder. All of it
is allowed: `rootclock check` finds no error in it.
"""

from __future__ import annotations

import math
from datetime import date, timedelta
from random import Random
from typing import Any, NamedTuple

from pydantic import BaseModel

from controller.core.plan import Plan, Site, TypicalDay
from controller.core.plan_parts.energy import TariffEntry
from controller.core.plan_parts.water import Fittings, Lift, Reservoir, Stand
from controller.core.schedule import make_schedule
from tests.places import PLACES

Document = dict[str, Any]

_CYCLES = ("15m on, 15m off", "7s on, 3m off", "on", "off", "3m off, 2m on, 20m off, 7s on")
_ANCHORS = ("00:00", "02:30", "sunrise", "sunset + 1h", "12:00", "23:59:59", "dusk - 3h")
_HOLDS = ("on", "off", "2m on, 3m off")
_SENSORS: Document = {
    "air": {"measures": "air_temperature", "stale_after": "20m"},
    "damp": {"measures": "humidity", "stale_after": "20m"},
    "float": {"measures": "level", "stale_after": "20m"},
}
_MEDIA = ("expanded-clay", "mineral-wool", "bare-roots")
_KEYS_OF_PLACE = {
    "outdoors": ("light_share",),
    "under-glass": ("light_share", "air_speed_m_s"),
    "under-lamps": ("air_c", "humidity_pct", "air_speed_m_s"),
}


class HostileGarden(NamedTuple):
    """A plan as TOML has it, the days to carry it out on, and what befalls it."""

    seed: int
    plan: Document
    start: date
    days: int
    weather: str | None
    faults: list[Document]


def hostile_garden(seed: int, *, days_max: int = 4) -> HostileGarden:
    """The garden of that number."""
    dice = Random(f"hostile {seed}")
    start = date(2026, 1, 1) + timedelta(days=dice.randrange(1100))
    if dice.random() < 0.2:  # the last days of a February that has 29 of them
        start = date(2028, 2, 27)
    days = dice.randint(1, days_max)
    plan = _plan(dice, start=start, days=days)
    return HostileGarden(
        seed=seed,
        plan=plan,
        start=start,
        days=days,
        weather=_weather(dice, start=start, days=days) if dice.random() < 0.5 else None,
        faults=_faults(dice, plan, start=start, days=days) if dice.random() < 0.5 else [],
    )


def number_of(dice: Random, model: type[BaseModel], key: str) -> float:
    """A value of a key: an end of its range, the middle of it, or just anything."""
    field = model.model_fields[key]
    low, high = range_of(model, key)
    kind = dice.randrange(4)
    if kind == 0:
        value = low
    elif kind == 1:
        value = high
    elif low >= 0.0 and dice.random() < 0.5:  # as often small as great
        floor = max(low, high * 1e-6)
        value = min(high, math.exp(dice.uniform(math.log(floor), math.log(high))))
    else:
        value = dice.uniform(low, high)
    return round(value) if "int" in str(field.annotation) else value


def range_of(model: type[BaseModel], key: str) -> tuple[float, float]:
    """The least and the most that a key of a table may be."""
    metadata = model.model_fields[key].metadata
    (low,) = [one.ge for one in metadata if hasattr(one, "ge")]
    (high,) = [one.le for one in metadata if hasattr(one, "le")]
    return low, high


def _plan(dice: Random, *, start: date, days: int) -> Document:
    pumps = ["pump", "valve", "second"][: dice.randint(1, 3)]
    loads: Document = {"lamps": _load(dice, "lamp", 0)}
    for place, name in enumerate(pumps, 1):
        kind = "valve" if name == "valve" else "pump"
        loads[name] = _load(dice, kind, place)
        if kind == "pump" and dice.random() < 0.6:
            loads[name]["lift"] = _lift(dice)
    many = dice.choice((0, 1, 2, 2, 5, 12))
    stands = {f"s{number}": _stand(dice, pumps, start=start, days=days) for number in range(many)}
    reservoirs = {f"t{number}": _reservoir(dice) for number in range(dice.randint(0, 2))}
    for name in pumps:
        if reservoirs and dice.random() < 0.8:
            loads[name]["reservoir"] = dice.choice(sorted(reservoirs))
        if any(stand["watered_by"] == name for stand in stands.values()):
            loads[name]["spans"] = [_demand_or(dice, span) for span in loads[name]["spans"]]
    plan = {
        "format": 1,
        "site": _site(dice),
        "sensors": _SENSORS,
        "loads": loads,
        "stands": stands,
        "reservoirs": reservoirs,
        "energy": _energy(dice),
    }
    return {key: table for key, table in plan.items() if table}


def _site(dice: Random) -> Document:
    place = dice.choice(PLACES)
    site: Document = {
        "latitude": place.latitude, "longitude": place.longitude, "timezone": place.timezone,
    }  # fmt: skip
    if dice.random() < 0.4:  # anywhere on Earth, the poles and the date line included
        site["latitude"] = number_of(dice, Site, "latitude")
        site["longitude"] = number_of(dice, Site, "longitude")
    if dice.random() < 0.6:
        site["elevation_m"] = dice.choice((-500, 6000, 0.0, 423.7))
    if dice.random() < 0.6:
        ends = [number_of(dice, TypicalDay, key) for key in ("coolest_c", "warmest_c")]
        site["typical_day"] = dict(zip(("coolest_c", "warmest_c"), sorted(ends), strict=True))
    return site


def _load(dice: Random, kind: str, line: int) -> Document:
    spans = [
        {"from": anchor, "cycle": dice.choice(_CYCLES)}
        for anchor in dice.sample(_ANCHORS, dice.randint(1, 3))
    ]
    load: Document = {"kind": kind, "line": line, "active": "low", "spans": spans}
    if dice.random() < 0.7:
        load["watts"] = dice.choice((0.0, 22.0, 20_000))
    if kind == "pump" and dice.random() < 0.3:
        load["level"] = "float"
    return load


def _demand_or(dice: Random, span: Document) -> Document:
    """The span, or one on demand whose bounds are as narrow or as wide as may be."""
    if dice.random() < 0.4:
        return span
    bounds: Document = {
        "shortest_rest": dice.choice(("1s", "5m", "1h")),
        "longest_rest": dice.choice(("1h", "1h30m", "168h")),
    }
    if dice.random() < 0.7:
        bounds["shortest_watering"] = dice.choice(("1s", "3m"))
        bounds["longest_watering"] = dice.choice(("3m", "24h"))
    fixed = _CYCLES[0] if span["cycle"] == "off" else span["cycle"]
    return span | {"cycle": "demand", "fixed": fixed} | bounds


def _lift(dice: Random) -> Document:
    def number(key: str) -> float:
        return number_of(dice, Lift, key)

    lift: Document = {"height_m": number("height_m"), "hose_bore_mm": number("hose_bore_mm")}
    lift["hose_length_m"] = max(lift["height_m"], number("hose_length_m"))
    if dice.random() < 0.5:
        lift |= {key: number(key) for key in ("shut_off_head_m", "free_flow_l_per_h")}
    else:
        lift["curve"] = dice.choice(
            (
                [[100_000, 0.0], [0, 100.0]],
                [[0, 0.05], [1, 0]],
                [[0.0, 100], [0.1, 99.0], [0.2, 1e-3], [100_000, 0]],
                [[1000, 0.0], [700, 1.0], [0, 2.0]],
            )
        )
    if dice.random() < 0.5:
        roughest_mm = min(2.0, 0.05 * lift["hose_bore_mm"])
        lift["hose_roughness_mm"] = dice.choice((0, roughest_mm))
    if dice.random() < 0.5:
        lift["loss_coefficient"] = number("loss_coefficient")
    names = dice.sample(sorted(Fittings.model_fields), dice.choice((0, 2, 15)))
    if names:
        lift["fittings"] = {name: number_of(dice, Fittings, name) for name in names}
    return lift


def _stand(dice: Random, pumps: list[str], *, start: date, days: int) -> Document:
    def number(key: str) -> float:
        return number_of(dice, Stand, key)

    place = dice.choice(sorted(_KEYS_OF_PLACE))
    medium = dice.choice(_MEDIA)
    stand: Document = {
        "watered_by": dice.choice(pumps),
        "plants": number("plants"),
        "medium": medium,
        "place": place,
        "plants_per_m2": number("plants_per_m2"),
    }
    if dice.random() < 0.5:
        stand["age_days"] = number("age_days")
    else:
        before_days = dice.choice((-days, 1 - days, -1, 0, 1, 60, 4000, 20_000, -20_000))
        stand["sown"] = start - timedelta(days=before_days)
    if medium != "bare-roots":
        stand["medium_ml"] = number("medium_ml")
    if place == "under-lamps":
        stand |= {"lamp": "lamps", "ppfd_umol": number("ppfd_umol")}
    optional = (*_KEYS_OF_PLACE[place], "drip_ml_per_min", "reserve")
    stand |= {key: number(key) for key in optional if dice.random() < 0.6}
    for key, sensor in (("air", "air"), ("humidity", "damp")):
        if dice.random() < 0.5:
            stand[key] = sensor
    return stand


def _reservoir(dice: Random) -> Document:
    full_l = number_of(dice, Reservoir, "full_l")
    inlet_at_l = dice.choice((0, full_l / 2, math.nextafter(full_l, 0.0)))
    tank: Document = {"full_l": full_l, "inlet_at_l": inlet_at_l}
    if dice.random() < 0.6:
        tank["top_up_at_l"] = dice.choice((inlet_at_l, math.nextafter(full_l, 0.0)))
    for key in ("losses_l_per_day", "ec_ms_per_cm", "water_c"):
        if dice.random() < 0.6:
            tank[key] = number_of(dice, Reservoir, key)
    if dice.random() < 0.5:
        tank["ppm_scale"] = dice.choice((500, 640, 700))
    return tank


def _energy(dice: Random) -> Document:
    if dice.random() < 0.3:
        return {}
    energy: Document = {"currency": dice.choice(("EUR", "kr", "¤¤¤¤¤¤¤¤"))}
    if dice.random() < 0.3:
        return energy | {"price_per_kwh": dice.choice((0, 1000, 0.28))}
    minutes = dice.sample(range(1440), dice.choice((1, 2, 48)))
    energy["tariff"] = [
        {
            "from": f"{at // 60:02}:{at % 60:02}",
            "price_per_kwh": number_of(dice, TariffEntry, "price_per_kwh"),
        }
        for at in minutes
    ]
    return energy


def _weather(dice: Random, *, start: date, days: int) -> str:
    """A plain CSV that is too short, too sparse, too dense, extreme, or about another time."""
    step_min = dice.choice((1, 10, 60, 60, 180, 180, 1440))
    shift_days = dice.choice((0, 0, 0, 1, -1, 400))
    count = dice.choice((1, 2, min(2000, (days + 1) * 1440 // step_min + 1)))
    head = ["# wind_height_m = 2"] if dice.random() < 0.5 else []
    minutes = [shift_days * 1440 + place * step_min for place in range(count)]
    rows = [
        ",".join(
            (
                _stamp(start, minute),
                dice.choice(("", "-90", "60", "21.5", "21.5")),
                dice.choice(("", "0", "110", "55")),
                dice.choice(("", "0", "110", "1.5")),
                dice.choice(("", "0", "1500", "420")),
            )
        )
        for minute in minutes
        if count < 3 or dice.random() > 0.1  # rows are missing here and there
    ]
    if dice.random() < 0.5:  # a sensor that tells nothing at all
        rows = [row.partition(",")[0] + ",12.5,,," for row in rows]
    columns = "time,air_temperature_c,humidity_pct,wind_m_s,global_radiation_w_m2"
    return "\n".join([*head, columns, *rows, ""])


def _stamp(day: date, minute: int) -> str:
    days, rest = divmod(minute, 1440)
    return f"{day + timedelta(days=days)}T{rest // 60:02}:{rest % 60:02}:00Z"


def _faults(dice: Random, plan: Document, *, start: date, days: int) -> list[Document]:
    made: list[Document] = []
    sensors = sorted(make_schedule(Plan.model_validate(plan)).sensors)
    for _ in range(dice.randint(1, 12)):
        begin = dice.randrange(days * 1440)
        until = begin + dice.choice((1, 20, 300, 5000))
        times = {"from": _stamp(start, begin), "until": _stamp(start, until)}
        at, load = {"at": _stamp(start, begin)}, dice.choice(sorted(plan["loads"]))
        value = dice.choice((-40.0, 0.0, 55.0, 100.0, 1e6, -1e6))
        choices: list[Document] = []
        if sensors:
            sensor = dice.choice(sensors)
            choices = [
                {"kind": "sensor_silent", "sensor": sensor, **times},
                {"kind": "sensor_stuck", "sensor": sensor, **times},
                {"kind": "sensor_reads", "sensor": sensor, "value": value, **times},
            ]
        made.append(
            dice.choice(
                (
                    *choices,
                    {"kind": "power_out", **times},
                    {"kind": "power_out", "clock_unknown_for": "2h", **times},
                    {"kind": "clock_wrong", "by": dice.choice(("+5h", "-90s")), **times},
                    {"kind": "pump_fails", "load": load, **times},
                    {"kind": "hold", "load": load, "order": dice.choice(_HOLDS), "for": "3h", **at},
                    {"kind": "stop", **at},
                    {"kind": "resume", **at},
                )
            )
        )
    return made
