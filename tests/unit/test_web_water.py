"""The water of a day on paper: what a dry run reckons, whatever was remembered."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest
from tomlkit import dumps

from controller.cli.main import main
from tests.work import Work, counted_work
from tests.worlds import load, on_demand, stand
from web.paper.jobs import answer
from web.paper.shares import share_of, whole
from web.shapes.dry_run import DryRunTold
from web.shapes.preview import Preview

if TYPE_CHECKING:
    from pathlib import Path

NOW = 1_782_900_000_000  # 2026-07-01T10:00:00Z
SITE = {"latitude": 47.1, "longitude": 8.3, "timezone": "Europe/Zurich", "elevation_m": 450}
LIFT = {
    "height_m": 1.5, "shut_off_head_m": 2.0, "free_flow_l_per_h": 1000.0,
    "hose_bore_mm": 13.0, "hose_length_m": 2.0,
}  # fmt: skip
TANK = {"full_l": 60.0, "inlet_at_l": 8.0, "top_up_at_l": 20.0, "losses_l_per_day": 0.5}


def _text(
    *, cycle: str = "15m on, 15m off", heads: Any = None, tank: Any = None, more_heads: int = 0
) -> str:
    """Heads outdoors on a pump with a lift, seedlings under lamps beside them, one reservoir; and
    so many stands more like the first."""
    pump = load(f"sunrise | {cycle}", "sunset | 15m on, 45m off", lift=LIFT, reservoir="tank")
    tables = {
        "pump": pump,
        "small": load(reservoir="tank") | {"spans": [on_demand()]},
        "lamps": load("06:00 | on", "22:00 | off", kind="lamp", watts=150.0),
    }
    outdoors = stand(air=None, drip_ml_per_min=None) | (heads or {})
    indoors = stand(
        "small", air=None, age_days=16, place="under-lamps", lamp="lamps", ppfd_umol=220.0
    )  # fmt: skip
    return dumps(
        {
            "format": 1,
            "site": SITE,
            "loads": {
                name: {"line": line, **table}
                for line, (name, table) in enumerate(tables.items(), 4)
            },
            "stands": {"heads": outdoors, "seedlings": indoors}
            | {f"more_{number}": outdoors | {"plants": 7} for number in range(more_heads)},
            "reservoirs": {"tank": TANK | (tank or {})},
        }
    )


def _previewed(text: str, running: str | None, *parts: str) -> dict[str, Any]:
    job = {"job": "preview", "text": text, "running": running, "now": NOW, "parts": list(parts)}
    done = answer({**job, "share": [0, 1]})["result"]
    told: dict[str, Any] = json.loads(whole([share_of(done)]))
    assert told["is_fit"], told["findings"]
    return told


def _dry_run(text: str, date: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> Any:
    plan = folder / "plan.toml"
    plan.write_text(text, encoding="utf-8")
    assert main(["dry-run", str(plan), "--from", date, "--days", "1", "--json"]) in {0, 1}
    return json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("cycle", ["15m on, 15m off", "3m on, 57m off"])
def test_a_previewed_day_has_the_water_of_a_dry_run(
    cycle: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Stands, lifts and reservoirs, figure by figure, and the findings that follow from them."""
    text = _text(cycle=cycle, more_heads=1)
    for day in _previewed(text, None, "next", "hottest")["days"]:
        told = _dry_run(text, day["date"], tmp_path, capsys)
        water = day["water"]
        for lift in water["lifts"].values():
            assert lift.pop("words").startswith("This pump lifts 1.50 m")
        for reservoir in water["reservoirs"].values():
            del reservoir["top_up_after_days"], reservoir["dry_after_days"]
        for part in ("stands", "lifts", "reservoirs", "assumptions"):
            assert water[part] == told[part]
        assert water["et0_mm"] == told["days"][0]["et0_mm"]
        assert day["findings"] == told["findings"]
        assert {load["name"]: load["cost"] for load in day["loads"]} == {
            name: load["cost"] for name, load in told["loads"].items()
        }


def test_stands_that_are_alike_are_followed_once() -> None:
    """Another name and another number of plants make no other roots."""
    heads, few, many = {"reserve": 0.31, "drip_ml_per_min": 40.0}, Work(), Work()
    for work, more_heads in ((few, 1), (many, 9)):
        text = _text(heads=heads | {"age_days": 20 + more_heads}, more_heads=more_heads)
        with counted_work() as work_done:
            _previewed(text, None, "next")
        work.calls = work_done.calls
    assert many.calls < 2 * few.calls


