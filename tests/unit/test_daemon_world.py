"""What the loop's world observes and carries out, on doubles."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence

import pytest

from controller.core.cycle import parse_cycle
from controller.core.journal_entry import Entry, Summary
from controller.core.observation import (
    AcknowledgeRequest,
    HoldRequest,
    ReleaseRequest,
    ResumeRequest,
    StopRequest,
)
from controller.core.orders import AlarmCode, Event
from controller.core.schedule import make_schedule
from controller.core.units import HOUR_MS, MINUTE_MS
from tests.stage.scene import Scene
from tests.stage.virtual_loop import run_virtually
from tests.worlds import load, plan_of

PUMP = plan_of(pump=load("15m on, 15m off"))
LAMP_TOO = plan_of(lamp=load("on", kind="lamp"), pump=load("15m on, 15m off"))


def test_the_lines_are_switched_before_anything_else_is_done() -> None:
    """A journal or a client that takes its time comes after the last line."""

    async def scene() -> list[str]:
        order: list[str] = []
        it = Scene(plan_of(**{f"l{n}": load("1m on, 1m off", kind="fan") for n in range(18)}))
        it.lines.on_change = lambda line, level: order.append("line")  # noqa: ARG005
        note = it.journal.note

        def telling(*args: object, **kwargs: object) -> None:
            order.append("journal")
            note(*args, **kwargs)  # type: ignore[arg-type]

        it.journal.note = telling  # type: ignore[method-assign]
        it.world.on_step = lambda seen, decision, entries: order.append("told")  # noqa: ARG005
        it.loop.step()
        await asyncio.sleep(60)
        it.loop.step()
        return order

    assert run_virtually(scene()) == [*["line"] * 18, "journal", "told"] * 2


def test_a_switching_by_the_clock_has_its_lateness_and_no_other() -> None:
    """What a person ordered was never due."""

    async def scene() -> list[tuple[str, float | None]]:
        it = Scene(plan_of(pump=load("15m on, 15m off", shortest_off="0s")))
        it.loop.step()
        await asyncio.sleep(15 * 60 + 0.0035)
        it.loop.step()
        it.world.inbox.ask(HoldRequest("pump", parse_cycle("on"), MINUTE_MS), who="anna")
        it.loop.step()
        assert it.world.lateness.figures().switchings == 1
        return [(entry.what, entry.late_ms) for entry in it.disk.entries if entry.why]

    assert run_virtually(scene()) == [("on", None), ("off", 3.5), ("on", None)]


def test_a_line_that_does_not_obey_is_tried_again_and_told() -> None:
    """It is set at the next look; its alarm stands until a person has looked."""

    async def scene() -> tuple[list[bool], list[tuple[str, str, str]]]:
        it = Scene(PUMP)
        it.world.explain = lambda notice: "a short" if notice.event is Event.ALARM_RAISED else ""
        it.lines.level[0] = True
        it.lines.stuck.add(0)
        it.loop.step()
        states = [it.relays.is_on("pump")]
        it.loop.step()
        it.lines.stuck.clear()
        it.world.look_after_relays()
        states.append(it.relays.is_on("pump"))
        it.loop.step()
        it.world.inbox.ask(AcknowledgeRequest(AlarmCode.RELAY, "pump"), who="anna")
        it.loop.step()
        return states, it.told("alarm", "alarm over")

    states, told = run_virtually(scene())
    assert states == [False, True]
    assert told == [
        ("alarm", "pump", "relay does not obey, a short"),
        ("alarm over", "pump", "relay does not obey, by anna"),
    ]


def test_a_load_that_left_and_whose_line_is_not_safe_stays_told() -> None:
    """The relays name it for as long as it does not obey, though no plan has it any more."""

    async def scene() -> list[frozenset[str]]:
        it = Scene(LAMP_TOO)
        it.loop.step()
        gone = ["lamp"]
        it.relays.disobedient = lambda: gone  # type: ignore[method-assign]
        it.loop.adopt(make_schedule(PUMP))
        it.loop.step()
        told = []
        for _ in range(3):
            it.world.look_after_relays()
            told.append(frozenset(trouble.subject for trouble in it.world.glimpse().troubles))
            gone[:] = gone[:] if len(told) < 2 else []
        return told

    assert run_virtually(scene()) == [{"lamp"}, {"lamp"}, frozenset()]


def test_looking_after_relays_before_the_first_decision_sets_none() -> None:
    """Nobody knows yet how they should be."""

    async def scene() -> tuple[list[tuple[int, bool | None]], frozenset[str]]:
        it = Scene(PUMP)
        it.relays.disobedient = lambda: ["pump"]  # type: ignore[method-assign]
        it.world.look_after_relays()
        return it.lines.history, frozenset(one.subject for one in it.world.glimpse().troubles)

    assert run_virtually(scene()) == ([], frozenset({"pump"}))


@pytest.mark.parametrize(
    ("request_", "told"),
    [
        pytest.param(StopRequest(), [("everything stopped", "", "by anna")], id="a stop"),
        pytest.param(
            HoldRequest("pump", parse_cycle("off"), MINUTE_MS),
            [("hold began", "pump", "off for 1m, by anna")],
            id="a hold",
        ),
        pytest.param(ReleaseRequest("pump"), [], id="a release of nothing"),
        pytest.param(
            HoldRequest("gone", parse_cycle("off"), MINUTE_MS),
            [("request refused", "", "there is no load 'gone'; the plan has pump, by anna")],
            id="a load that has left the plan since it was asked for",
        ),
        pytest.param(ResumeRequest(), [], id="nothing to resume"),
    ],
)
def test_who_asked_stands_in_the_journal(
    request_: StopRequest, told: list[tuple[str, str, str]]
) -> None:
    """And the answer is what the decision did."""

    async def scene() -> tuple[list[tuple[str, str, str]], tuple[str, ...]]:
        it = Scene(PUMP)
        it.loop.step()
        outcome = it.world.inbox.ask(request_, who="anna")
        it.loop.step()
        notices = tuple(notice.event.value for notice in (await outcome).notices)
        return it.told(*{one[0] for one in told} or {"none"}), notices

    found, notices = run_virtually(scene())
    assert found == told
    assert notices == tuple(one[0] for one in told)


def test_what_would_have_come_without_a_request_is_not_laid_to_it() -> None:
    """An alarm of the same decision is nobody's doing."""

    async def scene() -> list[tuple[str, str, str]]:
        it = Scene(PUMP)
        it.loop.step()
        it.world.refused_plan = "line 3"
        it.world.inbox.ask(StopRequest(), who="anna")
        it.loop.step()
        return it.told("alarm", "everything stopped")

    assert sorted(run_virtually(scene())) == [
        ("alarm", "", "plan on disk refused"),
        ("everything stopped", "", "by anna"),
    ]


