"""How the page Now looks: nothing over the edge, legible, large enough, light to load."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser import looks
from tests.browser.conftest import Garden
from tests.browser.large_text import TWICE, broken_words, enlarge


@pytest.mark.parametrize("scheme", looks.SCHEMES)
def test_it_is_legible_at_every_width(
    fresh_garden: Garden, chromium: Browser, scheme: looks.Scheme
) -> None:
    """With an alarm, a hold and a sensor that says nothing."""
    fresh_garden.read("floor", "1")
    fresh_garden.read("air", "nonsense")
    fresh_garden.daemon.call("hold", {"load": "fan", "order": "on", "for": "20m"})
    context = chromium.new_context(color_scheme=scheme, locale="en-GB")
    window = context.new_page()
    window.goto(fresh_garden.page.url)
    expect(window.locator(".alarm")).to_have_count(1)
    expect(window.locator(".strip-row")).to_have_count(2)
    for width in looks.WIDTHS:
        window.set_viewport_size({"width": width, "height": 800})
        assert looks.all_of(window) == [], width
    context.close()


def test_it_is_light_and_asks_nobody_else(garden: Garden, chromium: Browser) -> None:
    """All that the first load fetches, uncompressed, and from where."""

    def is_drawn(window: Page) -> None:
        expect(window.locator(".strip-row")).to_have_count(2)

    size, foreign = looks.weight(chromium, garden.page.url, is_drawn)
    assert (size < looks.WEIGHT_MAX_BYTES, foreign) == (True, set())


def test_no_word_falls_apart_in_large_type(fresh_garden: Garden, chromium: Browser) -> None:
    """On a phone, at the usual size and at twice that, with an alarm and a hold; nothing hangs over
    the edge."""
    fresh_garden.read("floor", "1")
    fresh_garden.daemon.call("hold", {"load": "fan", "order": "on", "for": "20m"})
    window = chromium.new_page()
    window.goto(fresh_garden.page.url)
    expect(window.locator(".alarm")).to_have_count(1)
    expect(window.locator(".strip-row")).to_have_count(2)
    for times in (1.0, TWICE):
        enlarge(window, times)
        assert (broken_words(window), looks.overflow(window)) == ([], []), times
    window.close()
