"""What clients are answered, by a service in this process on a mock board and real files."""

from __future__ import annotations

import asyncio
import json
import os
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import pytest

from controller.core.errors import BadRequestError, PlanRefusedError, RequestRefusedError
from controller.core.journal_entry import Entry
from controller.core.messages.methods import (
    AcknowledgeParams,
    HoldParams,
    LogParams,
    NoParams,
    ProposeParams,
    ReleaseParams,
    RevisionParams,
    WhyParams,
)
from controller.core.messages.rpc import JsonText
from controller.core.observation import Request
from controller.daemon import answers as answers_module
from controller.daemon.answers import Answers, name_of
from controller.daemon.options import Options
from controller.daemon.parts import open_parts
from controller.daemon.service import Service
from controller.shell.clock.trust import ClockTrust
from controller.shell.control_socket.connection import Caller
from controller.shell.journal.journal import Journal
from tests.stage.unfrozen import unfrozen  # noqa: F401 - a fixture

PLAN = """\
format = 1
[site]
latitude = 47.1
longitude = 0.0
timezone = "Etc/UTC"
[sensors.float]
measures = "level"
line = 4
[sensors.air]
measures = "air_temperature"
file = "/nowhere/air"
[loads.pump]
kind = "pump"
line = 17
active = "low"
level = "float"
shortest_on = "0s"
shortest_off = "0s"
[[loads.pump.spans]]
from = "00:00"
cycle = "on"
[[loads.pump.variants]]
name = "rainy"
by_hand = true
[[loads.pump.variants.spans]]
from = "00:00"
cycle = "off"
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
shortest_off = "0s"
[[loads.lamp.spans]]
from = "00:00"
cycle = "on"
"""
ME = Caller(os.getuid(), os.getgid(), os.getpid())
NOBODY = Caller(3_999_999_999, 0, 1)

_PATIENCE_S = 120.0  # plans are examined in processes, which take long on a busy machine

Ask = Callable[..., Awaitable[Any]]


class Asked:
    """A service, and how to ask it."""

    def __init__(self, service: Service) -> None:
        self.service = service
        self._answers = Answers(service.running)

    async def __call__(self, method: str, params: Any = None, caller: Caller = ME) -> Any:
        """The answer to one question."""
        told = await self._answers.answer(method, NoParams() if params is None else params, caller)
        return json.loads(told) if isinstance(told, JsonText) else told

    def stick_lamp(self) -> None:
        """The lamp's line falls and stays low, and that is seen."""
        board = self.service.parts.board
        assert board.mock is not None
        board.mock.stick(27, level=False)
        board.relays.switch("lamp", is_on=True)
        self.service.world.look_after_relays()


def answered(folder: Path, scene: Callable[[Asked], Awaitable[Any]], **options: Any) -> Any:
    """What a scene with a service comes to."""
    for name in ("run", "state"):
        (folder / name).mkdir(exist_ok=True)
    plan = folder / "plan.toml"
    if not plan.exists():
        plan.write_text(PLAN)
    all_options = Options(
        plan, folder / "state", folder / "run" / "c.sock", **{"mock_because": "a test", **options}
    )

    async def play() -> Any:
        parts = open_parts(
            all_options, pace=None, is_on=lambda: [True, True], tell=lambda words: None  # noqa: ARG005
        )  # fmt: skip
        service = Service(all_options, parts, lambda words: None)  # noqa: ARG005
        run = asyncio.create_task(service.run())
        await asyncio.sleep(0)
        try:
            return await asyncio.wait_for(scene(Asked(service)), _PATIENCE_S)
        finally:
            service.end()
            await run

    return asyncio.run(play())


def of(status: dict[str, Any], load: str) -> dict[str, Any]:
    """One load of a status."""
    found: dict[str, Any] = next(one for one in status["loads"] if one["name"] == load)
    return found


def test_the_status_has_all_and_why_a_sensor_is_silent(tmp_path: Path) -> None:
    """The words of the sensor's own file are beside its missing value."""

    async def scene(ask: Asked) -> Any:
        read = asyncio.Event()
        ask.service.parts.clock.wake_up()
        while not ask.service.parts.why_silent():
            asyncio.get_running_loop().call_later(0.01, read.set)
            await read.wait()
            read.clear()
        return await ask("status")

    status = answered(tmp_path, scene)
    assert [one["name"] for one in status["loads"]] == ["pump", "lamp"]
    silent = {one["name"]: one["why_silent"] for one in status["sensors"]}
    assert silent["float"] is None
    assert "no such file" in silent["air"]


