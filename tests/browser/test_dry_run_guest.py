"""The view Dry run for who may only look, and for who loses the page's program in the middle."""

from __future__ import annotations

import json
import os
import select
import signal
from contextlib import contextmanager
from http import HTTPStatus
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from controller.shell.examples import example_text
from tests.browser.conftest import Garden, grown
from tests.browser.dry_run_view import choose_file, open_dry_run, plan_choice, run, saved
from tests.stage.page_process import PageProcess
from web.security.passcode import stored, write_passcode

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Locator, Page

PASSCODE = "wet roots hang low"
DAYS = "?from=2026-07-12&days=2"
YEARS = "?from=2026-01-01&days=3660"  # the longest run, which takes a while
# Not for good: what stands still is carried out in no time, and the run is to take a while.
STOPPED_FOR_LUNCH = """\
[[faults]]
kind = "stop"
at = "2026-07-12T13:00"
[[faults]]
kind = "resume"
at = "2026-07-12T13:30"
"""
_ENDS_WITHIN_MS = 20_000


@pytest.fixture(scope="module")
def guarded(hot: Garden) -> Iterator[Garden]:
    """The same behind a page with a passcode, which guests may read."""
    kept = hot.folder / "passcode"
    write_passcode(kept, stored(PASSCODE))
    settings = {"passcode_path": str(kept), "guests_may_read": True}
    with PageProcess(hot.daemon.socket_path, **settings) as page:
        yield hot._replace(page=page)


def _run_button(window: Page) -> Locator:
    return window.locator(".run-button")


def _told(window: Page) -> Locator:
    return window.locator("#told-text")


# Guests


def test_a_guest_is_told_so_and_runs_nothing(guarded: Garden, phone: Page) -> None:
    """What would be run is chosen and looked at all the same; nothing of it gets lost."""
    open_dry_run(phone, guarded, DAYS)
    expect(phone.locator("#guest")).to_contain_text("You may look, but not run plans")
    expect(plan_choice(phone)).to_have_value("running")
    phone.get_by_label("or this many days").fill("3")
    expect(phone.locator("#form")).to_contain_text("3 days")
    expect(_run_button(phone)).to_be_hidden()
    # Nor by another way than the button.
    asked = {"start": "2026-07-12", "days": 1}
    refused = phone.evaluate(
        """async (asked) => {
          const headers = { "Content-Type": "application/json" };
          const body = JSON.stringify(asked);
          return (await fetch("/api/v1/dry-run", { method: "POST", headers, body })).status;
        }""",
        asked,
    )
    assert refused == HTTPStatus.FORBIDDEN
    assert _workers_running(guarded.page) == set()


def _log_in(window: Page) -> None:
    window.get_by_role("button", name="Log in").last.tap()
    window.get_by_label("Passcode").fill(PASSCODE)
    window.locator("#login").get_by_role("button", name="Log in").tap()
    expect(window.locator("#guest")).to_be_hidden()


def test_a_guest_who_logs_in_runs_what_was_chosen(guarded: Garden, phone: Page) -> None:
    """The choices stay; and after a logout nothing can be run again."""
    open_dry_run(phone, guarded, DAYS)
    _log_in(phone)
    expect(phone.get_by_label("From", exact=True)).to_have_value("2026-07-12")
    run(phone)
    expect(phone.locator("#outcome")).to_contain_text("Sun, 12 Jul 2026 to Mon, 13 Jul 2026")
    phone.get_by_role("button", name="Log out").tap()
    expect(phone.locator("#guest")).to_be_visible()
    expect(_run_button(phone)).to_be_hidden()


def test_what_the_owner_ran_is_gone_after_a_logout(guarded: Garden, phone: Page) -> None:
    """Whoever looks next may have no right to it: at once, and after a reload."""
    open_dry_run(phone, guarded, DAYS)
    _log_in(phone)
    run(phone)
    phone.get_by_role("button", name="Log out").tap()
    expect(phone.locator("#guest")).to_be_visible()
    expect(phone.locator("#result-title")).to_be_hidden()
    phone.reload()
    expect(phone.locator("#guest")).to_be_visible()
    expect(phone.locator("#result-title")).to_be_hidden()


def test_a_guest_s_script_is_not_checked_and_that_is_told(guarded: Garden, laptop: Page) -> None:
    """It stays as it was typed."""
    open_dry_run(laptop, guarded, f"{DAYS}&faults=text")
    script = laptop.get_by_label("Fault script (TOML)")
    script.fill('[[faults]]\nkind = "stop"\n')
    expect(laptop.locator("#form")).to_contain_text("Not checked: log in with the passcode")
    expect(script).to_have_value('[[faults]]\nkind = "stop"\n')


def test_a_guest_is_told_nothing_false_of_the_plan(guarded: Garden, laptop: Page) -> None:
    """It has a pump, which faults can be about."""
    open_dry_run(laptop, guarded, DAYS)
    laptop.get_by_label("these faults").check()
    laptop.get_by_label("One more fault").select_option("pump_fails")
    laptop.get_by_role("button", name="Add", exact=True).click()
    pump = laptop.locator(".fault").last.get_by_label("Pump")
    expect(pump.locator("option")).to_have_text(["pump"])


