"""Items moved, loads, sensors, stands and reservoirs renamed, and several changes as one edit."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.errors import BadRequestError, PlanRefusedError
from controller.core.plan import Plan
from controller.core.plan_edit.edit import Change, edited
from controller.shell.examples import example_text
from tests.plan_edits import move, rename
from tests.plan_texts import COLUMNS, PLAN
from tests.unit.test_plan_edit import difference

CELLAR, GREENHOUSE = example_text("cellar"), example_text("greenhouse")
LIST = """\
spans = [
    # early
    { from = "05:00", cycle = "on" },  # one
    { from = "12:00", cycle = "off" }, # two
    # late
    { from = "18:00", cycle = "on" }   # three, and no comma
]
"""
LAMP = """\
format = 1
site = { latitude = 1, longitude = 2, timezone = "UTC" }
[loads.lamp]
kind = "lamp"
line = 4
active = "low"
"""


def _plan_after(text: str, *changes: Change) -> Plan:
    return edited(text, changes).reading.plan_of("the edited plan").plan


def test_an_item_in_brackets_moves_with_its_comments() -> None:
    """Commas stay where they are."""
    assert move(LAMP + LIST, "loads.lamp.spans", 2, 0) == LAMP + (
        "spans = [\n"
        "    # late\n"
        '    { from = "18:00", cycle = "on" },   # three, and no comma\n'
        "    # early\n"
        '    { from = "05:00", cycle = "on" },  # one\n'
        '    { from = "12:00", cycle = "off" } # two\n'
        "]\n"
    )


def test_an_item_in_a_line_moves() -> None:
    """Where items share a line, they change places in it."""
    text = LAMP + 'spans = [{from = "05:00", cycle = "on"}, {from="12:00", cycle="off"}] # both\n'
    assert move(text, "loads.lamp.spans", 0, 1) == LAMP + (
        'spans = [{from="12:00", cycle="off"}, {from = "05:00", cycle = "on"}] # both\n'
    )


def test_an_item_under_a_header_moves_with_all_that_is_inside_of_it() -> None:
    """Each line is there before and after, and the variant keeps its spans."""
    moved = move(PLAN, "loads.pump.variants", 1, 0)
    assert sorted(moved.split("\n")) == sorted(PLAN.split("\n"))
    before, after = (_plan_after(text).loads["pump"].variants for text in (PLAN, moved))
    assert after == (before[1], before[0], *before[2:])
    assert move(moved, "loads.pump.variants", 0, 1) == PLAN


def test_a_load_takes_its_anchors_along() -> None:
    """Every header of its own, and every anchor that follows it."""
    assert difference(CELLAR, rename(CELLAR, "loads.lamp", "sun_2")) == [
        "@@ -18 +18 @@",
        "-[loads.lamp]",
        "+[loads.sun_2]",
        "@@ -25 +25 @@",
        "-[[loads.lamp.spans]]",
        "+[[loads.sun_2.spans]]",
        "@@ -29 +29 @@",
        "-[[loads.lamp.spans]]",
        "+[[loads.sun_2.spans]]",
        "@@ -45 +45 @@",
        '-from = "lamp on + 10m"       # the lamp\'s first change to on that day',
        '+from = "sun_2 on + 10m"       # the lamp\'s first change to on that day',
        "@@ -49 +49 @@",
        '-from = "lamp off"',
        '+from = "sun_2 off"',
        "@@ -59 +59 @@",
        '-from = "lamp on"',
        '+from = "sun_2 on"',
        "@@ -63 +63 @@",
        '-from = "lamp off + 1h"',
        '+from = "sun_2 off + 1h"',
    ]


@pytest.mark.parametrize(
    ("old", "references"), [("reservoir", 6), ("floor", 1), ("switch", 1), ("air", 1)]
)
def test_a_sensor_takes_its_references_along(old: str, references: int) -> None:
    """Levels, leak, stop switch and variants ask the same sensor by its new name."""
    renamed = rename(GREENHOUSE, f"sensors.{old}", "probe")
    changed = [line for line in difference(GREENHOUSE, renamed) if line.startswith("+")]
    assert len(changed) == 1 + references
    assert all("probe" in line for line in changed)
    plan = _plan_after(renamed)
    assert "probe" in plan.sensors
    assert rename(renamed, "sensors.probe", old) == GREENHOUSE


def test_names_in_braces_dotted_keys_and_quotes_are_found() -> None:
    """However the plan spells them."""
    text = (
        'format = 1\nsite = { latitude = 1, longitude = 2, timezone = "UTC" }\n'
        'loads = { "lamp" = { kind = "lamp", line = 4, active = "low", '
        'spans = [{ from = "05:00", cycle = "on" }] } , fan.kind = "fan", fan.line = 5, '
        "fan.active = 'low', fan.spans = [{ from = 'lamp on', cycle = 'on' }] }\n"
    )
    renamed = rename(text, "loads.lamp", "sun")
    assert renamed == text.replace('"lamp" = {', "sun = {").replace("'lamp on'", "'sun on'")
    assert rename(renamed, "loads.fan", "breeze") == renamed.replace("fan.", "breeze.")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (Change("rename", "loads.nobody", "x"), "no load, sensor, stand or reservoir"),
        (Change("rename", "loads.lamp.spans", "x"), "no load, sensor, stand or reservoir"),
        (Change("rename", "loads.lamp", "pump"), "already"),
        (Change("rename", "loads.lamp", 7), "no name"),
        (Change("rename", "loads.lamp", ""), "no name"),
        (Change("move", "loads.lamp.spans", index=0), "`to`"),
        (Change("move", "loads.lamp.spans", index=0, to=9), "no number 9"),
        (Change("move", "loads.lamp", index=0, to=1), "no list"),
        (Change("turn", "loads.lamp"), "no change"),
    ],
)
def test_what_cannot_be_changed_is_refused(change: Change, told: str) -> None:
    """In words that say what can."""
    with pytest.raises(BadRequestError, match=told):
        edited(CELLAR, [change])


@pytest.mark.parametrize("name", ["has space", "0", "x" * 41, "ö"])
def test_a_name_that_no_plan_takes_is_told_with_its_place(name: str) -> None:
    """By the plan's own reader, so that a form can say it beside the field."""
    with pytest.raises(PlanRefusedError) as caught:
        rename(CELLAR, "loads.lamp", name)
    assert any(finding.where.startswith("loads.") for finding in caught.value.findings)


