"""What energy costs in the view Dry run: by the clock, and with another plan beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from controller.shell.examples import example_text
from tests.browser.dry_run_view import choose_file, open_dry_run, run, said

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

    from tests.browser.conftest import Garden

# Invented prices.
NONE = ""
ONE = '\n[energy]\nprice_per_kwh = 3.0\ncurrency = "EUR"\n'
BY_CLOCK = """
[energy]
currency = "EUR"
tariff = [{ from = "22:00", price_per_kwh = 1.0 }, { from = "06:00", price_per_kwh = 9.0 }]
"""
ONE_LESS = ONE.replace("3.0", "2.0")
ELSEWHERE = ONE.replace("EUR", "CHF")
AT_ONE_PRICE = "Cost at €3.00 a kWh."
EACH_ITS_OWN = "Cost at the prices of each plan."
BY_THE_CLOCK = "Cost at the price of each time of day."


def _plan(folder: Path, name: str, energy: str) -> Path:
    path = folder / f"{name}.toml"
    path.write_text(example_text("hot-afternoon") + energy, encoding="utf-8")
    return path


def _euros(account: dict[str, Any]) -> str:
    cost = account["loads"]["pump"]["cost"]
    return "not told" if cost is None else f"€{cost:.2f}"


def _costs(window: Page) -> list[str]:
    row = window.locator('.account-load tr[data-figure="cost"]:visible')
    return [
        cell.inner_text().replace("\xa0", " ")
        for which in (".account-before", ".account-after")
        for cell in row.locator(f"{which}:visible").all()
    ]


def test_a_tariff_is_added_up_by_the_clock(hot: Garden, laptop: Page, tmp_path: Path) -> None:
    """The cost is the command line's, and words say at which prices."""
    plan = _plan(tmp_path, "clock", BY_CLOCK)
    account = said(tmp_path, plan, "2026-07-12", 3).account
    open_dry_run(laptop, hot, "?plan=file&from=2026-07-12&days=3")
    choose_file(laptop, "Choose a plan file", plan)
    run(laptop)
    assert _costs(laptop) == [_euros(account)]
    expect(laptop.locator("#outcome")).to_contain_text(BY_THE_CLOCK)


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        pytest.param(NONE, BY_CLOCK, EACH_ITS_OWN, id="the plan beside it has the only prices"),
        pytest.param(ONE, BY_CLOCK, EACH_ITS_OWN, id="one price, and prices by the clock"),
        pytest.param(BY_CLOCK, ONE, EACH_ITS_OWN, id="the other way round"),
        pytest.param(BY_CLOCK, NONE, EACH_ITS_OWN, id="the plan beside it has none"),
        pytest.param(ONE, ONE_LESS, EACH_ITS_OWN, id="another price"),
        pytest.param(ONE, ONE, AT_ONE_PRICE, id="the same price"),
    ],
)
def test_two_plans_cost_what_each_says(
    first: str, second: str, words: str, *, hot: Garden, laptop: Page, tmp_path: Path
) -> None:
    """As the command line's comparison has it."""
    plan, other = _plan(tmp_path, "first", first), _plan(tmp_path, "second", second)
    account = said(tmp_path, plan, "2026-07-12", 3, "--compare", str(other)).account
    open_dry_run(laptop, hot, "?plan=file&compare=file&from=2026-07-12&days=3")
    choose_file(laptop, "Choose a plan file", plan)
    choose_file(laptop, "Choose a plan file", other, number=1)
    run(laptop)
    costs = [_euros(account), _euros(account["compared"])]
    assert _costs(laptop) == (costs if costs[0] != costs[1] else costs[:1])
    expect(laptop.locator("#outcome")).to_contain_text(words)


def test_two_currencies_are_not_subtracted(hot: Garden, laptop: Page, tmp_path: Path) -> None:
    """Words say why there is no cost."""
    plan, other = _plan(tmp_path, "first", ONE), _plan(tmp_path, "second", ELSEWHERE)
    open_dry_run(laptop, hot, "?plan=file&compare=file&from=2026-07-12&days=3")
    choose_file(laptop, "Choose a plan file", plan)
    choose_file(laptop, "Choose a plan file", other, number=1)
    run(laptop)
    expect(laptop.locator("#outcome")).to_contain_text("prices are in different currencies.")
    assert _costs(laptop) == []
