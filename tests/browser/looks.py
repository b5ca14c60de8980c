"""Judges of how a view looks: each takes a window as it is and tells what is wrong with it.

A view's own test brings the window into a state and asserts that `looks.contrast(window)`, and
the others, find nothing.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Browser, Page, Response

Scheme = Literal["light", "dark"]
SCHEMES: Final[tuple[Scheme, ...]] = ("light", "dark")
# From the narrowest window that WCAG 2.2 (1.4.10) asks for, by phone and laptop, to 4K.
WIDTHS: Final = (320, 390, 1280, 3840)
WEIGHT_MAX_BYTES: Final = 100_000
TARGET_MIN_PX: Final = 44  # WCAG 2.2, 2.5.5 (AAA); AA asks for 24, and hands are wet

# Contrast of every text with what is painted behind it. Source: WCAG 2.2, definitions of
# relative luminance and contrast ratio; criterion 1.4.3: 4.5, for large text 3. Disabled
# controls are exempt there, and so here.
_CONTRAST = """() => {
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
    if (e.closest(":disabled")) continue;
    const style = getComputedStyle(e);
    const px = parseFloat(style.fontSize);
    const isLarge = px >= 24 || (px >= 18.66 && Number(style.fontWeight) >= 700);
    const ink = e.closest("svg") ? style.fill : style.color;
    const [a, b] = [light(rgba(ink)), light(behind(e))].sort((x, y) => y - x);
    seen += 1;
    const ratio = (a + 0.05) / (b + 0.05);
    if (ratio < (isLarge ? 3 : 4.5)) {
      poor.push(`${e.tagName}.${e.getAttribute("class")}: ${ratio.toFixed(2)}: ${text[0].data}`);
    }
  }
  return [seen, poor];
}"""

# Whatever makes the page wider than its window; what scrolls in a box of its own does not.
_OVERFLOW = """() => {
  const width = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth <= width) return [];
  return [...document.querySelectorAll("body *")]
    .filter((e) => e.checkVisibility() && e.getBoundingClientRect().right > width + 0.5)
    .map((e) => `${e.tagName}.${e.getAttribute("class")}: ${e.getBoundingClientRect().right}`);
}"""

# What a finger must hit. A box to tick is hit by its label too; a link within a sentence is as
# large as the sentence's type (WCAG 2.2, 2.5.8, "Inline"), but not one that is all of its line.
_TARGETS = """(least) => {
  const natural = "button, select, input, textarea, summary, nav a, a.button";
  const all = `${natural}, p > a, li > a, [role=slider], [tabindex="0"]`;
  const isInSentence = (e) =>
    e.matches("p > a, li > a") && e.parentElement.textContent.trim() !== e.textContent.trim();
  const poor = [];
  let seen = 0;
  for (const e of document.querySelectorAll(all)) {
    if (!e.checkVisibility({ visibilityProperty: true })) continue;
    if (e.matches("[type=hidden], .unseen, .unseen *") || isInSentence(e)) continue;
    const isTick = e.matches("[type=checkbox], [type=radio]");
    const box = ((isTick && e.closest("label")) || e).getBoundingClientRect();
    seen += 1;
    if (box.width < least - 0.01 || box.height < least - 0.01) {
      const name = e.getAttribute("aria-label") ?? (e.textContent || e.id || e.name);
      const size = `${box.width.toFixed(1)} x ${box.height.toFixed(1)}`;
      poor.push(`${e.tagName}.${e.getAttribute("class")}: ${size}: ${name}`);
    }
  }
  return [seen, poor];
}"""


def contrast(window: Page) -> list[str]:
    """Texts that stand out too little from what is behind them."""
    seen, poor = window.evaluate(_CONTRAST)
    assert seen > 10, f"{window.url}: only {seen} texts show"
    return list(poor)


def overflow(window: Page) -> list[str]:
    """What hangs over the window's right edge, so that the page scrolls sideways."""
    return list(window.evaluate(_OVERFLOW))


def targets(window: Page) -> list[str]:
    """Controls that a thumb would miss."""
    seen, poor = window.evaluate(_TARGETS, TARGET_MIN_PX)
    assert seen > 0, f"{window.url}: no control shows"
    return list(poor)


