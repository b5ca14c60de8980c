"""Plans reduced to what decides when a load is on, and their timelines."""

from __future__ import annotations

from typing import Any

from controller.core.almanac import Almanac
from controller.core.plan import Plan
from controller.core.timeline import Timeline
from tests.oracle import Stretch
from tests.places import Place

Spans = tuple[tuple[str, str], ...]  # (from, cycle)


def plan_of(place: Place, **loads: Spans) -> dict[str, Any]:
    """A plan of some lamps and a pump, as TOML gives it."""
    return {
        "format": 1,
        "site": {
            "latitude": place.latitude,
            "longitude": place.longitude,
            "timezone": place.timezone,
        },
        "loads": {
            name: {
                "kind": "pump" if name == "pump" else "lamp",
                "line": line,
                "active": "low",
                "spans": [{"from": anchor, "cycle": cycle} for anchor, cycle in spans],
            }
            for line, (name, spans) in enumerate(loads.items())
        },
    }


def timelines_of(plan: dict[str, Any]) -> dict[str, Timeline]:
    """The timelines of a plan's loads."""
    checked = Plan.model_validate(plan)
    almanac = Almanac()
    return almanac.own(checked.loads, almanac.calendar(checked.site))


def stretches_of(timeline: Timeline, start: int, end: int) -> list[Stretch]:
    """The pieces of a timeline in the oracle's words, holes joined and cut to [start, end)."""
    found: list[Stretch] = []
    for piece in timeline.pieces(start, end):
        span = None if piece.span == -1 else piece.span
        if span is None and found and found[-1].span is None:
            found[-1] = Stretch(found[-1].start, piece.end, None)
        else:
            found.append(Stretch(piece.start, piece.end, span))
    return cut_holes(found, start, end)


def cut_holes(stretches: list[Stretch], start: int, end: int) -> list[Stretch]:
    """A stretch without span ends where one looks; one with a span keeps its ends."""
    return [
        stretch
        if stretch.span is not None
        else Stretch(max(stretch.start, start), min(stretch.end, end), None)
        for stretch in stretches
    ]
