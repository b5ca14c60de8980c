"""What README asks of water: heat, a pump that cannot lift, a weekend away; as it is typed.

The weather is the example's: nine hot days cut from a typical year (TMY3 723170).
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from controller.cli.main import main

EXAMPLES = Path(__file__).parents[2] / "controller" / "examples"
WEATHER = str(EXAMPLES / "heat-wave.csv")


def told(capsys: pytest.CaptureFixture[str], plan: str, *words: str) -> Any:
    """The JSON of a dry run of an example."""
    main(["dry-run", str(EXAMPLES / f"{plan}.toml"), "--json", *words])
    return json.loads(capsys.readouterr().out)


def test_a_pump_of_two_metres_brings_nothing_to_the_top_of_a_taller_column(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The label says 2.0 m, the column has 2.2: 0.2 m are missing, and the roots get nothing.

    Common practice, no source: a small pump with about 2 m of shut-off head delivers nothing
    at 2 m.
    """
    run = told(capsys, "too-tall", "--from", "2026-07-10", "--days", "2")
    lift = next(finding for finding in run["findings"] if finding["where"] == "loads.pump.lift")
    assert lift["level"] == "error"
    assert lift["message"] == "This pump does not lift that high: it ends 0.2 m below the top"
    heads = run["stands"]["heads"]
    assert heads["drip_ml_per_min"]["likely"] == 0
    assert heads["driest_share"]["likely"] == 0
    mends = {finding["mend"] for finding in run["findings"] if finding["where"] == "stands.heads"}
    assert mends == {"see loads.pump.lift: no water arrives at the top"}


def test_a_reservoir_left_on_friday_noon_runs_dry_on_sunday(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """30 L above the inlet, 60 heads: about 10 L on Friday, 12 on Saturday, dry on Sunday noon."""
    run = told(
        capsys, "weekend", "--from", "2026-07-10T16:00:00Z", "--days", "3", "--weather", WEATHER
    )
    bucket = run["reservoirs"]["bucket"]
    assert bucket["dry_utc"]["likely"].startswith("2026-07-12T")  # a Sunday
    assert bucket["dry_utc"]["earliest"] < bucket["dry_utc"]["likely"]
    days = {day["date"]: day["stands"]["heads"] for day in run["days"]}
    # By hand: until then it lost 1 L a day, and plants drank what is left of the 30 L.
    drunk_l = 60 * sum(day["transpired_ml"]["likely"] for day in days.values()) / 1000
    assert drunk_l == pytest.approx(30 - 2 * 1.0, rel=0.1)
    mends = {finding["mend"] for finding in run["findings"] if finding["where"] == "stands.heads"}
    assert mends == {"see reservoirs.bucket: its pump drew air before that"}


def test_in_heat_the_roots_are_wetter_on_demand_with_less_pumping(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """On the hottest day more is left for grown heads, and the pump runs for half as long."""
    words = ("--from", "2026-07-10", "--days", "1", "--weather", WEATHER)
    fixed, on_demand = (told(capsys, plan, *words) for plan in ("heat-wave", "on-demand"))
    for corner in ("low", "likely", "high"):
        left = [run["stands"]["heads"]["driest_share"][corner] for run in (fixed, on_demand)]
        assert left[1] > left[0], corner
    assert on_demand["loads"]["pump"]["on_s"] < 0.5 * fixed["loads"]["pump"]["on_s"]
    heads, young = (on_demand["stands"][name] for name in ("heads", "young"))
    assert young["driest_share"]["likely"] > heads["driest_share"]["likely"]