def test_why_has_one_load_with_what_concerns_it(tmp_path: Path) -> None:
    """Or all of them; a load that there is not is refused with those that there are."""

    async def scene(ask: Asked) -> Any:
        ask.stick_lamp()
        await ask.service.steps.next()
        one = await ask("why", WhyParams("pump"))
        all_of_them = await ask("why", WhyParams(None))
        with pytest.raises(BadRequestError, match="the plan has pump, lamp"):
            await ask("why", WhyParams("x"))
        return one, all_of_them, await ask("why", WhyParams("lamp"))

    pump, all_of_them, lamp = answered(tmp_path, scene)
    assert [one["name"] for one in pump["loads"]] == ["pump"]
    assert [one["name"] for one in pump["sensors"]] == ["float", "air"]
    assert pump["alarms"] == []
    assert len(all_of_them["loads"]) == 2
    assert lamp["sensors"] == []
    assert lamp["alarms"][0]["code"] == "relay does not obey"
    assert "Line 27 was set high and reads low" in lamp["alarms"][0]["what_to_do"]


def test_holds_are_cycles_or_variants_and_end_by_release(tmp_path: Path) -> None:
    """Each answer is the status after it."""

    async def scene(ask: Asked) -> Any:
        told = [
            of(await ask("hold", HoldParams("pump", order, 60_000)), "pump")
            for order in ("off", "rainy", "5m on, 5m off")
        ]
        with pytest.raises(BadRequestError, match=r"one of its variants \(rainy, hot\)"):
            await ask("hold", HoldParams("pump", "sideways", 60_000))
        with pytest.raises(BadRequestError) as caught:
            await ask("hold", HoldParams("lamp", "sideways", 60_000))
        assert "variant" not in str(caught.value)
        told.append(of(await ask("release", ReleaseParams("pump")), "pump"))
        return [(one["is_on"], one["held"] and one["held"]["order"]) for one in told]

    assert answered(tmp_path, scene) == [
        (False, "off"), (False, "rainy"), (True, "5m on, 5m off"), (True, None),
    ]  # fmt: skip


def test_everything_stops_and_goes_on(tmp_path: Path) -> None:
    """By a person's word."""

    async def scene(ask: Asked) -> Any:
        stopped, resumed = await ask("stop"), await ask("resume")
        return [(it["is_stopped"], of(it, "lamp")["is_on"]) for it in (stopped, resumed)]

    assert answered(tmp_path, scene) == [(True, False), (False, True)]


def test_a_refusal_of_the_decision_is_the_answer(tmp_path: Path) -> None:
    """What fitted when it was asked for need not fit when its turn comes."""

    async def scene(ask: Asked) -> Any:
        text = PLAN[: PLAN.index("[loads.lamp]")]
        ask.service.options.plan_path.write_text(text)
        taken = await ask.service.parts.store.reload(now=ask.service.parts.clock.read()[0])
        ask_for = ask.service.world.inbox.ask

        def and_then(request: Request, *, who: str) -> Any:
            outcome = ask_for(request, who=who)
            ask.service.plans.take_over(taken)
            return outcome

        ask.service.world.inbox.ask = and_then  # type: ignore[method-assign]
        with pytest.raises(RequestRefusedError, match="no load 'lamp'"):
            await ask("hold", HoldParams("lamp", "off", 60_000))

    answered(tmp_path, scene)


def test_alarms_are_acknowledged_and_what_is_none_is_refused(tmp_path: Path) -> None:
    """By name, or all that stand."""

    async def scene(ask: Asked) -> Any:
        with pytest.raises(BadRequestError, match="no alarm"):
            await ask("acknowledge", AcknowledgeParams(None, None))
        ask.stick_lamp()
        await ask.service.steps.next()
        return (await ask("acknowledge", AcknowledgeParams(None, None)))["alarms"]

    assert [alarm["is_acknowledged"] for alarm in answered(tmp_path, scene)] == [True]


