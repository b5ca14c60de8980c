"""Where the preview stays in sight, it covers nothing that somebody wants to read or to touch."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import grown
from tests.browser.plan_view import LIMITED, NIGHT, open_plan, unfold

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Page

    from tests.browser.conftest import Garden

LAPTOP: Final = {"width": 1280, "height": 800}
LOW: Final = {"width": 1280, "height": 420}  # half a laptop window, above another

# Scrolls through the page and gives each control of the form, the text and the earlier plans that
# a press at its middle would not reach since the preview lies there; and how many it tried.
_COVERED: Final = """() => {
  const controls = [...document.querySelectorAll(
    ":is(.editor-home, .below) :is(button, summary, select, input, textarea)")];
  const covered = new Set();
  let seen = 0;
  for (let y = 0; y <= document.documentElement.scrollHeight - innerHeight; y += 40) {
    scrollTo(0, y);
    for (const control of controls) {
      const { x, y, width, height } = control.getBoundingClientRect();
      const top = document.elementFromPoint(x + width / 2, y + height / 2);
      if (top === null || !control.checkVisibility()) continue;
      seen += 1;
      if (top.closest(".preview-home")) covered.add(control.ariaLabel || control.textContent);
    }
  }
  return [seen, [...covered]];
}"""

# Gives the focus to each of those controls, from below as Shift+Tab does, and judges alike.
_FOCUS_COVERED: Final = """() => {
  const controls = [...document.querySelectorAll(
    ":is(.editor-home, .below) :is(button, summary, select)")].filter((e) => e.checkVisibility());
  const covered = [];
  for (const control of controls.reverse()) {
    control.focus();
    const { x, y, width, height } = control.getBoundingClientRect();
    const top = document.elementFromPoint(x + width / 2, y + height / 2);
    if (top?.closest(".preview-home")) covered.push(control.ariaLabel || control.textContent);
  }
  return [controls.length, covered];
}"""

# Scrolls the page until the preview has moved along with it, and the preview to its end.
_ENDS: Final = """() => {
  const preview = document.querySelector("#preview");
  preview.scrollTop = preview.scrollHeight;
  scrollTo(0, document.querySelector(".editor-home").getBoundingClientRect().top + scrollY);
  const bottom = (part) => part.getBoundingClientRect().bottom;
  return [bottom(preview.querySelector(".preview-body")), bottom(preview),
          document.querySelector(".bar").getBoundingClientRect().top];
}"""


def _pump(name: str) -> str:
    more = LIMITED[LIMITED.index("[loads.tower]") :].replace("tower", name)
    return more.replace("line = 17", f"line = {17 + len(name)}")


@pytest.fixture(scope="module")
def wide_shed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """Three pumps, and two earlier plans: form and preview are each longer than a window."""
    folder: Path = tmp_path_factory.mktemp("shed")
    text = "\n".join([LIMITED, _pump("rows"), _pump("shelf")])
    with grown(folder, text) as garden:
        for number, cycle in enumerate(("15m on, 35m off", "12m on, 35m off"), start=1):
            other = text.replace(NIGHT, f'cycle = "{cycle}"')
            garden.daemon.call("plan.propose", {"text": other, "based_on": number, "note": None})
        yield garden


def _open(window: Page, garden: Garden) -> None:
    open_plan(window, garden)
    expect(window.locator("#preview .paper-day")).to_have_count(6, timeout=30_000)
    expect(window.locator("#editor .band")).to_have_count(3)
    unfold(window, "Earlier plans")
    expect(window.locator("li.revision")).to_have_count(3)


@pytest.mark.parametrize("size", [LAPTOP, LOW])
def test_beside_the_form_it_covers_nothing(
    wide_shed: Garden, laptop: Page, size: dict[str, int]
) -> None:
    """However far the page is scrolled, all that stands beside it and below it can be pressed."""
    laptop.set_viewport_size(size)  # type: ignore[arg-type]
    _open(laptop, wide_shed)
    seen, covered = laptop.evaluate(_COVERED)
    assert seen > 100
    assert covered == []


def test_beside_the_form_all_of_it_can_be_read(wide_shed: Garden, laptop: Page) -> None:
    """It scrolls within itself, and ends above the bar, also while that tells something."""
    _open(laptop, wide_shed)
    for is_told in (False, True):
        if is_told:
            telling = "async () => (await import('/static/frame/orders.js')).tell('Done.')"
            laptop.evaluate(telling)
            expect(laptop.locator("#told")).to_be_visible()
        body_px, preview_px, bar_px = laptop.evaluate(_ENDS)
        assert body_px <= preview_px <= bar_px


def test_on_a_phone_it_hides_nothing_that_has_focus(wide_shed: Garden, phone: Page) -> None:
    """Neither its line nor, opened, the rest of it. WCAG 2.2, 2.4.11."""
    _open(phone, wide_shed)
    line = phone.locator(".preview-toggle")
    for is_open in ("false", "true"):
        expect(line).to_have_attribute("aria-expanded", is_open)
        seen, covered = phone.evaluate(_FOCUS_COVERED)
        assert seen > 20
        assert covered == []
        expect(line).to_be_in_viewport()
        line.tap()
