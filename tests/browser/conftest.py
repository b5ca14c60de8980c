"""Debian's Chromium, a real page and a real controller on mock relays."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import pytest
from playwright.sync_api import Browser, Page

from controller.shell.examples import example_text
from tests.browser.editor_form import SHED
from tests.browser.plan_view import LIMITED
from tests.browser.water_form import BARREL
from tests.stage.chromium import launched_chromium
from tests.stage.daemon_process import DaemonProcess
from tests.stage.page_process import PageProcess

# A garden of our own invention. The pump's cycle is of no plant: it is long enough that no test
# sees it change. In braces: the folder of the files that its sensors read.
PLAN = """
format = 1

[site]
latitude = 47.4
longitude = 8.5
timezone = "Europe/Zurich"
elevation_m = 430

[sensors.air]
measures = "air_temperature"
file = "{folder}/air"
stale_after = "10m"

[sensors.floor]
measures = "leak"
file = "{folder}/floor"
every = "1s"

[guards]
leak = "floor"

[loads.tower]
kind = "pump"
line = 17
active = "low"
watts = 22
spans = [{{ from = "00:00", cycle = "6h on, 18h off" }}]

[loads.fan]
kind = "fan"
line = 22
active = "low"
spans = [{{ from = "00:00", cycle = "off" }}]
"""


class Garden(NamedTuple):
    """What stands behind a page, and what its sensors read: files."""

    folder: Path
    daemon: DaemonProcess
    page: PageProcess

    def read(self, sensor: str, value: str) -> None:
        """From now on, that is what the sensor reads."""
        (self.folder / sensor).write_text(f"{value}\n", encoding="utf-8")


@contextmanager
def grown(folder: Path, plan_text: str | None = None) -> Iterator[Garden]:
    """A controller and a page of your own in `folder`, by a plan of your own or by `PLAN`.

    A plan of your own stands as it is written: no braces are filled in. Files that its sensors
    may read: `air` and `floor` in that folder.
    """
    plan = folder / "plan.toml"
    text = PLAN.format(folder=folder) if plan_text is None else plan_text
    plan.write_text(text, encoding="utf-8")
    (folder / "air").write_text("23.4\n", encoding="utf-8")
    (folder / "floor").write_text("0\n", encoding="utf-8")
    with DaemonProcess(folder, plan, "--trust-clock") as daemon:
        daemon.start()
        with PageProcess(daemon.socket_path) as page:
            yield Garden(folder, daemon, page)


@pytest.fixture
def fresh_garden(tmp_path: Path) -> Iterator[Garden]:
    """A controller with two loads and two sensors, all well, and its page; to be spoilt."""
    with grown(tmp_path) as garden:
        yield garden


@pytest.fixture(scope="session")
def _one_garden(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    with grown(tmp_path_factory.mktemp("garden")) as garden:
        yield garden


@pytest.fixture
def garden(_one_garden: Garden) -> Garden:
    """The same, started once, for tests that only give orders: it is let go before each."""
    _one_garden.daemon.call("resume")
    for load in _one_garden.daemon.call("status")["loads"]:
        if load["held"] is not None:
            _one_garden.daemon.call("release", {"load": load["name"]})
    return _one_garden


@pytest.fixture
def limited(tmp_path: Path) -> Iterator[Garden]:
    """A garden whose plan is of a few lines with comments, states how long roots may stay dry,
    and switches no mains."""
    with grown(tmp_path, LIMITED) as garden:
        yield garden


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The browser, started once: that takes a second."""
    with launched_chromium() as browser:
        yield browser


@pytest.fixture(scope="module")
def hot(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """A garden with the plan for hot afternoons: a pump, and a sensor of the air."""
    with grown(tmp_path_factory.mktemp("hot"), example_text("hot-afternoon")) as garden:
        yield garden


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """A pump and a lamp, and nothing of its water; no test saves, so that all may use it."""
    with grown(tmp_path_factory.mktemp("shed"), SHED) as garden:
        yield garden


@pytest.fixture(scope="module")
def barrel(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """A pump of which all is told, with comments: plants, reservoir, the way up by its curve and
    fittings; no test saves."""
    with grown(tmp_path_factory.mktemp("barrel"), BARREL) as garden:
        yield garden


@contextmanager
def _window(chromium: Browser, *, width: int, height: int, has_touch: bool) -> Iterator[Page]:
    context = chromium.new_context(
        viewport={"width": width, "height": height}, has_touch=has_touch, locale="en-GB"
    )
    window = context.new_page()
    complaints: list[str] = []
    window.on("pageerror", lambda error: complaints.append(str(error)))
    window.on("console", lambda message: complaints.append(message.text))
    yield window
    context.close()
    # The browser itself tells of every answer that is an error, and of a server that is gone.
    assert [one for one in complaints if not one.startswith("Failed to load resource")] == []


@pytest.fixture
def phone(chromium: Browser) -> Iterator[Page]:
    """A phone's window of its own; whatever its console complains of fails the test."""
    with _window(chromium, width=390, height=844, has_touch=True) as window:
        yield window


@pytest.fixture
def laptop(chromium: Browser) -> Iterator[Page]:
    """A laptop's window of its own, with a mouse; its console must be silent as well."""
    with _window(chromium, width=1280, height=800, has_touch=False) as window:
        yield window
