"""How the plan's form looks with everything open: legible, large enough, nothing over the edge."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser import looks
from tests.browser.conftest import grown
from tests.browser.editor_form import card, chips, open_drawer, open_form
from tests.browser.large_text import broken_words, enlarge
from tests.browser.water_form import BARREL, REST, open_adding, open_lift

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

[loads.a_row_of_columns_with_quite_a_long_name.lift]
height_m = 1.5
hose_bore_mm = 16
hose_length_m = 3
curve = [[1200, 0], [700, 1.25], [0, 2.2]]
fittings = { elbow = 2, barb = 1, reducer = 1 }

[loads.side]
kind = "pump"
line = 27
active = "low"
reservoir = "tank"
spans = [{ from = "06:00", cycle = "15m on, 15m off" }]

[loads.lamp]
kind = "lamp"
line = 22
active = "low"
spans = [{ from = "05:00", cycle = "on" }, { from = "23:00", cycle = "off" }]

[stands.heads]
watered_by = "a_row_of_columns_with_quite_a_long_name"
plants = 40
age_days = 35
medium = "bare-roots"
place = "outdoors"
plants_per_m2 = 25

[reservoirs.tank]
full_l = 60
inlet_at_l = 8
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
    open_drawer(card(window, "side"), "Settings")
    for title in ("Add a load", "Plants, reservoirs, sensors, place and guards"):
        open_drawer(window.locator(".editor"), title)
    opened = "document.querySelectorAll('.editor details').forEach((e) => { e.open = true; })"
    for _ in range(2):  # and what came with them
        window.evaluate(opened)
        expect(window.locator(".editor details[open] > .drawer-home:empty")).to_have_count(0)
    window.evaluate(opened)
    for name in ("Add them", "Add it", "Add the way up", "Take these numbers"):
        window.get_by_role("button", name=name, exact=True).and_(
            window.locator("button:visible")
        ).last.click()
    for label in ("How many", "Height", "Flow on its label"):
        field = window.locator(".field:visible", has=window.get_by_label(label, exact=True))
        expect(field.locator(".finding.is-error")).not_to_have_count(0)


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


def test_what_tells_of_water_can_be_read_at_twice_the_text(tmp_path: Path, phone: Page) -> None:
    """Rows of points and fittings, and forms with all that is missing told: nothing hangs over, no
    word falls apart, every button is still there to be hit."""
    with grown(tmp_path, BARREL) as garden:
        lift = open_lift(phone, garden)
        lift.get_by_text("By the two numbers on the pump’s label instead").tap()
        rest = open_drawer(phone.locator(".editor"), REST)
        for title, act in (("Add plants", "Add them"), ("Add a reservoir", "Add it")):
            form = open_adding(rest, title)
            form.get_by_role("button", name=act, exact=True).tap()
            expect(form.locator(".finding.is-error").first).to_be_visible()
        enlarge(phone)
        assert looks.overflow(phone) == []
        assert looks.targets(phone) == []
        assert broken_words(phone) == []
