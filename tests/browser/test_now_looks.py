"""How the page Now looks: nothing over the edge, legible, large enough, light to load."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Garden

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Response

WEIGHT_MAX_BYTES = 100_000
TARGET_MIN_PX = 44  # WCAG 2.2, 2.5.5 (AAA); AA asks for 24, and hands are wet
# Contrast of every text with what is painted behind it. Source: WCAG 2.2, definitions of
# relative luminance and contrast ratio; criterion 1.4.3: 4.5, for large text 3.
CONTRAST = """() => {
  const part = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };
  const rgba = (text) => [...text.match(/[\\d.]+/g).map(Number), 1].slice(0, 4);
  const light = ([r, g, b]) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  const behind = (e) => {
    for (; e; e = e.parentElement) {
      const colour = rgba(getComputedStyle(e).backgroundColor);
      if (colour[3] === 1) return colour;
    }
    throw new Error("nothing is painted behind it");
  };
  const poor = [];
  let seen = 0;
  for (const e of document.querySelectorAll("body *")) {
    const text = [...e.childNodes].filter((n) => n.nodeType === 3 && n.data.trim());
    if (!text.length || !e.checkVisibility() || e.matches("script, noscript, option")) continue;
    const style = getComputedStyle(e);
    const px = parseFloat(style.fontSize);
    const isLarge = px >= 24 || (px >= 18.66 && Number(style.fontWeight) >= 700);
    const [a, b] = [light(rgba(style.color)), light(behind(e))].sort((x, y) => y - x);
    seen += 1;
    const ratio = (a + 0.05) / (b + 0.05);
    if (ratio < (isLarge ? 3 : 4.5)) poor.push(`${e.className}: ${ratio.toFixed(2)}`);
  }
  return [seen, poor];
}"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_is_legible_at_every_width(
    fresh_garden: Garden, chromium: Browser, scheme: Literal["light", "dark"]
) -> None:
    """From the narrowest phone that WCAG 2.2 (1.4.10) asks for to a laptop, with an alarm, a
    hold and a sensor that says nothing."""
    fresh_garden.read("floor", "1")
    fresh_garden.read("air", "nonsense")
    fresh_garden.daemon.call("hold", {"load": "fan", "order": "on", "for": "20m"})
    context = chromium.new_context(color_scheme=scheme, locale="en-GB")
    window = context.new_page()
    window.goto(fresh_garden.page.url)
    expect(window.locator(".alarm")).to_have_count(1)
    expect(window.locator(".strip-row")).to_have_count(2)
    for width in (320, 390, 1280):
        window.set_viewport_size({"width": width, "height": 800})
        assert window.evaluate("document.documentElement.scrollWidth") == width
        count, poor = window.evaluate(CONTRAST)
        assert (count > 40, poor) == (True, [])
        for control in window.locator("button:visible, select:visible, summary").all():
            box = control.bounding_box()
            assert box is not None
            assert box["height"] >= TARGET_MIN_PX, control.inner_text()
            assert box["width"] >= TARGET_MIN_PX, control.inner_text()
    context.close()


def test_it_is_light_and_asks_nobody_else(garden: Garden, chromium: Browser) -> None:
    """All that the first load fetches, uncompressed, and from where."""
    context = chromium.new_context()
    window = context.new_page()
    asked: list[Response] = []
    window.on("response", lambda answer: asked.append(answer))
    window.goto(garden.page.url)
    expect(window.locator(".strip-row")).to_have_count(2)
    files = [one for one in asked if "/api/" not in one.url]
    assert {one.url.startswith(garden.page.url) for one in asked} == {True}
    assert len(files) > 10
    assert sum(len(one.body()) for one in files) < WEIGHT_MAX_BYTES
    context.close()
