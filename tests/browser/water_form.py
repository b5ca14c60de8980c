"""Hands for the form's parts about water, and gardens of our own invention to put them in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.browser.editor_form import SHED, card, open_drawer, open_form

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

    from tests.browser.conftest import Garden

REST = "Plants, reservoirs, sensors, place and guards"

# What a grower has told of everything: comments wherever an edit might lose one.
BARREL = (
    SHED
    + """
# From the label, read in the shop.
[loads.tower.lift]
height_m = 1.5   # barrel to top
hose_bore_mm = 16
hose_length_m = 3
curve = [        # the maker's chart
    [1200, 0.0], # nothing lifted
    # read with a ruler
    [700, 1.4],  # about
    [0, 2.2],
]
fittings = { elbow = 2, barb = 1 } # counted twice

[stands.heads]       # nearly grown
watered_by = "tower"
plants = 40
age_days = 35        # as ever
medium = "bare-roots"
place = "outdoors"
plants_per_m2 = 25

[reservoirs.barrel]  # the blue one
full_l = 60
inlet_at_l = 8       # measured
"""
).replace("watts = 22\n", 'watts = 22\nreservoir = "barrel" # the blue one\n')


def open_rest(window: Page, garden: Garden) -> Locator:
    """The part of the form that has plants and reservoirs, opened."""
    open_form(window, garden)
    return open_drawer(window.locator(".editor"), REST)


def open_adding(rest: Locator, title: str) -> Locator:
    """A form that adds something, opened."""
    form = rest.locator("details.item", has=rest.page.get_by_text(title, exact=True))
    form.locator("> summary").click()
    expect(form.locator("> .drawer-home > *")).to_be_visible()
    return form


def item(rest: Locator, name: str) -> Locator:
    """What has that name in a list of the plan."""
    title = rest.page.get_by_role("heading", name=name, exact=True)
    return rest.locator("section.item", has=title)


def open_lift(window: Page, garden: Garden) -> Locator:
    """The part of the pump's settings that tells how its water gets up, opened."""
    open_form(window, garden)
    settings = open_drawer(card(window, "tower"), "Settings")
    lift = settings.locator("details.drawer:visible", has=window.get_by_text("The way up")).last
    lift.locator("> summary").click()
    return lift


def point(lift: Locator, number: int) -> tuple[Locator, Locator]:
    """The two numbers of a point of a curve: flow and lift."""
    row = lift.locator(".point:visible").nth(number - 1)
    return row.get_by_label("flow in litres an hour"), row.get_by_label("lift in metres")


def write_point(lift: Locator, number: int, flow: str, head: str) -> None:
    """Types both numbers of a point."""
    for field, text in zip(point(lift, number), (flow, head), strict=True):
        field.fill(text)
        field.press("Tab")
