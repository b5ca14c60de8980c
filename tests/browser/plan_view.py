"""Hands for the view Plan: open it, change the draft in it, save it, read what came of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from playwright.sync_api import expect

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

    from tests.browser.conftest import Garden

# A garden of our own invention. Each line of it is there for one test to change.
LIMITED = """# What a spring day needs, tried out in a shed.
format = 1

[site]
latitude = 47.4
longitude = 8.5
timezone = "Europe/Zurich"
elevation_m = 430

[loads.tower]  # eleven columns
kind = "pump"
line = 17
active = "low"
watts = 22
mains = false
limits = { longest_dry_gap = "40m" }

# by day
[[loads.tower.spans]]
from = "06:00"
cycle = "15m on, 15m off"

# by night
[[loads.tower.spans]]
from = "21:00"
cycle = "15m on, 30m off"
"""

NIGHT = 'cycle = "15m on, 30m off"'
DAY = 'cycle = "15m on, 15m off"'


def open_plan(window: Page, garden: Garden) -> None:
    """Opens the view and waits until the plan stands in it."""
    window.goto(f"{garden.page.url}/plan")
    expect(window.locator("#plan")).to_be_visible(timeout=30_000)


def unfold(window: Page, name: str) -> Locator:
    """Opens one of the parts that are folded away; gives it."""
    part = window.locator("details", has=window.get_by_role("heading", name=name, exact=True))
    part.locator("summary").first.click()
    return part


def text_field(window: Page) -> Locator:
    """The plan as text, opened where it is not."""
    field = window.get_by_label("The plan as TOML")
    if not field.is_visible():
        unfold(window, "As text")
    expect(field).to_be_visible()
    return field


def replace(window: Page, old: str, new: str) -> None:
    """Writes something else into the text, as somebody types it there."""
    field = text_field(window)
    text = field.input_value()
    assert old in text
    field.fill(text.replace(old, new))


def draft(window: Page) -> dict[str, Any]:
    """The draft's state, asked of the page's own module."""
    told: dict[str, Any] = window.evaluate(
        """async () => {
          const { draft } = await import("/static/plan/draft.js");
          await draft.settled();
          const { text, document, findings, isFit, isChanged, isBehind, base } = draft;
          return { text, document, findings, isFit, isChanged, isBehind, base };
        }"""
    )
    return told


def edit(window: Page, *edits: dict[str, Any], words: str = "an edit") -> dict[str, Any]:
    """Changes the draft as the form does; what came of it."""
    answer: dict[str, Any] = window.evaluate(
        """async ([edits, words]) => {
          const { draft } = await import("/static/plan/draft.js");
          return draft.edit(edits, words);
        }""",
        [list(edits), words],
    )
    return answer


def save_button(window: Page) -> Locator:
    """Saves; in the bar."""
    return window.locator("#page-bar").get_by_role("button", name="Save", exact=True)


def in_step(window: Page, name: str) -> Locator:
    """A button of the question that is open."""
    return window.get_by_role("dialog").get_by_role("button", name=name, exact=True)


def plan_in_force(garden: Garden) -> dict[str, Any]:
    """{revision, text}, asked of the controller."""
    read: dict[str, Any] = garden.daemon.call("plan.read")
    return read


def wait_told(window: Page, words: str) -> None:
    """Waits until the bar tells that; on a busy machine, examining a plan takes its time."""
    expect(window.locator("#told-text")).to_contain_text(words, timeout=60_000)
