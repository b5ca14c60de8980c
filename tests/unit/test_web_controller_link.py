"""What the page makes of a controller of another release than its own."""

from __future__ import annotations

import asyncio
import json
from pathlib import Path
from typing import Any

import pytest

from controller.core.errors import NoDaemonError
from controller.core.status.json_form import as_json
from controller.core.status.record import Lateness, PlanStatus
from controller.core.status.taking import Facts, status_of
from tests.socket_clients import served
from tests.worlds import MIDNIGHT, Driver, load, plan_of
from web.controller_link import ControllerLink
from web.fan_out import FanOut
from web.picture import Picture
from web.problems import problem_of
from web.settings import Limits

FACTS = Facts(
    version="0.1.0",
    started=0,
    is_mock=True,
    is_rehearsal=False,
    speed=1.0,
    plan=PlanStatus("plan.toml", 1, MIDNIGHT, None),
    lateness=Lateness(0, None, None, None),
)


def _status() -> dict[str, Any]:
    driver = Driver(plan_of(pump=load("15m on, 15m off")))
    driver.step()
    assert driver.memory is not None
    return as_json(
        status_of(
            driver.schedule, driver.memory, now=driver.true_now, tick=driver.tick, facts=FACTS
        )
    )


def _pictured(status: object) -> dict[str, Any]:
    """The first picture that a browser gets once a controller has told that status."""

    async def watch() -> dict[str, Any]:
        async with asyncio.timeout(10), served() as one:
            one.daemon.answers["status"] = status
            fan_out = FanOut(Limits())
            link = ControllerLink(one.path, fan_out, Limits())
            stream = fan_out.stream("a", lambda: link.picture, may_watch=lambda: True)
            for _ in range(2):  # how to come again, and the picture of before
                await anext(stream)
            link.open()
            text = await anext(stream)
            await link.close()
            await stream.aclose()
            told: dict[str, Any] = json.loads(text.decode().partition("data: ")[2])
            return told

    return asyncio.run(watch())


def test_a_status_is_handed_on_as_it_came() -> None:
    """With what a newer controller tells besides."""
    status = {**_status(), "moon": "full"}
    picture = _pictured(status)
    assert picture.pop("age_s") < 10
    assert picture == {"is_connected": True, "reason": None, "status": status}


def test_an_older_controller_is_shown_without_what_it_does_not_tell() -> None:
    """The sun of the day was not told from the first."""
    status = _status()
    del status["sun"]
    picture = _pictured(status)
    assert (picture["is_connected"], picture["status"]) == (True, status)


def test_a_status_that_cannot_be_read_says_what_to_do() -> None:
    """And not that the page ends."""
    status = _status()
    del status["loads"]
    picture = _pictured(status)
    assert (picture["is_connected"], picture["status"]) == (False, None)
    assert picture["reason"] == (
        "the controller tells what this page cannot read (status.loads: missing, where a list was "
        "to be). If rootclock was updated since it started, restart it with `sudo systemctl "
        "restart rootclock`"
    )


def test_a_visitor_is_told_in_short_that_nobody_answers() -> None:
    """Why stands beside it, for whoever looks after the board."""
    told = problem_of(NoDaemonError("no daemon is running: there is no control socket")).as_json()
    assert (told["status"], told["detail"]) == (503, "the controller does not answer")
    assert told["reason"] == "no daemon is running: there is no control socket"


async def _first_picture(path: Path) -> Picture:
    """What the first visitor is told who comes as soon as the page is there."""
    link = ControllerLink(path, FanOut(Limits()), Limits())
    link.open()
    try:
        return await link.fresh_picture()
    finally:
        await link.close()


def test_the_first_visitor_waits_until_the_controller_was_looked_for(tmp_path: Path) -> None:
    """And is told of it, or why it does not answer; not that it is about to be asked."""

    async def pictures() -> tuple[Picture, Picture]:
        async with asyncio.timeout(10), served() as one:
            one.daemon.answers["status"] = _status()
            return await _first_picture(one.path), await _first_picture(tmp_path / "none")

    there, nobody = asyncio.run(pictures())
    assert there.reason is None
    assert there.status is not None
    assert "no daemon is running" in (nobody.reason or "")


def test_a_controller_that_hangs_is_not_shown_as_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its connection stays open, so nothing but its silence tells; once it answers again, the page
    finds back by itself."""
    monkeypatch.setattr("web.controller_link._FRESH_S", 0.0)
    monkeypatch.setattr("web.controller_link._STATUS_S", 0.1)

    async def pictures() -> tuple[Picture, Picture, Picture]:
        async with asyncio.timeout(20), served() as one:
            one.daemon.answers["status"] = _status()
            link = ControllerLink(one.path, FanOut(Limits()), Limits())
            link.open()
            there = await link.fresh_picture()
            one.daemon.gates["status"] = asyncio.Event()
            hung = await link.fresh_picture()
            one.daemon.gates.pop("status").set()
            await link.call("lateness")  # whoever asks has it connect again at once
            back = await link.fresh_picture()
            await link.close()
            return there, hung, back

    there, hung, back = asyncio.run(pictures())
    assert (there.reason, back.reason) == (None, None)
    assert "does not answer in time" in (hung.reason or "")
    assert hung.status == there.status
