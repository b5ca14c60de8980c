"""Sensors in the plan's form, renamed and removed; and the whole form used at both widths."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser import looks
from tests.browser.conftest import Garden, grown
from tests.browser.editor_form import (
    SHED,
    borders,
    card,
    chips,
    draft_text,
    edited,
    open_drawer,
    open_form,
)
from tests.browser.plan_view import in_step, plan_in_force, save_button, wait_told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Locator, Page

# Of our own invention: a sensor on which a variant hangs, one on which a guard does, one on which
# nothing does. In braces: the folder of their files.
SENSED = (
    SHED
    + """
# under the bench, in the shade
[sensors.air]
measures = "air_temperature"
file = "{folder}/air"

[sensors.floor]
measures = "leak"  # two wires
file = "{folder}/floor"
every = "1s"

[sensors.damp]
measures = "humidity"

[guards]
leak = "floor"  # stops the pump

[[loads.tower.variants]]
name = "hot"
sensor = "air"  # not the sun's heat
above = 32
until = 29
spans = [{ from = "10:00", cycle = "20m on, 10m off" }]
"""
)


@pytest.fixture
def sensed(tmp_path: Path) -> Iterator[Garden]:
    """A garden with three sensors; its plan may be saved."""
    with grown(tmp_path, SENSED.replace("{folder}", str(tmp_path))) as garden:
        yield garden


def _opened(window: Page, garden: Garden) -> tuple[Locator, str]:
    """The part of the form that has the sensors; and the plan's text."""
    open_form(window, garden)
    return open_drawer(
        window.locator(".editor"), "Plants, reservoirs, sensors, place and guards"
    ), draft_text(window)


def _sensor(rest: Locator, name: str) -> Locator:
    title = rest.page.get_by_role("heading", name=name, exact=True)
    return rest.locator("section.item", has=title)


def _rename(rest: Locator, old: str, new: str) -> None:
    field = _sensor(rest, old).get_by_label("Name of this sensor")
    field.fill(new)
    field.press("Enter")


def test_a_renamed_sensor_keeps_its_place_in_variants_and_guards(
    sensed: Garden, laptop: Page
) -> None:
    """All that speaks of it follows, comments stay; the controller reads it by its new name."""
    rest, text = _opened(laptop, sensed)
    _rename(rest, "air", "bench")
    expect(_sensor(rest, "bench")).to_be_visible()
    expect(_sensor(rest, "air")).to_have_count(0)
    expect(card(laptop, "tower").locator(".variant > .hint")).to_contain_text(
        "While bench is above"
    )
    _rename(rest, "floor", "puddle")
    expect(_sensor(rest, "puddle")).to_be_visible()
    expected = edited(
        text,
        ("[sensors.air]", "[sensors.bench]"),
        ('sensor = "air"  #', 'sensor = "bench"  #'),
        ("[sensors.floor]", "[sensors.puddle]"),
        ('leak = "floor"  #', 'leak = "puddle"  #'),
    )
    assert draft_text(laptop) == expected
    rest.get_by_text("What protects people, plants and the supply").click()
    guard = rest.get_by_label("A leak sensor that stops pumps and valves")
    expect(guard).to_have_value("puddle")
    save_button(laptop).click()
    wait_told(laptop, "Revision 2 is in force.")
    sensed.read("floor", "1")
    laptop.goto(sensed.page.url)
    expect(laptop.locator("main")).to_contain_text("puddle")
    expect(laptop.locator("main")).to_contain_text("bench")


def test_who_renames_a_sensor_is_led_to_it(sensed: Garden, laptop: Page) -> None:
    """As with a load: the field in which its name was typed stands under the new one."""
    rest, _ = _opened(laptop, sensed)
    _rename(rest, "air", "bench")
    renamed = _sensor(rest, "bench")
    expect(renamed).to_be_visible()
    inside = "(item) => item.contains(document.activeElement)"
    assert renamed.evaluate(inside), laptop.evaluate("document.activeElement.tagName")


@pytest.mark.parametrize("name", ["floor", "two words", "", "9th"])
def test_a_name_that_cannot_be_is_refused_beside_its_field(
    sensed: Garden, phone: Page, name: str
) -> None:
    """It stays typed, the draft is as it was, and Escape brings the old name back."""
    rest, text = _opened(phone, sensed)
    _rename(rest, "damp", name)
    damp = _sensor(rest, "damp")
    expect(damp.locator(".finding.is-error").first).to_be_visible()
    field = damp.get_by_label("Name of this sensor")
    expect(field).to_have_value(name)
    expect(field).to_have_attribute("aria-invalid", "true")
    assert draft_text(phone) == text
    field.press("Escape")
    expect(field).to_have_value("damp")
    expect(damp.locator(".finding.is-error")).to_have_count(0)