def test_a_clock_is_trusted_on_a_person_s_word(tmp_path: Path) -> None:
    """Once; who vouched stands in the journal."""

    async def scene(ask: Asked) -> Any:
        ask.service.parts.clock.trust = ClockTrust((), note=None, kernel_boot="x")
        await ask.service.steps.next()
        before = await ask("status")
        after, again = await ask("clock.trust"), await ask("clock.trust")
        log = await ask("log", LogParams(None, None, None, (), "trusted", None))
        return [it["is_clock_trusted"] for it in (before, after, again)], log["entries"]

    trusted, entries = answered(tmp_path, scene)
    assert trusted == [False, True, True]
    details = [entry["detail"] for entry in entries if entry["what"] == "clock trusted"]
    assert len(details) == 1
    assert "said that it is right" in details[0]


def test_plans_are_read_proposed_and_restored(tmp_path: Path) -> None:
    """Each with its revision; one with errors changes nothing."""

    async def scene(ask: Asked) -> Any:
        read = await ask("plan.read")
        with pytest.raises(PlanRefusedError):
            await ask("plan.propose", ProposeParams("format = 2", 1, None))
        proposal = PLAN.replace('cycle = "on"', 'cycle = "20m on, 10m off"', 1)
        proposed = await ask("plan.propose", ProposeParams(proposal, 1, "more"))
        restored = await ask("plan.restore", RevisionParams(1))
        listed = (await ask("plan.revisions"))["revisions"]
        text = await ask("plan.text", RevisionParams(2))
        return (
            [read["revision"], proposed["revision"], restored["revision"]],
            read["text"] == PLAN and text["text"] == proposal,
            [(one["revision"], one["how"], one["is_in_force"]) for one in listed],
        )

    numbers, is_text, listed = answered(tmp_path, scene)
    assert (numbers, is_text) == ([1, 2, 3], True)
    assert [one[0] for one in listed if one[2]] == [3]


def test_the_log_answers_by_kind_load_and_words(tmp_path: Path) -> None:
    """The newest last; a kind that there is not is refused with those that there are."""

    async def scene(ask: Asked) -> Any:
        await ask("stop")
        last = await ask("log", LogParams(None, None, None, (), None, 1))
        switched = await ask("log", LogParams(None, None, "lamp", ("switched",), None, None))
        with pytest.raises(BadRequestError, match="is none of switched, alarms"):
            await ask("log", LogParams(None, None, None, ("rain",), None, None))
        return last["entries"], switched["entries"]

    last, switched = answered(tmp_path, scene)
    assert len(last) == 1
    assert [one["what"] for one in switched] == ["on", "off"]


def test_the_lateness_is_asked_for(tmp_path: Path) -> None:
    """None while nothing was due."""

    async def scene(ask: Asked) -> Any:
        return await ask("lateness")

    assert answered(tmp_path, scene) == {
        "count": 0, "p50_ms": None, "p99_ms": None, "max_ms": None,
    }  # fmt: skip


def test_a_disk_that_hangs_delays_an_answer_and_no_order(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is answered after a while with what is, and is not said to be written."""

    async def never(journal: Journal) -> bool:
        del journal
        await asyncio.get_running_loop().create_future()
        return False

    async def scene(ask: Asked) -> Any:
        with monkeypatch.context() as patched:
            patched.setattr(Journal, "written", never)
            patched.setattr(answers_module, "_WRITTEN_WITHIN_S", 0.05)
            return (await ask("stop"))["is_stopped"]

    assert answered(tmp_path, scene) is True


def test_a_list_of_users_that_hangs_delays_no_order_for_long(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The caller goes by their number then, and two orders of theirs keep their turn."""

    def slow(caller: Caller) -> str:
        time.sleep(0.3)
        return name_of(caller)

    async def scene(ask: Asked) -> Any:
        monkeypatch.setattr(answers_module, "_NAMED_WITHIN_S", 0.05)
        monkeypatch.setattr(answers_module, "name_of", slow)
        told: list[Entry] = []
        ask.service.telling.on_entries = told.extend
        first = asyncio.ensure_future(ask("stop"))
        second = asyncio.ensure_future(ask("resume"))
        await asyncio.gather(first, second)
        return [(one.what, one.detail) for one in told if "by" in one.detail and not one.why]

    assert answered(tmp_path, scene) == [
        ("everything stopped", f"by user {ME.uid}"),
        ("stop released", f"by user {ME.uid}"),
    ]


def test_whom_the_machine_does_not_know_goes_by_a_number() -> None:
    """As ls(1) shows them."""
    assert name_of(NOBODY) == "user 3999999999"
