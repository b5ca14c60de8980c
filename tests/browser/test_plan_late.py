"""The view Plan paints soon: most of it comes by itself after that, and outlives the connection."""

from __future__ import annotations

import re
import signal
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser import looks
from tests.browser.conftest import Garden
from tests.browser.plan_view import open_plan, text_field, unfold, wait_told
from tests.browser.views import open_view, wait_whole
from tests.stage.page_process import PageProcess
from web.markup import modules_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Route

EDITOR = "**/static/editor/editor.js"
STATIC = Path(__file__).resolve().parents[2] / "web" / "static"
STYLES = ("base.css", "frame.css", "plan.css")


def test_the_first_load_is_light_and_asks_nobody_else(garden: Garden, chromium: Browser) -> None:
    """All that is fetched before the first paint, uncompressed, and from where; what comes after
    it are the parts that are not there yet, and no file that the first paint needs."""

    def is_whole(window: Page) -> None:
        expect(window.locator("#editor .band").first).to_be_visible(timeout=30_000)
        wait_whole(window)

    load = looks.first_load(chromium, f"{garden.page.url}/plan", is_whole)
    assert (load.bytes_until_paint < looks.WEIGHT_MAX_BYTES, load.foreign) == (True, set())
    assert len(load.late) > 30
    first = ("plan/main.js", *modules_of(STATIC, "plan/main.js"), *STYLES)
    assert load.late.isdisjoint(f"/static/{one}" for one in first)


def test_a_plan_that_takes_its_time_is_said_to_be_read(limited: Garden, phone: Page) -> None:
    """Until it is there, nothing else would stand in the view."""
    held: list[Route] = []
    phone.route("**/api/v1/plan", lambda route: held.append(route), times=1)
    phone.goto(f"{limited.page.url}/plan")
    reading = phone.get_by_text("Reading the plan…")
    expect(reading).to_be_visible(timeout=30_000)
    (route,) = held
    route.continue_()
    expect(phone.locator("#plan")).to_be_visible(timeout=30_000)
    expect(reading).to_be_hidden()


def test_all_of_it_works_after_the_line_has_gone(limited: Garden, laptop: Page) -> None:
    """Nobody has touched anything before that: the fields of a piece, the settings of a load, the
    text and what else opens are there."""
    open_view(laptop, limited, "/plan")
    limited.page.end(signal.SIGKILL)
    expect(laptop.locator("#lost")).to_be_visible()
    pieces = laptop.get_by_role("group", name="Pieces of the day of tower")
    pieces.get_by_role("button").first.click()
    expect(laptop.locator(".piece")).to_be_visible()
    for name in ("Settings of tower", "Other times in heat or cold for tower"):
        laptop.locator(f'summary[aria-label="{name}"]').click()
    for name in ("Add a load", "Plants, reservoirs, sensors, place and guards"):
        laptop.locator("#editor summary", has_text=name).click()
    expect(laptop.locator("#editor .drawer-home:empty:visible")).to_have_count(0)
    expect(text_field(laptop)).to_have_value(re.compile("tried out in a shed"))
    unfold(laptop, "Earlier plans")
    expect(laptop.locator("#revisions")).to_contain_text("no connection")


def test_a_part_that_cannot_be_fetched_says_so_and_comes_later(
    limited: Garden, laptop: Page
) -> None:
    """The rest of the view is there meanwhile; nobody has to do anything."""
    laptop.route(EDITOR, lambda route: route.abort())
    open_plan(laptop, limited)
    expect(laptop.locator("#editor")).to_contain_text("The form could not be fetched")
    expect(laptop.locator("#preview")).to_contain_text("This is the plan in force")
    laptop.unroute(EDITOR)
    limited.daemon.call("hold", {"load": "tower", "order": "off", "for": "1m"})  # a new picture
    expect(laptop.locator("#editor .band")).to_be_visible()
    wait_whole(laptop)


@pytest.mark.parametrize("path", [EDITOR, "**/static/editor/band.js", "**/static/editor.css"])
def test_parts_come_after_a_lost_connection(limited: Garden, laptop: Page, path: str) -> None:
    """The page's program ended while they were on their way, and is there again: a part itself,
    what it imports, its style."""
    held: list[Route] = []
    laptop.route(path, lambda route: held.append(route), times=1)
    open_plan(laptop, limited)
    expect(laptop.locator("#editor")).to_contain_text("Fetching the form")
    limited.page.end(signal.SIGKILL)
    expect(laptop.locator("#lost")).to_be_visible()
    for route in held:
        route.abort()
    expect(laptop.locator("#editor")).to_contain_text("The form could not be fetched")
    laptop.unroute(path)
    with PageProcess(limited.daemon.socket_path, port=limited.page.port):
        expect(laptop.locator("#editor .band")).to_be_visible(timeout=30_000)
        wait_whole(laptop)


def test_a_browser_that_tells_no_times_gets_all_of_it_too(limited: Garden, laptop: Page) -> None:
    """Some keep from pages when they painted, for their readers' sake."""
    laptop.add_init_script("PerformanceObserver.prototype.observe = () => {};")
    open_view(laptop, limited, "/plan")


def test_who_is_quick_need_not_wait_for_the_form(limited: Garden, laptop: Page) -> None:
    """The text is edited and saved before the form is there, which then shows what came of it."""
    held: list[Route] = []
    laptop.route(EDITOR, lambda route: held.append(route), times=1)
    open_plan(laptop, limited)
    field = text_field(laptop)
    field.fill(field.input_value().replace("15m on, 30m off", "12m on, 30m off"))
    save = laptop.locator("#page-bar").get_by_role("button", name="Save", exact=True)
    expect(save).to_be_visible()
    save.click()
    wait_told(laptop, "Revision 2 is in force.")
    for route in held:
        route.continue_()
    expect(laptop.locator("#editor .chip-cycle", has_text="12/30")).to_be_visible()
