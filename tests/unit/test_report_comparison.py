"""Two runs beside each other: figures, differences, words."""

from __future__ import annotations

import json
from typing import Any

import pytest

from controller.dry_run.account import Account
from controller.report.comparison import comparison_json, comparison_text
from controller.report.text_cells import width_of
from tests.planned_runs import account_of_days, load, schedule_of

NAMES = ("porch.toml", "thrifty.toml")


def run(**loads: dict[str, Any]) -> Account:
    """The account of two days of these loads."""
    return account_of_days(schedule_of(loads), "2026-06-01", 2)


def words(first: Account, second: Account, name: str = "pump") -> object:
    """What is said of one load."""
    of_load = comparison_json(first, second)[name]
    assert isinstance(of_load, dict)
    return of_load["words"]


def test_differences_are_told_in_words() -> None:
    """Only those that a reader of the figures would see."""
    first = run(pump=load("15m on, 15m off", watts=20.0))
    second = run(pump=load("15m on, 25m off", watts=20.0))
    assert words(first, second) == (
        "12 fewer waterings a day, 3 h a day less on, longest dry gap 10 min longer, "
        "relay's contact lasts 7.7 years instead of 5.7 years, 1.83 kWh less a month"
    )
    assert words(second, first) == (
        "12 more waterings a day, 3 h a day more on, longest dry gap 10 min shorter, "
        "relay's contact lasts 5.7 years instead of 7.7 years, 1.83 kWh more a month"
    )


def test_runs_of_other_lengths_are_compared_by_their_rates() -> None:
    """The same plan for two days and for four is the same, but for the edges of the run."""
    loads = {"fan": load("10m off, 20m on", kind="fan", watts=5.0)}
    longer = account_of_days(schedule_of(loads), "2026-06-01", 4)
    assert words(run(**loads), longer, "fan") == "the same in both"


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [
        ({"a": load("on")}, {}, "only the first plan has it"),
        ({}, {"a": load("on")}, "only the second plan has it"),
        (
            {"a": load("on", watts=5.0)},
            {"a": load("on")},
            "energy not told instead of 3.65 kWh a month",
        ),
        ({"a": load("on")}, {"a": load("on")}, "the same in both"),
        (
            {"a": load("on")},
            {"a": load("off")},
            "24 h a day less on, longest dry gap 2 days longer, longest on 2 days shorter",
        ),
    ],
)
def test_loads_that_one_plan_tells_less_of_are_told(
    first: dict[str, Any], second: dict[str, Any], said: str
) -> None:
    """Nothing to compare is said, not hidden."""
    other = {"other": load("off", kind="lamp")}
    assert words(run(**other, **first), run(**other, **second), "a") == said


def _priced(currency: str) -> Account:
    energy = {"price_per_kwh": 2.0, "currency": currency}
    schedule = schedule_of({"pump": load("on", watts=100.0)}, energy=energy)
    return account_of_days(schedule, "2026-06-01", 2)


def test_costs_are_told_with_their_currency() -> None:
    """Each plan's own; amounts of two currencies are not subtracted from each other."""
    francs, euros = _priced("CHF"), _priced("EUR")
    compared = comparison_json(francs, euros)["pump"]
    assert isinstance(compared, dict)
    assert compared["words"] == "cost 146.10 EUR instead of 146.10 CHF a month"
    assert compared["difference"]["cost_a_month"] is None
    same = comparison_json(francs, francs)["pump"]
    assert isinstance(same, dict)
    assert (same["words"], same["difference"]["cost_a_month"]) == ("the same in both", 0.0)


def test_the_json_has_both_figures_and_their_difference() -> None:
    """Second less first, in seconds and shares, None where a plan does not tell."""
    first = run(pump=load("15m on, 15m off", watts=20.0), lamp=load("on", kind="lamp"))
    second = run(pump=load("15m on, 25m off"))
    compared = comparison_json(first, second)
    assert list(compared) == ["pump", "lamp"]
    assert json.loads(json.dumps(compared, allow_nan=False)) == compared
    pump, lamp = compared["pump"], compared["lamp"]
    assert isinstance(pump, dict)
    assert isinstance(lamp, dict)
    assert lamp["second"] is None
    assert lamp["difference"] is None
    assert pump["difference"] == {
        "starts_a_day": pump["second"]["starts_a_day"] - pump["first"]["starts_a_day"],
        "on_share": pytest.approx(-0.125),
        "longest_dry_gap_s": 600.0,
        "longest_on_s": 0.0,
        "operations_a_year": pytest.approx(36 * 365.2425 - 48 * 365.2425, abs=100),
        "contact_share_a_year": pytest.approx(-12 * 365.2425 / 1e5, abs=1e-3),
        "energy_kwh_a_month": None,
        "cost_a_month": None,
    }


def test_the_text_tells_differing_loads_and_names_the_others() -> None:
    """A table of both figures where there is room."""
    lamp = load("on", kind="lamp")
    first = run(pump=load("15m on, 15m off", watts=20.0), lamp=lamp)
    second = run(pump=load("15m on, 25m off", watts=20.0), lamp=lamp, fan=load("on", kind="fan"))
    assert comparison_text(NAMES, first, second, width=80, is_colour=False) == (
        "1: porch.toml and 2: thrifty.toml beside each other\n"
        "\n"
        "pump\n"
        "  With 2: 12 fewer waterings a day, 3 h a day less on, longest dry gap 10 min\n"
        "  longer, relay's contact lasts 7.7 years instead of 5.7 years, 1.83 kWh less a\n"
        "  month.\n"
        "                                   1              2\n"
        "  waterings a day               47.5           35.5\n"
        "  on                            50 %         37.5 %\n"
        "  longest dry gap             15 min         25 min\n"
        "  longest on                  15 min         15 min\n"
        "  relay's contact          5.7 years      7.7 years\n"
        "  energy a month             7.3 kWh       5.48 kWh\n"
        "\n"
        "fan\n"
        "  With 2: only the second plan has it.\n"
        "\n"
        "The same in both: lamp.\n"
    )


@pytest.mark.parametrize("width", [40, 63, 64, 80])
def test_the_text_is_never_wider_than_told(width: int) -> None:
    """Also with long names of plans and loads."""
    name = "the_easternmost_row_of_the_greenhouse_01"
    first, second = run(**{name: load("1m on, 9m off")}), run(**{name: load("2m on, 9m off")})
    names = ("a/very/long/way/to/the/first/of/two/plans.toml", "another.toml")
    text = comparison_text(names, first, second, width=width, is_colour=True)
    plain = text.replace("\x1b[1m", "").replace("\x1b[0m", "")
    assert max(map(width_of, plain.splitlines())) <= width
