"""The view Dry run as tests use it: opened, filled in, run; and what the command line says."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import TYPE_CHECKING, Any, NamedTuple

from playwright.sync_api import expect

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Locator, Page

    from tests.browser.conftest import Garden

# A script of our own invention: a cut of power, a sensor that tells something false, a hold.
FAULTS = """[[faults]]
kind = "power_out"
from = "2026-07-12T13:00"
until = "2026-07-12T16:30"
clock_unknown_for = "3m"

[[faults]]
kind = "sensor_reads"
sensor = "air"
value = 35.5
from = "2026-07-13T08:00"
until = "2026-07-13T09:00"
"""


def weather_text() -> str:
    """Four days of an invented July, by the hour, hot enough for a variant; with an umlaut."""
    rows = [
        f"2026-07-{day:02}T{hour:02}:00:00+02:00,{18 + 18 * (1 - abs(hour - 15) / 15):.1f}"
        for day in range(12, 16)
        for hour in range(24)
    ]
    return "# invented, for a tünnel\ntime,air_temperature_c\n" + "\n".join(rows) + "\n"


def open_dry_run(window: Page, garden: Garden, query: str = "") -> None:
    """Goes there and waits until the controller's plans are known."""
    window.goto(f"{garden.page.url}/dry-run{query}")
    expect(window.locator("#form .field-name").first).to_be_visible()
    expect(plan_choice(window).locator("option").first).to_contain_text("revision")


def plan_choice(window: Page) -> Locator:
    """Which plan is run."""
    return window.get_by_label("Run this plan")


def choose_file(window: Page, label: str, path: Path, *, number: int = 0) -> None:
    """Hands the browser a file."""
    window.get_by_label(label).nth(number).set_input_files(path)
    expect(window.locator(".file-chosen", has_text=path.name).first).to_be_visible()


def run(window: Page) -> None:
    """Runs what is chosen and waits for what comes of it."""
    before = window.locator("#result-title").element_handles()
    window.locator(".run-button").click()
    for title in before:  # the outcome before is to go first
        title.wait_for_element_state("hidden")
    expect(window.locator("#result-title")).to_be_visible(timeout=60_000)


class Said(NamedTuple):
    """What the command line says of the same run: its account, events and picture."""

    account: Any
    events: str
    picture: str


def said(folder: Path, plan: Path, start: str, days: int, *more: str) -> Said:
    """`rootclock dry-run --json`."""
    events, picture = folder / "said.csv", folder / "said.svg"
    done = subprocess.run(  # noqa: S603 - our own program
        [
            *(sys.executable, "-m", "controller", "dry-run", str(plan)),
            *("--from", start, "--days", str(days), "--json"),
            *("--events", str(events), "--picture", str(picture), *more),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout, done.stderr
    return Said(
        json.loads(done.stdout),
        events.read_text(encoding="utf-8"),
        picture.read_text(encoding="utf-8"),
    )


def saved(window: Page, button: str) -> str:
    """The text of the file that a button saves."""
    with window.expect_download() as download:
        window.get_by_role("button", name=button).click()
    return download.value.path().read_text(encoding="utf-8")
