"""Every route of the page, asked of a real page process that asks a real controller."""

from __future__ import annotations

import csv
import io
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from controller.core.status.json_form import status_from_json
from controller.core.units import parse_rfc3339
from tests.stage.daemon_process import DaemonProcess
from tests.stage.page_process import PageProcess

EXAMPLES = Path(__file__).resolve().parents[2] / "controller" / "examples"
HOT = (EXAMPLES / "hot-afternoon.toml").read_text(encoding="utf-8")
PORCH = (EXAMPLES / "porch.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def daemon(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DaemonProcess]:
    """A controller, started once: that takes a second."""
    folder = tmp_path_factory.mktemp("garden")
    plan = folder / "plan.toml"
    plan.write_text(HOT, encoding="utf-8")
    with DaemonProcess(folder, plan, "--trust-clock") as process:
        process.start()
        yield process


@pytest.fixture(scope="module")
def page(daemon: DaemonProcess) -> Iterator[PageProcess]:
    """A page of that controller."""
    with PageProcess(daemon.socket_path) as process:
        yield process


@pytest.fixture
def browser(page: PageProcess) -> Iterator[httpx.Client]:
    """Whoever asks."""
    with page.client() as client:
        yield client


def _got(browser: httpx.Client, path: str, **params: Any) -> Any:
    response = browser.get(f"/api/v1{path}", params=params)
    assert response.status_code == 200, response.text
    return response.json()


def _posted(browser: httpx.Client, path: str, body: object = None, *, status: int = 200) -> Any:
    response = browser.post(f"/api/v1{path}", json=body) if body else browser.post(f"/api/v1{path}")
    assert response.status_code == status, response.text
    wanted = "application/json" if status == 200 else "application/problem+json"
    assert response.headers["content-type"] == wanted
    return response.json()


# What is


def test_status_is_what_the_controller_tells(browser: httpx.Client, daemon: DaemonProcess) -> None:
    """The numbers on the page are those of the command line."""
    picture = _got(browser, "/status")
    asked = daemon.call("status")
    moving = {"now_utc", "now_local", "up_s", "loads", "lateness"}
    assert picture["is_connected"] is True
    assert picture["reason"] is None
    assert 0 <= picture["age_s"] < 60
    told = picture["status"]
    assert {key: told[key] for key in told if key not in moving} == {
        key: asked[key] for key in asked if key not in moving
    }
    assert [load["is_on"] for load in told["loads"]] == [load["is_on"] for load in asked["loads"]]


def test_a_hold_is_carried_out_and_ends_by_release(browser: httpx.Client) -> None:
    """Each order answers with the status after it."""
    held = status_from_json(
        _posted(browser, "/hold", {"load": "pump", "order": "1m on, 5m off", "for": "20m"})
    )
    assert [load.held and load.held.order for load in held.loads] == ["1m on, 5m off"]
    freed = status_from_json(_posted(browser, "/release", {"load": "pump"}))
    assert [load.held for load in freed.loads] == [None]


def test_stop_and_resume(browser: httpx.Client) -> None:
    """Everything stops until a person resumes."""
    assert _posted(browser, "/stop")["is_stopped"] is True
    assert _posted(browser, "/resume")["is_stopped"] is False
    assert _posted(browser, "/clock-trust")["is_clock_trusted"] is True


@pytest.mark.parametrize(
    ("path", "body", "status", "kind", "told"),
    [
        # names what is not there: the controller's own words
        ("/release", {"load": "pmp"}, 409, "refused", "did you mean pump?"),
        ("/hold", {"load": "pump", "order": "onn", "for": "5m"}, 409, "refused", "on?"),
        # the page's own form
        ("/hold", {"load": "pump"}, 422, "unfit", "body.order"),
        ("/release", {"load": "pump", "x": 1}, 422, "unfit", "body.x"),
        # a length of no time at all
        ("/hold", {"load": "pump", "order": "on", "for": "0s"}, 422, "unfit", "no time"),
        ("/acknowledge", {"alarm": "leak"}, 409, "refused", "no alarm"),
        ("/plan/restore", {"revision": 99}, 409, "refused", "99"),
        ("/dry-run", {"start": "soon", "days": 1}, 422, "unfit", "start"),
        ("/dry-run", {"start": "2026-07-01", "days": 0}, 422, "unfit", "days"),
    ],
)
def test_what_goes_wrong_is_a_problem(
    browser: httpx.Client, path: str, body: object, status: int, kind: str, told: str
) -> None:
    """RFC 9457, with words for people."""
    problem = _posted(browser, path, body, status=status)
    assert problem["type"] == f"/api/v1/problems/{kind}"
    assert problem["status"] == status
    assert told in problem["detail"]
    explained = browser.get(problem["type"]).json()
    assert explained["title"] == problem["title"]


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [("GET", "/api/v1/nothing", 404), ("GET", "/nothing", 404), ("PUT", "/api/v1/stop", 405)],
)
def test_what_is_not_there_is_a_problem_too(
    browser: httpx.Client, method: str, path: str, status: int
) -> None:
    """Also outside of every route."""
    response = browser.request(method, path)
    assert response.status_code == status
    assert response.headers["content-type"] == "application/problem+json"
    assert response.json()["status"] == status


