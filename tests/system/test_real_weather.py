"""Every example plan on a real year's weather and with a fault script, as typed.

Weather: TMY3 of Greensboro, North Carolina (NREL), as shipped with pvlib.
"""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pvlib
import pytest

from controller.cli.main import main
from tests.readme import ROOT

_WEATHER = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
_EXAMPLES = sorted((ROOT / "controller" / "examples").glob("*.toml"))
_GREENHOUSE = ROOT / "controller" / "examples" / "greenhouse.toml"

# Invented trouble: an outage over noon, a wrong clock, an owner who means well.
_FAULTS = """
[[faults]]
kind = "power_out"
from = "2026-07-02T11:00"
until = "2026-07-02T15:30"
clock_unknown_for = "5m"

[[faults]]
kind = "clock_wrong"
from = "2026-07-03T09:00"
until = "2026-07-03T12:00"
by = "-2h"

[[faults]]
kind = "stop"
at = "2026-07-04T08:00"

[[faults]]
kind = "resume"
at = "2026-07-04T08:20"

[[faults]]
kind = "acknowledge"
at = "2026-07-04T18:00"
"""


def _account(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, Any]:
    code = main(["dry-run", *words, "--json"])
    captured = capsys.readouterr()
    assert captured.err == ""
    return code, json.loads(captured.out)


@pytest.mark.parametrize("plan", _EXAMPLES, ids=lambda path: path.stem)
def test_an_example_runs_through_a_summer_month_of_real_weather(
    plan: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No limit is broken, no watering missed, every pump waters every day; only the pump that
    does not lift high enough is not fit."""
    words = (str(plan), "--from", "2026-07-01", "--days", "31", "--weather", str(_WEATHER))
    code, account = _account(capsys, *words)
    assert code == (1 if plan.stem == "too-tall" else 0)
    assert "GREENSBORO" in account["air"]
    for load in account["loads"].values():
        if load["longest_dry_gap_s"] < 86_400:
            assert load["starts"] >= 31
    assert not [n for n in account["notices"] if "missed" in n["detail"]]


@pytest.mark.parametrize("plan", _EXAMPLES, ids=lambda path: path.stem)
def test_an_example_comes_through_a_week_of_trouble(
    plan: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Every load is back in its plan on the last day: as if nothing had happened."""
    script = tmp_path / "faults.toml"
    script.write_text(_FAULTS, "utf-8")
    week = (str(plan), "--from", "2026-07-01", "--days", "7", "--weather", str(_WEATHER))
    last = (str(plan), "--from", "2026-07-06", "--days", "2", "--weather", str(_WEATHER))
    _, account = _account(capsys, *week, "--faults", str(script), "--events", "/dev/null")
    told = [notice["event"] for notice in account["notices"]]
    for event in ("power lost", "power back", "clock stepped", "everything stopped",
                  "stop released"):  # fmt: skip
        assert event in told
    # The events of the last two days are those of a run that knew no trouble.
    tails = []
    for words in ((*week, "--faults", str(script)), last):
        events = tmp_path / "events.csv"
        _account(capsys, *words, "--events", str(events))
        rows = [line.split(",")[:3] for line in events.read_text("utf-8").splitlines()[1:]]
        tails.append([row for row in rows if row[0] >= "2026-07-06T12"])
    assert tails[0] == tails[1]
    assert tails[0]


def test_the_fan_follows_the_real_heat(capsys: pytest.CaptureFixture[str]) -> None:
    """The greenhouse's fan enters its variant in the hour in which the file's air, as pvlib
    reads it, passes 28 °C, and leaves it later the same day."""
    words = (str(_GREENHOUSE), "--from", "2026-07-04", "--days", "1", "--weather", str(_WEATHER))
    _, account = _account(capsys, *words)
    entered = [n["utc"] for n in account["notices"] if n["event"] == "variant entered"]
    left = [n["utc"] for n in account["notices"] if n["event"] == "variant left"]
    frame, _ = pvlib.iotools.read_tmy3(str(_WEATHER), coerce_year=2026, map_variables=True)
    air = frame["temp_air"].loc["2026-07-04 05:00":"2026-07-04 23:00"]
    hot_from = air[air > 28.0].index[0].tz_convert("UTC").to_pydatetime()
    assert len(entered) == len(left) == 1
    passed = datetime.fromisoformat(entered[0])
    assert hot_from - timedelta(hours=1) <= passed <= hot_from
    assert passed < datetime.fromisoformat(left[0])
