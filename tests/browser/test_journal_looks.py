"""How the view Journal looks: nothing over the edge, legible, large enough, light to load."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser import looks
from tests.browser.journal_garden import Night, garden_with_a_past
from tests.browser.large_text import TWICE, broken_words, enlarge


@pytest.fixture(scope="module")
def night(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Night]:
    """Started once: its past does not change."""
    with garden_with_a_past(tmp_path_factory.mktemp("past")) as night:
        yield night


@pytest.mark.parametrize("scheme", looks.SCHEMES)
def test_it_is_legible_at_every_width(
    night: Night, chromium: Browser, scheme: looks.Scheme
) -> None:
    """With a day seen closer, an answer, and the times of the filter open."""
    context = chromium.new_context(color_scheme=scheme, locale="en-GB")
    window = context.new_page()
    query = f"?why=tower&at={night.date}T03:00&since={night.date}"
    window.goto(f"{night.garden.page.url}/journal{query}")
    window.locator(f'[data-date="{night.date}"] .day-button').click()
    expect(window.locator(".why-sentence")).to_be_visible()
    expect(window.locator(".relay").first).to_be_visible()
    expect(window.locator("#list .entry")).to_have_count(60)
    for width in looks.WIDTHS:
        window.set_viewport_size({"width": width, "height": 800})
        assert looks.all_of(window) == [], width
    context.close()


def test_it_is_light_and_asks_nobody_else(night: Night, chromium: Browser) -> None:
    """All that the first load fetches, uncompressed, and from where."""

    def is_drawn(window: Page) -> None:
        expect(window.locator("#week > .day")).to_have_count(7)

    size, foreign = looks.weight(chromium, f"{night.garden.page.url}/journal", is_drawn)
    assert (size < looks.WEIGHT_MAX_BYTES, foreign) == (True, set()), size


def test_axe_finds_nothing(night: Night, chromium: Browser) -> None:
    """With a day seen closer and an answer."""
    context = chromium.new_context(locale="en-GB")
    window = context.new_page()
    window.goto(f"{night.garden.page.url}/journal?why=tower&at={night.date}T03:00")
    window.locator(f'[data-date="{night.date}"] .day-button').click()
    expect(window.locator(".why-sentence")).to_be_visible()
    expect(window.locator(".relay").first).to_be_visible()
    assert looks.axe(window) == []
    context.close()


def test_no_word_falls_apart_in_large_type(night: Night, chromium: Browser) -> None:
    """On a phone, at the usual size and at twice that; nothing hangs over the edge."""
    window = chromium.new_page()
    window.goto(f"{night.garden.page.url}/journal?why=tower&at={night.date}T03:00")
    window.locator(f'[data-date="{night.date}"] .day-button').click()
    expect(window.locator(".why-sentence")).to_be_visible()
    expect(window.locator(".relay").first).to_be_visible()
    for times in (1.0, TWICE):
        enlarge(window, times)
        assert (broken_words(window), looks.overflow(window)) == ([], []), times
    window.close()
