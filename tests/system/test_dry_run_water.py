"""The command that tells a run's water, from a plan's text to JSON and exit code."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

from controller.cli.main import main
from tests.typical_years import GREENSBORO

_EXAMPLE = Path(__file__).parents[2] / "controller" / "examples" / "heat-wave.toml"
_EXAMPLE_PLAN = tomllib.loads(_EXAMPLE.read_text(encoding="utf-8"))


def _told(capsys: pytest.CaptureFixture[str], plan: Path, *words: str) -> tuple[int, Any]:
    code = main(["dry-run", str(plan), "--from", "2026-07-01", "--json", *words])
    return code, json.loads(capsys.readouterr().out)


def test_the_example_tells_its_water(capsys: pytest.CaptureFixture[str]) -> None:
    """Two stands, a lift and a tank, a week of a heat wave: all held together."""
    code, told = _told(capsys, _EXAMPLE, "--days", "7")
    assert code == 0
    assert [len(told["days"]), *told["stands"]] == [7, "heads", "young"]
    heads, young = told["stands"]["heads"], told["stands"]["young"]
    assert heads["transpired_ml"]["likely"] > young["transpired_ml"]["likely"] > 0
    pump = told["loads"]["pump"]
    prices = [one["price_per_kwh"] for one in _EXAMPLE_PLAN["energy"]["tariff"]]
    assert min(prices) < pump["cost"] / pump["energy_kwh"] < max(prices)
    assert told["currency"] == "USD"
    tank = told["reservoirs"]["tank"]
    # What left the full tank of 60 L, with 0.5 L a day of losses, and what was poured in.
    drunk_l = (36 * heads["transpired_ml"]["likely"] + 12 * young["transpired_ml"]["likely"]) / 1e3
    assert tank["end_l"]["likely"] == pytest.approx(
        60 - drunk_l - 7 * 0.5 + tank["poured_l"]["likely"], abs=1e-6
    )


def test_weather_tells_days_of_a_plan_without_plants(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """With --weather there are days; without it and without plants there is no water to tell."""
    plan = tmp_path / "plan.toml"
    text = _EXAMPLE.read_text(encoding="utf-8")
    head, _, rest = text.partition("[loads.pump.lift]")
    energy = rest[rest.index("[energy]") :]
    plan.write_text(head.replace('reservoir = "tank"', "") + energy, encoding="utf-8")
    _, told = _told(capsys, plan, "--days", "3", "--weather", str(GREENSBORO.path))
    assert [day["date"] for day in told["days"]] == ["2026-07-01", "2026-07-02", "2026-07-03"]
    assert all(1 < day["et0_mm"] < 9 for day in told["days"])
    _, told = _told(capsys, plan, "--days", "3")
    assert "days" not in told


def test_two_plans_are_compared_by_their_roots(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """What each stand and reservoir has of both, beside what the loads do; the figures are those
    of the two accounts."""
    drier = tmp_path / "drier.toml"
    text = _EXAMPLE.read_text(encoding="utf-8")
    assert "15m on, 15m off" in text
    drier.write_text(text.replace("15m on, 15m off", "5m on, 40m off"), encoding="utf-8")
    _, told = _told(capsys, _EXAMPLE, "--days", "2", "--compare", str(drier))
    compared = told["compared"]
    assert set(compared["differences"]) == {"pump"}
    heads = compared["water_differences"]["stands"]["heads"]
    for which, run in (("first", told), ("second", compared)):
        assert heads[which]["driest_share"] == run["stands"]["heads"]["driest_share"]["likely"]
        assert heads[which]["thirst_at_worst_ml"] == run["stands"]["heads"]["thirst_ml"]["high"]
    tank = compared["water_differences"]["reservoirs"]["tank"]
    dry = told["reservoirs"]["tank"]["dry_if_left_alone_utc"]["likely"]
    assert tank["first"]["dry_if_left_alone_utc"] == dry
    assert "left when driest instead of" in heads["words"]
