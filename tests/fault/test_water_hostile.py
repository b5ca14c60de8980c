"""Plans of water that nobody means well by: figures that are figures, or an error in words.

A garden that breaks something is grown again with

    ROOTCLOCK_SEED=number pytest tests/fault/test_water_hostile.py

and more of them with ROOTCLOCK_HOSTILE_GARDENS=1000.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise
from math import isfinite
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.cli.main import main
from controller.core.plan import Plan
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.reading import ReadPlan
from controller.core.schedule import make_schedule
from controller.core.units import HOUR_MS
from controller.dry_run.water.water_json import water_json
from controller.paper.carrying_out import carry_out
from tests.hostile_gardens import HostileGarden, hostile_garden
from tests.strategies import Document, examples, moments, plans
from tests.toml_writer import TomlWriter
from tests.typical_years import GREENSBORO, SAND_POINT
from tests.water_accounts import HEADS, LIFT

_GARDENS = int(os.environ.get("ROOTCLOCK_HOSTILE_GARDENS", "6"))
_SEED = os.environ.get("ROOTCLOCK_SEED")
_SEEDS = range(_GARDENS) if _SEED is None else [int(_SEED)]
_RANGE = {"low", "likely", "high"}
_ROUNDING = 1e-9
_NOT_WORDS = (" nan", " inf", "None", "e-1", "e+", " -0 ", " -0.0")


class Output(NamedTuple):
    """What a command line came to."""

    code: int
    out: str
    err: str


class Desk:
    """A folder with a garden's files, and the command line over them."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self._capsys = capsys

    def run(self, *words: str) -> Output:
        """Runs a command; it ends in words, whatever it thinks of the plan."""
        code = main(list(words))
        captured = self._capsys.readouterr()
        assert code in {0, 1}
        assert "Traceback" not in captured.err
        return Output(code, captured.out, captured.err)

    def write(self, document: Document, name: str = "plan.toml", *, seed: int = 0) -> str:
        """Writes a document; where it stands."""
        path = self.folder / name
        path.write_text(TomlWriter(document, seed).text, encoding="utf-8")
        return str(path)

    def files_of(self, garden: HostileGarden) -> list[str]:
        """Writes a garden's plan, weather and faults; the words of its dry run."""
        words = [self.write(garden.plan, seed=garden.seed)]
        words += ["--from", garden.start.isoformat(), "--days", str(garden.days)]
        if garden.weather is not None:
            path = self.folder / "weather.csv"
            path.write_text(garden.weather, encoding="utf-8")
            words += ["--weather", str(path)]
        if garden.faults:
            faults = {"faults": garden.faults}
            words += ["--faults", self.write(faults, "faults.toml", seed=garden.seed)]
        return words


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    """A desk of its own for each test."""
    return Desk(tmp_path, capsys)


def judge_figures(told: Any, place: str = "") -> None:
    """Every number is one, every range in order, every share a share."""
    if isinstance(told, dict):
        if set(told) == _RANGE:
            assert told["low"] <= told["likely"] <= told["high"], (place, told)
        for key, value in told.items():
            judge_figures(value, f"{place}.{key}")
    elif isinstance(told, list):
        for number, value in enumerate(told):
            judge_figures(value, f"{place}.{number}")
    elif isinstance(told, float):
        assert isfinite(told), place
        if "share." in place:
            assert -_ROUNDING <= told <= 1.0 + _ROUNDING, (place, told)


