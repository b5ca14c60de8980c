"""The history as the controller tells it: bands, what the plan ordered otherwise, and why."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from controller.core.journal_entry import Entry
from controller.core.plan import Plan
from controller.core.plan_text.reading import read_plan
from controller.core.units import HOUR_MS, MINUTE_MS
from controller.daemon.journal_telling import history_told
from tests.journals import NOON, opened

# Of no plant: half an hour on, half an hour off, from midnight UTC.
PLAN = b"""\
format = 1
[site]
latitude = 47.1
longitude = 0.0
timezone = "Etc/UTC"
[guards]
leak = "floor"
[sensors.floor]
measures = "leak"
file = "/nowhere/floor"
[sensors.float]
measures = "level"
file = "/nowhere/float"
[loads.pump]
kind = "pump"
line = 17
active = "low"
level = "float"
spans = [{ from = "00:00", cycle = "30m on, 30m off" }]
[loads.lamp]
kind = "lamp"
line = 22
active = "low"
spans = [{ from = "00:00", cycle = "30m on, 30m off" }]
"""


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The plan in force."""
    found = read_plan(PLAN, "plan.toml").plan
    assert found is not None
    return found


def _at(minute: int, what: str, subject: str = "", *, why: str = "", detail: str = "") -> Entry:
    return Entry(NOON + minute * MINUTE_MS, minute, True, what, subject, why, detail)


def _told(folder: Path, plan: Plan, entries: list[Entry], *, since: int = 0) -> dict[str, Any]:
    """From noon until 14:00, by a plan that is in force since so many minutes."""
    journal = opened(folder)
    journal.note(entries)
    assert journal.close()
    return history_told(
        folder / "journal.db",
        plan,
        since=NOON,
        until=NOON + 2 * HOUR_MS,
        in_force_since=NOON + since * MINUTE_MS,
    )


def _whys(told: dict[str, Any], load: str) -> list[tuple[int, int, str, str]]:
    [found] = [one for one in told["loads"] if one["name"] == load]
    return [
        (one["from_ms"] // MINUTE_MS, one["to_ms"] // MINUTE_MS, one["ordered"], one["why"])
        for one in found["differs"]
    ]


@pytest.mark.parametrize(
    ("mark", "pump", "lamp"),
    [
        (_at(40, "everything stopped", detail="by Wren"), "stop switch", "stop switch"),
        (_at(40, "hold began", "pump", detail="off for 2h"), "hold", ""),
        (_at(40, "alarm", "floor", detail="leak"), "leak", ""),
        (_at(40, "alarm", "float", detail="reservoir low"), "reservoir low", ""),
        (_at(40, "alarm", "attic", detail="reservoir low"), "", ""),  # no sensor of theirs
    ],
)
def test_what_keeps_a_resting_load_off_is_named(
    tmp_path: Path, plan: Plan, mark: Entry, pump: str, lamp: str
) -> None:
    """Nothing is switched then, so no switching has the reason: what stood has it."""
    entries = [
        entry
        for load in ("pump", "lamp")
        for entry in (_at(0, "on", load, why="plan"), _at(30, "off", load, why="plan"))
    ]
    told = _told(tmp_path, plan, [*entries, mark])
    assert _whys(told, "pump") == [(60, 90, "on", pump)]
    assert _whys(told, "lamp") == [(60, 90, "on", lamp)]


def test_a_plan_is_not_held_against_what_was_before_it(tmp_path: Path, plan: Plan) -> None:
    """What another plan did is not told as done otherwise."""
    told = _told(tmp_path, plan, [_at(-5, "off", "pump", why="plan")], since=75)
    assert _whys(told, "pump") == [(75, 90, "on", "")]


def test_bands_are_told_uncut_and_loads_that_left_the_plan_come_last(
    tmp_path: Path, plan: Plan
) -> None:
    """In ms after the start; what is older than the stretch is not told."""
    entries = [
        _at(-50, "on", "mister"),
        _at(-40, "off", "mister"),
        _at(-10, "on", "mister"),
        _at(5, "off", "mister"),
        _at(119, "on", "pump", why="plan"),
    ]
    told = _told(tmp_path, plan, entries)
    bands = {load["name"]: load["on"] for load in told["loads"]}
    assert bands == {
        "pump": [[119 * MINUTE_MS, 120 * MINUTE_MS]],
        "lamp": [],
        "mister": [[-10 * MINUTE_MS, 5 * MINUTE_MS]],
    }
    assert [load["kind"] for load in told["loads"]] == ["pump", "lamp", None]
    assert told["is_whole"] is True
