"""How a pump's water gets up, told in the plan's form: hose, the pump's points, fittings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.browser.editor_form import SHED, card, draft_text, edited, open_drawer, open_form
from tests.browser.plan_view import draft
from tests.browser.water_form import BARREL, open_lift, point, write_point

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

    from tests.browser.conftest import Garden

LAMP = "\n[loads.lamp]\n"
BY_LABEL = """
[loads.tower.lift]
height_m = 1.5
hose_bore_mm = 16
hose_length_m = 3
shut_off_head_m = 2.2
free_flow_l_per_h = 1200
"""
BY_CURVE = """
[loads.tower.lift]
height_m = 1.5
hose_bore_mm = 16
hose_length_m = 3
curve = [[1200, 0], [0, 2.2]]
"""


def _fill_way(lift: Locator) -> None:
    lift.get_by_label("Height").fill("1,5")
    lift.get_by_label("Inner width of the hose").fill("16")
    lift.get_by_label("Length of the hose").fill("3")


def test_the_way_up_is_told_by_the_pump_s_label(shed: Garden, phone: Page) -> None:
    """What is missing is told beside it; then the page tells whether the pump lifts that high."""
    lift = open_lift(phone, shed)
    _fill_way(lift)
    lift.get_by_label("Highest lift on its label").fill("2.2")
    lift.get_by_role("button", name="Add the way up").tap()
    flow = lift.locator(".field", has=phone.get_by_label("Flow on its label"))
    expect(flow.locator(".finding.is-error")).to_have_text("Error: This has to be known.")
    expect(lift.get_by_label("Flow on its label")).to_be_focused()
    assert draft_text(phone) == SHED
    lift.get_by_label("Flow on its label").fill("1200")
    lift.get_by_role("button", name="Add the way up").tap()
    told = card(phone, "tower").locator("summary:visible", has_text="The way up")
    expect(told).to_be_focused()
    assert draft_text(phone) == edited(SHED, (LAMP, BY_LABEL + LAMP))


def test_the_way_up_is_told_by_points(shed: Garden, laptop: Page) -> None:
    """An empty row counts for nothing; a wrong number is refused beside the points."""
    lift = open_lift(laptop, shed)
    _fill_way(lift)
    lift.get_by_label("The pump is known by").select_option("curve")
    expect(lift.get_by_label("Flow on its label")).to_be_hidden()
    write_point(lift, 1, "1200", "0")
    write_point(lift, 3, "0", "high")
    lift.get_by_role("button", name="Add the way up").click()
    expect(lift.locator("fieldset .finding.is-error:visible")).to_contain_text(
        "the head of point 2 is 'high'; allowed is 0 to 100 m"
    )
    expect(point(lift, 2)[0]).to_be_focused()
    wrong = lift.locator(".point [aria-invalid=true]").evaluate_all(
        "(all) => all.map((e) => e.value)"
    )
    assert wrong == ["0", "high"]
    assert draft_text(laptop) == SHED
    write_point(lift, 2, "0", "2,2")
    lift.get_by_role("button", name="Add the way up").click()
    expect(card(laptop, "tower").locator(".point:visible")).to_have_count(2)
    assert draft_text(laptop) == edited(SHED, (LAMP, BY_CURVE + LAMP))


def test_only_a_pump_is_asked_for_a_way_up(shed: Garden, laptop: Page) -> None:
    """A lamp lifts no water."""
    open_form(laptop, shed)
    settings = open_drawer(card(laptop, "lamp"), "Settings")
    expect(settings.get_by_text("Wiring")).to_be_visible()
    expect(settings.locator("summary:visible", has_text="The way up")).to_have_count(0)


def test_points_are_changed_added_and_removed_as_rows(barrel: Garden, phone: Page) -> None:
    """The comments between them stay, and undo brings all of it back."""
    lift = open_lift(phone, barrel)
    shown = [[field.input_value() for field in point(lift, number)] for number in (1, 2, 3)]
    assert shown == [["1200", "0"], ["700", "1.4"], ["0", "2.2"]]
    point(lift, 2)[0].fill("650")
    point(lift, 2)[0].press("Enter")
    other = edited(BARREL, ("[700, 1.4],  # about", "[650, 1.4],  # about"))
    expect(phone.locator("#page-bar").get_by_role("button", name="Undo")).to_be_enabled()
    assert draft_text(phone) == other
    lift.get_by_role("button", name="Add a point").tap()
    expect(point(lift, 4)[0]).to_be_focused()
    phone.keyboard.type("300")
    phone.keyboard.press("Tab")
    assert draft_text(phone) == other  # half a point is none yet
    phone.keyboard.type("1.9")
    phone.keyboard.press("Enter")
    expect(lift.locator(".finding:visible")).to_have_count(0)
    more = edited(other, ("    [0, 2.2],\n", "    [0, 2.2],\n    [300, 1.9],\n"))
    assert draft_text(phone) == more
    lift.get_by_role("button", name="Remove point 2").tap()
    expect(lift.locator(".point:visible")).to_have_count(3)
    fewer = edited(more, ("    # read with a ruler\n    [650, 1.4],  # about\n", ""))
    assert draft_text(phone) == fewer
    undo = phone.locator("#page-bar").get_by_role("button", name="Undo")
    while point(lift, 2)[0].input_value() != "700":  # what follows within a moment is one step
        undo.tap()
        draft_text(phone)
    assert draft_text(phone) == BARREL


def test_a_curve_that_no_pump_has_is_refused_beside_it(barrel: Garden, laptop: Page) -> None:
    """What was typed stays to be mended, Escape brings back what the plan has."""
    lift = open_lift(laptop, barrel)
    flow, head = point(lift, 2)
    head.fill("9")
    head.press("Enter")
    refused = lift.locator("fieldset .finding.is-error:visible")
    expect(refused).to_have_count(1)
    expect(head).to_have_value("9")
    expect(head).to_have_attribute("aria-invalid", "true")
    assert draft_text(laptop) == BARREL
    flow.press("Escape")
    expect(head).to_have_value("1.4")
    expect(refused).to_have_count(0)
    lift.get_by_role("button", name="Remove point 1").click()
    expect(refused).to_contain_text("add the flow without a lift")
    lift.get_by_role("button", name="As it was").click()
    expect(refused).to_have_count(0)
    expect(flow).to_have_value("700")
    expect(lift.get_by_role("button", name="As it was")).to_be_hidden()
    assert draft_text(laptop) == BARREL


def test_a_pump_is_told_by_its_label_instead_and_by_points_again(
    barrel: Garden, laptop: Page
) -> None:
    """Either way in one change: a plan never has both, nor none."""
    lift = open_lift(laptop, barrel)
    lift.get_by_text("By the two numbers on the pump’s label instead").click()
    lift.locator("input:visible").and_(lift.get_by_label("Highest lift on its label")).fill("2.2")
    lift.locator("input:visible").and_(lift.get_by_label("Flow on its label")).fill("1200")
    lift.get_by_role("button", name="Take these numbers").click()
    expect(lift.locator(".point:visible")).to_have_count(0)
    part = draft(laptop)["document"]["loads"]["tower"]["lift"]
    assert ("curve" in part, part["shut_off_head_m"], part["free_flow_l_per_h"]) == (
        False, 2.2, 1200,
    )  # fmt: skip
    lift.get_by_text("By points of the pump’s curve instead").click()
    write_point(lift, 1, "1000", "0")
    write_point(lift, 2, "0", "2")
    lift.get_by_role("button", name="Take these points").click()
    expect(lift.get_by_text("By the two numbers on the pump’s label instead")).to_be_visible()
    part = draft(laptop)["document"]["loads"]["tower"]["lift"]
    assert part["curve"] == [[1000, 0], [0, 2]]
    assert not {"shut_off_head_m", "free_flow_l_per_h"} & set(part)
    undo = laptop.locator("#page-bar").get_by_role("button", name="Undo")
    undo.click()
    undo.click()
    assert draft_text(laptop) == BARREL


def test_fittings_are_counted_added_and_removed_as_rows(barrel: Garden, phone: Page) -> None:
    """By big buttons, by number, from a list of those that are not there yet; comments stay."""
    lift = open_lift(phone, barrel)
    elbow = lift.get_by_role("textbox", name="a sharp bend of 90°", exact=True)
    expect(elbow).to_have_value("2")
    lift.get_by_role("button", name="a sharp bend of 90°: more").tap()
    expect(elbow).to_have_value("3")
    assert draft_text(phone) == edited(BARREL, ("elbow = 2", "elbow = 3"))
    elbow.fill("2000")
    elbow.press("Enter")
    expect(elbow).to_have_attribute("aria-invalid", "true")
    expect(lift.locator(".fitting .finding.is-error")).to_contain_text("from 0 to 100")
    elbow.fill("4")
    elbow.press("Enter")
    expect(elbow).to_have_attribute("aria-invalid", "false")
    lift.get_by_label("Another fitting").select_option("tee_branch")
    lift.get_by_role("button", name="Add this fitting").tap()
    expect(lift.get_by_role("textbox", name="a tee, round the corner")).to_be_focused()
    added = "fittings = { elbow = 4, barb = 1, tee_branch = 1 } # counted twice"
    assert draft_text(phone) == edited(
        BARREL, ("fittings = { elbow = 2, barb = 1 } # counted twice", added)
    )
    lift.get_by_role("button", name="Remove: a sharp bend of 90°").tap()
    expect(elbow).to_have_count(0)
    assert added.replace("elbow = 4, ", "") in draft_text(phone)
    for name in (
        "a hose barb or coupling, 70 to 85 % as wide as the hose",
        "a tee, round the corner",
    ):
        lift.get_by_role("button", name=f"Remove: {name}").tap()
        expect(lift.get_by_role("textbox", name=name)).to_have_count(0)
    assert "fittings" not in draft(phone)["document"]["loads"]["tower"]["lift"]


def test_the_way_up_is_removed_and_undone(barrel: Garden, phone: Page) -> None:
    """The form that tells one anew stands in its place."""
    lift = open_lift(phone, barrel)
    lift.get_by_role("button", name="Remove the way up of tower").tap()
    settings = card(phone, "tower")
    expect(settings.get_by_role("button", name="Remove the way up of tower")).to_be_hidden()
    assert "lift" not in draft(phone)["document"]["loads"]["tower"]
    settings.locator("summary:visible", has_text="The way up").tap()
    expect(settings.get_by_role("button", name="Add the way up")).to_be_visible()
    phone.locator("#told").get_by_role("button", name="Undo").tap()
    expect(settings.get_by_role("button", name="Add the way up")).to_be_hidden()
    assert draft_text(phone) == BARREL


def test_a_load_that_plants_need_is_not_removed(barrel: Garden, laptop: Page) -> None:
    """Who needs it is told before anything is lost."""
    open_form(laptop, barrel)
    settings = open_drawer(card(laptop, "tower"), "Settings")
    settings.get_by_role("button", name="Remove tower from the plan").click()
    expect(laptop.locator("#told-text")).to_have_text(
        "tower stays, because heads is watered by it. Change that first."
    )
    expect(laptop.locator("#told")).to_have_class("told is-problem")
    assert draft_text(laptop) == BARREL
