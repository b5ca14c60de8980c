"""Two browsers edit at once: the later one is told, chooses, and loses nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Garden
from tests.browser.plan_view import (
    DAY,
    LIMITED,
    NIGHT,
    draft,
    edit,
    open_plan,
    plan_in_force,
    save_button,
    wait_told,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Locator, Page

OTHER_DAY = 'cycle = "12m on, 15m off"'
OTHER_NIGHT = 'cycle = "12m on, 30m off"'
THIRD_NIGHT = 'cycle = "20m on, 30m off"'


@pytest.fixture
def other(chromium: Browser) -> Iterator[Page]:
    """Somebody else's browser."""
    context = chromium.new_context(viewport={"width": 1280, "height": 800}, locale="en-GB")
    yield context.new_page()
    context.close()


def _set(window: Page, span: int, cycle: str) -> None:
    value = cycle.split('"')[1]
    answer = edit(window, {"do": "set", "at": f"loads.tower.spans.{span}.cycle", "value": value})
    assert answer == {"isDone": True}


def _meanwhile(window: Page, revision: int) -> Locator:
    return window.get_by_role("region", name=f"Meanwhile revision {revision} came into force")


def _save(window: Page, revision: int) -> None:
    save_button(window).click()
    wait_told(window, f"Revision {revision} is in force.")


def test_changes_to_other_lines_are_put_on_top(limited: Garden, laptop: Page, other: Page) -> None:
    """The later one is told at once and not only when saving; sees what the other changed; and
    both changes are in the plan in the end. Undo leads back to the choice."""
    open_plan(laptop, limited)
    open_plan(other, limited)
    _set(laptop, 1, OTHER_NIGHT)
    _set(other, 0, OTHER_DAY)
    _save(other, 2)
    meanwhile = _meanwhile(laptop, 2)
    expect(meanwhile).to_be_visible()
    wait_told(laptop, "Meanwhile somebody saved revision 2.")
    expect(meanwhile.locator(".gone code")).to_have_text([DAY])
    expect(meanwhile.locator(".come code")).to_have_text([OTHER_DAY])
    expect(meanwhile).to_contain_text("Both fit together")
    mine = draft(laptop)["text"]
    save_button(laptop).click()
    wait_told(laptop, "Not saved: meanwhile another plan came into force.")
    assert plan_in_force(limited)["revision"] == 2

    meanwhile.get_by_role("button", name="Keep editing, decide later").click()
    expect(meanwhile.locator(".come")).to_have_count(0)
    meanwhile.get_by_role("button", name="Decide").click()
    meanwhile.get_by_role("button", name="Put my changes on top of it").click()
    expect(meanwhile).to_be_hidden()
    laptop.locator("#page-bar").get_by_role("button", name="Undo").click()
    expect(meanwhile).to_be_visible()
    assert draft(laptop)["text"] == mine
    meanwhile.get_by_role("button", name="Put my changes on top of it").click()
    _save(laptop, 3)
    expected = LIMITED.replace(DAY, OTHER_DAY).replace(NIGHT, OTHER_NIGHT)
    assert plan_in_force(limited)["text"] == expected
    expect(other.get_by_role("heading", name="Plan in force: revision 3")).to_be_visible()
    wait_told(other, "Somebody saved the plan: you see revision 3.")


@pytest.mark.parametrize(
    ("choice", "kept"),
    [
        ("Put mine on top, and mine where both changed", OTHER_NIGHT),
        ("Put mine on top, but theirs where both changed", THIRD_NIGHT),
    ],
)
def test_changes_to_the_same_line_are_chosen_between(
    limited: Garden, laptop: Page, other: Page, choice: str, kept: str
) -> None:
    """Both versions are shown beside what was there before; changes elsewhere stay either way."""
    open_plan(laptop, limited)
    open_plan(other, limited)
    _set(laptop, 1, OTHER_NIGHT)
    _set(laptop, 0, OTHER_DAY)
    _set(other, 1, THIRD_NIGHT)
    _save(other, 2)
    meanwhile = _meanwhile(laptop, 2)
    expect(meanwhile.locator(".clash dd")).to_have_text([NIGHT, OTHER_NIGHT, THIRD_NIGHT])
    meanwhile.get_by_role("button", name=choice).click()
    expect(meanwhile).to_be_hidden()
    _save(laptop, 3)
    assert plan_in_force(limited)["text"] == LIMITED.replace(DAY, OTHER_DAY).replace(NIGHT, kept)


def test_theirs_are_taken_and_mine_can_be_brought_back(
    limited: Garden, laptop: Page, other: Page
) -> None:
    """Also after a reload with the choice still open."""
    open_plan(laptop, limited)
    open_plan(other, limited)
    _set(laptop, 1, OTHER_NIGHT)
    mine = draft(laptop)["text"]
    laptop.goto("about:blank")
    _set(other, 1, THIRD_NIGHT)
    _save(other, 2)
    open_plan(laptop, limited)
    meanwhile = _meanwhile(laptop, 2)
    expect(meanwhile).to_contain_text("made from revision 1")
    assert draft(laptop)["text"] == mine
    meanwhile.get_by_role("button", name="Take the new revision, drop mine").click()
    expect(laptop.get_by_role("heading", name="Plan in force: revision 2")).to_be_visible()
    assert draft(laptop)["text"] == LIMITED.replace(NIGHT, THIRD_NIGHT)
    laptop.locator("#page-bar").get_by_role("button", name="Undo").click()
    assert draft(laptop)["text"] == mine
    expect(meanwhile).to_be_visible()


def test_who_has_changed_nothing_sees_the_new_plan(
    limited: Garden, laptop: Page, other: Page
) -> None:
    """Without a question: there is nothing to lose."""
    open_plan(laptop, limited)
    open_plan(other, limited)
    _set(other, 0, OTHER_DAY)
    _save(other, 2)
    expect(laptop.get_by_role("heading", name="Plan in force: revision 2")).to_be_visible()
    assert draft(laptop)["text"] == LIMITED.replace(DAY, OTHER_DAY)
    expect(laptop.locator("#meanwhile")).to_be_hidden()
