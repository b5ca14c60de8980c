"""The rest of the plan's form: variants, loads, sensors, settings; who may not change them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import expect

from controller.core.cautions import CAUTIONS
from tests.browser.conftest import Garden
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
from tests.browser.water_form import REST, open_adding
from tests.stage.page_process import PageProcess
from web.security.passcode import stored, write_passcode

if TYPE_CHECKING:
    from playwright.sync_api import Page

LAMP = "\n[loads.lamp]\n"
VARIANT = """
[[loads.tower.variants]]
name = "hot"
sensor = "air"
above = 33
until = 29
at_least = "30m"

[[loads.tower.variants.spans]]
from = "06:30"
cycle = "15m on, 15m off"

[[loads.tower.variants.spans]]
from = "sunset + 1h"
cycle = "15m on, 15m off"
"""
SENSOR = """
[sensors.air]
measures = "air_temperature"
"""
PUMP = """
[loads.pump]
kind = "pump"
line = 27
active = "low"
when_stopped = "off"
longest_on = "45m"
shortest_on = "5s"
shortest_off = "5s"
without_clock = "15m on, 15m off"

[[loads.pump.spans]]
from = "00:00"
cycle = "15m on, 15m off"
"""


def test_a_variant_for_hot_days_is_made(shed: Garden, phone: Page) -> None:
    """Where the plan has no sensor, one of the air comes with it; it has a day of its own."""
    open_form(phone, shed)
    tower = card(phone, "tower")
    drawer = open_drawer(tower, "Other times in heat or cold")
    drawer.get_by_label("Begins at").fill("33")
    drawer.get_by_role("button", name="Add it").tap()
    variant = tower.locator(".variant")
    expect(variant.get_by_role("heading", name="Variant “hot”")).to_be_visible()
    expect(variant.locator("> .hint")).to_have_text(
        "While air is above 33 °C, until it is back at 29 °C, for at least 30 min"
    )
    made = draft_text(phone)
    assert made == edited(SHED, (LAMP, VARIANT + LAMP)) + SENSOR

    variant.locator(".chip").first.tap()
    variant.get_by_role("button", name="On: more").tap()
    variant.get_by_role("button", name="Off: less").tap()
    expect(variant.locator(".chip").first).to_contain_text("20/10")
    hot = edited(
        VARIANT, ('"06:30"\ncycle = "15m on, 15m off"', '"06:30"\ncycle = "20m on, 10m off"')
    )
    assert draft_text(phone) == edited(made, (VARIANT, hot))
    expect(tower.locator("> .sentence")).to_contain_text("15 min on, 15 min off from 06:30")


def test_a_variant_gets_another_condition_and_is_removed(shed: Garden, laptop: Page) -> None:
    """Above becomes below, below becomes a person's; each in one change that can be undone."""
    open_form(laptop, shed)
    tower = card(laptop, "tower")
    open_drawer(tower, "Other times in heat or cold").get_by_role("button", name="Add it").click()
    expect(tower.locator(".variant")).to_have_count(1)
    made = draft_text(laptop)
    change = open_drawer(tower, "Change the condition")
    change.get_by_label("When").select_option("below air")
    expect(tower.locator(".variant > .hint")).to_have_text(
        "While air is below 29 °C, until it is back at 32 °C, for at least 30 min"
    )
    change.get_by_label("When").select_option("hand")
    expect(tower.locator(".variant > .hint")).to_have_text("Only while a person holds it")
    numbers = 'sensor = "air"\nabove = 32\nuntil = 29\nat_least = "30m"\n'
    assert draft_text(laptop) == edited(made, (numbers, "by_hand = true\n"))
    change.get_by_role("button", name="Remove the variant “hot”").click()
    expect(tower.locator(".variant")).to_have_count(0)
    assert draft_text(laptop) == SHED + SENSOR
    laptop.locator("#told").get_by_role("button", name="Undo").click()
    expect(tower.locator(".variant")).to_have_count(1)


