"""The controller as it runs in life: a process, a socket, a disk, signals, and people."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from controller.core.errors import RequestRefusedError
from controller.shell.examples import example_names
from controller.shell.journal.read_log import Query, read_log
from tests.stage.daemon_process import DaemonProcess

PLAN = """\
# A made-up cellar on the meridian.
format = 1
[site]
latitude = 47.1
longitude = 0.0
timezone = "Etc/UTC"
[sensors.air]
measures = "air_temperature"
every = "1s"
stale_after = "1m"
file = "{air}"
scale = 0.001
[loads.pump]
kind = "pump"
line = 17
active = "low"
watts = 22
shortest_on = "0s"
shortest_off = "0s"
[[loads.pump.spans]]
from = "00:00"
cycle = "1h on, 1h off"
[[loads.pump.variants]]
name = "hot"
sensor = "air"
above = 32.0
until = 29.0
[[loads.pump.variants.spans]]
from = "00:00"
cycle = "on"
[loads.lamp]
kind = "lamp"
line = 27
active = "high"
shortest_on = "0s"
[[loads.lamp.spans]]
from = "00:00"
cycle = "on"
"""


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """A plan file, whose sensor's file reads 20 °C."""
    air = tmp_path / "temp1_input"
    air.write_text("20000\n")
    path = tmp_path / "plan.toml"
    path.write_text(PLAN.replace("{air}", str(air)))
    return path


@pytest.fixture
def daemon(tmp_path: Path, plan: Path) -> Iterator[DaemonProcess]:
    """A controller that is ready."""
    with DaemonProcess(tmp_path, plan) as process:
        process.start()
        yield process


def load(status: dict[str, Any], name: str) -> dict[str, Any]:
    """One load of a status."""
    found: dict[str, Any] = next(one for one in status["loads"] if one["name"] == name)
    return found


def journal(daemon: DaemonProcess) -> list[tuple[str, str]]:
    """What happened to what, by the journal's file."""
    page = read_log(daemon.state / "journal.db", Query())
    return [(line.entry.what, line.entry.subject) for line in page.lines]


def test_it_says_what_it_does_and_that_nothing_real_is_switched(daemon: DaemonProcess) -> None:
    """The status has every load with its state, reason and sentence."""
    status = daemon.call("status")
    assert status["is_mock"] is True
    assert [one["name"] for one in status["loads"]] == ["pump", "lamp"]
    assert load(status, "lamp")["sentence"].startswith("Lit")
    code, words = daemon.end()
    assert code == 0
    assert "MOCK RELAYS, nothing real is switched" in words


def test_a_person_holds_and_releases(daemon: DaemonProcess) -> None:
    """Each answer is the status after it, and the journal tells who it was."""
    held = load(daemon.call("hold", {"load": "lamp", "order": "off", "for": "20m"}), "lamp")
    assert (held["is_on"], held["held"]["order"]) == (False, "off")
    after = load(daemon.call("release", {"load": "lamp"}), "lamp")
    assert after["held"] is None
    began = read_log(daemon.state / "journal.db", Query(find="hold began")).lines
    assert "by " in began[0].entry.detail


@pytest.mark.parametrize(
    ("method", "params", "told"),
    [
        pytest.param("hold", {"load": "pmp", "order": "on", "for": "5m"}, "no load", id="a typo"),
        pytest.param(
            "hold", {"load": "pump", "order": "sideways", "for": "5m"}, "hot", id="no such order"
        ),
        pytest.param("release", {"load": "x"}, "pump, lamp", id="what there is, is told"),
        pytest.param("acknowledge", {}, "no alarm", id="nothing to look at"),
        pytest.param("log", {"only": ["rain"]}, "switched", id="no such kind"),
        pytest.param("plan.text", {"revision": 99}, "99", id="no such revision"),
    ],
)
def test_what_does_not_fit_is_refused_with_words(
    daemon: DaemonProcess, method: str, params: dict[str, Any], told: str
) -> None:
    """Nothing is done, and the answer says what would fit."""
    with pytest.raises(RequestRefusedError) as caught:
        daemon.call(method, params)
    assert told in str(caught.value)


