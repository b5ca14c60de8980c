"""The form's fields say in what they are typed, and ask nothing that the plan would refuse."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import grown
from tests.browser.editor_form import card, chips, open_drawer, open_form
from tests.browser.plan_view import edit
from tests.browser.water_form import BARREL, item, open_rest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Locator, Page

    from tests.browser.conftest import Garden

PRICED = (
    BARREL
    + """
[sensors.air]
measures = "air_temperature"

[sensors.damp]
measures = "humidity"

[energy]
price_per_kwh = 0.31
currency = "CHF"
"""
)


@pytest.fixture(scope="module")
def priced(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """Plants, two sensors, a price; nothing is saved."""
    with grown(tmp_path_factory.mktemp("priced"), PRICED) as garden:
        yield garden


def _unit(form: Locator, label: str) -> Locator:
    field = form.locator(".field", has=form.page.get_by_label(label, exact=True))
    return field.locator(".unit")


def test_what_a_place_forbids_is_not_asked(barrel: Garden, laptop: Page) -> None:
    """Outdoors nobody lights plants or blows at them; bare roots stand in no pot."""
    heads = item(open_rest(laptop, barrel), "heads")
    for title in ("The plants", "Light and air"):
        heads.get_by_text(title, exact=True).click()
    for label in ("Lit by", "Air past the leaves", "Volume of one pot or plug"):
        expect(heads.get_by_label(label, exact=True)).to_be_hidden()
    expect(heads.get_by_label("Share of the sun that reaches them")).to_be_visible()
    heads.get_by_label("Where", exact=True).select_option("under-glass")
    expect(heads.get_by_label("Air past the leaves")).to_be_visible()
    expect(heads.get_by_label("Lit by")).to_be_hidden()
    heads.get_by_label("Where", exact=True).select_option("under-lamps")
    expect(heads.get_by_label("Lit by")).to_be_visible()
    expect(heads.get_by_label("Share of the sun that reaches them")).to_be_hidden()


def test_the_edge_of_a_variant_has_the_sensor_s_unit(priced: Garden, laptop: Page) -> None:
    """Degrees of the air, percent of its humidity; the same once the variant is there."""
    open_form(laptop, priced)
    tower = card(laptop, "tower")
    drawer = open_drawer(tower, "Other times in heat or cold")
    for label in ("Begins at", "Back to normal at"):
        expect(_unit(drawer, label)).to_have_text("°C")
    drawer.get_by_label("When", exact=True).select_option("above damp")
    for label in ("Begins at", "Back to normal at"):
        expect(_unit(drawer, label)).to_have_text("%")
    drawer.get_by_label("Begins at").fill("90")
    drawer.get_by_label("Back to normal at").fill("80")
    drawer.get_by_role("button", name="Add it").click()
    condition = open_drawer(tower.locator(".variant"), "Change the condition")
    for label in ("Begins above", "Back to normal at"):
        expect(_unit(condition, label)).to_have_text("%")


def test_money_has_the_plan_s_currency(priced: Garden, laptop: Page) -> None:
    """It follows when the plan changes it."""
    rest = open_rest(laptop, priced)
    for title in ("What energy costs", "What a dry run must hold, all loads together"):
        rest.locator("summary:visible", has_text=title).click()
    shown = rest.locator(".field:visible")
    price = shown.filter(has_text="Price of a kWh").locator(".unit")
    expect(price).to_have_text("CHF")
    expect(shown.filter(has_text="Highest cost in a month").locator(".unit")).to_have_text("CHF")
    edit(laptop, {"do": "set", "at": "energy.currency", "value": "EUR"})
    expect(price).to_have_text("EUR")


def test_what_stands_for_nothing_is_told_alike(priced: Garden, laptop: Page) -> None:
    """`if empty`, and numbers as they are written elsewhere."""
    rest = open_rest(laptop, priced)
    settings = open_drawer(card(laptop, "tower"), "Settings")
    expect(settings.get_by_text("if empty: 100,000")).to_have_count(1)
    hints = [
        *rest.locator(".hint").all_text_contents(),
        *settings.locator(".hint").all_text_contents(),
    ]
    assert len(hints) > 40
    assert [hint for hint in hints if "not said" in hint] == []


@pytest.mark.parametrize("width", [320, 390])
def test_no_word_on_the_day_is_cut(priced: Garden, phone: Page, width: int) -> None:
    """A piece that is too narrow for its word has none: the buttons below tell all."""
    phone.set_viewport_size({"width": width, "height": 844})
    open_form(phone, priced)
    at = "loads.tower.spans"
    edit(
        phone,
        {"do": "set", "at": f"{at}.0.cycle", "value": "demand"},
        {"do": "set", "at": f"{at}.0.fixed", "value": "15m on, 15m off"},
        {"do": "set", "at": f"{at}.0.longest_rest", "value": "40m"},
    )
    expect(card(phone, "tower").locator(".piece-word", has_text="on demand").first).to_be_attached()
    cut = phone.locator(".piece-word").evaluate_all(
        """(all) => all.filter((e) => {
          const [word, piece] = [e, e.parentElement].map((one) => one.getBoundingClientRect());
          const isSeen = word.top < piece.bottom - 1;
          return isSeen && (word.left < piece.left - 0.5 || word.right > piece.right + 0.5);
        }).map((e) => e.textContent)"""
    )
    assert cut == []


def test_no_field_of_a_piece_sticks_out_of_its_frame(priced: Garden, phone: Page) -> None:
    """On the narrowest window that there is."""
    phone.set_viewport_size({"width": 320, "height": 844})
    open_form(phone, priced)
    chips(card(phone, "tower")).last.tap()
    expect(phone.locator(".piece")).to_be_visible()
    out = phone.locator(".piece").evaluate(
        """(piece) => [...piece.querySelectorAll("*")].filter((e) => e.checkVisibility()
            && e.getBoundingClientRect().right > piece.getBoundingClientRect().right)
          .map((e) => `${e.tagName}.${e.className}`)"""
    )
    assert out == []