def judge_account(told: dict[str, Any], plan: Document) -> None:
    """What a run's figures must be to each other."""
    judge_figures(told)
    days = told.get("days", [])
    dates = [date.fromisoformat(day["date"]) for day in days]
    assert all(after - before == timedelta(days=1) for before, after in pairwise(dates))
    for name, stand in told.get("stands", {}).items():
        for key in ("transpired_ml", "thirst_ml", "ran_off_ml", "held_ml", "below_reserve_s"):
            assert stand[key]["low"] >= 0.0, (name, key)
        drunk = sum(day["stands"][name]["transpired_ml"]["likely"] for day in days)
        assert drunk == pytest.approx(stand["transpired_ml"]["likely"], rel=1e-9, abs=1e-9)
    for name, tank in told.get("reservoirs", {}).items():
        assert tank["end_l"]["low"] >= 0.0, name
        assert tank["end_l"]["high"] <= tank["full_l"] * (1.0 + _ROUNDING), name
    prices = [entry["price_per_kwh"] for entry in plan.get("energy", {}).get("tariff", [])]
    for load in told["loads"].values():
        if prices and load["cost"] is not None:
            low, high = (price * load["energy_kwh"] for price in (min(prices), max(prices)))
            assert low * (1 - _ROUNDING) <= load["cost"] <= high * (1 + _ROUNDING)


def judge_text(text: str) -> None:
    """It fits a terminal, and has no number in it that is none to a grower."""
    assert [line for line in text.splitlines() if len(line) > 80] == []
    assert [line for line in text.splitlines() if any(one in line for one in _NOT_WORDS)] == []


@pytest.mark.parametrize("seed", _SEEDS)
def test_no_garden_is_too_wild_for_a_dry_run(desk: Desk, seed: int) -> None:
    """Any numbers that a plan may state, in any air and trouble: figures, text and picture; and
    a plan beside itself is told to be the same."""
    garden = hostile_garden(seed, days_max=2)
    words = desk.files_of(garden)
    checked = desk.run("check", words[0], "--json")
    assert checked.code == 0, checked.out
    picture = desk.folder / "run.svg"
    done = desk.run("dry-run", *words, "--json", "--picture", str(picture))
    if not done.out:  # weather that is no weather
        assert done.err.startswith("rootclock: ")
        return
    assert done.err == ""
    judge_account(json.loads(done.out), garden.plan)
    ElementTree.parse(picture)  # noqa: S314 - our own
    text = desk.run("dry-run", *words, "--compare", words[0])
    assert text.code == done.code
    judge_text(text.out)
    assert "instead of" not in text.out


def _pump(**keys: Any) -> Document:
    spans = [{"from": "00:00", "cycle": "15m on, 15m off"}]
    return {"kind": "pump", "line": 1, "active": "low", "watts": 22, "spans": spans, **keys}


def _site(latitude: float, longitude: float, timezone: str, **keys: Any) -> Document:
    return {"latitude": latitude, "longitude": longitude, "timezone": timezone, **keys}


def _stand(**keys: Any) -> Document:
    return {key: value for key, value in {**HEADS, **keys}.items() if value is not None}


def _plan(site: Document | None = None, **tables: Any) -> Document:
    site = _site(47.1, 8.3, "Europe/Zurich") if site is None else site
    return {"format": 1, "site": site, "loads": {"pump": _pump()}, "stands": {"s": _stand()}} | (
        tables
    )


