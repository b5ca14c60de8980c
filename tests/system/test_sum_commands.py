"""`rootclock week` and `rootclock wear`; the page's numbers are those of the command line."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from controller.cli.main import main
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS
from controller.shell.clock.today import now
from tests.journals import opened, switching
from tests.stage.daemon_process import DaemonProcess
from tests.stage.page_process import PageProcess

PLAN = """\
format = 1
# A garden of our own invention.
[site]
latitude = 47.4
longitude = 8.5
timezone = "Europe/Zurich"
[loads.pump]
kind = "pump"
line = 17
active = "low"
contact_life = 4000
spans = [{ from = "00:00", cycle = "6h on, 18h off" }]
"""


@pytest.fixture(scope="module")
def daemon(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DaemonProcess]:
    """A controller whose journal has nine days of 15 min on, 15 min off, but for three hours."""
    folder = tmp_path_factory.mktemp("garden")
    plan = folder / "plan.toml"
    plan.write_text(PLAN, encoding="utf-8")
    (folder / "state").mkdir()
    journal = opened(folder / "state")
    begin, end = now() - 9 * DAY_MS, now() - HOUR_MS
    hole = end - 2 * DAY_MS
    entries = [
        switching(number, at=begin + number * 14 * MINUTE_MS)  # a minute of its own besides
        for number in range((end - begin) // (15 * MINUTE_MS))
    ]
    journal.note([one for one in entries if not hole <= one.at < hole + 3 * HOUR_MS])
    assert journal.close()
    with DaemonProcess(folder, plan, "--trust-clock") as process:
        process.start()
        process.call("stop")  # nothing switches any more while the numbers are compared
        yield process


@pytest.fixture(scope="module")
def browser(daemon: DaemonProcess) -> Iterator[httpx.Client]:
    """Whoever asks the page."""
    with PageProcess(daemon.socket_path) as page, page.client() as client:
        yield client


def _said(capsys: pytest.CaptureFixture[str], daemon: DaemonProcess, *words: str) -> str:
    assert main([*words, "--socket", str(daemon.socket_path)]) == 0
    return capsys.readouterr().out


def _logged(capsys: pytest.CaptureFixture[str], daemon: DaemonProcess, *words: str) -> list[str]:
    assert main(["log", *words, "--state", str(daemon.state)]) == 0
    return capsys.readouterr().out.splitlines()


def _numbers(week: dict[str, Any]) -> list[list[tuple[Any, ...]]]:
    """What does not move while time goes on: all days but the last."""
    keys = ("name", "starts", "on_s", "longest_gap_s", "long_gaps", "differs")
    return [
        [(day["date"], day["alarms"], *(load[key] for key in keys)) for load in day["loads"]]
        for day in week["days"][:-1]
    ]


def test_the_week_on_the_page_is_the_week_of_the_command_line(
    capsys: pytest.CaptureFixture[str], daemon: DaemonProcess, browser: httpx.Client
) -> None:
    """And what both tell is what the journal has, counted by hand."""
    told = json.loads(_said(capsys, daemon, "week", "--json"))
    page = browser.get("/api/v1/week").json()
    assert _numbers(page) == _numbers(told)
    assert [day["date"] for day in page["days"]] == [day["date"] for day in told["days"]]
    starts = [day["loads"][0]["starts"] for day in told["days"][:-1]]
    assert max(starts) in {47, 48, 49, 50}  # half-hours of a day; 50 where clocks go back
    gaps = [gap for day in told["days"] for gap in day["loads"][0]["long_gaps"]]
    assert gaps[0]["length_s"] == pytest.approx(3 * 3600, abs=1801)


def test_the_week_is_told_in_words(
    capsys: pytest.CaptureFixture[str], daemon: DaemonProcess
) -> None:
    """By load and day, with what was longer than usual."""
    lines = _said(capsys, daemon, "week").splitlines()
    assert lines[0] == "pump"
    assert len([line for line in lines if "waterings" in line or "watering," in line]) == 7
    assert any("longer than usual" in line for line in lines)
    assert lines[-1] == "0 alarms; times of Europe/Zurich."


def test_wear_is_the_same_on_the_page_in_metrics_and_on_the_command_line(
    capsys: pytest.CaptureFixture[str], daemon: DaemonProcess, browser: httpx.Client
) -> None:
    """Counted over all that the journal knows."""
    [told] = json.loads(_said(capsys, daemon, "wear", "--json"))["loads"]
    assert browser.get("/api/v1/wear").json()["loads"] == [told]
    switched = _logged(capsys, daemon, "--only", "switched", "--jsonl")
    whats = [json.loads(line)["what"] for line in switched]
    # None is told on twice but by the start of the controller, which is an operation.
    assert told["operations"] == whats.count("on")
    assert told["share"] == told["operations"] / 4000
    assert told["a_day"] == pytest.approx(48, rel=0.2)
    metrics = browser.get("/metrics").text
    assert f'rootclock_relay_operations_total{{load="pump"}} {told["operations"]}\n' in metrics
    assert 'rootclock_relay_rated_operations{load="pump"} 4000\n' in metrics
    words = _said(capsys, daemon, "wear").replace("\n", " ")
    assert words.startswith(f"pump: {told['operations']} of 4,000 rated operations (")
    assert "of late the rest lasts about" in words


def test_an_export_of_the_page_is_the_command_lines(
    capsys: pytest.CaptureFixture[str], daemon: DaemonProcess, browser: httpx.Client
) -> None:
    """The same filters, the same rows; the page tells the newest first."""
    filters = {"only": ["switched", "starts"], "find": "entry 1", "load": "pump"}
    rows = browser.get("/api/v1/log.csv", params=filters).text.splitlines()
    words = ["--only", "switched", "--only", "starts", "--find", "entry 1", "--load", "pump"]
    told = _logged(capsys, daemon, *words, "--csv")
    assert len(told) > 100
    assert [rows[0], *rows[:0:-1]] == told


def test_moments_are_taken_as_on_the_command_line(browser: httpx.Client) -> None:
    """Local times of the site, how long ago, and a date that counts in whole."""
    [instant] = {
        browser.get("/api/v1/past", params={"load": "pump", "at": at}).json()["at_utc"]
        for at in ("2026-07-01T06:00", "2026-07-01T04:00:00Z")
    }
    assert instant == "2026-07-01T04:00:00Z"
    entries = browser.get("/api/v1/log", params={"since": "160h", "last": 1000}).json()["entries"]
    assert len(entries) > 100
    one_day = {"since": "2026-07-01", "until": "2026-07-01"}
    assert browser.get("/api/v1/log", params=one_day).status_code == 200
    for params, told in (
        ({"since": "2026-07-02", "until": "2026-07-01"}, "since is not before until"),
        ({"since": "25:00"}, "since: "),
        ({"until": "yesterday"}, "until: "),
    ):
        problem = browser.get("/api/v1/log", params=params)
        assert problem.status_code == 422
        assert told in problem.json()["detail"]
        assert problem.json()["about"] in params