def test_odd_days_have_the_figures_of_closely_looked_at_days() -> None:
    """The quick way through a day and the drawn one differ by rounding alone."""
    text = _text()
    for odd in _previewed(text, None, "odd")["days"]:
        job = {"job": "dry-run", "text": text, "start": odd["date"], "days": 1, "want": []}
        rest = {"weather": None, "faults": None, "compare": None, "plan_name": "a"}
        told = answer({**job, **rest})["result"]
        assert "courses" not in odd["water"]
        for name, stand_told in told["stands"].items():
            for key in ("transpired_ml", "driest_share", "below_reserve_s", "ran_off_ml"):
                assert odd["water"]["stands"][name][key] == pytest.approx(stand_told[key])


def test_courses_have_the_driest_moment_in_them() -> None:
    """The least that the account tells, but for what the seconds between two points bring."""
    (day,) = _previewed(_text(cycle="5m on, 55m off"), None, "next")["days"]
    assert set(day["water"]["courses"]) == {"heads", "seedlings"}
    for name, course in day["water"]["courses"].items():
        seconds = [point[0] for point in course]
        assert seconds == sorted(seconds)
        assert (seconds[0], seconds[-1]) == (0, 86_400)
        assert all(low <= likely <= high <= 1_000 for _, low, likely, high in course)
        driest = day["water"]["stands"][name]["driest_share"]
        least = [min(column) for column in list(zip(*course, strict=True))[1:]]
        assert [share / 1_000 for share in least] == pytest.approx(list(driest.values()), abs=0.01)


@pytest.mark.parametrize(
    "edit",
    [
        {"cycle": "5m on, 25m off"},
        {"heads": {"age_days": 20}},
        {"heads": {"medium_ml": 200.0}},
        {"heads": {"reserve": 0.5}},
        {"tank": {"full_l": 30.0}},
        {"tank": {"losses_l_per_day": 5.0}},
    ],
)
def test_an_edit_is_compared_with_the_plan_in_force(edit: dict[str, Any]) -> None:
    """What was remembered of the plan in force is not told of the draft."""
    told = _previewed(_text(**edit), _text(), "hottest")
    (before,), (after,) = told["running"]["days"], told["days"]
    assert "courses" not in before["water"]
    assert after["water"]["stands"] != before["water"]["stands"] or (
        after["water"]["reservoirs"] != before["water"]["reservoirs"]
    )
    alone = _previewed(_text(**edit), None, "hottest")["days"][0]
    assert after["water"] == alone["water"]


def test_a_full_reservoir_lasts_as_long_as_it_takes_to_drink_it() -> None:
    """By hand: what is above the mark over what goes in a day, for each end of the range."""
    (day,) = _previewed(_text(), None, "next")["days"]
    tank = day["water"]["reservoirs"]["tank"]
    drunk_l = {
        end: sum(40 * one["transpired_ml"][end] for one in day["water"]["stands"].values()) / 1_000
        for end in ("low", "likely", "high")
    }
    for end, other in (("low", "high"), ("likely", "likely"), ("high", "low")):
        gone_l = drunk_l[other] + TANK["losses_l_per_day"]
        assert tank["top_up_after_days"][end] == pytest.approx(40 / gone_l)
        assert tank["dry_after_days"][end] == pytest.approx(52 / gone_l)


def test_a_plan_without_water_tells_of_none() -> None:
    """No stand, no lift, no reservoir: null, and no work."""
    text = dumps(
        {"format": 1, "site": SITE, "loads": {"pump": {"line": 4, **load("15m on, 15m off")}}}
    )
    (day,) = _previewed(text, None, "next")["days"]
    assert day["water"] is None


def test_what_is_told_has_its_described_shape() -> None:
    """The description of the API names what is there."""
    Preview.model_validate(_previewed(_text(), _text(cycle="on"), "next", "odd"))
    job = {"job": "dry-run", "text": _text(), "start": "2026-07-01", "days": 2, "want": []}
    rest = {"weather": None, "faults": None, "compare": None, "plan_name": "a"}
    told = answer({**job, **rest})["result"]
    shape = DryRunTold.model_validate(told)
    assert shape.lifts is not None
    assert shape.lifts["pump"].words == "This pump lifts 1.50 m."