def test_a_hold_and_a_stop_outlive_kill_9(daemon: DaemonProcess) -> None:
    """What people ordered is on the disk before they are answered."""
    daemon.call("hold", {"load": "pump", "order": "on", "for": "2h"})
    daemon.call("stop")
    assert daemon.end(signal.SIGKILL)[0] == -signal.SIGKILL
    daemon.start()
    status = daemon.call("status")
    assert status["is_stopped"] is True
    assert [one["is_on"] for one in status["loads"]] == [False, False]
    assert load(status, "pump")["held"]["order"] == "on"
    daemon.call("resume")
    assert ("controller back", "") in journal(daemon)


def test_an_orderly_end_is_the_last_entry(daemon: DaemonProcess) -> None:
    """And the next start knows what was so."""
    for number in (signal.SIGTERM, signal.SIGINT):
        assert daemon.end(number)[0] == 0
        assert journal(daemon)[-1][0] == "controller ended"
        daemon.start()


def test_a_good_hand_edit_is_taken_and_a_bad_one_refused(daemon: DaemonProcess, plan: Path) -> None:
    """The last good plan runs on, with an alarm that goes away when the file is mended."""
    text = plan.read_text()
    with daemon.client() as client:
        _, news = client.listen(["changed", "journal"])
        plan.write_text(text.replace("1h off", "30m off"))
        _await(news, "plan taken")
        assert daemon.call("status")["plan"]["revision"] == 2
        plan.write_text(text.replace("pump", "pumpe", 1).replace('kind = "pump"', 'kind = "pumpe"'))
        _await(news, "plan refused")
        status = _await_status(news, lambda status: bool(status["alarms"]))
        assert status["alarms"][0]["code"] == "plan on disk refused"
        assert status["plan"]["revision"] == 2
        plan.write_text(text)
        _await(news, "plan taken")
        _await_status(news, lambda status: not status["alarms"])


def test_a_plan_is_proposed_refused_and_restored(daemon: DaemonProcess, plan: Path) -> None:
    """Through the socket, with the findings where it is refused."""
    text = plan.read_text()
    with pytest.raises(RequestRefusedError) as caught:
        daemon.call("plan.propose", {"text": "format = 2", "based_on": 1})
    assert isinstance(caught.value.data, dict)
    assert caught.value.data["findings"]
    longer = text.replace("1h on, 1h off", "2h on, 1h off")
    taken = daemon.call("plan.propose", {"text": longer, "based_on": 1})
    assert taken["revision"] == 2
    assert plan.read_text() == longer
    assert daemon.call("plan.restore", {"revision": 1})["revision"] == 3
    assert plan.read_text() == text
    told = daemon.call("plan.revisions")["revisions"]
    assert [(one["revision"], one["is_in_force"]) for one in told] == [
        (1, False), (2, False), (3, True),
    ]  # fmt: skip


def test_a_sensor_s_file_is_read_and_changes_the_variant(
    daemon: DaemonProcess, tmp_path: Path
) -> None:
    """Millidegrees as the kernel's hwmon gives them (Documentation/hwmon/sysfs-interface)."""
    with daemon.client() as client:
        answer, news = client.listen(["changed", "journal"])
        assert [one["name"] for one in answer["status"]["sensors"]] == ["air"]
        (tmp_path / "temp1_input").write_text("35000\n")
        _await(news, "variant entered")
    assert load(daemon.call("status"), "pump")["variant"] == "hot"


def test_a_sensor_that_is_opened_anew_changes_nothing(
    daemon: DaemonProcess, plan: Path, tmp_path: Path
) -> None:
    """Another plan reads the same file otherwise: its variant stays, no alarm is raised, nothing
    switches, and the journal hears of the plan alone."""
    with daemon.client() as client:
        _, news = client.listen(["changed", "journal"])
        (tmp_path / "temp1_input").write_text("35000\n")
        _await(news, "variant entered")
        before = journal(daemon)
        otherwise = plan.read_text().replace('every = "1s"', 'every = "2s"\noffset = 500')
        daemon.call("plan.propose", {"text": otherwise, "based_on": 1})
    while daemon.call("status")["sensors"][0]["value"] != 35.5:  # nothing tells of a reading
        pass
    assert load(daemon.call("status"), "pump")["variant"] == "hot"
    assert daemon.end()[0] == 0
    assert journal(daemon)[len(before) :] == [("plan taken", ""), ("controller ended", "")]


