"""The hours below a strip of time: each stands where it is, none hangs over an end or lies on
another."""

from __future__ import annotations

from itertools import pairwise

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import Garden
from tests.browser.large_text import TWICE, enlarge

# For each minute within three hours at which a strip of twelve hours may end: how far any of its
# hours' words lie outside of it, and how far the mark of any lies from where that hour is, px.
_FARTHEST = """async () => {
  const { hoursBelow } = await import("/static/strip.js");
  const { fullHours } = await import("/static/moments.js");
  const home = document.querySelector(".axis").parentElement;
  const found = { outside: 0, apart: 0, shown: 0, between: Infinity };
  for (let minute = 0; minute < 180; minute += 1) {
    const to = Date.UTC(2026, 6, 10, 12, minute), from = to - 24 * 3600e3;
    const axis = hoursBelow(from, to);
    home.append(axis);
    const frame = axis.getBoundingClientRect();
    const hours = fullHours(from, to);
    let end = -Infinity;
    for (const [place, tick] of [...axis.querySelectorAll(".tick")].entries()) {
      const box = tick.getBoundingClientRect();
      if (box.width === 0) continue;
      found.shown += 1;
      found.between = Math.min(found.between, box.left - end);
      end = box.right;
      found.outside = Math.max(found.outside, box.right - frame.right, frame.left - box.left);
      const mark = box.left + parseFloat(getComputedStyle(tick, "::before").left);
      const hour = frame.left + (frame.width * (hours[place].at - from)) / (to - from);
      found.apart = Math.max(found.apart, Math.abs(mark - hour));
    }
    axis.remove();
  }
  return found;
}"""


@pytest.mark.parametrize("locale", ["en-GB", "en-US"])
@pytest.mark.parametrize("times", [1.0, TWICE])
def test_hours_stand_apart_and_within(
    garden: Garden, chromium: Browser, times: float, locale: str
) -> None:
    """On a phone, whatever time it is and however large the type; the mark stands at the hour."""
    window = chromium.new_page(locale=locale)
    window.goto(garden.page.url)
    expect(window.locator(".strip-row")).to_have_count(2)
    enlarge(window, times)
    found = window.evaluate(_FARTHEST)
    assert found["shown"] >= 180
    assert found["outside"] <= 0.1, found
    assert found["apart"] <= 1.0, found
    assert found["between"] >= 2.0, found
    window.close()


@pytest.mark.parametrize(("locale", "noon"), [("en-GB", "12:00"), ("en-US", "12 PM")])
def test_hours_of_a_plan_s_day_are_as_short_as_the_custom_has_them(
    garden: Garden, chromium: Browser, locale: str, noon: str
) -> None:
    """`03:00`, or `3 AM`; no two lie on each other."""
    window = chromium.new_page(locale=locale, viewport={"width": 1280, "height": 800})
    window.goto(f"{garden.page.url}/plan")
    ticks = window.locator(".band .axis").first.locator(".tick")
    expect(ticks).to_have_count(7)
    assert ticks.nth(3).inner_text() == noon
    boxes = [box for tick in ticks.all() if (box := tick.bounding_box()) is not None]
    for one, other in pairwise(boxes):
        assert other["x"] - one["x"] - one["width"] >= 2.0
    window.close()
