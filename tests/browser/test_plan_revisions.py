"""Earlier plans in a real browser: looked at, compared, put into force again, and that undone."""

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
    in_step,
    open_plan,
    plan_in_force,
    unfold,
    wait_told,
)
from tests.stage.page_process import PageProcess
from web.security.passcode import stored, write_passcode

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

DRY_NIGHT = 'cycle = "15m on, 35m off"'
OTHER_DAY = 'cycle = "12m on, 15m off"'
# Three revisions of our own invention: the second changes the night, the third the day too.
SECOND = LIMITED.replace(NIGHT, DRY_NIGHT)
THIRD = SECOND.replace(DAY, OTHER_DAY)


@pytest.fixture
def kept(limited: Garden) -> Garden:
    """A garden with three plans, the last of them in force."""
    for number, text in enumerate((SECOND, THIRD), start=1):
        limited.daemon.call(
            "plan.propose", {"text": text, "based_on": number, "note": f"try {number}"}
        )
    return limited


def _item(window: Page, number: int) -> Locator:
    title = window.get_by_role("heading", name=f"Revision {number}", exact=False)
    return window.locator("li.revision").filter(has=title)


def _button(window: Page, name: str) -> Locator:
    return window.get_by_role("button", name=name, exact=True)


def _listed(window: Page) -> list[str]:
    return window.locator("li.revision > h3").all_inner_texts()


def _restore(window: Page, number: int) -> Locator:
    """Asks for a revision; gives the question, once it is there."""
    _button(window, f"Restore revision {number}").click()
    dialog = window.get_by_role("dialog", name=f"Put revision {number} into force?")
    expect(dialog).to_be_visible(timeout=60_000)
    return dialog


def test_all_are_listed_with_what_is_known_of_them(kept: Garden, phone: Page) -> None:
    """The newest first; why each came stands with it, and which is in force."""
    open_plan(phone, kept)
    unfold(phone, "Earlier plans")
    expect(phone.locator("li.revision")).to_have_count(3)
    assert _listed(phone) == ["Revision 3 in force", "Revision 2", "Revision 1"]
    told = kept.daemon.call("plan.revisions")["revisions"]
    for one in told:
        expect(_item(phone, one["revision"])).to_contain_text(one["how"])
    expect(_item(phone, 3)).to_contain_text("try 2")
    expect(_button(phone, "Restore revision 3")).to_have_count(0)
    expect(_button(phone, "What it changed: revision 1")).to_have_count(0)


def test_each_is_looked_at_line_by_line(kept: Garden, phone: Page) -> None:
    """Its whole text with numbers; a second touch folds it away."""
    open_plan(phone, kept)
    unfold(phone, "Earlier plans")
    view = _button(phone, "View revision 1")
    expect(view).to_have_attribute("aria-expanded", "false")
    view.tap()
    code = _item(phone, 1).locator(".difference code")
    expect(code).to_have_text(LIMITED.rstrip("\n").split("\n"))
    expect(view).to_have_attribute("aria-expanded", "true")
    view.tap()
    expect(code).to_have_count(0)
    expect(view).to_have_attribute("aria-expanded", "false")


def test_differences_tell_what_a_revision_changed_and_what_changed_since(
    kept: Garden, laptop: Page
) -> None:
    """Against the one before it, and against the one in force; one of both is unfolded."""
    open_plan(laptop, kept)
    unfold(laptop, "Earlier plans")
    second = _item(laptop, 2)
    before, since = (
        _button(laptop, f"{words}: revision 2")
        for words in ("What it changed", "Against the one in force")
    )
    before.click()
    expect(second).to_contain_text("From revision 1 to revision 2:")
    expect(second.locator(".gone code")).to_have_text([NIGHT])
    expect(second.locator(".come code")).to_have_text([DRY_NIGHT])
    line = str(LIMITED.split("\n").index(NIGHT) + 1)
    expect(second.locator(".gone .number")).to_have_text([line])
    since.click()
    expect(second).to_contain_text("From revision 2 to revision 3:")
    expect(second.locator(".gone code")).to_have_text([DAY])
    expect(second.locator(".come code")).to_have_text([OTHER_DAY])
    expect(before).to_have_attribute("aria-expanded", "false")
    expect(since).to_have_attribute("aria-expanded", "true")


def test_a_restored_plan_runs_and_that_is_undone(kept: Garden, laptop: Page) -> None:
    """First it is told what that changes on paper; it comes as a revision of its own. Undone, the
    plan from before runs again, as one more; the list tells each time which is in force."""
    open_plan(laptop, kept)
    unfold(laptop, "Earlier plans")
    dialog = _restore(laptop, 1)
    expect(dialog).to_contain_text("Against the plan in force it changes, on paper:")
    expect(dialog.locator("table")).to_contain_text("The next day")
    in_step(laptop, "Put it into force").click()
    wait_told(laptop, "Revision 1 is in force again, as revision 4.")
    assert plan_in_force(kept)["text"] == LIMITED
    told = draft(laptop)
    assert (told["text"], told["isChanged"], told["isBehind"]) == (LIMITED, False, False)
    expect(laptop.get_by_role("heading", name="Plan in force: revision 4")).to_be_visible()
    expect(laptop.locator("li.revision > h3").first).to_have_text("Revision 4 in force")

    laptop.locator("#told").get_by_role("button", name="Undo").click()
    wait_told(laptop, "Undone: the plan from before is in force again, as revision 5.")
    assert plan_in_force(kept)["text"] == THIRD
    assert draft(laptop)["text"] == THIRD
    expect(laptop.locator("li.revision > h3").first).to_have_text("Revision 5 in force")
    assert _listed(laptop)[1:] == [f"Revision {number}" for number in (4, 3, 2, 1)]


