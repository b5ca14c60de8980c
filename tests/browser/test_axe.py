"""What axe-core, a judge of accessibility, finds in every view and in what opens there: nothing."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser import looks
from tests.browser.conftest import Garden
from tests.browser.views import VIEWS, open_view
from tests.stage.page_process import PageProcess
from web.security.passcode import stored, write_passcode

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

_SIZES = ((390, 844), (1280, 800))
_LOOKS = [(*size, scheme) for size in _SIZES for scheme in looks.SCHEMES]
each_look = pytest.mark.parametrize(("width", "height", "scheme"), _LOOKS)


@contextmanager
def _window(browser: Browser, width: int, height: int, scheme: looks.Scheme) -> Iterator[Page]:
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, locale="en-GB"
    )
    yield context.new_page()
    context.close()


@each_look
@pytest.mark.parametrize("path", VIEWS)
def test_every_view(
    garden: Garden, chromium: Browser, width: int, height: int, scheme: looks.Scheme, path: str
) -> None:
    """As each is when it has just been opened."""
    with _window(chromium, width, height, scheme) as window:
        open_view(window, garden, path)
        assert looks.axe(window) == []


@each_look
def test_now_in_trouble(
    fresh_garden: Garden, chromium: Browser, width: int, height: int, scheme: looks.Scheme
) -> None:
    """An alarm, a silent sensor, a hold, notes and an order's echo open; stopped, and the question
    whether to go on; the connection lost."""
    fresh_garden.read("floor", "1")
    fresh_garden.read("air", "nonsense")
    with _window(chromium, width, height, scheme) as window:
        window.goto(fresh_garden.page.url)
        expect(window.locator(".alarm")).to_have_count(1)
        window.get_by_role("button", name="Hold off: fan for 20 min").click()
        expect(window.locator(".held-caution").last).to_be_visible()
        window.locator("summary").click()
        assert looks.axe(window) == []
        window.locator(".stop-button").click()
        expect(window.get_by_role("dialog")).to_be_visible()
        assert looks.axe(window) == []
        window.get_by_role("button", name="Stop everything now").click()
        window.get_by_role("button", name="Resume").click()
        window.get_by_text("All cautions").last.click()
        assert looks.axe(window) == []
        window.get_by_role("button", name="Stay stopped").click()
        fresh_garden.daemon.end()
        expect(window.locator("#lost")).to_be_visible()
        assert looks.axe(window) == []


@each_look
def test_the_passcode_form_and_a_guest(
    garden: Garden, chromium: Browser, width: int, height: int, scheme: looks.Scheme
) -> None:
    """Asked for, refused, and looked at by somebody who may only look."""
    kept = garden.folder / "passcode"
    write_passcode(kept, stored("wet roots hang low"))
    with _window(chromium, width, height, scheme) as window:
        with PageProcess(garden.daemon.socket_path, passcode_path=str(kept)) as page:
            window.goto(page.url)
            window.get_by_label("Passcode").fill("dry roots")
            window.keyboard.press("Enter")
            expect(window.get_by_role("alert")).to_contain_text("not the passcode")
            assert looks.axe(window) == []
        with PageProcess(
            garden.daemon.socket_path, passcode_path=str(kept), guests_may_read=True
        ) as page:
            window.goto(page.url)
            expect(window.locator(".strip-row").first).to_be_visible()
            assert looks.axe(window) == []
