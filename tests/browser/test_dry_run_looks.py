"""How the view Dry run looks with all that came of a run: nothing over the edge, legible."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from controller.shell.examples import example_text
from tests.browser import looks
from tests.browser.conftest import grown
from tests.browser.dry_run_view import FAULTS, choose_file, open_dry_run, run
from tests.browser.large_text import TWICE, broken_words, enlarge
from tests.browser.plan_view import LIMITED, NIGHT

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

    from tests.browser.conftest import Garden

DAYS = "?from=2026-07-12&days=2"


def _compare(window: Page, garden: Garden, folder: Path) -> None:
    """Two plans side by side, one of which breaks its limit, with the power failing."""
    drier = folder / "drier.toml"
    drier.write_text(LIMITED.replace(NIGHT, 'cycle = "5m on, 1h off"'), encoding="utf-8")
    open_dry_run(window, garden, f"{DAYS}&faults=text")
    window.get_by_label("Fault script").fill(FAULTS.partition('[[faults]]\nkind = "sensor')[0])
    window.get_by_label("Beside it").select_option("file")
    choose_file(window, "Choose a plan file", drier, number=1)
    run(window)
    expect(window.locator(".finding[data-grade=limit]")).not_to_have_count(0)


@pytest.mark.parametrize("scheme", looks.SCHEMES)
def test_what_came_of_two_plans_is_legible_at_every_width(
    limited: Garden, chromium: Browser, tmp_path: Path, scheme: looks.Scheme
) -> None:
    """Findings, differences, figures, the picture, what happened; and axe-core finds nothing."""
    context = chromium.new_context(color_scheme=scheme, locale="en-GB")
    window = context.new_page()
    _compare(window, limited, tmp_path)
    wrong = {}
    for width in looks.WIDTHS:
        window.set_viewport_size({"width": width, "height": 900})
        wrong[width] = looks.all_of(window)
    assert wrong == {width: [] for width in looks.WIDTHS}
    assert looks.axe(window) == []
    context.close()


def test_no_word_falls_apart_in_large_type(
    limited: Garden, chromium: Browser, tmp_path: Path
) -> None:
    """On a phone, at the usual size and at twice that; nothing hangs over the edge."""
    window = chromium.new_page()
    _compare(window, limited, tmp_path)
    for times in (1.0, TWICE):
        enlarge(window, times)
        assert (broken_words(window), looks.overflow(window)) == ([], []), times
    window.close()


def test_differences_have_room_on_a_phone(limited: Garden, phone: Page) -> None:
    """Of two plans side by side: no column is as narrow as a word."""
    open_dry_run(phone, limited, "?from=2026-07-12&days=1")
    phone.get_by_label("Beside it").select_option(index=1)
    run(phone)
    told = phone.locator(".differences dd").first
    expect(told).to_contain_text("same in both")
    box = told.bounding_box()
    assert box is not None
    assert box["width"] > 250


def test_heads_of_columns_are_no_towers_on_a_phone(tmp_path: Path, phone: Page) -> None:
    """Of many loads in one table: no head is so narrow that the table begins with a gap."""
    with grown(tmp_path, example_text("greenhouse")) as garden:
        open_dry_run(phone, garden, "?from=2026-07-12&days=1")
        run(phone)
        heads = phone.locator(".figures:not(.is-turned) thead th")
        lines = heads.evaluate_all("""(heads) => heads.map((head) => {
          const range = document.createRange();
          range.selectNodeContents(head);
          return new Set([...range.getClientRects()].map((box) => Math.round(box.top))).size;
        })""")
    assert len(lines) > 10
    assert max(lines) <= 3