def all_of(window: Page) -> list[str]:
    """What is wrong with a window by all three."""
    return [*overflow(window), *contrast(window), *targets(window)]


def weight(browser: Browser, url: str, is_ready: Callable[[Page], None]) -> tuple[int, set[str]]:
    """The bytes of all files that a first load fetches, uncompressed; and other hosts asked.

    Args:
        browser: in which a window is opened that has no file yet.
        url: of the view.
        is_ready: waits until the view is drawn.
    """
    context = browser.new_context()
    window = context.new_page()
    asked: list[Response] = []
    window.on("response", lambda answer: asked.append(answer))
    window.goto(url)
    is_ready(window)
    home = "/".join(url.split("/")[:3])
    files = [one for one in asked if "/api/v1/" not in one.url]
    assert len(files) > 5, "it fetched next to nothing: did it load?"
    bytes_all = sum(len(one.body()) for one in files)
    context.close()
    return bytes_all, {one.url for one in asked if not one.url.startswith(home)}


class FirstLoad(NamedTuple):
    """What a view's first load took."""

    bytes_until_paint: int  # of all files asked for before anything was painted, uncompressed
    late: set[str]  # the paths of files that were asked for only after that
    foreign: set[str]  # what was asked of other hosts


def first_load(browser: Browser, url: str, is_ready: Callable[[Page], None]) -> FirstLoad:
    """What a first load fetches before it paints, and what it holds back until it has painted.

    Args:
        browser: in which a window is opened that has no file yet.
        url: of the view.
        is_ready: waits until all that the view fetches by itself is there.
    """
    context = browser.new_context()
    window = context.new_page()
    asked: list[Response] = []
    window.on("response", lambda answer: asked.append(answer))
    window.goto(url)
    is_ready(window)
    late = set(window.evaluate(_ASKED_AFTER_PAINT))
    home = "/".join(url.split("/")[:3])
    early = [one for one in asked if "/api/v1/" not in one.url and one.url not in late]
    assert len(early) > 5, "it fetched next to nothing: did it load?"
    bytes_early = sum(len(one.body()) for one in early)
    context.close()
    foreign = {one.url for one in asked if not one.url.startswith(home)}
    return FirstLoad(bytes_early, {one.removeprefix(home) for one in late}, foreign)


# By Resource Timing and Paint Timing, two W3C specifications, on one clock.
_ASKED_AFTER_PAINT: Final = """() => {
  const [painted] = performance.getEntriesByName("first-contentful-paint");
  return performance.getEntriesByType("resource")
    .filter((e) => e.startTime > painted.startTime && !e.name.includes("/api/v1/"))
    .map((e) => e.name);
}"""


def axe(window: Page) -> list[str]:
    """What axe-core, a judge of accessibility, finds wrong: all its rules but those that are
    experiments, best practice and WCAG 2.2 AA among them.

    The page's policy forbids foreign scripts; the judge comes by the debugger's door, which no
    policy shuts.
    """
    if not window.evaluate("'axe' in window"):
        window.evaluate(_judge())
    found = _judged_whole(window)
    assert len(found["passes"]) > 10, "it judged nothing"
    return [
        f"{one['id']} ({one['help']}): {node['html'][:200]}"
        for one in found["violations"]
        for node in one["nodes"]
    ]


def _judged_whole(window: Page) -> dict[str, Any]:
    """What axe-core says of the whole view, in a window in which it has room: a button that is
    half under a bar which stands still would else be judged by its other half."""
    size = window.viewport_size
    assert size is not None
    height = int(window.evaluate("document.documentElement.scrollHeight"))
    window.set_viewport_size({"width": size["width"], "height": max(size["height"], height + 200)})
    found: dict[str, Any] = window.evaluate(f"axe.run({_AXE_OPTIONS})")
    window.set_viewport_size(size)
    return found


# Rules that axe-core leaves out unless they are asked for by name.
_AXE_OPTIONS: Final = "{ rules: { 'target-size': { enabled: true } } }"


def _judge() -> str:
    path = Path(os.environ.get("ROOTCLOCK_AXE", "nowhere"))
    assert path.is_file(), (
        "ROOTCLOCK_AXE does not name axe-core's axe.min.js: run bash tests/run browser, which "
        "gets it, or npm pack axe-core and say where that file is"
    )
    return path.read_text(encoding="utf-8")
