"""Debian's Chromium, driven by Playwright."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from playwright.sync_api import sync_playwright

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# As root, which builders often are, Chromium refuses its own sandbox.
_OPTIONS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]


@contextmanager
def launched_chromium() -> Iterator[Browser]:
    """The browser, until the block ends: to start it takes a second."""
    path = shutil.which("chromium")
    assert path is not None, "missing: apt-get install chromium, or bash tests/run browser"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=_OPTIONS)
        yield browser
        browser.close()