def test_an_answer_that_nobody_waits_for_is_given_up() -> None:
    """The request is carried out all the same."""

    async def scene() -> bool:
        it = Scene(PUMP)
        it.loop.step()
        it.world.inbox.ask(StopRequest(), who="anna").cancel()
        it.loop.step()
        assert it.loop.memory is not None
        return it.loop.memory.is_stopped

    assert run_virtually(scene())


def test_each_hour_is_summed_up_with_the_state() -> None:
    """Whether anything was switched in it or not."""

    async def scene() -> list[tuple[int, bool]]:
        summed: list[tuple[int, bool]] = []
        it = Scene(plan_of(lamp=load("on", kind="lamp")))
        note = it.journal.note
        summaries: list[Summary] = []
        it.sensors.summaries = lambda: summaries  # type: ignore[method-assign]

        def noted(
            entries: Sequence[Entry],
            *,
            state: str | None = None,
            summaries: Sequence[Summary] = (),
        ) -> None:
            summed.append((len(entries), state is not None))
            note((), state=state, summaries=summaries)

        it.journal.note = noted  # type: ignore[method-assign]
        it.loop.step()
        for _ in range(4):
            await asyncio.sleep(HOUR_MS / 2000)
            it.loop.step()
        return summed

    assert run_virtually(scene()) == [(1, True), (0, True), (0, True)]


def test_the_journal_s_trouble_is_an_alarm() -> None:
    """For as long as the disk refuses."""

    async def scene() -> list[tuple[str, str, str]]:
        it = Scene(PUMP)
        it.disk.is_full = True
        it.loop.step()
        it.loop.step()
        it.disk.is_full = False
        it.journal.flush()
        it.loop.step()
        return it.told("alarm", "alarm over")

    assert run_virtually(scene()) == [
        ("alarm", "", "journal not written"),
        ("alarm over", "", "journal not written"),
    ]


def test_which_loads_are_on_is_known_by_place() -> None:
    """For those who model what a meter would read; nothing before the first decision."""

    async def scene() -> list[list[bool]]:
        it = Scene(LAMP_TOO)
        before = [*it.world.is_on()]
        it.loop.step()
        at_once = [*it.world.is_on()]
        await asyncio.sleep(900)
        it.loop.step()
        return [before, at_once, [*it.world.is_on()]]

    assert run_virtually(scene()) == [[], [True, True], [True, False]]