def test_why_tells_one_load(browser: httpx.Client) -> None:
    """Of the load, its sensors and its alarms."""
    assert [load["name"] for load in _got(browser, "/why", load="pump")["loads"]] == ["pump"]
    assert browser.get("/api/v1/why", params={"load": "x"}).status_code == 409


def test_lateness(browser: httpx.Client) -> None:
    """Figures of the controller, not of the page."""
    assert set(_got(browser, "/lateness")) == {"count", "p50_ms", "p99_ms", "max_ms"}


# The journal


def test_pages_of_the_log_lead_back_to_its_beginning(browser: httpx.Client) -> None:
    """Every entry once, in order."""
    for _ in range(3):
        _posted(browser, "/stop")
        _posted(browser, "/resume")
    whole = _got(browser, "/log", last=1000)
    assert whole["next"] is None
    read: list[Any] = []
    page = _got(browser, "/log", last=4)
    while True:
        read = page["entries"] + read
        if page["next"] is None:
            break
        page = _got(browser, "/log", last=4, page=page["next"])
    assert read == whole["entries"]
    assert [one["number"] for one in read] == sorted({one["number"] for one in read})


def test_the_log_is_filtered(browser: httpx.Client) -> None:
    """By kind, text and load; a kind that is none is refused."""
    _posted(browser, "/stop")
    _posted(browser, "/resume")
    starts = _got(browser, "/log", only="starts")["entries"]
    assert {one["what"] for one in starts} <= {
        "controller started", "journal begun", "controller back", "recovery began"
    }  # fmt: skip
    assert {one["subject"] for one in _got(browser, "/log", load="pump")["entries"]} == {"pump"}
    assert _got(browser, "/log", find="no such text")["entries"] == []
    assert browser.get("/api/v1/log", params={"only": "foo"}).status_code == 409
    assert browser.get("/api/v1/log", params={"since": "x"}).status_code == 422
    assert browser.get("/api/v1/log", params={"page": "x"}).status_code == 422


def test_exports_hold_what_the_log_holds(browser: httpx.Client) -> None:
    """CSV and JSON lines, newest first."""
    entries = _got(browser, "/log", last=1000)["entries"]
    lines = browser.get("/api/v1/log.jsonl").text.splitlines()
    assert [json.loads(line) for line in lines] == entries[::-1]
    response = browser.get("/api/v1/log.csv")
    assert response.headers["content-disposition"] == 'attachment; filename="journal.csv"'
    header, *rows = csv.reader(io.StringIO(response.text))
    assert header == ["utc", "what", "subject", "why", "detail", "late_ms", "clock_trusted"]
    assert [row[:5] for row in rows] == [
        [one["utc"], one["what"], one["subject"], one["why"], one["detail"]]
        for one in entries[::-1]
    ]
    assert len(browser.get("/api/v1/log.csv", params={"last": 2}).text.splitlines()) == 3


