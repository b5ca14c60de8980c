"""The form of faults in a real browser: what is wrong stands beside its field until mended."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from controller.shell.examples import example_text
from tests.browser.conftest import Garden
from tests.browser.dry_run_view import choose_file, open_dry_run, plan_choice, run
from tests.stage.page_process import PageProcess

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Locator, Page

DAYS = "?from=2026-07-12&days=2"


def _opened(window: Page, garden: Garden) -> None:
    """The form with one fault in it, a cut of power."""
    open_dry_run(window, garden, DAYS)
    expect(window.locator(".plan-field .hint").first).to_contain_text("pump")  # it was read
    window.get_by_label("these faults").check()
    expect(window.locator(".fault")).to_have_count(1)


def _added(window: Page, kind: str) -> Locator:
    """One more fault."""
    window.get_by_label("One more fault").select_option(kind)
    window.get_by_role("button", name="Add", exact=True).click()
    return window.locator(".fault").last


def _field(fault: Locator, label: str) -> Locator:
    return fault.get_by_label(label, exact=True)


def _problem(fault: Locator, label: str) -> Locator:
    field = fault.locator(".field", has=fault.page.get_by_label(label, exact=True))
    return field.locator(".problem")


@pytest.mark.parametrize(
    ("kind", "label", "wrong", "told", "right"),
    [
        ("power_out", "Then the clock is unknown for", "soon", "is not a duration", "5m"),
        ("sensor_reads", "It reads", "hot", "'hot'", "35,5"),
        ("clock_wrong", "Wrong by", "an hour", "is not a duration", "-1h"),
        ("hold", "For", "", "Is missing: fill it in.", "20m"),
    ],
)
def test_a_mistake_is_told_beside_its_field_until_it_is_mended(
    hot: Garden, phone: Page, kind: str, label: str, wrong: str, told: str, right: str
) -> None:
    """What was typed stays, and whoever cannot see the place is told which field it is."""
    _opened(phone, hot)
    fault = _added(phone, kind)
    _field(fault, label).fill(wrong)
    expect(_problem(fault, label)).to_contain_text(told)
    expect(_field(fault, label)).to_have_value(wrong)
    expect(_field(fault, label)).to_have_attribute("aria-invalid", "true")
    expect(phone.locator(".fault").first.locator(".problem")).to_have_text([""] * 4)
    _field(fault, label).fill(right)
    expect(_problem(fault, label)).to_have_text("")
    expect(_field(fault, label)).not_to_have_attribute("aria-invalid", "true")


def test_what_is_wrong_with_a_whole_fault_stands_below_its_title(hot: Garden, laptop: Page) -> None:
    """It ends before it begins, or orders what the plan has not; each fault has its own."""
    _opened(laptop, hot)
    first = laptop.locator(".fault").first
    _field(first, "Until").fill("2026-07-12T12:00")
    expect(first.locator("> .problem")).to_contain_text("not after its start")
    hold = _added(laptop, "hold")
    _field(hold, "Order").fill("warm")
    expect(hold.locator("> .problem")).to_contain_text("warm")
    expect(first.locator("> .problem")).to_contain_text("not after its start")
    _field(hold, "Order").fill("hot")
    expect(hold.locator("> .problem")).to_have_text("")
    first.get_by_role("button", name="Remove 1. The power fails").click()
    expect(laptop.locator(".fault")).to_have_count(1)
    expect(laptop.locator(".fault > .problem")).to_have_text([""])


def test_a_run_with_a_mistake_is_refused_and_leads_to_it(hot: Garden, laptop: Page) -> None:
    """Nothing is lost of what was chosen; mended, it runs, and the outcome says with faults."""
    _opened(laptop, hot)
    fault = _added(laptop, "clock_wrong")
    _field(fault, "Wrong by").fill("an hour")
    laptop.locator(".run-button").click()
    expect(laptop.locator("#told-text")).to_contain_text("It was not run:")
    expect(_problem(fault, "Wrong by")).to_contain_text("is not a duration")
    expect(laptop.locator(".fault")).to_have_count(2)
    expect(laptop.locator("#result-title")).to_be_hidden()
    _field(fault, "Wrong by").fill("+1h")
    expect(_problem(fault, "Wrong by")).to_have_text("")
    run(laptop)
    expect(laptop.locator("#outcome")).to_contain_text("With the faults that were chosen.")


def test_a_fault_that_the_days_do_not_have_is_told(hot: Garden, phone: Page) -> None:
    """It is no mistake: it changes nothing, and says so until the days have it."""
    _opened(phone, hot)
    fault = phone.locator(".fault").first
    note = fault.get_by_text("These days do not have it: it changes nothing.")
    expect(note).to_be_hidden()
    phone.get_by_label("From", exact=True).first.fill("2026-08-01")
    expect(note).to_be_visible()
    expect(fault.locator("> .problem")).to_have_text("")
    phone.get_by_label("From", exact=True).first.fill("2026-07-11")
    expect(note).to_be_hidden()


def test_another_plan_s_names_are_offered_and_what_it_lacks_is_told(
    hot: Garden, laptop: Page, tmp_path: Path
) -> None:
    """A sensor that was chosen stays chosen where the other plan has none of that name."""
    porch = tmp_path / "porch.toml"
    porch.write_text(example_text("porch"), encoding="utf-8")
    _opened(laptop, hot)
    fault = _added(laptop, "sensor_silent")
    expect(_field(fault, "Sensor")).to_have_value("air")
    plan_choice(laptop).select_option("file")
    choose_file(laptop, "Choose a plan file", porch)
    told = laptop.locator(".fault").last.locator("> .problem")
    expect(told).to_contain_text("'air'")
    expect(_field(laptop.locator(".fault").last, "Sensor")).to_have_value("air")
    plan_choice(laptop).select_option("running")
    expect(laptop.locator(".fault").last.locator("> .problem")).to_have_text("")


def test_form_and_script_are_one(hot: Garden, laptop: Page) -> None:
    """What is put together in one stands in the other, mistakes too."""
    _opened(laptop, hot)
    fault = _added(laptop, "sensor_reads")
    _field(fault, "It reads").fill("hot")
    expect(_problem(fault, "It reads")).to_contain_text("'hot'")
    laptop.get_by_label("a script").check()
    script = laptop.get_by_label("Fault script (TOML)")
    text = script.input_value()
    assert 'kind = "power_out"' in text
    assert 'value = "hot"' in text
    complaint = laptop.locator(".complaints li")
    expect(complaint).to_have_count(1)
    expect(complaint).to_contain_text("Fault 2, value:")
    script.fill(text.replace('"hot"', "35.5").replace("clock_unknown_for", "clock_unknown"))
    expect(complaint).to_contain_text("Fault 1, clock_unknown: There is no such key")
    script.fill(text.replace('"hot"', "35.5"))
    expect(complaint).to_have_count(0)
    laptop.get_by_label("these faults").check()
    expect(_field(laptop.locator(".fault").last, "It reads")).to_have_value("35.5")


def test_a_script_that_the_form_cannot_show_stays_a_script(hot: Garden, phone: Page) -> None:
    """It is told why, and not a letter of it changes."""
    open_dry_run(phone, hot, f"{DAYS}&faults=text")
    script = phone.get_by_label("Fault script (TOML)")
    text = '[[faults]]\nkind = "an earthquake"\nfrom = "2026-07-12T13:00"\n'
    script.fill(text)
    expect(phone.locator(".complaints li")).to_contain_text("'an earthquake'")
    phone.get_by_label("these faults").click()
    expect(phone.locator("#form")).to_contain_text("The form cannot show this script as it is.")
    expect(phone.get_by_label("a script")).to_be_checked()
    expect(script).to_have_value(text)


def test_why_the_form_cannot_show_a_script_stands_until_that_changes(
    hot: Garden, phone: Page, tmp_path: Path
) -> None:
    """However soon after the last letter the form was asked for, and however often the script is
    looked at meanwhile."""
    porch = tmp_path / "porch.toml"
    porch.write_text(example_text("porch").replace("[loads.pump", "[loads.porch"), "utf-8")
    open_dry_run(phone, hot, f"{DAYS}&faults=text")
    script = phone.get_by_label("Fault script (TOML)")
    one = '[[faults]]\nkind = "release"\nload = "pump"\nat = "2026-07-12T13:00"\n'
    script.fill(one * 51)
    phone.get_by_label("these faults").click()
    refusal = phone.locator("#form").get_by_text("The form cannot show this script as it is.")
    expect(refusal).to_be_visible()
    plan_choice(phone).select_option("file")
    choose_file(phone, "Choose a plan file", porch)
    expect(phone.locator(".complaints li").first).to_contain_text("pump")
    expect(refusal).to_be_visible()
    script.fill(one)
    expect(refusal).to_be_hidden()


def test_without_the_page_s_program_nothing_typed_is_lost(hot: Garden, laptop: Page) -> None:
    """It is told that nobody checked it; once the program is back, the next letter is checked."""
    with PageProcess(hot.daemon.socket_path) as page:
        _opened(laptop, hot._replace(page=page))
        fault = laptop.locator(".fault").first
        port = page.port
        page.end()
        _field(fault, "Then the clock is unknown for").fill("soon")
        expect(laptop.locator("#form")).to_contain_text("Not checked:")
        expect(_field(fault, "Then the clock is unknown for")).to_have_value("soon")
    with PageProcess(hot.daemon.socket_path, port=port):
        expect(laptop.locator("#lost")).to_be_hidden(timeout=30_000)
        fault = laptop.locator(".fault").first
        expect(_field(fault, "Then the clock is unknown for")).to_have_value("soon")
        _field(fault, "Then the clock is unknown for").fill("sooner")
        expect(_problem(fault, "Then the clock is unknown for")).to_contain_text("'sooner'")
        expect(laptop.locator("#form")).not_to_contain_text("Not checked:")
