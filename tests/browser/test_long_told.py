"""A long telling in the bar: it leaves the view to see, and its own button in reach."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.browser.dry_run_view import choose_file, open_dry_run

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

    from tests.browser.conftest import Garden


def test_a_weather_file_that_is_none_leaves_the_view_to_see(
    limited: Garden, phone: Page, tmp_path: Path
) -> None:
    """What is wrong with it takes forty lines of a phone: they scroll, and stand whole beside the
    field."""
    weather = tmp_path / "days.csv"
    weather.write_text("date,coolest,warmest\n2026-07-10,20,19\n", encoding="utf-8")
    open_dry_run(phone, limited, "?from=2026-07-10&days=1")
    phone.get_by_label("as in a weather file").check()
    choose_file(phone, "Choose a weather file", weather)
    phone.locator(".run-button").tap()
    told = phone.locator("#told-text")
    expect(told).to_contain_text("It was not run:", timeout=30_000)
    bar = phone.locator("#bar").bounding_box()
    assert bar is not None
    assert bar["height"] < 844 / 2
    close = phone.locator("#told-close")
    expect(close).to_be_in_viewport(ratio=1)
    close.tap()
    expect(told).to_be_hidden()
    beside = phone.locator(".file-pick .problem", has_text="2 mistakes in the weather file")
    expect(beside).to_contain_text("warmest_c")