def test_several_changes_make_one_edit() -> None:
    """On the way the plan may break its rules; at the end it may not."""
    lamp: dict[str, Any] = {
        "kind": "lamp", "line": 21, "active": "low", "spans": [{"from": "06:00", "cycle": "on"}],
    }  # fmt: skip
    swapped = [Change("remove", "loads.lamp"), Change("add", "loads.lamp", lamp)]
    assert _plan_after(CELLAR, *swapped).loads["lamp"].line == 21
    with pytest.raises(PlanRefusedError) as caught:
        edited(CELLAR, swapped[:1])
    assert {finding.where for finding in caught.value.findings} >= {"loads.pump.spans.0.from"}


@pytest.mark.parametrize(
    ("where", "name", "lines"),
    [
        pytest.param(
            "loads.pump",
            "tower",
            ["[loads.tower]", "[loads.tower.lift]", 'watered_by = "tower"'],
            id="a load that waters",
        ),
        pytest.param(
            "loads.lamp", "sun", ["[loads.sun]", 'lamp = "sun"'], id="a lamp that lights a stand"
        ),
        pytest.param(
            "sensors.damp",
            "rh",
            ['rh = { measures = "humidity", file = "/run/damp" }', 'humidity = "rh"'],
            id="a sensor near a stand",
        ),
        pytest.param(
            "reservoirs.tank",
            "barrel",
            ["[reservoirs.barrel]", 'reservoir = "barrel"'],
            id="a reservoir with two loads",
        ),
        pytest.param("stands.heads", "lettuce", ["[stands.lettuce]"], id="a stand"),
    ],
)
def test_whoever_names_it_learns_the_new_name(where: str, name: str, lines: list[str]) -> None:
    """Stands name loads and sensors, loads name reservoirs."""
    renamed = rename(COLUMNS, where, name).split("\n")
    new = [line for line in renamed if line not in COLUMNS.split("\n")]
    assert set(lines) <= set(new)
    assert len(renamed) == len(COLUMNS.split("\n"))


def test_a_name_in_one_family_says_nothing_of_another() -> None:
    """A sensor called like the load keeps its name, and what names it too."""
    text = COLUMNS.replace("damp", "pump")
    renamed = rename(text, "loads.pump", "tower")
    assert 'humidity = "pump"' in renamed
    assert 'watered_by = "tower"' in renamed
    assert rename(renamed, "loads.tower", "pump") == text