def test_a_load_is_added_with_the_least_asked(shed: Garden, phone: Page) -> None:
    """Kind, a free name and a free line are there already; the cautions stand beside mains."""
    open_form(phone, shed)
    drawer = open_drawer(phone.locator(".editor"), "Add a load")
    expect(drawer.get_by_label("Its name")).to_have_value("pump")
    assert drawer.locator(".beware li").all_inner_texts() == list(CAUTIONS)
    drawer.get_by_label("Does the relay switch mains?").select_option("false")
    expect(drawer.locator(".beware")).to_be_hidden()
    drawer.get_by_label("Does the relay switch mains?").select_option("")
    expect(drawer.locator(".beware")).to_be_visible()
    drawer.get_by_label("GPIO line").fill("22")
    drawer.get_by_role("button", name="Add it").tap()
    expect(drawer.locator(".finding.is-error")).to_contain_text("hangs on line 22 like lamp")
    assert draft_text(phone) == SHED
    expect(drawer.get_by_label("GPIO line")).to_have_value("22")
    drawer.get_by_label("GPIO line").fill("27")
    drawer.get_by_role("button", name="Add it").tap()
    expect(card(phone, "pump")).to_be_visible()
    expect(chips(card(phone, "pump")).first).to_be_focused()
    assert draft_text(phone) == SHED + PUMP


def test_settings_are_written_unset_and_refused(shed: Garden, laptop: Page) -> None:
    """Text, number, choice and a limit in a table that was not there; comments stay."""
    open_form(laptop, shed)
    tower = card(laptop, "tower")
    settings = open_drawer(tower, "Settings")
    settings.get_by_label("Power").fill("24,5")
    settings.get_by_label("Power").press("Enter")
    expect(settings.get_by_label("Power")).to_have_value("24.5")
    settings.get_by_label("The relay pulls at").select_option("high")
    settings.get_by_label("Does the relay switch mains?").select_option("true")
    expect(settings.locator(".beware")).to_be_visible()
    expect(settings.get_by_text("a fault in the cable can kill")).to_be_visible()
    settings.get_by_text("What a dry run must hold").click()
    settings.get_by_label("Longest dry gap").fill("50m")
    settings.get_by_label("Longest dry gap").press("Enter")
    settings.get_by_label("GPIO line").fill("seventeen")
    settings.get_by_label("GPIO line").press("Enter")
    expect(settings.locator(".field .finding.is-error")).to_contain_text("seventeen")
    settings.get_by_label("GPIO line").press("Escape")
    expect(settings.get_by_label("GPIO line")).to_have_value("17")
    settings.get_by_text("When something fails").click()
    settings.get_by_label("While no clock can be trusted").fill("")
    settings.get_by_label("While no clock can be trusted").press("Enter")
    expect(settings.get_by_label("While no clock can be trusted")).to_have_value("")
    changed = edited(
        SHED,
        ("watts = 22\nmains = false\nwithout", "watts = 24.5\nmains = true\nwithout"),
        ('active = "low"\nwatts', 'active = "high"\nwatts'),
        ('without_clock = "10m on, 10m off"\n', ""),
        (LAMP, '\n[loads.tower.limits]\nlongest_dry_gap = "50m"\n' + LAMP),
    )
    laptop.locator("#page-bar").get_by_text("Undo").wait_for()
    assert draft_text(laptop).split("\n") == changed.split("\n")


def test_a_load_is_renamed_with_all_that_speaks_of_it_and_removed(
    shed: Garden, laptop: Page
) -> None:
    """What another load is tied to keeps it from being removed, and that is said."""
    open_form(laptop, shed)
    tower = card(laptop, "tower")
    chips(tower).first.click()
    tower.get_by_label("Tied to").select_option("lamp off")
    expect(borders(tower).first).to_be_visible()
    settings = open_drawer(card(laptop, "lamp"), "Settings")
    settings.get_by_label("Name of this load").fill("sun_lamp")
    settings.get_by_label("Name of this load").press("Enter")
    renamed = card(laptop, "sun_lamp").locator("summary", has_text="Settings")
    expect(renamed).to_be_focused()
    text = draft_text(laptop)
    assert "[loads.sun_lamp]" in text
    assert 'from = "sun_lamp off + 7h30m"  ' in text
    card(laptop, "sun_lamp").get_by_role("button", name="Remove sun_lamp from the plan").click()
    expect(laptop.locator("#told-text")).to_contain_text(
        "sun_lamp stays, because tower begins a piece of its day by it. Change that first."
    )
    assert draft_text(laptop) == text