_DEMAND = {"cycle": "demand", "longest_rest": "45m", "fixed": "15m on, 15m off"}
_LAMP = {"kind": "lamp", "line": 2, "active": "low", "spans": [{"from": "00:00", "cycle": "off"}]}
_FROST = {"coolest_c": -10.0, "warmest_c": -0.4}
_EMPTY_SOON = {"full_l": 0.1, "inlet_at_l": 0, "top_up_at_l": 0, "losses_l_per_day": 1000}
_ODD: dict[str, tuple[Document, str, list[str]]] = {
    "a pump of 0 W": (_plan(loads={"pump": _pump(watts=0, lift=LIFT)}), "2026-07-01", []),
    "a lamp that is never lit": (
        _plan(
            loads={"pump": _pump(), "lamp": _LAMP},
            stands={"s": _stand(place="under-lamps", lamp="lamp", ppfd_umol=2500)},
        ),
        "2026-07-01",
        [],
    ),
    "almost no frost": (_plan(_site(-72, 0, "Etc/UTC", typical_day=_FROST)), "2026-12-05", []),
    "the sun does not rise": (
        _plan(_site(90, -180, "Etc/UTC", elevation_m=6000)),
        "2026-12-20",
        [],
    ),
    "nor set": (_plan(_site(90, 180, "Etc/UTC", elevation_m=-500)), "2026-06-20", []),
    "a date that an island left out": (
        _plan(
            _site(-13.8, -171.7, "Pacific/Apia"),
            stands={"s": _stand(age_days=None, sown=date(2011, 12, 30))},
        ),
        "2011-12-29",
        [],
    ),
    "29 February of a typical year": (_plan(), "2028-02-28", ["--weather", str(GREENSBORO.path)]),
    "a place in the far north": (_plan(), "2026-12-31", ["--weather", str(SAND_POINT.path)]),
    "the last date there is": (_plan(), "2198-12-31", []),
    "the first date there is": (_plan(), "1971-01-01", []),
    "sown in the night the clocks go back": (
        _plan(stands={"s": _stand(age_days=None, sown=date(2026, 10, 25))}),
        "2026-10-25",
        [],
    ),
    "never sown": (
        _plan(
            loads={"pump": _pump(spans=[{"from": "sunrise", **_DEMAND}])},
            stands={"s": _stand(age_days=None, sown=date(2198, 1, 1))},
        ),
        "2026-07-01",
        [],
    ),
    "a cup of water": (
        _plan(reservoirs={"t": _EMPTY_SOON}, loads={"pump": _pump(reservoir="t")}),
        "2026-07-01",
        [],
    ),
    "a valve on demand": (
        _plan(
            loads={"pump": _pump(kind="valve", spans=[{"from": "00:00", **_DEMAND}])},
            stands={f"s{age}": _stand(age_days=age, plants=10_000) for age in range(0, 120, 10)},
        ),
        "2026-07-01",
        [],
    ),
}


@pytest.mark.parametrize("name", _ODD)
def test_odd_gardens_and_days_are_told_as_any_other(desk: Desk, name: str) -> None:
    """A day of it as figures and as text."""
    plan, start, weather = _ODD[name]
    words = [desk.write(plan), "--from", start, "--days", "1", *weather]
    done = desk.run("dry-run", *words, "--json")
    assert done.err == ""
    judge_account(json.loads(done.out), plan)
    judge_text(desk.run("dry-run", *words).out)
    desk.run("check", words[0])


def test_advice_is_given_or_refused_in_words(desk: Desk) -> None:
    """Whatever the numbers: a table, or a sentence on what stands in the way."""
    advised = 0
    for seed in (20, 26, *range(100, 94 + _GARDENS)):
        words = [*_without_faults(desk.files_of(hostile_garden(seed, days_max=1)))]
        done = desk.run("advise", *words, "--samples", "3", "--json")
        if done.out:
            judge_figures(json.loads(done.out))
            advised += 1
        else:
            assert done.err.startswith("rootclock: ")
    assert advised


def _without_faults(words: list[str]) -> Iterator[str]:
    """The words that `advise` takes too."""
    it = iter(words)
    for word in it:
        if word == "--faults":
            next(it)
        else:
            yield word


@given(st.data())
@examples(15)
def test_any_plan_that_is_allowed_is_accounted_for(data: st.DataObject) -> None:
    """Whatever a plan states, three hours of it have finite figures in order."""
    document = data.draw(plans(loads_max=2))
    start = data.draw(moments(document["site"]["timezone"], years=(1972, 2190)))
    plan = Plan.model_validate(document)
    done = carry_out(
        ReadPlan(plan, (), Lines("")),
        make_schedule(plan),
        start=start,
        end=start + 3 * HOUR_MS,
    )
    told = done.account.as_json() | ({} if done.water is None else water_json(done.water))
    judge_account(told, document)
