"""Strips of the past from journal entries."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.units import HOUR_MS, rfc3339
from web.history import bands_of

START = 1_782_900_000_000
END = START + HOUR_MS


def _entry(minute: float, what: str, load: str = "pump") -> dict[str, Any]:
    return {"utc": rfc3339(START + round(minute * 60_000)), "what": what, "subject": load}


@pytest.mark.parametrize(
    ("before", "within", "bands"),
    [
        ([], [], {}),
        # within the time
        ([], [_entry(5, "on"), _entry(20, "off")], {"pump": [[300.0, 1200.0]]}),
        # on from before, and still on at the end
        ([_entry(-9, "on")], [], {"pump": [[0.0, 3600.0]]}),
        ([_entry(-9, "on")], [_entry(5, "off")], {"pump": [[0.0, 300.0]]}),
        ([_entry(-20, "on"), _entry(-9, "off")], [_entry(50, "on")], {"pump": [[3000.0, 3600.0]]}),
        # told twice: a controller that starts anew says what it finds
        ([], [_entry(5, "off"), _entry(6, "off")], {"pump": []}),
        ([], [_entry(5, "on"), _entry(6, "on"), _entry(7, "off")], {"pump": [[300.0, 420.0]]}),
        # an instant is no time
        ([], [_entry(5, "on"), _entry(5, "off")], {"pump": []}),
        # two loads
        (
            [_entry(-1, "on", "lamp")],
            [_entry(5, "on"), _entry(20, "off")],
            {"lamp": [[0.0, 3600.0]], "pump": [[300.0, 1200.0]]},
        ),
        # a clock that was put back by an hour in between
        ([], [_entry(30, "on"), _entry(-20, "off"), _entry(10, "on")], {"pump": [[600.0, 3600.0]]}),
    ],
)
def test_bands_of_a_time(before: list[Any], within: list[Any], bands: dict[str, Any]) -> None:
    """Half open, cut at both ends, in seconds after the start."""
    assert bands_of(within, before, start=START, end=END) == bands