def test_the_service_manager_is_told_and_fed(daemon: DaemonProcess) -> None:
    """Ready when the relays are commanded and clients are let in; then fed, and told of the end."""
    assert any(notice.startswith("READY=1") for notice in daemon.notices)
    while daemon.next_notice() != "WATCHDOG=1":
        pass
    daemon.send(signal.SIGTERM)
    while daemon.next_notice() != "STOPPING=1":
        pass
    assert daemon.wait()[0] == 0


def test_a_second_controller_is_refused(daemon: DaemonProcess, tmp_path: Path) -> None:
    """Two of them would fight over the relays."""
    words = ["run", str(daemon.plan), "--mock", "--state", str(daemon.state)]
    done = _rootclock(*words, "--socket", str(tmp_path / "run2" / "control.sock"))
    assert done.returncode == 1
    assert "another controller is running" in done.stderr


def test_a_service_without_gpio_fails_instead_of_pretending(tmp_path: Path, plan: Path) -> None:
    """A service that seems to water and does not is worse than one that is started again."""
    with DaemonProcess(tmp_path, plan, is_mock=False) as process:
        process.launch()
        code, words = process.wait()
    assert code == 1
    assert "no relay can be switched" in words


def test_a_plan_that_cannot_run_is_refused_at_the_start(tmp_path: Path) -> None:
    """With every error, and nothing is switched."""
    bad = tmp_path / "bad.toml"
    bad.write_text("format = 1\n[site]\nlatitude = 123\n")
    done = _rootclock("run", str(bad), "--mock", "--state", str(tmp_path / "s"), "--socket",
                      str(tmp_path / "r" / "c.sock"))  # fmt: skip
    assert done.returncode == 1
    assert "latitude" in done.stderr
    assert "Traceback" not in done.stderr


def test_start_shows_what_happens_in_the_terminal(tmp_path: Path) -> None:
    """Without a plan it takes an example, as a file to edit."""
    process = subprocess.Popen(  # noqa: S603 - our own program
        [
            sys.executable, "-m", "controller", "start", "--mock", "--state", str(tmp_path / "s"),
            "--socket", str(tmp_path / "r" / "c.sock"), "--port", "0",
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )  # fmt: skip
    assert process.stdout is not None
    told = ""
    while "pump" not in told:
        told += process.stdout.readline()
    process.send_signal(signal.SIGINT)
    rest, cautions = process.communicate(timeout=20)
    assert process.returncode == 0
    assert "MOCK RELAYS, nothing real is switched" in told
    assert "Controller ended" in rest
    assert "GFCI" in cautions
    assert (tmp_path / "s" / "plan.toml").exists()


def _rootclock(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603 - our own program
        [sys.executable, "-m", "controller", *words],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip


def _await(news: Any, what: str) -> dict[str, Any]:
    """The next journal entry of a kind."""
    for told in news:
        for entry in told.params.get("entries", ()):
            if entry["what"] == what:
                assert isinstance(entry, dict)
                return entry
    raise AssertionError(f"never told: {what}")


def _await_status(news: Any, fits: Any) -> dict[str, Any]:
    """The next status that fits."""
    for told in news:
        status = told.params.get("status")
        if status is not None and fits(status):
            assert isinstance(status, dict)
            return status
    raise AssertionError(json.dumps("never told"))


@pytest.mark.parametrize("example", [name for name in example_names() if not name.endswith(".csv")])
def test_every_example_plan_runs_on_a_mock_board(tmp_path: Path, example: str) -> None:
    """Sensors that the plan asks for are modelled, flow meters from the first decision on."""
    plan = Path(__file__).parents[2] / "controller" / "examples" / f"{example}.toml"
    with DaemonProcess(tmp_path, plan) as process:
        process.start()
        status = process.call("status")
        assert len(status["loads"]) >= 1
        assert status["alarms"] == []
        assert process.end()[0] == 0
