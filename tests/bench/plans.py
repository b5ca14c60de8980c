"""Plans that the benchmarks run; invented."""

from __future__ import annotations

import tomllib
from typing import Any

from controller.core.plan import Plan

_SITE = {"latitude": 47.1, "longitude": 8.3, "timezone": "Europe/Zurich"}


def _pump(line: int, start: str, cycle: str) -> dict[str, Any]:
    return {
        "kind": "pump",
        "line": line,
        "active": "low",
        "watts": 22,
        "longest_on": "45m",
        "shortest_on": "5s",
        "shortest_off": "5s",
        "spans": [{"from": start, "cycle": cycle}],
    }


def one_pump() -> Plan:
    """15 on / 15 off, day and night: 35,040 changes a year."""
    return Plan.model_validate(
        {"format": 1, "site": _SITE, "loads": {"pump": _pump(17, "00:00", "15m on, 15m off")}}
    )


def sun_pump() -> Plan:
    """A day and a night cycle tied to the sun."""
    pump = _pump(17, "sunrise - 30m", "15m on, 15m off")
    pump["spans"].append({"from": "sunset + 1h", "cycle": "15m on, 45m off"})
    return Plan.model_validate({"format": 1, "site": _SITE, "loads": {"pump": pump}})


def eighteen_pumps() -> Plan:
    """18 pumps that all want to start at once, held back by every guard there is."""
    loads = {f"pump_{i}": _pump(i, "00:00", "15m on, 15m off") for i in range(18)}
    for load in loads.values():
        load["level"] = "tank"
    return Plan.model_validate(
        {
            "format": 1,
            "site": _SITE,
            "loads": loads,
            "sensors": {
                "tank": {"measures": "level"},
                "floor": {"measures": "leak"},
                "switch": {"measures": "stop"},
            },
            "guards": {
                "starts_together": 2,
                "starts_apart": "5s",
                "watts_at_once": 400,
                "leak": "floor",
                "stop_switch": "switch",
            },
        }
    )


_COLUMNS = """\
format = 1

[site]
latitude = 36.1
longitude = -79.95
timezone = "America/New_York"
elevation_m = 273

[loads.lamps]
kind = "lamp"
line = 20
active = "low"
watts = 400
[[loads.lamps.spans]]
from = "06:00"
cycle = "on"
[[loads.lamps.spans]]
from = "22:00"
cycle = "off"

[reservoirs.tank]
full_l = 400
inlet_at_l = 40
top_up_at_l = 300
losses_l_per_day = 2
ec_ms_per_cm = 1.4
ppm_scale = 500
"""
_COLUMN = """
[loads.column_{number}]
kind = "pump"
line = {number}
active = "low"
watts = 22
longest_on = "45m"
shortest_on = "5s"
shortest_off = "5s"
reservoir = "tank"
[[loads.column_{number}.spans]]
from = "00:{number:02}"
cycle = "15m on, 15m off"
[loads.column_{number}.lift]
height_m = 1.5
shut_off_head_m = 2.2
free_flow_l_per_h = 1200
hose_bore_mm = 16
hose_length_m = 2.2
fittings = {{ elbow = 2 }}

[stands.lot_{number}]
watered_by = "column_{number}"
plants = 30
age_days = {age_days}
{medium}
{place}
plants_per_m2 = 25
"""
_MEDIA = (
    'medium = "expanded-clay"\nmedium_ml = 90',
    'medium = "mineral-wool"\nmedium_ml = 30',
    'medium = "bare-roots"',
)
_PLACES = (
    'place = "outdoors"',
    'place = "under-glass"',
    'place = "under-lamps"\nlamp = "lamps"\nppfd_umol = 220',
)
COLUMNS = 18


def columns_text() -> str:
    """A plan file with all models in it: 18 pumps, 15/15, each a minute after the one before
    it, each with its lift and a stand of its own, of nine kinds and eighteen ages; they share
    one reservoir."""
    return _COLUMNS + "".join(
        _COLUMN.format(
            number=number,
            age_days=8 + 2 * number,
            medium=_MEDIA[number % 3],
            place=_PLACES[number // 3 % 3],
        )
        for number in range(COLUMNS)
    )


def columns() -> Plan:
    """The plan of `columns_text`."""
    return Plan.model_validate(tomllib.loads(columns_text()))
