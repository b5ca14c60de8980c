"""What the controller tells of a time gone by, made ready for drawing: seconds from the start on,
cut at both ends."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.units import SECOND_MS, parse_rfc3339

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence


def strips_of(history: Mapping[str, Any]) -> dict[str, Any]:
    """The history of a stretch of time; see `web.app` for its shape.

    Args:
        history: what the controller's method of that name told.
    """
    since, until = (parse_rfc3339(history[key]) for key in ("since_utc", "until_utc"))
    length_ms = until - since
    return {
        "from_utc": history["since_utc"],
        "to_utc": history["until_utc"],
        "known_from_utc": history["known_from_utc"],
        "ordered_from_utc": history["ordered_from_utc"],
        "is_whole": history["is_whole"],
        "loads": [
            {
                "name": load["name"],
                "on": cut(load["on"], length_ms),
                "differs": [
                    {
                        "from_s": one["from_ms"] / SECOND_MS,
                        "to_s": one["to_ms"] / SECOND_MS,
                        "ordered": one["ordered"],
                        "why": one["why"],
                    }
                    for one in load["differs"]
                ],
            }
            for load in history["loads"]
        ],
        "away": cut(history["away"], length_ms),
        "marks": history["marks"],
        "lateness": history["lateness"],
    }


def cut(stretches: Iterable[Sequence[int]], length_ms: int) -> list[list[float]]:
    """What of stretches, in ms, lies within [0, length), in seconds."""
    return [
        [max(0, start) / SECOND_MS, min(end, length_ms) / SECOND_MS]
        for start, end in stretches
        if start < length_ms and end > 0
    ]
