"""Strips of the past for drawing: seconds, cut at both ends."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.units import HOUR_MS, MINUTE_MS, rfc3339
from web.history import cut, strips_of

START = 1_782_900_000_000
END = START + HOUR_MS


@pytest.mark.parametrize(
    ("stretches", "seconds"),
    [
        ([], []),
        ([[5, 20]], [[300.0, 1200.0]]),
        ([[-9, 5]], [[0.0, 300.0]]),  # on from before
        ([[50, 70]], [[3000.0, 3600.0]]),  # on beyond the end
        ([[-9, 70]], [[0.0, 3600.0]]),
        ([[-9, 0], [60, 70]], []),  # half open: neither is within
    ],
)
def test_what_lies_within_is_told(stretches: list[list[int]], seconds: list[list[float]]) -> None:
    """Half open, cut at both ends, in seconds after the start."""
    within = [[edge * MINUTE_MS for edge in stretch] for stretch in stretches]
    assert cut(within, HOUR_MS) == seconds


def test_a_history_is_told_in_seconds() -> None:
    """Bands, what the plan ordered otherwise, and when nobody ran."""
    told: dict[str, Any] = {
        "since_utc": rfc3339(START),
        "until_utc": rfc3339(END),
        "known_from_utc": None,
        "ordered_from_utc": rfc3339(START),
        "is_whole": True,
        "away": [[1_000, 2_500]],
        "marks": [],
        "lateness": {"count": 0, "p50_ms": None, "p99_ms": None, "max_ms": None},
        "loads": [
            {
                "name": "pump",
                "kind": "pump",
                "on": [[-5_000, 900_000]],
                "differs": [{"from_ms": 0, "to_ms": 60_500, "ordered": "off", "why": "hold"}],
            }
        ],
    }
    strips = strips_of(told)
    assert strips["loads"] == [
        {
            "name": "pump",
            "on": [[0.0, 900.0]],
            "differs": [{"from_s": 0.0, "to_s": 60.5, "ordered": "off", "why": "hold"}],
        }
    ]
    assert strips["away"] == [[1.0, 2.5]]