def test_sensors_guards_and_prices_are_reached(shed: Garden, laptop: Page) -> None:
    """Each begins a table that the plan did not have; guards offer sensors that fit."""
    open_form(laptop, shed)
    rest = open_drawer(laptop.locator(".editor"), "Plants, reservoirs, sensors, place and guards")
    rest.get_by_text("Add a sensor").click()
    rest.get_by_label("What does it measure?").select_option("leak")
    expect(rest.get_by_label("Its name")).to_have_value("floor")
    rest.get_by_label("Or a GPIO line").fill("6")
    rest.get_by_role("button", name="Add it").click()
    expect(rest.get_by_role("heading", name="floor")).to_be_visible()
    rest.get_by_text("What protects people, plants and the supply").click()
    rest.get_by_label("A leak sensor that stops pumps and valves").select_option("floor")
    rest.locator("summary:visible", has_text="What energy costs").click()
    shown = laptop.locator("input:visible")
    rest.get_by_label("Price of a kWh").and_(shown).fill("0,31")
    rest.get_by_label("Currency").and_(shown).fill("EUR")
    rest.get_by_role("button", name="Add a price").click()
    expect(rest.get_by_role("button", name="Remove the price")).to_be_visible()
    rest.get_by_text("Where the plants stand").click()
    rest.get_by_label("Latitude").fill("470")
    rest.get_by_label("Latitude").press("Enter")
    expect(rest.locator(".field .finding.is-error")).to_contain_text("470")
    rest.get_by_label("Latitude").fill("46.9")
    rest.get_by_label("Latitude").press("Enter")
    expect(rest.locator(".field .finding.is-error")).to_have_count(0)
    assert draft_text(laptop) == edited(SHED, ("latitude = 47.4", "latitude = 46.9")) + (
        '\n[sensors.floor]\nmeasures = "leak"\nline = 6\n\n[guards]\nleak = "floor"\n'
        '\n[energy]\nprice_per_kwh = 0.31\ncurrency = "EUR"\n'
    )


def test_a_guest_looks_and_changes_nothing(shed: Garden, phone: Page) -> None:
    """Pieces open; borders, buttons and fields are locked."""
    kept = shed.folder / "passcode"
    write_passcode(kept, stored("wet roots hang low"))
    settings = {"passcode_path": str(kept), "guests_may_read": True}
    with PageProcess(shed.daemon.socket_path, **settings) as page:
        phone.goto(f"{page.url}/plan")
        expect(phone.locator(".band").first).to_be_visible(timeout=30_000)
        tower = card(phone, "tower")
        chips(tower).nth(1).tap()
        expect(tower.get_by_role("button", name="On: less")).to_be_disabled()
        expect(tower.get_by_label("The same in words").first).to_be_disabled()
        expect(tower.get_by_label("Tied to")).to_be_disabled()
        before = borders(tower).nth(0).get_attribute("aria-valuetext")
        borders(tower).nth(0).press("ArrowRight")
        expect(borders(tower).nth(0)).to_have_attribute("aria-valuetext", str(before))
        expect(borders(tower).nth(0)).to_have_attribute("aria-disabled", "true")
        adding = open_adding(open_drawer(phone.locator(".editor"), REST), "Add plants")
        expect(adding.get_by_label("How many")).to_be_disabled()
        expect(adding.get_by_role("button", name="Add them")).to_be_disabled()
        assert draft_text(phone) == SHED
