"""The page's views, and the part of each that is there once it is drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from playwright.sync_api import expect

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.browser.conftest import Garden

VIEWS: Final = {
    "/": ".strip-row",
    "/dry-run": "#form .period-told",
    "/journal": ".relay",
    "/plan": "#editor .band",
}


def open_view(window: Page, garden: Garden, path: str) -> None:
    """Goes there and waits until it is drawn."""
    window.goto(garden.page.url + path)
    expect(window.locator(VIEWS[path]).first).to_be_visible()
