"""Text at twice its size, and a judge of whether it can still be read: no word falls apart."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from playwright.sync_api import Page

PHONE: Final = {"width": 390, "height": 844}
LETTERS_MAX: Final = (
    10  # a longer word, a name or a path, may have to be broken; at - and / any may
)
TWICE: Final = 2.0

# Every word that stands on more than one line. Letters below each other cannot be read, and a page
# that breaks them so hangs over no edge: a judge of that alone would be content.
_BROKEN = """(most) => {
  const broken = [];
  let seen = 0;
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const home = node.parentElement;
    if (!home.checkVisibility() || home.closest("script, option, svg, code, .unseen")) continue;
    for (const { 0: word, index } of node.data.matchAll(/\\S+/g)) {
      if (word.length > most || /[-/]/.test(word)) continue;
      const range = document.createRange();
      range.setStart(node, index);
      range.setEnd(node, index + word.length);
      seen += 1;
      const tops = new Set([...range.getClientRects()].map((rect) => Math.round(rect.top)));
      if (tops.size > 1) broken.push(`${home.tagName}.${home.className}: ${word}`);
    }
  }
  return [seen, broken];
}"""


def enlarge(window: Page, times: float = TWICE) -> None:
    """Makes the text of a phone's window so many times as large, as its settings do. WCAG 2.2,
    1.4.4, asks for twice the size."""
    window.set_viewport_size(PHONE)  # type: ignore[arg-type]
    window.evaluate(
        "(times) => { document.documentElement.style.fontSize = `${112.5 * times}%`; }", times
    )


def broken_words(window: Page) -> list[str]:
    """Words of few letters that stand on more than one line."""
    seen, broken = window.evaluate(_BROKEN, LETTERS_MAX)
    assert seen > 20, f"{window.url}: only {seen} words show"
    return list(broken)
