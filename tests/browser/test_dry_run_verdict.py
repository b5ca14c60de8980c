"""The first line of what came of a dry run: whether a limit was broken, and whether all is well."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from controller.shell.examples import example_text
from tests.browser.conftest import grown
from tests.browser.dry_run_view import open_dry_run, run

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page


@pytest.mark.parametrize(
    ("days", "mark", "words"),
    [
        (1, "✓", "No limit was broken: 2 notes."),
        # The bucket runs empty, and roots with it; the plan states no limit that this would break.
        (4, "▲", "No limit was broken, but there are warnings: 3 warnings, 1 note."),
    ],
)
def test_no_tick_stands_beside_warnings(
    tmp_path: Path, phone: Page, days: int, mark: str, words: str
) -> None:
    """Whoever reads no further must not believe that roots stayed wet."""
    with grown(tmp_path, example_text("weekend")) as garden:
        open_dry_run(phone, garden, f"?from=2026-07-10&days={days}")
        run(phone)
        verdict = phone.locator("#outcome .verdict")
        expect(verdict).to_have_text(words)
        shown = verdict.evaluate("(e) => getComputedStyle(e, '::before').content")
        assert mark in shown
