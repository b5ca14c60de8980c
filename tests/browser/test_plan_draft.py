"""A draft in a real browser: nothing of it is lost, whatever ends or breaks meanwhile."""

from __future__ import annotations

import re
import signal
from typing import TYPE_CHECKING

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
    replace,
    save_button,
    text_field,
    wait_told,
)
from tests.stage.page_process import PageProcess

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

OTHER_NIGHT = 'cycle = "15m on, 35m off"'


def _bar(window: Page, name: str) -> Locator:
    return window.locator("#page-bar").get_by_role("button", name=re.compile(f"^{name}"))


def test_undo_and_redo_tell_what_they_take_back(limited: Garden, laptop: Page) -> None:
    """By button and by key; discarding is undone too. What is refused leaves all as it was."""
    open_plan(laptop, limited)
    at = "loads.tower.spans.1.cycle"
    edit(laptop, {"do": "set", "at": at, "value": "10m on, 20m off"}, words="tower by night")
    edit(laptop, {"do": "set", "at": "loads.tower.watts", "value": 30}, words="watts of tower")
    expect(_bar(laptop, "Undo")).to_have_accessible_name("Undo: watts of tower")
    both = draft(laptop)["text"]
    assert both == LIMITED.replace(NIGHT, 'cycle = "10m on, 20m off"').replace("= 22", "= 30")
    refused = edit(laptop, {"do": "set", "at": at, "value": "10x on, 20m off"})
    assert refused["isDone"] is False
    assert [one["where"] for one in refused["findings"] if one["level"] == "error"] == [at]
    assert draft(laptop)["text"] == both

    _bar(laptop, "Undo").click()
    expect(_bar(laptop, "Redo")).to_have_accessible_name("Redo: watts of tower")
    assert draft(laptop)["document"]["loads"]["tower"]["watts"] == 22
    laptop.keyboard.press("Control+z")
    assert draft(laptop)["text"] == LIMITED
    laptop.keyboard.press("Control+Shift+z")
    laptop.keyboard.press("Control+y")
    assert draft(laptop)["text"] == both
    _bar(laptop, "Discard").click()
    wait_told(laptop, "discarded")
    assert draft(laptop)["text"] == LIMITED
    _bar(laptop, "Undo").click()
    assert draft(laptop)["text"] == both


def test_edits_in_a_row_all_arrive(limited: Garden, laptop: Page) -> None:
    """As by a stepper that is held: those of one key that wait give way to the newest, are told so,
    and are one step to undo; those of other keys are kept."""
    open_plan(laptop, limited)
    answers = laptop.evaluate(
        """async () => {
          const { draft } = await import("/static/plan/draft.js");
          const set = (at, value) => draft.edit([{ do: "set", at, value }], at);
          const all = [];
          const first = "loads.tower.spans.0.cycle";
          for (let m = 1; m <= 20; m += 1) all.push(set(first, `${m}m on, 9m off`));
          all.push(set("loads.tower.watts", 40));
          all.push(set("loads.tower.spans.1.cycle", "7m on, 9m off"));
          return Promise.all(all);
        }"""
    )
    assert answers == [{"isDone": True}] * 22
    expected = LIMITED.replace(DAY, 'cycle = "20m on, 9m off"').replace("= 22", "= 40")
    assert draft(laptop)["text"] == expected.replace(NIGHT, 'cycle = "7m on, 9m off"')
    for _ in range(3):
        _bar(laptop, "Undo").click()
    assert draft(laptop)["text"] == LIMITED


def test_it_survives_reload_and_the_page_s_restart(limited: Garden, phone: Page) -> None:
    """Also where the text is no plan at all at that moment."""
    open_plan(phone, limited)
    replace(phone, NIGHT, 'cycle = "15m on, 30m off')
    expect(phone.locator(".told-finding.is-error")).to_have_count(1)
    phone.reload()
    heading = phone.get_by_role("heading", name="Changes to revision 1, not saved yet")
    expect(heading).to_be_visible()
    expect(phone.locator("#edited")).to_contain_text("You left these changes here on")
    broken = draft(phone)
    assert broken["text"] == LIMITED.replace(NIGHT, 'cycle = "15m on, 30m off')
    assert broken["isFit"] is False
    assert broken["document"]["loads"]["tower"]["spans"][1]["cycle"] == "15m on, 30m off"

    field = text_field(phone)
    limited.page.end(signal.SIGKILL)
    expect(phone.locator("#lost")).to_be_visible()
    field.fill(LIMITED.replace(NIGHT, OTHER_NIGHT))
    with PageProcess(limited.daemon.socket_path, port=limited.page.port):
        phone.reload()
        expect(phone.locator("#plan")).to_be_visible(timeout=30_000)
        expect(phone.locator("#lost")).to_be_hidden()
        assert draft(phone)["text"] == LIMITED.replace(NIGHT, OTHER_NIGHT)
        save_button(phone).tap()
        wait_told(phone, "Revision 2 is in force.")
        assert plan_in_force(limited)["text"] == LIMITED.replace(NIGHT, OTHER_NIGHT)
        phone.reload()
        expect(phone.get_by_role("heading", name="Plan in force: revision 2")).to_be_visible()


def test_the_controller_is_restarted_while_one_edits(limited: Garden, laptop: Page) -> None:
    """Editing goes on without it, saving says why not; when it is back, it is saved as if nothing
    had been."""
    open_plan(laptop, limited)
    edit(laptop, {"do": "set", "at": "loads.tower.watts", "value": 23})
    limited.daemon.end()
    expect(laptop.locator("#lost")).to_be_visible()
    assert edit(laptop, {"do": "set", "at": "loads.tower.watts", "value": 24}) == {"isDone": True}
    save_button(laptop).click()
    wait_told(laptop, "Not saved:")
    expect(laptop.locator("#told")).to_have_class(re.compile("is-problem"))
    laptop.reload()  # with the controller away, what was left here is all there is
    expect(laptop.locator("#plan")).to_be_visible(timeout=30_000)
    assert draft(laptop)["text"] == LIMITED.replace("= 22", "= 24")
    limited.daemon.start()
    expect(laptop.locator("#lost")).to_be_hidden(timeout=30_000)
    save_button(laptop).click()
    wait_told(laptop, "is in force.")
    assert plan_in_force(limited)["text"] == LIMITED.replace("= 22", "= 24")


def test_two_windows_of_one_browser_share_one_draft(limited: Garden, laptop: Page) -> None:
    """What one changes shows in the other, which can take it back."""
    other = laptop.context.new_page()
    open_plan(laptop, limited)
    open_plan(other, limited)
    edit(laptop, {"do": "set", "at": "loads.tower.watts", "value": 23})
    changed = other.get_by_role("heading", name="Changes to revision 1, not saved yet")
    expect(changed).to_be_visible()
    assert draft(other)["text"] == LIMITED.replace("= 22", "= 23")
    _bar(other, "Undo").click()
    expect(laptop.get_by_role("heading", name="Plan in force: revision 1")).to_be_visible()
    assert draft(laptop)["text"] == LIMITED
