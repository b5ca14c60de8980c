"""kill -9 at random moments, with people at work: whatever was answered is there afterwards.

Eight kills in the ordinary run; ROOTCLOCK_KILLS=500 for a night.
"""

from __future__ import annotations

import os
import signal
import sqlite3
import threading
from contextlib import closing
from pathlib import Path
from random import Random
from time import perf_counter
from typing import Any

import pytest

from controller.core.errors import NoDaemonError, RequestRefusedError
from tests.stage.daemon_process import DaemonProcess

_KILLS = int(os.environ.get("ROOTCLOCK_KILLS", "8"))
_EXAMINED_WITHIN_S = 60.0
_SEED = int(os.environ.get("ROOTCLOCK_SEED", "1"))

_PLAN = """\
# A made-up garden on the meridian; number {number}.
format = 1
[site]
latitude = 47.1
longitude = 0.0
timezone = "Etc/UTC"
[loads.pump]
kind = "pump"
line = 17
active = "low"
shortest_on = "0s"
shortest_off = "0s"
[[loads.pump.spans]]
from = "00:00"
cycle = "1s on, {off}s off"
[loads.lamp]
kind = "lamp"
line = 27
active = "high"
shortest_on = "0s"
shortest_off = "0s"
[[loads.lamp.spans]]
from = "00:00"
cycle = "on"
"""


class Person(threading.Thread):
    """Asks for one thing after another until nobody answers, and remembers what was answered.

    `asked` is what it had asked for last and had no answer to: that may have been done, or not.
    """

    def __init__(
        self, daemon: DaemonProcess, dice: Random, known: dict[str, Any], *, work: tuple[str, ...]
    ) -> None:
        super().__init__(daemon=True)
        self._daemon, self._dice, self._work = daemon, dice, work
        self.known = known
        self.asked: str | None = None
        self.answers = 0
        self.has_answer = threading.Event()
        self.mistake: BaseException | None = None

    def run(self) -> None:
        """Works until the controller dies."""
        try:
            with self._daemon.client() as client:
                while True:
                    self.asked = self._dice.choice(self._work)
                    self._ask(client, self.asked)
                    self.answers += 1
                    self.has_answer.set()
                    self.asked = None
        except NoDaemonError:
            return  # killed, as was meant
        except BaseException as error:  # noqa: BLE001 - told by the test
            self.mistake = error

    def _ask(self, client: Any, what: str) -> None:
        known = self.known
        if what == "hold":
            client.call("hold", {"load": "lamp", "order": "off", "for": "5h"})
            known["held"] = True
        elif what == "release":
            client.call("release", {"load": "lamp"})
            known["held"] = False
        elif what in {"stop", "resume"}:
            client.call(what)
            known["stopped"] = what == "stop"
        else:
            number = known["number"] + 1
            text = _PLAN.format(number=number, off=self._dice.randint(1, 9))
            known["proposed"] = text
            try:
                taken = client.call(
                    "plan.propose", {"text": text, "based_on": known["revision"]}, within_s=60.0
                )
            except RequestRefusedError as error:
                raise AssertionError(str(error)) from None
            known.update(number=number, revision=taken["revision"], text=text)


def test_nothing_that_was_answered_is_lost_to_kill_9(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Holds, the stop and the plan are as they were answered or, where the kill struck before
    the answer, as they were asked for; the journal is whole and only grows."""
    dice = Random(_SEED)
    plan = tmp_path / "plan.toml"
    first = _PLAN.format(number=0, off=1)
    plan.write_text(first)
    known: dict[str, Any] = {
        "held": False, "stopped": False, "number": 0, "revision": 1, "text": first,
    }  # fmt: skip
    asked: set[str | None] = set()
    entries = answers = 0
    began = perf_counter()
    with DaemonProcess(tmp_path, plan) as daemon:
        for kill in range(_KILLS):
            daemon.start()
            if kill:
                _compare(daemon, known, asked=asked)
            people = [
                Person(daemon, Random(dice.random()), known, work=work)
                for work in (("hold", "release", "stop", "resume"), ("plan",))
            ]
            for person in people:
                person.start()
            if dice.random() < 0.5:  # else it dies while it examines the first plan, or before
                people[1].has_answer.wait(_EXAMINED_WITHIN_S)
            people[0].join(dice.random() * dice.choice((0.05, 0.5)))
            _, words = daemon.end(signal.SIGKILL)
            for person in people:
                person.join(30)
                assert person.mistake is None, f"kill {kill}: {person.mistake!r}: {words}"
                answers += person.answers
            asked = {person.asked for person in people}
            entries = _judge_journal(daemon.state / "journal.db", at_least=entries)
    assert known["number"] > 0, "no plan was taken"
    with capsys.disabled():
        print(  # noqa: T201  a figure for whoever runs it
            f"\n{_KILLS} kills, {answers} answers, {known['revision']} plans, {entries} entries, "
            f"nothing lost, {perf_counter() - began:.0f} s"
        )


def _compare(daemon: DaemonProcess, known: dict[str, Any], *, asked: set[str | None]) -> None:
    """What the controller knows after its death against what was answered before."""
    status = daemon.call("status")
    read = daemon.call("plan.read")
    held = next(one for one in status["loads"] if one["name"] == "lamp")["held"] is not None
    if asked & {"hold", "release"}:
        known["held"] = held
    if asked & {"stop", "resume"}:
        known["stopped"] = status["is_stopped"]
    if "plan" in asked and read["text"] == known["proposed"]:
        known.update(number=known["number"] + 1, text=read["text"], revision=read["revision"])
    assert status["is_stopped"] is known["stopped"]
    assert held is known["held"]
    assert read["text"] == known["text"]
    assert daemon.plan.read_text() == known["text"]
    assert status["plan"]["refused"] is None
    known["revision"] = read["revision"]


def _judge_journal(path: Path, *, at_least: int) -> int:
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        (count,) = connection.execute("SELECT count(*) FROM entries").fetchone()
    assert count >= at_least
    return int(count)
