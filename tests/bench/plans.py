"""Plans that the benchmarks run; invented."""

from __future__ import annotations

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