# The plan


def test_the_plan_comes_with_a_tag(browser: httpx.Client) -> None:
    """Who has it already is told so in a few bytes (RFC 9110, section 13.1.2)."""
    first = browser.get("/api/v1/plan")
    again = browser.get("/api/v1/plan", headers={"If-None-Match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_a_plan_comes_into_force_and_the_earlier_one_back(browser: httpx.Client) -> None:
    """Propose, conflict, difference, restore; the later editor is told what changed."""
    before = _got(browser, "/plan")
    proposal = {"text": PORCH, "based_on": before["revision"], "note": "the plain porch"}
    taken = _posted(browser, "/plan", proposal)
    assert taken["is_new"] is True
    late = _posted(browser, "/plan", {**proposal, "text": PORCH + "# mine\n"}, status=409)
    assert late["type"].endswith("/plan-changed")
    assert late["in_force"]["text"] == PORCH
    difference = _got(browser, "/plan/difference", before=before["revision"])
    assert late["difference"] == difference
    old = {one["before"]: one["text"] for one in difference["lines"] if one["before"]}
    new = {one["after"]: one["text"] for one in difference["lines"] if one["after"]}
    assert all(before["text"].splitlines()[n - 1] == text for n, text in old.items())
    assert all(PORCH.splitlines()[n - 1] == text for n, text in new.items())
    back = _posted(browser, "/plan/restore", {"revision": before["revision"]})
    assert _got(browser, "/plan")["text"] == before["text"]
    listed = _got(browser, "/plan/revisions")["revisions"]
    assert [one["revision"] for one in listed if one["is_in_force"]] == [back["revision"]]
    assert _got(browser, f"/plan/revisions/{taken['revision']}")["text"] == PORCH


def test_a_bad_plan_is_refused_with_its_findings(browser: httpx.Client) -> None:
    """By the controller, as by `check`."""
    bad = PORCH.replace("15m on, 15m off", "15m onn")
    revision = _got(browser, "/plan")["revision"]
    problem = _posted(browser, "/plan", {"text": bad, "based_on": revision}, status=422)
    assert problem["type"].endswith("/plan-refused")
    checked = _posted(browser, "/plan/check", {"text": bad})
    assert checked["is_fit"] is False
    wanted = [(one["where"], one["line"]) for one in checked["findings"]]
    assert [(one["where"], one["line"]) for one in problem["findings"]] == wanted
    assert _got(browser, "/plan")["revision"] == revision


def _command(*words: str) -> Any:
    done = subprocess.run(  # noqa: S603 - our own program
        [sys.executable, "-m", "controller", *words], capture_output=True, text=True, check=False
    )
    return json.loads(done.stdout)


def test_check_finds_what_the_command_finds(browser: httpx.Client, tmp_path: Path) -> None:
    """The same findings, with the same lines; the year of today is walked in both."""
    text = (EXAMPLES / "far-north.toml").read_text(encoding="utf-8")
    checked = _posted(browser, "/plan/check", {"text": text})
    path = tmp_path / "plan.toml"
    path.write_text(text, encoding="utf-8")
    for finding in checked["findings"]:  # for a form, besides
        del finding["message_parts"], finding["mend_parts"]
    assert checked["findings"] == _command("check", str(path), "--json")
    assert checked["document"]["format"] == 1


def test_an_edit_leaves_comments(browser: httpx.Client) -> None:
    """One value changes, and nothing else."""
    edit = {"do": "set", "at": "loads.pump.spans.1.cycle", "value": "10m on, 20m off"}
    edited = _posted(browser, "/plan/edit", {"text": PORCH, "edits": [edit]})
    assert edited["text"] == PORCH.replace('"15m on, 45m off"', '"10m on, 20m off"')
    added = _posted(
        browser,
        "/plan/edit",
        {
            "text": PORCH,
            "edits": [
                {"do": "add", "at": "loads.pump.spans", "index": 1,
                 "value": {"from": "12:00", "cycle": "20m on, 10m off"}},
                {"do": "remove", "at": "loads.pump.spans.1"},
            ],
        },
    )  # fmt: skip
    assert added["document"] == _posted(browser, "/plan/check", {"text": PORCH})["document"]
    refused = {"text": PORCH, "edits": [{**edit, "value": "10m onn"}]}
    assert _posted(browser, "/plan/edit", refused, status=422)["findings"]


def test_the_schema_is_the_command_s(browser: httpx.Client) -> None:
    """Editors may check by it."""
    assert _got(browser, "/plan/schema") == _command("schema")


def test_a_preview_tells_what_a_dry_run_tells(browser: httpx.Client, tmp_path: Path) -> None:
    """The next day, the hottest and the odd ones, by the command line's own figures."""
    text = PORCH.replace("15m on, 45m off", "15m on, 30m off")
    told = _posted(browser, "/plan/preview", {"text": text})
    assert told["is_fit"] is True
    path = tmp_path / "plan.toml"
    path.write_text(text, encoding="utf-8")
    parts = [day["part"] for day in told["days"]]
    assert parts == ["next", "hottest", "odd", "odd", "odd", "odd"]
    for day in told["days"]:
        words = ("dry-run", str(path), "--from", day["date"], "--days", "1", "--json")
        account = _command(*words)
        assert (day["from_utc"], day["to_utc"]) == (account["from_utc"], account["to_utc"])
        for load in day["loads"]:
            by_command = account["loads"][load["name"]]
            keys = ("on_s", "starts", "longest_dry_gap_s", "longest_on_s", "energy_kwh")
            assert {key: load[key] for key in keys} == {key: by_command[key] for key in keys}
            assert sum(end - start for start, end in load["on"]) == pytest.approx(load["on_s"])
        assert day["findings"] == account["findings"]
        assert (
            day["compared"]["pump"]["second"]["longest_dry_gap_s"]
            == (day["loads"][0]["longest_dry_gap_s"])
        )
        assert [load["changed"] for load in day["loads"]] == [True]
    assert [day["part"] for day in told["running"]["days"]] == parts
    odd = {day["why"]: day["date"][5:7] for day in told["days"] if day["part"] == "odd"}
    # Directive 2000/84/EC: last Sundays of March and October; solstices as ever.
    assert odd == {
        "the clocks go forward": "03",
        "the clocks go back": "10",
        "the longest day of the year": "06",
        "the shortest day of the year": "12",
    }


def test_a_dry_run_is_the_command_s(browser: httpx.Client, tmp_path: Path) -> None:
    """Account, picture and events; also two plans, weather and faults."""
    path, events, picture = (tmp_path / name for name in ("plan.toml", "e.csv", "p.svg"))
    path.write_text(PORCH, encoding="utf-8")
    account = _command(
        *("dry-run", str(path), "--from", "2026-07-01", "--days", "2", "--json"),
        *("--events", str(events), "--picture", str(picture)),
    )
    asked = {"start": "2026-07-01", "days": 2, "plan": PORCH, "want": ["picture", "events"]}
    told = _posted(browser, "/dry-run", asked)
    assert told.pop("events") == events.read_text(encoding="utf-8")
    svg = told.pop("picture")
    assert svg.replace("this plan", "plan.toml") == picture.read_text(encoding="utf-8")
    assert told == account
    both = _posted(browser, "/dry-run", {**asked, "compare": HOT, "want": []})
    assert both["compared"]["differences"]["pump"]["words"]
    hours = "from = 2026-07-01T10:00:00+02:00\nuntil = 2026-07-01T12:00:00+02:00\n"
    out = f'[[faults]]\nkind = "power_out"\n{hours}'
    dark = _posted(browser, "/dry-run", {**asked, "faults": out, "want": []})
    assert dark["loads"]["pump"]["longest_dry_gap_s"] >= 7200
    cloudy = {**asked, "weather": {"name": "w.csv", "text": "nonsense"}}
    assert "w.csv" in _posted(browser, "/dry-run", cloudy, status=422)["detail"]


# For programs


def test_health_is_good(browser: httpx.Client) -> None:
    """While the controller answers."""
    response = browser.get("/health")
    assert response.status_code == 200
    assert response.json()["is_alive"] is True


def test_metrics_are_prometheus_text(browser: httpx.Client) -> None:
    """Source: prometheus.io, Exposition formats: comment lines, then `name{labels} value`."""
    response = browser.get("/metrics")
    assert response.headers["content-type"] == "text/plain; version=0.0.4; charset=utf-8"
    sample = re.compile(
        r'[a-z_]+(\{[a-z]+="(?:[^"\\\n]|\\.)*"(,[a-z]+="(?:[^"\\\n]|\\.)*")*\})? [-+0-9.e]+'
    )
    lines = response.text.splitlines()
    samples = [line for line in lines if not line.startswith("# ")]
    assert [line for line in samples if not sample.fullmatch(line)] == []
    assert 'rootclock_load_held{load="pump"} 0' in samples
    assert "rootclock_up 1" in samples
    declared = {line.split()[2] for line in lines if line.startswith("# TYPE ")}
    assert {re.split(r"[{ ]", line)[0] for line in samples} <= declared


def test_openapi_describes_every_route(browser: httpx.Client) -> None:
    """And nothing of it comes from elsewhere."""
    described = _got(browser, "/openapi.json")
    assert set(described["paths"]) >= {"/api/v1/status", "/api/v1/plan/preview", "/health"}
    assert "422" in described["paths"]["/api/v1/hold"]["post"]["responses"]
    assert "HTTPValidationError" not in described["components"]["schemas"]
    assert browser.get("/docs").status_code == 404


def test_every_answer_forbids_code_from_elsewhere(browser: httpx.Client) -> None:
    """Errors too."""
    for path in ("/api/v1/status", "/nothing", "/health"):
        headers = browser.get(path).headers
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert "server" not in headers


def test_a_stream_tells_what_happens(page: PageProcess, browser: httpx.Client) -> None:
    """The picture at once, then what an order changes, and its journal entry."""
    with page.client() as other, page.events(other) as events:
        name, picture = next(events)
        assert (name, picture["is_connected"]) == ("picture", True)
        _posted(browser, "/hold", {"load": "pump", "order": "5m on, 5m off", "for": "10m"})
        seen: set[str] = set()
        while seen != {"held", "told"}:
            name, data = next(events)
            if name == "journal" and any(one["what"] == "hold began" for one in data["entries"]):
                seen.add("told")
            if name == "picture" and data["status"]["loads"][0]["held"]:
                seen.add("held")
        _posted(browser, "/release", {"load": "pump"})


def test_the_past_is_told_from_the_journal(browser: httpx.Client) -> None:
    """A strip of the last hours, and of each moment what the pump did and why."""
    _posted(browser, "/hold", {"load": "pump", "order": "on", "for": "10m"})
    _posted(browser, "/stop")  # nothing switches any more while this looks back
    switched = _got(browser, "/log", load="pump", only="switched")["entries"]
    on = [one["utc"] for one in switched if one["what"] == "on"]
    assert on
    for place, entry in enumerate(switched):
        past = _got(browser, "/past", load="pump", at=entry["utc"])
        if [one["utc"] for one in switched].count(entry["utc"]) == 1:
            assert past["switching"] == entry
            following = switched[place + 1 :]
            assert past["next"] == (following[0] if following else None)
    assert _got(browser, "/past", load="pump", at="2001-01-01T00:00:00Z")["switching"] is None
    strip = _got(browser, "/history", hours=1)
    start = parse_rfc3339(strip["from_utc"])
    begins = [first for first, _ in strip["loads"][0]["on"]]
    assert begins[-1] == (parse_rfc3339(on[-1]) - start) / 1000
    assert strip["is_whole"] is True
    assert "hold began" in {one["what"] for one in strip["marks"]}
    _posted(browser, "/release", {"load": "pump"})
    _posted(browser, "/resume")
