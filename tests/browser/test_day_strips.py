"""What stands above and below the strip of a day: names and hours are whole, and none lies on
another, on the shortest day of the clocks too."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.conftest import Garden
from tests.browser.plan_view import open_plan
from tests.browser.views import open_view, wait_whole

# How far a name of the sky stands over the edge of its part, or takes a second line, px; for nights
# of every length from midnight on, beside a day.
_NAMES = """async () => {
  const { skyOf } = await import("/static/preview/sky.js");
  const home = document.querySelector("#preview .sky-row");
  const before = [...home.childNodes];
  const found = { over: 0, lines: 0, shown: 0 };
  for (let share = 0.1; share <= 0.5; share += 0.005) {
    const night = { kind: "is-night", from: 0, to: share };
    const day = { kind: "is-day", from: share, to: 1 };
    home.replaceChildren(...skyOf([night, day], true));
    for (const name of home.querySelectorAll(".sky-name")) {
      if (!name.checkVisibility()) continue;
      const [box, part] = [name, name.parentElement].map((one) => one.getBoundingClientRect());
      found.shown += 1;
      found.over = Math.max(found.over, part.left - box.left, box.right - part.right);
      found.lines = Math.max(found.lines, box.height / parseFloat(getComputedStyle(name).fontSize));
    }
  }
  home.replaceChildren(...before);
  return found;
}"""

# The least distance between two hours of the day on which the clocks go forward, px, in strips as
# narrow as a phone's and as wide as a laptop's.
_HOURS = """async () => {
  const { setZone } = await import("/static/moments.js");
  const { hoursBelow } = await import("/static/strip.js");
  setZone("Europe/Zurich");
  const from = Date.UTC(2026, 2, 28, 23), to = Date.UTC(2026, 2, 29, 22);
  const home = document.querySelector("main");
  const found = { between: Infinity, shown: 0 };
  for (let width = 240; width <= 900; width += 10) {
    const axis = hoursBelow(from, to);
    axis.style.width = `${width}px`;
    home.append(axis);
    const boxes = [...axis.querySelectorAll(".tick")].map((tick) => tick.getBoundingClientRect())
      .filter((box) => box.width > 0);
    boxes.slice(1).forEach((box, place) => {
      found.shown += 1;
      found.between = Math.min(found.between, box.left - boxes[place].right);
    });
    axis.remove();
  }
  return found;
}"""


def test_a_name_of_the_sky_is_whole_or_is_not_there(shed: Garden, phone: Page) -> None:
    """On a phone, for nights of any length: one line, and within its part."""
    open_plan(phone, shed)
    wait_whole(phone)
    phone.locator("#preview .preview-toggle").tap()
    expect(phone.locator("#preview .sky-row").first).to_be_visible(timeout=30_000)
    found = phone.evaluate(_NAMES)
    assert found["shown"] > 80
    assert (found["over"] <= 0.5, found["lines"] < 1.5) == (True, True), found


@pytest.mark.parametrize("locale", ["en-GB", "en-US"])
def test_hours_stand_apart_on_the_day_of_23_hours(
    garden: Garden, chromium: Browser, locale: str
) -> None:
    """An hour that the clocks bring too near to the one before is left out."""
    window = chromium.new_page(locale=locale)
    open_view(window, garden, "/")
    found = window.evaluate(_HOURS)
    assert found["shown"] > 200
    assert found["between"] >= 2.0, found
    window.close()


def _outside(mark: Locator) -> dict[str, Any]:
    """How much of a mark the box that frames it cuts off, px, and whether it lies on the words
    above it."""
    told: dict[str, Any] = mark.evaluate("""(mark) => {
      const box = mark.getBoundingClientRect();
      const frame = mark.closest(".course");
      const within = frame.getBoundingClientRect();
      const title = frame.previousElementSibling.getBoundingClientRect();
      const isCut = getComputedStyle(frame).overflowY !== "visible";
      return {
        cut: isCut ? Math.max(0, within.top - box.top, box.bottom - within.bottom) : 0,
        isOnWords: box.top < title.bottom,
      };
    }""")
    return told


def test_the_driest_moment_of_wet_roots_is_drawn_whole(barrel: Garden, laptop: Page) -> None:
    """Its mark stands at the upper edge, and lies on no word."""
    open_plan(laptop, barrel)
    marks = laptop.locator("#preview .course-driest:visible")
    expect(marks.first).to_be_visible(timeout=60_000)
    laptop.evaluate("document.querySelector('#preview .course-driest').style.bottom = '99%'")
    assert _outside(marks.first) == {"cut": 0, "isOnWords": False}
