"""The loop on doubles: when it decides, how it takes another plan over, and how it ends."""

from __future__ import annotations

import asyncio

import pytest

from controller.core.adoption import adopted_memory
from controller.core.cycle import parse_cycle
from controller.core.observation import HoldRequest, ReleaseRequest, Trouble
from controller.core.orders import AlarmCode
from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, HOUR_MS
from controller.daemon import loop as loop_module
from tests.stage.scene import Scene
from tests.stage.virtual_loop import run_virtually
from tests.worlds import load, plan_of

PUMP = plan_of(pump=load("15m on, 15m off"))


def test_it_wakes_for_nothing_but_a_cause() -> None:
    """A day of 15 on, 15 off has 96 decisions, and none between."""

    async def day() -> int:
        it = Scene(PUMP)
        run = asyncio.create_task(it.loop.run())
        await asyncio.sleep(DAY_MS / 1000 - 1)
        it.loop.end()
        await run
        return len(it.steps)

    assert run_virtually(day()) == 96


def test_requests_are_taken_one_by_one_and_others_have_their_turn_between() -> None:
    """In the order in which they came; a callback of somebody else runs after each."""

    async def scene() -> list[str]:
        it = Scene(PUMP)
        run = asyncio.create_task(it.loop.run())
        await asyncio.sleep(1)
        turns: list[str] = []
        asyncio_loop = asyncio.get_running_loop()

        def stepped(*decided: object) -> None:
            turns.append("step")
            asyncio_loop.call_soon(turns.append, "other")

        it.world.on_step = stepped
        for _ in range(3):
            it.world.inbox.ask(ReleaseRequest("pump"), who="anna")
        await asyncio.sleep(0.1)
        it.loop.end()
        await run
        return turns

    assert run_virtually(scene()) == ["step", "other"] * 3


def test_an_end_before_the_first_decision_takes_none() -> None:
    """Nothing is switched any more."""

    async def scene() -> int:
        it = Scene(PUMP)
        it.loop.end()
        await it.loop.run()
        return len(it.steps)

    assert run_virtually(scene()) == 0


def test_it_is_overdue_when_nothing_decides() -> None:
    """Two seconds after a decision was due; not before."""

    async def scene() -> list[bool]:
        it = Scene(PUMP)
        it.loop.step()
        found = [it.loop.is_overdue(), it.loop.is_due_within(20)]
        await asyncio.sleep(15 * 60 - 0.015)
        found.append(it.loop.is_due_within(20))
        await asyncio.sleep(2)
        found.append(it.loop.is_overdue())
        await asyncio.sleep(0.02)
        return [*found, it.loop.is_overdue()]

    assert run_virtually(scene()) == [False, False, True, False, True]


# Another plan


def test_another_plan_is_taken_over_at_once() -> None:
    """Its lines are claimed, those it does not have are left safe, and that is told."""
    before = plan_of(lamp=load("on", kind="lamp", when_stopped="off"), pump=load("15m on, 15m off"))
    after = plan_of(pump=load("15m on, 15m off") | {"line": 9}, fan=load("on", kind="fan"))

    async def scene() -> tuple[list[tuple[int, bool | None]], list[tuple[str, str, str]]]:
        it = Scene(before)
        run = asyncio.create_task(it.loop.run())
        await asyncio.sleep(60)
        it.lines.history.clear()
        told = len(it.disk.entries)
        it.loop.adopt(make_schedule(after))
        await asyncio.sleep(0.001)
        it.loop.end()
        await run
        return it.lines.history, [(e.what, e.subject, e.why) for e in it.disk.entries[told:]]

    history, told = run_virtually(scene())
    # Active low: True is off. The lamp's line 0 goes off, the pump has line 9 from now on, and the
    # fan goes on with the pump's old line 1, which stays as it is.
    assert history == [(0, True), (9, False)]
    assert told == [("off", "lamp", "plan"), ("on", "fan", "plan")]