# The page's program is away


def _workers_running(page: PageProcess) -> set[int]:
    """The page's worker processes that carry out a dry run. Those for small jobs have less memory,
    which is the last word of their command line. Source: proc(5), children and cmdline."""
    with open(f"/proc/{page.pid}/task/{page.pid}/children", encoding="ascii") as file:  # noqa: PTH123
        children = {int(pid) for pid in file.read().split()}
    return {pid for pid in children if _memory_of(pid) > 400 * 1024 * 1024}


def _memory_of(pid: int) -> int:
    try:
        with open(f"/proc/{pid}/cmdline", "rb") as file:  # noqa: PTH123 - a file of the kernel
            last = file.read().split(b"\0")[-2:-1]
    except FileNotFoundError:
        return 0
    return int(last[0]) if last and last[0].isdigit() else 0


@contextmanager
def _at_work(window: Page, page: PageProcess) -> Iterator[int]:
    """A long run that has told how far it is: its process, by a handle that outlives it."""
    _run_button(window).click()
    expect(window.locator(".run-text")).to_contain_text("% done", timeout=60_000)
    (pid,) = _workers_running(page)
    handle = os.pidfd_open(pid)
    try:
        yield handle
    finally:
        os.close(handle)


def _has_ended(handle: int) -> bool:
    """Waits for the end of a process. Source: pidfd_open(2): it is readable then."""
    waiting = select.poll()
    waiting.register(handle, select.POLLIN)
    return bool(waiting.poll(_ENDS_WITHIN_MS))


def test_a_run_that_is_cancelled_ends_at_the_program_too(hot: Garden, phone: Page) -> None:
    """Its process is gone, so that the next one finds the board free."""
    open_dry_run(phone, hot, YEARS)
    with _at_work(phone, hot.page) as worker:
        phone.get_by_role("button", name="Cancel").tap()
        assert _has_ended(worker)
    expect(_told(phone)).to_contain_text("was ended")
    expect(_run_button(phone)).to_be_focused()


@pytest.mark.parametrize("leave", ["reload", "about:blank"])
def test_who_leaves_the_page_ends_the_run(hot: Garden, laptop: Page, leave: str) -> None:
    """Nobody waits for it any more; the choices are there again afterwards."""
    open_dry_run(laptop, hot, YEARS)
    with _at_work(laptop, hot.page) as worker:
        if leave == "reload":
            laptop.reload()
        else:
            laptop.goto(leave)
        assert _has_ended(worker)
    open_dry_run(laptop, hot, YEARS)
    expect(laptop.get_by_label("From", exact=True)).to_have_value("2026-01-01")


@pytest.mark.parametrize("end", [signal.SIGTERM, signal.SIGKILL])
def test_the_page_s_program_dies_while_a_run_goes_on(
    hot: Garden, laptop: Page, end: signal.Signals
) -> None:
    """It is told, every choice stays, and no worker outlives it. Started anew, the same is run."""
    with PageProcess(hot.daemon.socket_path) as page:
        open_dry_run(laptop, hot._replace(page=page), YEARS)
        laptop.get_by_label("a script").check()
        script = laptop.get_by_label("Fault script (TOML)")
        script.fill(STOPPED_FOR_LUNCH)
        with _at_work(laptop, page) as worker:
            page.end(end)
            assert _has_ended(worker)
        expect(_told(laptop)).to_contain_text("It was not run:")
        expect(laptop.locator("#lost")).to_be_visible()
        expect(_run_button(laptop)).to_be_visible()
        expect(_run_button(laptop)).to_be_enabled()
        expect(script).to_have_value(STOPPED_FOR_LUNCH)
        port = page.port
    with PageProcess(hot.daemon.socket_path, port=port):
        expect(laptop.locator("#lost")).to_be_hidden(timeout=30_000)
        laptop.get_by_label("or this many days").fill("2")
        laptop.get_by_label("From", exact=True).fill("2026-07-12")
        run(laptop)
        figures: dict[str, Any] = json.loads(saved(laptop, "Figures (JSON)"))
        assert figures["from_utc"] == "2026-07-11T22:00:00Z"
        stops = [one for one in figures["notices"] if "stop" in one["event"]]
        assert stops, figures["notices"]


def test_without_the_controller_a_plan_of_a_file_is_run(phone: Page, tmp_path: Path) -> None:
    """The page's own program does that; the controller's plans are told as missing."""
    plan = tmp_path / "porch.toml"
    plan.write_text(example_text("porch"), encoding="utf-8")
    with grown(tmp_path, example_text("hot-afternoon")) as garden:
        open_dry_run(phone, garden, f"{DAYS}&plan=file")
        garden.daemon.end()
        expect(phone.locator("#lost")).to_be_visible()
        choose_file(phone, "Choose a plan file", plan)
        run(phone)
        expect(phone.locator("#outcome")).to_contain_text("porch.toml")
        plan_choice(phone).select_option("running")
        _run_button(phone).tap()
        expect(_told(phone)).to_contain_text("It was not run:")
