"""Reading a sound plan: values, findings and lines, and nothing that only errors need."""

from __future__ import annotations

import dataclasses
import importlib.util
import subprocess
import sys
import tomllib
from collections.abc import Callable
from datetime import time
from pathlib import Path
from typing import Any

import pytest

import controller.examples
from controller.core.anchor import Anchor, SunEvent
from controller.core.errors import PlanRefusedError
from controller.core.findings import Finding
from controller.core.plan_text import bounds, lines, scan
from controller.core.plan_text.reading import read_plan, reading_of
from controller.core.plan_text.tokens import tokens_of
from tests.plan_texts import PLAN, SMALLEST, changed, findings_in

# The plan that the project's contract shows, word by word.
CONTRACT = """\
format = 1

[site]
latitude = 47.1          # degrees, north positive
longitude = 8.3          # degrees, east positive
timezone = "Europe/Zurich"
elevation_m = 450        # optional

[loads.pump]
kind = "pump"            # pump | lamp | fan | valve | heater
line = 17                # BCM number
active = "low"           # low | high
watts = 22
longest_on = "45m"
shortest_on = "5s"
shortest_off = "5s"
when_stopped = "off"
without_clock = "15m on, 15m off"

[[loads.pump.spans]]
from = "sunrise - 30m"
cycle = "15m on, 15m off"

[[loads.pump.spans]]
from = "sunset + 1h"
cycle = "15m on, 45m off"      # or "on", or "off"; steps may be many

[[loads.pump.variants]]
name = "hot"
sensor = "air"
above = 32.0                   # enters above, leaves below `until`
until = 29.0
at_least = "30m"
[[loads.pump.variants.spans]]
from = "10:00"
cycle = "20m on, 10m off"
[[loads.pump.variants.spans]]
from = "18:00"
cycle = "15m on, 15m off"
"""
_EXAMPLES = sorted(Path(controller.examples.__path__[0]).glob("*.toml"))
_TOO_TALL = "too-tall"  # shows a pump that does not lift high enough


def test_the_contract_s_plan_is_taken() -> None:
    """Its values are read, and a sensor that it does not declare is only warned about."""
    read = read_plan(CONTRACT.encode(), "plan.toml")
    pump = read.plan.loads["pump"]
    assert read.plan.site.timezone == "Europe/Zurich"
    assert pump.longest_on == 2_700_000
    assert [str(span.cycle) for span in pump.spans] == ["15m on, 15m off", "15m on, 45m off"]
    assert pump.spans[0].anchor == Anchor(SunEvent.SUNRISE, -1_800_000)
    assert [(f.level, f.where, f.line) for f in read.findings] == [
        ("warning", "loads.pump.variants.0.sensor", 30)
    ]
    assert "a dry run takes it for the weather's air temperature" in read.findings[0].message
    assert read.lines.of("loads.pump.spans.1.cycle") == 26


def test_what_is_read_stays_as_it_is() -> None:
    """The value that reading gives is frozen."""
    read = read_plan(PLAN.encode(), "plan.toml")
    with pytest.raises(dataclasses.FrozenInstanceError):
        read.findings = ()  # type: ignore[misc]


@pytest.mark.parametrize("path", _EXAMPLES, ids=lambda path: path.stem)
def test_an_example_plan_is_worth_no_finding(path: Path) -> None:
    """What people copy is without fault, but for the one that shows a fault."""
    found = findings_in(path.read_bytes())
    if path.stem == _TOO_TALL:
        assert [finding.where for finding in found] == ["loads.pump.lift.height_m"]
    else:
        assert found == []


def test_a_refusal_names_the_file_and_counts_the_errors() -> None:
    """The error's text is what a log needs; its findings are what a person needs."""
    text = changed("line = 17 ", "line = 99 ").replace("latitude = 47.1", "latitude = 99")
    with pytest.raises(PlanRefusedError) as refusal:
        read_plan(text.encode(), "porch.toml")
    assert str(refusal.value) == "porch.toml: 2 errors in the plan"
    assert refusal.value.source == "porch.toml"
    assert [type(finding) for finding in refusal.value.findings] == [Finding, Finding]


