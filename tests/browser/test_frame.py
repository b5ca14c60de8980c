"""What every view owes to people who use keys, large type, few colours or little motion."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser import looks
from tests.browser.conftest import Garden
from tests.browser.plan_view import edit
from tests.browser.views import VIEWS, open_view

every_view = pytest.mark.parametrize("path", list(VIEWS))
STEPS_MAX = 400
# The element that has focus, as numbers and words. What stands below: the bar at the bottom.
FOCUSED = """() => {
  const e = document.activeElement;
  if (e === null || e === document.body) return null;
  const box = e.getBoundingClientRect();
  // The ring may be that of what frames a field: nothing here has one but by what has focus.
  const isRing = (of) => of.outlineStyle !== "none" && parseFloat(of.outlineWidth) >= 2;
  let ringed = e;
  while (ringed !== null && !isRing(getComputedStyle(ringed))) ringed = ringed.parentElement;
  const x = box.x + box.width / 2;
  const y = box.y + Math.min(box.height / 2, 20);
  const above = document.elementFromPoint(x, y);
  return {
    place: [...document.body.querySelectorAll("*")].indexOf(e),
    name: `${e.tagName}.${e.className}#${e.id} ${e.textContent.slice(0, 40)}`,
    isRinged: ringed !== null,
    isSeen: above !== null && (e.contains(above) || Boolean(e.labels?.[0]?.contains(above))),
  };
}"""
# The next Tab goes to the first stop, wherever somebody has clicked before.
FROM_THE_START = """() => {
  document.body.tabIndex = -1;
  document.body.focus();
  document.body.removeAttribute("tabindex");
  scrollTo(0, 0);
}"""
# What may have focus by Tab: of radio buttons of one name only one, of what is folded away none.
WITHIN_REACH = """() => {
  const all = "a[href], button, input, select, textarea, summary, [tabindex='0']";
  const seen = [...document.querySelectorAll(all)].filter((e) =>
    e.checkVisibility({ visibilityProperty: true }) && !e.disabled && e.tabIndex >= 0 &&
    !(e.type === "radio" && document.querySelector(`[name="${e.name}"]:checked`) !== e));
  return seen.map((e) => [...document.body.querySelectorAll("*")].indexOf(e));
}"""
# Source: WCAG 2.2, 1.4.12 Text Spacing.
SPACED = """() => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`* {
    line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important;
  } p { margin-bottom: 2em !important; }`);
  document.adoptedStyleSheets = [sheet];
}"""
# Text that its own box cuts off; what scrolls by itself, opens when it is pressed or is meant to
# be unseen is not cut.
UNJUDGED = ".unseen, svg, select, textarea, [aria-expanded=false]"
CUT = """(unjudged) => [...document.querySelectorAll("body *")].filter((e) => {
  if (!e.checkVisibility() || e.closest(unjudged)) return false;
  const style = getComputedStyle(e);
  const isText = [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim());
  const clips = ["hidden", "clip"];
  return isText && ((clips.includes(style.overflowX) && e.scrollWidth > e.clientWidth + 1) ||
    (clips.includes(style.overflowY) && e.scrollHeight > e.clientHeight + 1));
}).map((e) => `${e.tagName}.${e.className}: ${e.textContent}`)"""


def _walk(window: Page) -> list[dict[str, Any]]:
    """Tab from the start of the page until focus leaves it."""
    window.evaluate(FROM_THE_START)
    seen: list[dict[str, Any]] = []
    for _ in range(STEPS_MAX):
        window.keyboard.press("Tab")
        found = window.evaluate(FOCUSED)
        if found is None or (len(seen) > 1 and found["place"] == seen[0]["place"]):
            return seen
        if seen and found["place"] == seen[-1]["place"]:
            continue  # a date has stops of the browser's own within it
        seen.append(found)
    raise AssertionError(f"{STEPS_MAX} steps of Tab lead to no end: {seen[-1]['name']}")


def _judged_walk(window: Page) -> list[int]:
    """The places of all stops, each of which shows and is where a reader expects it."""
    seen = _walk(window)
    assert [one["name"] for one in seen if not one["isRinged"]] == []
    assert [one["name"] for one in seen if not one["isSeen"]] == []
    places = [one["place"] for one in seen]
    assert places == sorted(places)
    assert places == window.evaluate(WITHIN_REACH)
    return places


@every_view
def test_tab_reaches_everything_in_order_and_in_sight(
    garden: Garden, laptop: Page, path: str
) -> None:
    """Each control once, in the order of reading; its ring shows, and nothing lies over it."""
    open_view(laptop, garden, path)
    _judged_walk(laptop)


def test_tab_goes_through_a_plan_of_which_all_is_open(limited: Garden, laptop: Page) -> None:
    """Days, figures, the fields of a piece, settings, what may be added, the text, earlier plans,
    and the bar of a draft that has been changed."""
    open_view(laptop, limited, "/plan")
    cycle = {"do": "set", "at": "loads.tower.spans.1.cycle", "value": "12m on, 30m off"}
    assert edit(laptop, cycle) == {"isDone": True}
    expect(laptop.get_by_role("button", name="Save", exact=True)).to_be_visible()
    laptop.locator("#editor .chip").first.click()
    expect(laptop.locator("#editor .piece")).to_be_visible()
    for _ in range(2):  # what came with the first comes folded as well
        laptop.evaluate("document.querySelectorAll('main details').forEach((e) => e.open = true)")
        expect(laptop.locator("#editor .drawer-home:empty:visible")).to_have_count(0)
        expect(laptop.locator("#revisions .revision")).to_have_count(1)
        expect(laptop.get_by_label("The plan as TOML")).to_be_visible()
    assert len(_judged_walk(laptop)) > 60


def test_the_first_stop_of_tab_leads_past_what_stands_above(garden: Garden, laptop: Page) -> None:
    """The next Tab after it is within the view."""
    open_view(laptop, garden, "/")
    laptop.keyboard.press("Tab")
    skip = laptop.get_by_role("link", name="To the content")
    expect(skip).to_be_focused()
    expect(skip).to_be_in_viewport()
    laptop.keyboard.press("Enter")
    expect(laptop.locator("main")).to_be_focused()
    laptop.keyboard.press("Tab")
    assert laptop.evaluate("document.querySelector('main').contains(document.activeElement)")


@every_view
def test_it_may_be_large_narrow_or_spaced(garden: Garden, phone: Page, path: str) -> None:
    """A laptop at 200 % and 400 %, a phone on its side, the text spacing of WCAG 1.4.12: nothing
    is cut off, and nothing hangs over the edge."""
    open_view(phone, garden, path)
    for width, height in ((640, 400), (320, 256), (844, 390)):
        phone.set_viewport_size({"width": width, "height": height})
        assert (looks.overflow(phone), phone.evaluate(CUT, UNJUDGED)) == ([], [])
        bar = phone.locator("#bar").bounding_box()
        assert bar is not None
        covered = height - min(height, bar["y"])
        assert covered < height * 0.4, "the bar leaves too little of the view"
    phone.evaluate(SPACED)
    for width in (390, 1280):
        phone.set_viewport_size({"width": width, "height": 800})
        assert (looks.overflow(phone), phone.evaluate(CUT, UNJUDGED)) == ([], [])


@every_view
def test_whoever_wants_no_motion_has_none(garden: Garden, chromium: Browser, path: str) -> None:
    """No transition and no animation is left."""
    context = chromium.new_context(reduced_motion="reduce")
    window = context.new_page()
    open_view(window, garden, path)
    moving = window.evaluate("""() => [...document.querySelectorAll("*")].filter((e) => {
      const style = getComputedStyle(e);
      return style.animationName !== "none" || parseFloat(style.transitionDuration) > 0.01;
    }).map((e) => `${e.tagName}.${e.className}`)""")
    context.close()
    assert moving == []


@every_view
def test_every_line_of_a_4k_screen_is_short_enough(garden: Garden, laptop: Page, path: str) -> None:
    """No line of text is longer than a reader's eye finds back from, and type grows."""
    laptop.set_viewport_size({"width": 3840, "height": 2160})
    open_view(laptop, garden, path)
    long = laptop.evaluate("""() => [...document.querySelectorAll("main p, main li, main dd")]
      .filter((e) => e.checkVisibility() && [...e.childNodes].some((n) => n.nodeType === 3))
      .map((e) => {
        const range = document.createRange();
        range.selectNodeContents(e);
        const width = Math.max(0, ...[...range.getClientRects()].map((box) => box.width));
        return [Math.round(width / parseFloat(getComputedStyle(e).fontSize)), e.textContent];
      }).filter(([ems]) => ems > 60)""")
    assert long == []
    assert laptop.evaluate("parseFloat(getComputedStyle(document.documentElement).fontSize)") >= 24


def test_it_shows_in_the_reader_s_own_colours(garden: Garden, chromium: Browser) -> None:
    """Where colours are forced, what is filled stays told from what is not."""
    context = chromium.new_context(forced_colors="active")
    window = context.new_page()
    open_view(window, garden, "/")
    fill = window.locator('[data-load="tower"] .pipe-fill').evaluate(
        "(e) => getComputedStyle(e).backgroundColor"
    )
    behind = window.locator("body").evaluate("(e) => getComputedStyle(e).backgroundColor")
    context.close()
    assert fill != behind