def test_a_sensor_that_a_guard_needs_is_not_removed(sensed: Garden, laptop: Page) -> None:
    """It is told which one; with the guard gone it goes, and undo brings it back."""
    rest, text = _opened(laptop, sensed)
    removal = _sensor(rest, "floor").get_by_role("button", name="Remove the sensor floor")
    removal.click()
    expect(laptop.locator("#told-text")).to_contain_text(
        "floor stays, because the guard against leaks goes by it. Change that first."
    )
    expect(laptop.locator("#told")).to_have_class("told is-problem")
    expect(_sensor(rest, "floor")).to_be_visible()
    assert draft_text(laptop) == text
    rest.get_by_text("What protects people, plants and the supply").click()
    rest.get_by_label("A leak sensor that stops pumps and valves").select_option("")
    removal.click()
    expect(_sensor(rest, "floor")).to_have_count(0)
    assert "floor" not in draft_text(laptop)
    laptop.locator("#told").get_by_role("button", name="Undo").click()
    expect(_sensor(rest, "floor")).to_be_visible()
    assert draft_text(laptop) == edited(text, ('leak = "floor"  # stops the pump\n', ""))


def test_a_variant_whose_sensor_is_removed_is_warned_of(sensed: Garden, phone: Page) -> None:
    """It can never begin: that is told before the sensor goes, and then stands on the load's card
    until it is back."""
    rest, text = _opened(phone, sensed)
    warned = card(phone, "tower").locator(".variant .finding", has_text="waits for the sensor")
    expect(warned).to_have_count(0)
    _sensor(rest, "air").get_by_role("button", name="Remove the sensor air").tap()
    expect(phone.get_by_role("dialog").locator("li")).to_contain_text(
        ["tower in its variant “hot” waits for its reading"]
    )
    assert draft_text(phone) == text
    in_step(phone, "Remove it").tap()
    expect(_sensor(rest, "air")).to_have_count(0)
    expect(warned).to_have_count(1)
    assert "[sensors.air]" not in draft_text(phone)
    phone.locator("#told").get_by_role("button", name="Undo").tap()
    expect(warned).to_have_count(0)
    assert draft_text(phone) == text


def test_a_sensor_that_nothing_needs_is_removed(sensed: Garden, phone: Page) -> None:
    """Only its own lines go; what is typed into another sensor goes to that one."""
    rest, text = _opened(phone, sensed)
    _sensor(rest, "damp").get_by_role("button", name="Remove the sensor damp").tap()
    expect(_sensor(rest, "damp")).to_have_count(0)
    expected = edited(text, ('[sensors.damp]\nmeasures = "humidity"\n\n', ""))
    assert draft_text(phone) == expected
    floor = _sensor(rest, "floor")
    floor.get_by_text("How often").tap()
    every = floor.get_by_label("Read each")
    every.fill("2s")
    every.press("Enter")
    expect(every).to_have_value("2s")
    assert draft_text(phone) == edited(expected, ('every = "1s"', 'every = "2s"'))


@pytest.mark.parametrize("window", ["phone", "laptop"])
def test_a_plan_is_made_in_the_form_at_both_widths(
    sensed: Garden, window: str, request: pytest.FixtureRequest
) -> None:
    """A load added, its day cut and set, a border moved, a variant made, all saved and run: nothing
    hangs over the edge or is too small for a thumb on the way."""
    page: Page = request.getfixturevalue(window)
    open_form(page, sensed)
    drawer = open_drawer(page.locator(".editor"), "Add a load")
    drawer.get_by_label("What is it?").select_option("fan")
    drawer.get_by_label("Its name").fill("breeze")
    drawer.get_by_label("GPIO line").fill("27")
    drawer.get_by_label("Does the relay switch mains?").select_option("false")
    assert looks.all_of(page) == []
    drawer.get_by_role("button", name="Add it").click()
    breeze = card(page, "breeze")
    expect(breeze).to_be_visible()
    breeze.get_by_role("button", name="Add a piece to the day of breeze").click()
    expect(chips(breeze)).to_have_count(2)
    breeze.get_by_role("button", name="Off", exact=True).click()
    expect(chips(breeze).filter(has_text="off")).to_have_count(1)
    assert looks.all_of(page) == []
    border = borders(breeze).last
    border.focus()
    page.keyboard.press("Shift+ArrowRight")
    expect(border).to_have_attribute("aria-valuetext", "13:00")
    hot = open_drawer(breeze, "Other times in heat or cold")
    hot.get_by_label("Begins at").fill("30")
    hot.get_by_role("button", name="Add it").click()
    expect(breeze.locator(".variant")).to_have_count(1)
    assert looks.all_of(page) == []
    text = draft_text(page)
    # Half scrolled away below what stays in sight, a button would count as too small.
    page.evaluate("scrollTo(0, 0)")
    assert looks.axe(page) == []
    save_button(page).click()
    if in_step(page, "Save and run it").is_visible():
        in_step(page, "Save and run it").click()
    wait_told(page, "Revision 2 is in force.")
    assert plan_in_force(sensed)["text"] == text
    names = [load["name"] for load in sensed.daemon.call("status")["loads"]]
    assert names == ["tower", "lamp", "breeze"]
