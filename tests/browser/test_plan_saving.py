"""A plan saved in a real browser: what the controller does then, what is asked before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import expect

from controller.core.cautions import CAUTIONS
from tests.browser.conftest import Garden
from tests.browser.plan_view import (
    LIMITED,
    NIGHT,
    draft,
    edit,
    in_step,
    open_plan,
    plan_in_force,
    replace,
    save_button,
    text_field,
    wait_told,
)

if TYPE_CHECKING:
    from playwright.sync_api import Page


def _is_on(garden: Garden, name: str) -> bool:
    states = {load["name"]: load["is_on"] for load in garden.daemon.call("status")["loads"]}
    return bool(states[name])


def test_what_is_saved_is_carried_out(fresh_garden: Garden, laptop: Page) -> None:
    """The fan is off by the plan; with another cycle saved, it runs. Undone, it stands still."""
    open_plan(laptop, fresh_garden)
    assert edit(laptop, {"do": "set", "at": "loads.fan.spans.0.cycle", "value": "on"}) == {
        "isDone": True
    }
    expect(laptop.get_by_role("heading", name="Changes to revision 1")).to_be_visible()
    save_button(laptop).click()
    in_step(laptop, "Save and run it").click()
    wait_told(laptop, "Revision 2 is in force.")
    assert _is_on(fresh_garden, "fan") is True
    assert plan_in_force(fresh_garden)["text"] == draft(laptop)["text"]
    expect(laptop.get_by_role("heading", name="Plan in force: revision 2")).to_be_visible()
    expect(save_button(laptop)).to_be_hidden()

    laptop.locator("#told").get_by_role("button", name="Undo").click()
    wait_told(laptop, "as revision 3")
    # Not at once: it has only just started, and a relay does not chatter.
    laptop.goto(fresh_garden.page.url)
    expect(laptop.locator('[data-load="fan"] .state')).to_have_text("Still")
    assert _is_on(fresh_garden, "fan") is False
    open_plan(laptop, fresh_garden)
    told = draft(laptop)
    assert told["document"]["loads"]["fan"]["spans"] == [{"from": "00:00", "cycle": "on"}]
    assert (told["isChanged"], told["isBehind"], told["base"]["revision"]) == (True, False, 3)


def test_mains_near_water_is_warned_of_before_it_is_switched(
    fresh_garden: Garden, phone: Page
) -> None:
    """The controller's own cautions, once for a change and again for new wiring; who goes back
    has saved nothing."""
    open_plan(phone, fresh_garden)
    edit(phone, {"do": "set", "at": "loads.fan.spans.0.cycle", "value": "1h on, 1h off"})
    save_button(phone).tap()
    dialog = phone.get_by_role("dialog", name="Mains near water")
    expect(dialog).to_contain_text("fan may switch mains")
    assert dialog.locator("li").all_inner_texts() == list(CAUTIONS)
    in_step(phone, "Back to the plan").tap()
    expect(dialog).to_be_hidden()
    assert plan_in_force(fresh_garden)["revision"] == 1
    save_button(phone).tap()
    in_step(phone, "Save and run it").tap()
    wait_told(phone, "Revision 2 is in force.")

    edit(phone, {"do": "set", "at": "loads.fan.spans.0.cycle", "value": "2h on, 1h off"})
    save_button(phone).tap()
    wait_told(phone, "Revision 3 is in force.")

    edit(phone, {"do": "set", "at": "loads.fan.line", "value": 23})
    save_button(phone).tap()
    expect(dialog).to_contain_text("fan may switch mains")
    phone.keyboard.press("Escape")
    expect(dialog).to_be_hidden()
    assert plan_in_force(fresh_garden)["revision"] == 3


def test_a_broken_limit_asks_for_a_reason(limited: Garden, phone: Page) -> None:
    """The plan states the longest dry gap; without a reason it is not taken, with one it is, and
    the reason stays with it. Nothing asks where no limit is broken."""
    open_plan(phone, limited)
    edit(phone, {"do": "set", "at": "loads.tower.spans.1.cycle", "value": "15m on, 1h off"})
    save_button(phone).tap()
    dialog = phone.get_by_role("dialog", name="It breaks a limit of its own")
    expect(dialog).to_be_visible(timeout=60_000)
    expect(dialog).to_contain_text("loads.tower.limits.longest_dry_gap")
    in_step(phone, "Save and run it").tap()
    expect(dialog.get_by_role("alert")).to_contain_text("Say why in a few words")
    assert plan_in_force(limited)["revision"] == 1
    reason = "seedlings are out until Sunday"
    dialog.get_by_label("Why it shall run all the same").fill(reason)
    in_step(phone, "Save and run it").tap()
    wait_told(phone, "Revision 2 is in force.")
    assert limited.daemon.call("plan.revisions")["revisions"][1]["note"] == reason

    edit(phone, {"do": "set", "at": "loads.tower.spans.1.cycle", "value": "15m on, 25m off"})
    save_button(phone).tap()
    wait_told(phone, "Revision 3 is in force.")


def test_a_plan_with_errors_is_not_saved_and_leads_to_them(limited: Garden, laptop: Page) -> None:
    """Each error with a way to its line; Control and S save from anywhere."""
    open_plan(laptop, limited)
    replace(laptop, NIGHT, 'cycle = "15x on, 30m off"')
    laptop.keyboard.press("Control+s")
    dialog = laptop.get_by_role("dialog", name="It cannot be saved yet")
    expect(dialog).to_contain_text("loads.tower.spans.1.cycle")
    line = LIMITED.split("\n").index(NIGHT) + 1
    in_step(laptop, f"Go to line {line}").click()
    expect(dialog).to_be_hidden()
    field = text_field(laptop)
    expect(field).to_be_focused()
    picked = field.evaluate("(f) => f.value.slice(f.selectionStart, f.selectionEnd)")
    assert picked == 'cycle = "15x on, 30m off"'
    assert plan_in_force(limited)["revision"] == 1
    laptop.keyboard.type(NIGHT)
    assert draft(laptop)["isChanged"] is False
    expect(laptop.get_by_role("heading", name="Plan in force: revision 1")).to_be_visible()
