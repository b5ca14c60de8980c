"""Hands for the form of the plan: a garden to edit, its parts, fingers that drag."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.browser.plan_view import draft, open_plan

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import FloatRect, Locator, Page

    from tests.browser.conftest import Garden

DAY_MINUTES = 1440
SNAP_MINUTES = 5
# A garden of our own invention, with comments wherever an edit might lose one.
SHED = """# Eleven columns in a shed; the place is invented.
format = 1

[site]
latitude = 47.4  # the shed's
longitude = 8.5
timezone = "Europe/Zurich"

# The pump in the barrel.
[loads.tower]
kind = "pump"
line = 17        # the first relay
active = "low"
watts = 22
mains = false
without_clock = "10m on, 10m off"

# by day
[[loads.tower.spans]]
from = "06:30"            # before the first light
cycle = "15m on, 15m off"

# by night
[[loads.tower.spans]]
from = "sunset + 1h"      # dew
cycle = "15m on, 15m off" # as by day

[loads.lamp]
kind = "lamp"
line = 22
active = "low"
mains = false
spans = [{ from = "05:00", cycle = "on" }, { from = "23:00", cycle = "off" }]  # long days
"""


def open_form(window: Page, garden: Garden) -> None:
    """Opens the plan and waits until the days of its loads are drawn."""
    open_plan(window, garden)
    expect(window.locator(".band").first).to_be_visible(timeout=30_000)


def card(window: Page, load: str) -> Locator:
    """A load's card."""
    return window.locator(f'.card[data-load="{load}"]')


def chips(load: Locator) -> Locator:
    """The pieces of a load's own day, in its order."""
    return load.locator("> .spans > .chips > .chip:not(.is-plus)")


def borders(load: Locator) -> Locator:
    """The borders of the pieces of a load's own day, in the order of the plan."""
    return load.locator("> .spans > .band").get_by_role("slider")


def open_drawer(part: Locator, title: str) -> Locator:
    """Opens a part that is folded away and waits until it is drawn; gives it."""
    drawer = part.locator("details.drawer", has=part.page.get_by_text(title, exact=True)).last
    drawer.locator("> summary").click()
    expect(drawer.locator("> .drawer-home > *")).to_be_visible()
    return drawer


def draft_text(window: Page) -> str:
    """The draft's text, once it is judged."""
    text: str = draft(window)["text"]
    return text


def edited(text: str, *changes: tuple[str, str]) -> str:
    """A text with changes, each of which must fit one place of it."""
    for old, new in changes:
        assert text.count(old) == 1, (old, text)
        text = text.replace(old, new)
    return text


def minutes_of(pixels: float, track: FloatRect) -> int:
    """How far a border goes that is dragged so far: a multiple of five minutes."""
    return round(pixels / track["width"] * DAY_MINUTES / SNAP_MINUTES) * SNAP_MINUTES


def box_of(part: Locator) -> FloatRect:
    """Where it stands, once it is in sight."""
    part.scroll_into_view_if_needed()
    box = part.bounding_box()
    assert box is not None
    return box


@contextmanager
def finger_drags(window: Page, part: Locator, pixels: float) -> Iterator[None]:
    """A finger drags it sideways; within, it has not been lifted yet. Source: Chrome DevTools
    Protocol, Input domain."""
    box = box_of(part)
    point = {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}
    glass = window.context.new_cdp_session(window)
    glass.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [point]})
    for share in (0.5, 1.0):
        there = {**point, "x": point["x"] + pixels * share}
        glass.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [there]})
    yield
    glass.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
