"""Prices by the time of day in the plan's form: rows of a time and a price."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import grown
from tests.browser.editor_form import SHED, draft_text, edited
from tests.browser.plan_view import draft
from tests.browser.water_form import open_rest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Locator, Page

    from tests.browser.conftest import Garden

DAY_AND_NIGHT = """
[energy]
currency = "CHF"

[[energy.tariff]]   # by day
from = "07:00"
price_per_kwh = 0.31   # dear

[[energy.tariff]]   # by night
from = "22:00"
price_per_kwh = 0.19
"""
PRICED = SHED + DAY_AND_NIGHT


@pytest.fixture(scope="module")
def priced(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """A plan with prices by the clock; nothing is saved."""
    with grown(tmp_path_factory.mktemp("priced"), PRICED) as garden:
        yield garden


def _prices(window: Page, garden: Garden) -> Locator:
    """The part about energy, opened."""
    rest = open_rest(window, garden)
    rest.locator("summary:visible", has_text="What energy costs").click()
    return rest.locator("details.drawer:visible", has=window.get_by_text("What energy costs")).last


def _row(prices: Locator, number: int) -> tuple[Locator, Locator]:
    return (
        prices.get_by_label(f"Price {number}: from this time", exact=True),
        prices.get_by_label(f"Price {number}: of a kWh", exact=True),
    )


def test_prices_by_the_clock_are_shown_and_changed(priced: Garden, phone: Page) -> None:
    """In the plan's currency; comments stay."""
    prices = _prices(phone, priced)
    for number, texts in enumerate((("07:00", "0.31"), ("22:00", "0.19")), 1):
        for field, text in zip(_row(prices, number), texts, strict=True):
            expect(field).to_have_value(text)
    expect(prices.locator(".point .unit", has_text="CHF")).to_have_count(2)
    night, price = _row(prices, 2)
    price.fill("0,2")
    price.press("Tab")
    night.fill("21:30")
    night.press("Tab")
    expect(price).to_have_value("0.2")
    assert draft_text(phone) == edited(PRICED, ("0.19", "0.2"), ('"22:00"', '"21:30"'))


def test_a_price_by_the_clock_is_added_and_taken_out(priced: Garden, laptop: Page) -> None:
    """The others stay as they are written; undo takes each step back."""
    prices = _prices(laptop, priced)
    prices.get_by_role("button", name="Add a price").click()
    time, price = _row(prices, 3)
    time.fill("12:00")
    price.fill("0.25")
    price.press("Tab")
    expect(price).to_have_value("0.25")
    noon = '\n[[energy.tariff]]\nfrom = "12:00"\nprice_per_kwh = 0.25\n'
    assert draft_text(laptop) == PRICED + noon
    prices.get_by_role("button", name="Remove price 1").click()
    expect(prices.locator(".point")).to_have_count(2)
    tariff = draft(laptop)["document"]["energy"]["tariff"]
    assert [one["from"] for one in tariff] == ["22:00", "12:00"]
    undo = laptop.locator("#page-bar").get_by_role("button", name="Undo")
    undo.click()
    expect(prices.locator(".point")).to_have_count(3)
    undo.click()
    expect(prices.locator(".point")).to_have_count(2)
    assert draft_text(laptop) == PRICED


def test_what_is_no_time_is_told_beside_the_prices(priced: Garden, laptop: Page) -> None:
    """The row that it is about is marked, and the plan keeps what it had."""
    prices = _prices(laptop, priced)
    time, _ = _row(prices, 2)
    time.fill("ten")
    time.press("Tab")
    expect(prices.locator(".finding.is-error")).to_contain_text("is not a time of the clock")
    expect(time).to_have_attribute("aria-invalid", "true")
    expect(_row(prices, 1)[0]).to_have_attribute("aria-invalid", "false")
    assert draft_text(laptop) == PRICED
    time.press("Escape")
    expect(time).to_have_value("22:00")
    expect(prices.locator(".finding")).to_have_count(0)


def test_one_price_takes_the_place_of_many_and_back(priced: Garden, laptop: Page) -> None:
    """What would do nothing beside the other goes when that comes."""
    prices = _prices(laptop, priced)
    one = prices.get_by_label("Price of a kWh", exact=True)
    one.fill("0.28")
    one.press("Enter")
    expect(prices.locator(".point")).to_have_count(0)
    assert draft(laptop)["document"]["energy"] == {"currency": "CHF", "price_per_kwh": 0.28}
    prices.get_by_role("button", name="Add a price").click()
    time, price = _row(prices, 1)
    time.fill("07:00")
    price.fill("0.3")
    price.press("Tab")
    expect(one).to_have_value("")
    assert draft(laptop)["document"]["energy"] == {
        "currency": "CHF", "tariff": [{"from": "07:00", "price_per_kwh": 0.3}],
    }  # fmt: skip
