"""Times, counts and sizes as the reader's locale writes them, asked of the page's own modules."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from tests.browser.conftest import Garden

if TYPE_CHECKING:
    from playwright.sync_api import Browser

MINUTE_MS = 60_000
TOLD = """async ([at, seconds, bytes]) => {
  const { clockMinute } = await import("/static/moments.js");
  const { plural } = await import("/static/words/counts.js");
  const { lengthRound } = await import("/static/words/lengths.js");
  const { sizeOf } = await import("/static/words/dry-run.js");
  return {
    time: clockMinute(at), one: plural(1, "day", "days"), many: plural(3660, "day", "days"),
    lengths: seconds.map(lengthRound), sizes: bytes.map(sizeOf),
  };
}"""


def _told(garden: Garden, chromium: Browser, locale: str) -> dict[str, Any]:
    """The moment is 05:01 in UTC, which is the zone before any picture has come."""
    context = chromium.new_context(locale=locale)
    window = context.new_page()
    window.goto(f"{garden.page.url}/static/icon.svg")  # of the page's origin, and runs no view
    told: dict[str, Any] = window.evaluate(
        TOLD, [301 * MINUTE_MS, [0, 59.4, 59.6, 3_599, 172_800], [40, 1_440, 262_144, 6_291_456]]
    )
    context.close()
    return told


@pytest.mark.parametrize(
    ("locale", "time", "many"),
    [
        ("en-GB", "05:01", "3,660 days"),
        ("en-US", "5:01 AM", "3,660 days"),
        ("de-DE", "05:01", "3.660 days"),
        ("es-ES", "5:01", "3660 days"),  # which groups from five digits on
    ],
)
def test_times_and_counts_are_the_locale_s(
    garden: Garden, chromium: Browser, locale: str, time: str, many: str
) -> None:
    """As Unicode CLDR has them."""
    told = _told(garden, chromium, locale)
    assert (told["time"].replace("\u202f", " "), told["one"], told["many"]) == (time, "1 day", many)


def test_lengths_and_sizes_are_rounded_to_what_people_say(
    garden: Garden, chromium: Browser
) -> None:
    """No 60 s, and no 0 MB."""
    told = _told(garden, chromium, "en-GB")
    assert told["lengths"] == ["0\u00a0s", "59\u00a0s", "1\u00a0min", "1\u00a0h", "2\u00a0days"]
    assert told["sizes"] == ["0.1\u00a0kB", "1.4\u00a0kB", "262\u00a0kB", "6.3\u00a0MB"]
