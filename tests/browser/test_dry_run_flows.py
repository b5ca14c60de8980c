"""The view Dry run when things go otherwise than well, and how it looks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from controller.shell.examples import example_text
from tests.browser import looks
from tests.browser.conftest import Garden, grown
from tests.browser.dry_run_view import open_dry_run, plan_choice, run

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

_DAYS = "?from=2026-07-12&days=3"


def test_a_run_is_cancelled(hot: Garden, phone: Page) -> None:
    """Ten years are ended by a touch; that is told, and the choices stay."""
    open_dry_run(phone, hot, "?from=2026-01-01&days=3660")
    phone.locator(".run-button").click()
    phone.get_by_role("button", name="Cancel").click()
    expect(phone.locator("#told-text")).to_contain_text("was ended")
    expect(phone.locator(".run-button")).to_contain_text("3,660 days")
    expect(phone.locator("#result-title")).to_be_hidden()


def test_reload_and_back_bring_the_outcome_back(hot: Garden, phone: Page) -> None:
    """What came of a run stands there again, after a reload and after coming back."""
    open_dry_run(phone, hot, _DAYS)
    run(phone)
    phone.reload()
    expect(phone.locator("#result-title")).to_be_visible()
    expect(phone.locator("#outcome")).to_contain_text("Sun, 12 Jul 2026 to Tue, 14 Jul 2026")
    phone.goto(hot.page.url)
    expect(phone.locator(".strip-row").first).to_be_visible()
    phone.go_back()
    expect(phone.locator("#outcome")).to_contain_text("Sun, 12 Jul 2026 to Tue, 14 Jul 2026")


def test_a_weather_file_that_is_too_large(hot: Garden, phone: Page, tmp_path: Path) -> None:
    """It is refused before it is sent, with its size and what to do."""
    weather = tmp_path / "long.csv"
    weather.write_bytes(b"1" * 6_500_000)
    open_dry_run(phone, hot, f"{_DAYS}&weather=file")
    phone.get_by_label("Choose a weather file").set_input_files(weather)
    told = phone.locator(".weather .problem:visible")
    expect(told).to_contain_text("long.csv has 6.5 MB")
    expect(told).to_contain_text("Cut it to the days that you need")


def test_a_script_of_faults_with_an_error(hot: Garden, phone: Page) -> None:
    """The finding stands beside the text, which stays as it was typed."""
    text = '[[faults]]\nkind = "pump_fails"\nload = "pmup"\nfrom = "2026-07-12T13:00"\n'
    open_dry_run(phone, hot, f"{_DAYS}&faults=text")
    script = phone.get_by_label("Fault script (TOML)")
    script.fill(text)
    expect(phone.locator("#form")).to_contain_text("until")
    expect(script).to_have_value(text)


def test_the_controller_is_away(phone: Page, tmp_path: Path) -> None:
    """That is told, and what was chosen stays."""
    with grown(tmp_path, example_text("hot-afternoon")) as garden:
        open_dry_run(phone, garden, _DAYS)
        garden.daemon.end()
        expect(phone.locator("#lost")).to_be_visible()
        expect(phone.get_by_label("From", exact=True)).to_have_value("2026-07-12")


@pytest.mark.parametrize("scheme", looks.SCHEMES)
def test_it_looks_well(hot: Garden, chromium: Browser, scheme: looks.Scheme) -> None:
    """With a fault in the form and an outcome, at every width."""
    context = chromium.new_context(color_scheme=scheme, locale="en-GB")
    window = context.new_page()
    window.set_viewport_size({"width": 390, "height": 844})
    open_dry_run(window, hot, _DAYS)
    window.get_by_label("these faults").check()
    expect(window.locator(".fault")).to_be_visible()
    run(window)
    for width in looks.WIDTHS:
        window.set_viewport_size({"width": width, "height": 844})
        assert looks.all_of(window) == [], width
    assert looks.axe(window) == []
    context.close()


def test_it_is_light(hot: Garden, chromium: Browser) -> None:
    """A first load fetches little, and nothing from another host."""
    size, foreign = looks.weight(
        chromium,
        f"{hot.page.url}/dry-run",
        lambda window: expect(plan_choice(window)).to_be_visible(),
    )
    assert size < looks.WEIGHT_MAX_BYTES
    assert foreign == set()