def test_a_load_that_becomes_another_kind_begins_off_and_that_is_told() -> None:
    """Whatever the earlier plan said for a stop: a lamp of that name is not the fan that was."""
    before = plan_of(it=load("on", kind="fan", when_stopped="on"))
    after = plan_of(it=load("off", kind="lamp"))

    async def scene() -> tuple[list[str], bool]:
        it = Scene(before)
        it.loop.step()
        it.loop.adopt(make_schedule(after))
        it.loop.step()
        return [entry.what for entry in it.disk.entries if entry.why], it.relays.is_on("it")

    assert run_virtually(scene()) == (["on", "off"], False)


def test_a_plan_that_comes_before_the_first_decision_is_the_first() -> None:
    """Nothing of the other one is ever switched."""

    async def scene() -> list[tuple[int, bool | None]]:
        it = Scene(PUMP)
        it.loop.adopt(make_schedule(plan_of(pump=load("off"))))
        it.loop.step()
        return it.lines.history

    assert run_virtually(scene()) == [(0, True)]


def test_a_request_that_waits_while_a_plan_comes_is_weighed_by_the_new_one() -> None:
    """One for a load that is gone is refused, and the answer says so."""

    async def scene() -> list[str]:
        it = Scene(PUMP)
        it.loop.step()
        hold = HoldRequest("pump", parse_cycle("off"), HOUR_MS)
        outcome = it.world.inbox.ask(hold, who="anna")
        it.loop.adopt(make_schedule(plan_of(other=load("on"))))
        it.loop.step()
        return [notice.detail for notice in (await outcome).notices]

    assert run_virtually(scene()) == ["there is no load 'pump'; the plan has other"]


def test_a_clock_that_is_set_while_a_plan_comes_is_told() -> None:
    """Both are worked in by one decision."""

    async def scene() -> tuple[list[tuple[str, str, str]], bool]:
        it = Scene(plan_of(pump=load("00:00 | off", "06:00 | on")))
        it.loop.step()
        it.clock.step(6 * HOUR_MS)
        it.loop.adopt(make_schedule(plan_of(pump=load("00:00 | off", "05:00 | on"))))
        it.loop.step()
        return it.told("clock stepped"), it.relays.is_on("pump")

    assert run_virtually(scene()) == ([("clock stepped", "", "6h")], True)


def test_an_adoption_that_fails_ends_the_loop_with_the_old_plan_in_hand(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What it held before fits together still, so that a last state can be written."""

    def broken(*args: object) -> object:
        raise ZeroDivisionError

    async def scene() -> bool:
        it = Scene(PUMP)
        it.loop.step()
        before = it.loop.schedule, it.loop.memory
        monkeypatch.setattr(loop_module, "adopted_memory", broken)
        it.loop.adopt(make_schedule(plan_of(other=load("on"))))
        with pytest.raises(ZeroDivisionError):
            await it.loop.run()
        monkeypatch.setattr(loop_module, "adopted_memory", adopted_memory)
        return (it.loop.schedule, it.loop.memory) == before

    assert run_virtually(scene())


def test_a_relay_s_alarm_that_went_with_its_load_comes_back_with_its_cause() -> None:
    """The new plan has another load of that name, on the same line that does not obey."""

    async def scene() -> list[tuple[str, str, str]]:
        it = Scene(PUMP)
        it.lines.level[0] = True
        it.lines.stuck.add(0)
        it.loop.step()
        it.loop.step()
        assert it.world.glimpse().troubles == {Trouble(AlarmCode.RELAY, "pump")}
        it.loop.adopt(make_schedule(plan_of(pump=load("on", kind="fan"))))
        it.loop.step()
        it.loop.step()
        assert it.loop.memory is not None
        assert [alarm.is_active for alarm in it.loop.memory.alarms] == [True]
        return it.told("alarm", "alarm over")

    assert run_virtually(scene()) == [
        ("alarm", "pump", "relay does not obey"),
        ("alarm over", "pump", "relay does not obey: not in the plan any more"),
        ("alarm", "pump", "relay does not obey"),
    ]
