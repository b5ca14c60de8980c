"""Where guests may read: what the owner had on the screen, once the owner has logged out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Garden, grown
from tests.browser.dry_run_view import open_dry_run, plan_choice
from tests.browser.plan_view import LIMITED, draft, edit, open_plan
from tests.stage.page_process import PageProcess
from web.security.passcode import stored, write_passcode

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Page

PASSCODE = "wet roots hang low"


@pytest.fixture(scope="module")
def guarded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """A garden whose page has a passcode, and which guests may look at; no test saves."""
    folder: Path = tmp_path_factory.mktemp("guarded")
    kept = folder / "passcode"
    write_passcode(kept, stored(PASSCODE))
    settings = {"passcode_path": str(kept), "guests_may_read": True}
    with (
        grown(folder, LIMITED) as garden,
        PageProcess(garden.daemon.socket_path, **settings) as page,
    ):
        yield garden._replace(page=page)


def _log_in(window: Page) -> None:
    window.locator("#session").get_by_role("button", name="Log in").click()
    window.get_by_label("Passcode").fill(PASSCODE)
    window.locator("#login").get_by_role("button", name="Log in").click()
    expect(window.get_by_role("button", name="Log out")).to_be_visible()


def _log_out(window: Page) -> None:
    window.get_by_role("button", name="Log out").click()
    expect(window.locator("#session").get_by_role("button", name="Log in")).to_be_visible()


def test_a_draft_is_the_owner_s_alone(guarded: Garden, phone: Page) -> None:
    """A guest sees the plan in force, and may run no draft on paper; it waits for the owner."""
    open_plan(phone, guarded)
    _log_in(phone)
    edit(phone, {"do": "set", "at": "loads.tower.watts", "value": 23})
    changed = LIMITED.replace("watts = 22", "watts = 23")
    assert draft(phone)["text"] == changed
    with phone.expect_event("load"):
        _log_out(phone)
    expect(phone.locator("#plan")).to_be_visible(timeout=30_000)
    phone.wait_for_function(
        """async (text) => (await import("/static/plan/draft.js")).draft.text === text""",
        arg=LIMITED,
    )
    expect(phone.get_by_role("heading", name="Changes to revision 1")).to_be_hidden()
    open_dry_run(phone, guarded, "?plan=draft")
    choice = plan_choice(phone).locator("option[value=draft]")
    expect(choice).to_be_disabled()
    expect(phone.locator("#form")).to_contain_text("No unsaved draft is left")
    _log_in(phone)
    expect(choice).to_be_enabled()
    open_plan(phone, guarded)
    expect(phone.get_by_role("heading", name="Changes to revision 1")).to_be_visible()
    assert draft(phone)["text"] == changed


def test_the_last_day_is_shown_to_the_guest_too(guarded: Garden, phone: Page) -> None:
    """As it is now, and from then on."""
    phone.goto(guarded.page.url)
    _log_in(phone)
    expect(phone.locator("#history")).to_contain_text("tower")
    with phone.expect_response("**/api/v1/history?hours=24", timeout=20_000):
        _log_out(phone)