def test_findings_come_in_the_order_of_the_file() -> None:
    """Tables may stand in any order; advice follows their lines."""
    site, loads = SMALLEST.split("[loads.lamp]")
    text = f"[loads.lamp]{loads}line2 = 1\n[site]\n" + "latitude = 999\n"
    assert [(f.line, f.where) for f in findings_in(f"format = 1\n{text}")] == [
        (7, "loads.lamp.line2"),
        (8, "site.longitude"),
        (8, "site.timezone"),
        (9, "site.latitude"),
    ]
    assert site.startswith("format = 1")


_LINE_99 = changed("line = 17 ", "line = 99 ")


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(PLAN, id="a plan"),
        pytest.param(CONTRACT, id="one with a finding, on its line"),
        pytest.param(_LINE_99, id="one that does not fit its form"),
        pytest.param(changed('level = "float"', 'level = "nobody"'), id="one that breaks a rule"),
    ],
)
def test_a_text_is_taken_apart_once(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Bounds, values and lines come of one cut into tokens and one reading of TOML."""
    taken = []

    def noted(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def take(source: str, *more: Any) -> Any:
            if source == text:
                taken.append(name)
            return real(source, *more)

        return take

    for module in (bounds, scan):
        monkeypatch.setattr(module, "tokens_of", noted("tokens", tokens_of))
    monkeypatch.setattr(tomllib, "loads", noted("toml", tomllib.loads))
    reading = reading_of(text.encode())
    assert taken == ["tokens", "toml"]
    assert reading.document == tomllib.loads(text)


def test_lines_are_looked_for_when_somebody_asks(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan without a finding costs no map of its places; the map is made once."""
    scanned = []

    def noted(*asked: Any) -> list[scan.Mark]:
        scanned.append(asked)
        return scan.scan(*asked)

    monkeypatch.setattr(lines, "scan", noted)
    read = read_plan(PLAN.encode(), "plan.toml")
    assert scanned == []
    assert [read.lines.of(where) for where in ("site", "loads.pump.spans.1")] == [4, 33]
    assert len(scanned) == 1


@pytest.mark.parametrize(
    ("data", "document"),
    [
        pytest.param(_LINE_99.encode(), tomllib.loads(_LINE_99), id="no plan"),
        pytest.param(b"a = 07:30:00\n", {"a": time(7, 30)}, id="anything else"),
        pytest.param(b" \n\t\r\n", {}, id="nothing"),
        pytest.param(b"a = 1\nb = pump\n", None, id="a slip, whose meaning is plain"),
        pytest.param(b"a = 1\rb = 2\n", None, id="a stray carriage return"),
        pytest.param(b"a = 'caf\xe9'\n", None, id="no text"),
        pytest.param(b"a = " + b"[" * 17 + b"]" * 17, None, id="deeper than is read"),
    ],
)
def test_what_a_refused_text_says_is_told(data: bytes, document: object) -> None:
    """As the text has it, not as it was meant; nothing where it cannot be read."""
    reading = reading_of(data)
    assert reading.plan is None
    assert reading.document == document
    with pytest.raises(PlanRefusedError) as refusal:
        read_plan(data, "plan.toml")
    assert refusal.value.findings == reading.findings


def test_a_sound_plan_loads_nothing_that_only_errors_and_edits_need() -> None:
    """The daemon of a small board reads plans without the editor, and without guesses."""
    code = (
        "import sys\n"
        "from controller.core.plan_text.reading import read_plan\n"
        "read_plan(sys.stdin.buffer.read(), 'plan.toml')\n"
        "print(sorted(set(sys.argv[1:]) & set(sys.modules)))\n"
    )
    parts = ("echoes", "likely", "misfits", "salvage", "schema", "slips", "spot")
    unwanted = ["tomlkit", "controller.core.plan_edit"]
    unwanted += [f"controller.core.plan_text.{part}" for part in parts]
    assert all(importlib.util.find_spec(name) for name in unwanted)
    done = subprocess.run(  # noqa: S603 - our own words to our own interpreter
        [sys.executable, "-c", code, *unwanted],
        input=PLAN.encode(),
        capture_output=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    assert done.stdout == b"[]\n"
