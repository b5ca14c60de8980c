"""The page's views, and the part of each that is there once it is drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from playwright.sync_api import expect

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.browser.conftest import Garden

VIEWS: Final = {
    "/": ".strip-row",
    "/api": ".route",
    "/dry-run": "#form .period-told",
    "/journal": ".relay",
    "/plan": "#editor .band",
}


def wait_whole(window: Page) -> None:
    """Waits until the view Plan has fetched all of its parts, as it does by itself."""
    whole = window.evaluate("""async () => {
      const { drawLate } = await import("/static/plan/late.js");
      const { draft } = await import("/static/plan/draft.js");
      return drawLate(draft);
    }""")
    assert whole is True


def open_view(window: Page, garden: Garden, path: str) -> None:
    """Goes there and waits until it is drawn, and has fetched what it fetches by itself.

    Some views show before it is known whether the controller answers, and the banners that this
    brings move what stands below them.
    """
    window.goto(garden.page.url + path)
    expect(window.locator(VIEWS[path]).first).to_be_visible(timeout=30_000)
    known = "#connection:not(:empty), #lost:not([hidden])"
    expect(window.locator(known)).to_have_count(1, timeout=30_000)
    if path == "/plan":
        wait_whole(window)
