"""How the plan's form looks with everything open: legible, large enough, nothing over the edge."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser import looks
from tests.browser.conftest import grown
from tests.browser.editor_form import card, chips, open_drawer, open_form

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

# A garden of our own invention, in which something is to be said about most parts.
FULL = """
format = 1
site = { latitude = 47.4, longitude = 8.5, timezone = "Europe/Zurich" }

[sensors.air]
measures = "air_temperature"

[loads.a_row_of_columns_with_quite_a_long_name]
kind = "pump"
line = 14
active = "low"
spans = [
    { from = "06:00", cycle = "15m on, 15m off" },
    { from = "06:20", cycle = "2m30s on, 20m off, 1m on, 40m off" },
    { from = "lamp off", cycle = "on" },
    { from = "lamp off", cycle = "off" },
]

[[loads.a_row_of_columns_with_quite_a_long_name.variants]]
name = "hot"
sensor = "air"
above = 32
until = 29
spans = [{ from = "00:00", cycle = "20m on, 10m off" }]

[loads.lamp]
kind = "lamp"
line = 22
active = "low"
spans = [{ from = "05:00", cycle = "on" }, { from = "23:00", cycle = "off" }]
"""


def _open_all(window: Page) -> None:
    pump = card(window, "a_row_of_columns_with_quite_a_long_name")
    chips(pump).nth(1).click()
    words = pump.get_by_label("The same in words").first
    words.fill("never")
    words.press("Enter")
    expect(pump.locator(".piece .finding.is-error")).to_be_visible()
    for title in ("Other times in heat or cold", "Settings", "Change the condition"):
        open_drawer(pump, title)
    for title in ("Add a load", "Plants, reservoirs, sensors, place and guards"):
        open_drawer(window.locator(".editor"), title)
    opened = "document.querySelectorAll('.editor details').forEach((e) => { e.open = true; })"
    window.evaluate(opened)
    expect(window.locator(".editor .drawer-home:empty")).to_have_count(0)
    window.evaluate(opened)  # what came with them


@pytest.mark.parametrize("scheme", looks.SCHEMES)
def test_everything_open_is_legible_at_every_width(
    tmp_path: Path, chromium: Browser, scheme: looks.Scheme
) -> None:
    """Narrow pieces, a long name, a refusal and findings among it."""
    with grown(tmp_path, FULL) as garden:
        context = chromium.new_context(color_scheme=scheme, locale="en-GB")
        window = context.new_page()
        open_form(window, garden)
        _open_all(window)
        wrong = {}
        for width in looks.WIDTHS:
            window.set_viewport_size({"width": width, "height": 900})
            wrong[width] = looks.all_of(window)
        assert wrong == {width: [] for width in looks.WIDTHS}
        # Borders of short pieces stand close together. Each piece has a chip as well, whose fields
        # move the same border: WCAG 2.2, 2.5.8, "Equivalent".
        found = looks.axe(window)
        assert [one for one in found if "band-handle" not in one or "target-size" not in one] == []
        context.close()