def test_who_leaves_it_changes_nothing(kept: Garden, phone: Page) -> None:
    """By the button and by Escape; the focus is where it was."""
    open_plan(phone, kept)
    unfold(phone, "Earlier plans")
    for key in (None, "Escape"):
        dialog = _restore(phone, 2)
        if key is None:
            in_step(phone, "Leave it").tap()
        else:
            phone.keyboard.press(key)
        expect(dialog).to_be_hidden()
        expect(_button(phone, "Restore revision 2")).to_be_focused()
    assert plan_in_force(kept)["revision"] == 3
    assert draft(phone)["isChanged"] is False


def test_a_plan_that_switches_alike_says_so(kept: Garden, laptop: Page) -> None:
    """Where only words differ there is nothing to compare in numbers."""
    kept.daemon.call("plan.propose", {"text": THIRD + "# a word\n", "based_on": 3, "note": None})
    open_plan(laptop, kept)
    unfold(laptop, "Earlier plans")
    dialog = _restore(laptop, 3)
    expect(dialog).to_contain_text("it switches everything as the plan in force does")
    expect(dialog.locator("table")).to_have_count(0)


def test_what_is_edited_stays_while_another_plan_comes_into_force(
    kept: Garden, laptop: Page
) -> None:
    """The question says so; afterwards the draft is behind, and one chooses how to go on."""
    open_plan(laptop, kept)
    edit(laptop, {"do": "set", "at": "loads.tower.watts", "value": 30})
    mine = draft(laptop)["text"]
    unfold(laptop, "Earlier plans")
    dialog = _restore(laptop, 2)
    expect(dialog).to_contain_text("What you edit stays here, unsaved.")
    in_step(laptop, "Put it into force").click()
    wait_told(laptop, "Revision 2 is in force again, as revision 4.")
    assert plan_in_force(kept)["text"] == SECOND
    told = draft(laptop)
    assert (told["text"], told["isChanged"], told["isBehind"]) == (mine, True, True)
    expect(
        laptop.get_by_role("region", name="Meanwhile revision 4 came into force")
    ).to_be_visible()
    laptop.locator("#told").get_by_role("button", name="Undo").click()
    wait_told(laptop, "as revision 5.")
    assert plan_in_force(kept)["text"] == THIRD
    assert draft(laptop)["text"] == mine


def test_what_another_browser_restored_shows_in_the_list(kept: Garden, laptop: Page) -> None:
    """While it is open, without being touched."""
    open_plan(laptop, kept)
    unfold(laptop, "Earlier plans")
    expect(laptop.locator("li.revision")).to_have_count(3)
    kept.daemon.call("plan.restore", {"revision": 1})
    expect(laptop.locator("li.revision > h3").first).to_have_text("Revision 4 in force")
    expect(_button(laptop, "Restore revision 3")).to_be_visible()
    assert draft(laptop)["text"] == LIMITED


def test_without_a_controller_each_part_says_that_it_cannot_be_had(
    kept: Garden, laptop: Page
) -> None:
    """The list stays; what is asked for anew is told as missing, and comes when it is back."""
    open_plan(laptop, kept)
    unfold(laptop, "Earlier plans")
    expect(laptop.locator("li.revision")).to_have_count(3)
    kept.daemon.end()
    expect(laptop.locator("#lost")).to_be_visible()
    view = _button(laptop, "View revision 1")
    view.click()
    expect(_item(laptop, 1).locator(".problem")).to_contain_text("It cannot be read:")
    dialog = _restore(laptop, 1)
    expect(dialog).to_contain_text("What it changes could not be worked out:")
    in_step(laptop, "Put it into force").click()
    wait_told(laptop, "Not restored:")
    kept.daemon.start()
    expect(laptop.locator("#lost")).to_be_hidden(timeout=30_000)
    view.click()
    view.click()
    expect(_item(laptop, 1).locator(".difference code").first).to_have_text(LIMITED.split("\n")[0])
    assert plan_in_force(kept)["text"] == THIRD


def test_a_guest_looks_and_restores_nothing(kept: Garden, phone: Page) -> None:
    """All texts and differences, and no button that would order something."""
    passcode = kept.folder / "passcode"
    write_passcode(passcode, stored("wet roots hang low"))
    settings = {"passcode_path": str(passcode), "guests_may_read": True}
    with PageProcess(kept.daemon.socket_path, **settings) as page:
        phone.goto(f"{page.url}/plan")
        expect(phone.locator("#plan")).to_be_visible(timeout=30_000)
        unfold(phone, "Earlier plans")
        expect(phone.locator("li.revision")).to_have_count(3)
        _button(phone, "Against the one in force: revision 1").tap()
        expect(_item(phone, 1).locator(".come code")).to_have_text([OTHER_DAY, DRY_NIGHT])
        expect(phone.get_by_role("button", name="Restore")).to_have_count(0)
