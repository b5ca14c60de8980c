"""What comes on paper when a view is printed: all that it tells, and none of its bars."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.browser import looks
from tests.browser.dry_run_view import open_dry_run, run
from tests.browser.plan_view import edit
from tests.browser.views import VIEWS, open_view

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.browser.conftest import Garden

A4_CSS_PX = {"width": 718, "height": 1047}  # ISO 216 at 96 px an inch, less a centimetre each side
# What scrolls within a box of its own: paper cannot.
_SCROLLED = """() => [...document.querySelectorAll("main *")]
  .filter((e) => e.checkVisibility() && !e.matches("textarea, select, .unseen, .unseen *"))
  .filter((e) => ["auto", "scroll"].includes(getComputedStyle(e).overflowY)
    && (e.scrollHeight > e.clientHeight + 1 || e.scrollWidth > e.clientWidth + 1))
  .map((e) => `${e.tagName}.${e.className}`)"""


def _print(window: Page) -> None:
    window.emulate_media(media="print")
    window.set_viewport_size(A4_CSS_PX)  # type: ignore[arg-type]


def test_every_view_fits_on_paper_without_its_bars(garden: Garden, laptop: Page) -> None:
    """Nothing hangs over the edge, and no button lies on what is told."""
    for path in VIEWS:
        open_view(laptop, garden, path)
        _print(laptop)
        expect(laptop.locator("#bar")).to_be_hidden()
        expect(laptop.get_by_role("navigation", name="Views")).to_be_hidden()
        assert looks.overflow(laptop) == [], path
        laptop.emulate_media(media="screen")


def test_what_a_plan_would_do_comes_whole(limited: Garden, phone: Page) -> None:
    """Also from a phone, where it is folded; nothing of it is left in a box that scrolls."""
    open_view(phone, limited, "/plan")
    cycle = {"do": "set", "at": "loads.tower.spans.1.cycle", "value": "12m on, 30m off"}
    assert edit(phone, cycle) == {"isDone": True}
    expect(phone.locator("#preview .account-load")).to_have_count(1, timeout=30_000)
    _print(phone)
    expect(phone.locator("#preview-body")).to_be_visible()
    assert phone.evaluate(_SCROLLED) == []


def test_of_a_dry_run_the_outcome_comes_alone(limited: Garden, phone: Page) -> None:
    """Its picture is as wide as the paper, and not cut off."""
    open_dry_run(phone, limited, "?from=2026-07-12&days=2")
    run(phone)
    _print(phone)
    expect(phone.locator("#form")).to_be_hidden()
    expect(phone.locator("#outcome .verdict")).to_be_visible()
    assert phone.evaluate(_SCROLLED) == []
    assert looks.overflow(phone) == []
