"""The service in this process, on a mock board and real files: what ends it, and what does not."""

from __future__ import annotations

import asyncio
import os
import signal
from collections.abc import Callable, Coroutine, Sequence
from pathlib import Path
from typing import Any

import pytest

from controller.core.errors import AnotherControllerError, PlanRefusedError
from controller.core.journal_entry import Entry
from controller.core.observation import StopRequest
from controller.core.schedule import Schedule
from controller.daemon import parts as parts_module
from controller.daemon import service as service_module
from controller.daemon.options import Options
from controller.daemon.parts import open_parts
from controller.daemon.service import Service, serve
from controller.shell.journal.read_log import Query, read_log
from tests.stage.unfrozen import unfrozen  # noqa: F401 - a fixture

PLAN = """\
format = 1
[site]
latitude = 47.1
longitude = 0.0
timezone = "Etc/UTC"
[loads.pump]
kind = "pump"
line = 17
active = "low"
when_stopped = "off"
[[loads.pump.spans]]
from = "00:00"
cycle = "on"
"""


class Played:
    """A service that has been, and what it left."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.words: list[str] = []
        self.error: BaseException | None = None
        self.levels: list[bool] = []
        for name in ("run", "state"):
            (folder / name).mkdir(exist_ok=True)
        self.plan = folder / "plan.toml"
        if not self.plan.exists():
            self.plan.write_text(PLAN)
        self.options = Options(
            self.plan, folder / "state", folder / "run" / "c.sock", mock_because="a test"
        )

    def play(
        self, scene: Callable[[Service], Coroutine[Any, Any, None]], *, ends_it: bool = False
    ) -> Played:
        """Runs it, and the scene beside it from the first decision on; ends it after that, unless
        the scene does."""
        asyncio.run(asyncio.wait_for(self._play(scene, ends_it=ends_it), 20))
        return self

    async def _play(
        self, scene: Callable[[Service], Coroutine[Any, Any, None]], *, ends_it: bool
    ) -> None:
        parts = open_parts(self.options, pace=None, is_on=lambda: (), tell=self.words.append)
        service = Service(self.options, parts, self.words.append)
        run = asyncio.create_task(service.run())
        try:
            await asyncio.sleep(0)  # it runs to its first sleep, which is after its first decision
            await scene(service)
            if not ends_it:
                service.end()
            await run
        except Exception as error:  # noqa: BLE001 - what the test looks at
            self.error = error
            service.end()
            await asyncio.wait({run})
        assert parts.board.mock is not None
        self.levels = parts.board.mock.history(17)
        parts.close()

    @property
    def told(self) -> list[tuple[str, str]]:
        """What the journal has: what happened, and the words."""
        page = read_log(self.folder / "state" / "journal.db", Query())
        return [(line.entry.what, line.entry.detail) for line in page.lines]


async def nothing(service: Service) -> None:
    """A scene in which nothing happens."""
    del service


def test_it_opens_its_lines_as_ordered_and_leaves_them_safe(tmp_path: Path) -> None:
    """One level at the start, one at the end: active low, False is on."""
    played = Played(tmp_path).play(nothing)
    assert played.error is None
    assert played.levels == [False, True]
    assert [what for what, _ in played.told] == [
        "journal begun", "controller started", "on", "controller ended",
    ]  # fmt: skip
    assert not (tmp_path / "run" / "c.sock").exists()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_signals_end_it_in_order_however_many_come(tmp_path: Path, number: int) -> None:
    """Twice at once is once."""

    async def scene(service: Service) -> None:
        del service
        os.kill(os.getpid(), number)
        os.kill(os.getpid(), signal.SIGTERM)

    played = Played(tmp_path).play(scene, ends_it=True)
    assert played.error is None
    assert played.levels == [False, True]
    assert played.told[-1][0] == "controller ended"


def test_a_hang_up_ends_one_in_a_terminal(tmp_path: Path) -> None:
    """Its person has gone; an invisible one that holds the relays is of no use."""
    played = Played(tmp_path)
    played.options = played.options._replace(ends_with_terminal=True)

    async def scene(service: Service) -> None:
        del service
        os.kill(os.getpid(), signal.SIGHUP)

    played.play(scene, ends_it=True)
    assert played.error is None
    assert played.levels == [False, True], "released"
    assert played.told[-1][0] == "controller ended"


def test_one_that_was_told_to_ignore_hang_ups_does(tmp_path: Path) -> None:
    """As nohup(1) tells it."""
    played = Played(tmp_path)
    played.options = played.options._replace(ends_with_terminal=True)
    earlier = signal.signal(signal.SIGHUP, signal.SIG_IGN)

    async def scene(service: Service) -> None:
        os.kill(os.getpid(), signal.SIGHUP)
        await service.steps.next()

    try:
        assert played.play(scene).error is None
    finally:
        signal.signal(signal.SIGHUP, earlier)


def test_a_hang_up_has_a_service_look_at_its_plan(tmp_path: Path) -> None:
    """For those whose file system tells of no changes."""

    async def scene(service: Service) -> None:
        service.options.plan_path.write_text(PLAN.replace("latitude = 47.1", "latitude = 47.2"))
        taken = asyncio.Event()

        def told(entries: Sequence[Entry]) -> None:
            if any(entry.what == "plan taken" for entry in entries):
                taken.set()

        service.telling.on_entries = told
        os.kill(os.getpid(), signal.SIGHUP)
        await taken.wait()

    assert "plan taken" in [what for what, _ in Played(tmp_path).play(scene).told]


def test_an_edit_over_which_it_stumbles_is_not_the_last_that_it_notices(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The mistake is told; the next edit by hand is taken."""

    async def scene(service: Service) -> None:
        reload, is_broken = service.parts.store.reload, [True]
        stumbled, taken = asyncio.Event(), asyncio.Event()

        async def breaking(**moment: Any) -> Any:
            if is_broken.pop() if is_broken else False:
                raise ZeroDivisionError("planted")
            return await reload(**moment)

        def told(entries: Sequence[Entry]) -> None:
            for entry in entries:
                if "planted" in entry.detail:
                    stumbled.set()
                if entry.what == "plan taken":
                    taken.set()

        monkeypatch.setattr(service.parts.store, "reload", breaking)
        service.telling.on_entries = told
        await stumbled.wait()  # the watch begins with a look
        service.options.plan_path.write_text(PLAN.replace("latitude = 47.1", "latitude = 47.3"))
        await taken.wait()

    assert Played(tmp_path).play(scene).error is None


def test_what_goes_wrong_in_a_decision_ends_it_with_safe_relays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The service manager starts it anew; the journal says why."""

    async def scene(service: Service) -> None:
        def broken() -> object:
            raise ZeroDivisionError("planted")

        monkeypatch.setattr(service.world, "observe", broken)
        service.parts.clock.wake_up()
        await asyncio.sleep(0.01)

    played = Played(tmp_path).play(scene)
    assert isinstance(played.error, ZeroDivisionError)
    assert played.levels == [False, True]
    assert played.told[-1] == (
        "controller ended",
        "all loads are left as the plan says for a stop; ended by ZeroDivisionError('planted')",
    )


def test_relays_that_cannot_be_looked_after_end_it(tmp_path: Path) -> None:
    """Nobody would know what they do."""

    async def scene(service: Service) -> None:
        def broken() -> None:
            raise ZeroDivisionError("planted")

        service.world.look_after_relays = broken  # type: ignore[method-assign]
        await asyncio.sleep(1.1)

    played = Played(tmp_path).play(scene)
    assert isinstance(played.error, ZeroDivisionError)
    assert played.levels == [False, True]


def test_a_mistake_elsewhere_is_told_and_the_watering_goes_on(tmp_path: Path) -> None:
    """A sensor's callback, a task of the plan's, and what asyncio has to say."""

    async def scene(service: Service) -> None:
        def broken() -> None:
            raise ZeroDivisionError("planted in a callback")

        async def breaking() -> None:
            raise ZeroDivisionError("planted in a task")

        loop = asyncio.get_running_loop()
        loop.call_soon(broken)
        service._errands.begin(breaking(), "a task")
        loop.call_exception_handler({"message": "words alone"})
        await service.steps.next()
        await service.steps.next()

    played = Played(tmp_path).play(scene)
    assert played.error is None
    words = "\n".join(played.words)
    for told in ("planted in a callback", "a task ended", "planted in a task", "words alone"):
        assert told in words, told
        assert any(told in line for what, line in played.told if "mistake" in what), told
    assert played.told[-1] == ("controller ended", "all loads are left as the plan says for a stop")


def test_a_socket_that_cannot_be_stops_nothing(tmp_path: Path) -> None:
    """Roots need no clients."""
    played = Played(tmp_path)
    (tmp_path / "run" / "c.sock").mkdir()
    assert played.play(nothing).error is None
    assert any("without a control socket" in words for _, words in played.told)
    assert any("no client can reach" in words for words in played.words)


def test_nor_does_a_mistake_in_what_serves_clients(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The traceback is told."""
    monkeypatch.setattr("controller.shell.control_socket.server.ControlSocket", None)
    played = Played(tmp_path).play(nothing)
    assert played.error is None
    assert any("TypeError" in words for words in played.words)


def test_it_looks_at_no_plan_any_more_while_it_leaves(tmp_path: Path) -> None:
    """A hang-up at the end finds nobody."""

    async def scene(service: Service) -> None:
        service.end()
        await asyncio.sleep(0.01)
        service.reload()

    assert Played(tmp_path).play(scene).error is None


def test_a_request_that_waits_at_the_end_is_told_so(tmp_path: Path) -> None:
    """It is not carried out behind its back."""
    outcomes: list[asyncio.Future[Any]] = []

    async def scene(service: Service) -> None:
        service.end()
        outcomes.append(service.world.inbox.ask(StopRequest(), who="anna"))

    Played(tmp_path).play(scene)
    assert not outcomes[0].done()


def test_an_answer_gives_way_to_a_switching_that_is_about_to_be_due(tmp_path: Path) -> None:
    """It waits for the decision, and no more than three of them."""

    async def scene(service: Service) -> None:
        await service.steps.give_way()
        service.loop.wake = service.parts.clock.read()[1] + 10
        waiting = asyncio.create_task(service.steps.give_way())
        await asyncio.sleep(0)
        assert not waiting.done()
        await service.steps.next()
        await asyncio.wait_for(waiting, 1)
        busy = service.loop.is_due_within
        service.loop.is_due_within = lambda length_ms: True  # type: ignore[method-assign]  # noqa: ARG005
        waiting = asyncio.create_task(service.steps.give_way())
        for _ in range(3):
            assert not waiting.done()
            await service.steps.next()
            await asyncio.sleep(0)
        await asyncio.wait_for(waiting, 1)
        service.loop.is_due_within = busy  # type: ignore[method-assign]

    assert Played(tmp_path).play(scene).error is None


def test_a_note_for_the_way_out_that_cannot_be_written_is_told_once(tmp_path: Path) -> None:
    """Whoever reads the log knows that a kill would leave the lines as they are."""

    async def scene(service: Service) -> None:
        for trouble in ("the disk is full", "the disk is full", ""):
            service.parts.board.safe_lines_trouble = trouble
            await service.steps.next()

    played = Played(tmp_path).play(scene)
    assert played.words == [
        "the disk is full; if the controller is killed, its lines stay as they are"
    ]


def test_a_state_that_cannot_be_read_is_told_at_the_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And the controller begins as if it were its first day."""
    Played(tmp_path).play(nothing)
    monkeypatch.setattr("controller.shell.journal.journal.Journal.last_state", lambda _: "{")
    played = Played(tmp_path).play(nothing)
    assert any("what was so before is not known: the state is no JSON" in w for _, w in played.told)


def test_parts_that_cannot_all_be_opened_leave_nothing_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The next attempt finds the folder free."""
    played = Played(tmp_path)

    def broken(**kwargs: object) -> object:
        raise ZeroDivisionError("no board")

    async def attempt() -> None:
        open_parts(played.options, pace=None, is_on=lambda: (), tell=played.words.append)

    with monkeypatch.context() as patched:
        patched.setattr(parts_module, "open_board", broken)
        with pytest.raises(ZeroDivisionError):
            asyncio.run(attempt())
    assert played.play(nothing).error is None


def test_serving_closes_what_it_opened_when_the_service_cannot_be_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A mistake before the first decision."""
    played = Played(tmp_path)

    def broken(*args: object) -> object:
        raise ZeroDivisionError("no service")

    def silent(entries: object, schedule: object) -> None:
        """Nobody listens."""

    with monkeypatch.context() as patched:
        patched.setattr(service_module, "Service", broken)
        with pytest.raises(ZeroDivisionError):
            asyncio.run(serve(played.options, tell=played.words.append, on_entries=silent))
    assert played.play(nothing).error is None


def test_two_in_one_folder_are_one_too_many(tmp_path: Path) -> None:
    """The second is refused before it touches a line."""
    played = Played(tmp_path)

    async def scene(service: Service) -> None:
        with pytest.raises(AnotherControllerError):
            open_parts(service.options, pace=None, is_on=lambda: (), tell=played.words.append)

    assert played.play(scene).error is None


def test_a_plan_with_errors_opens_no_line(tmp_path: Path) -> None:
    """All of its errors are told."""
    played = Played(tmp_path)
    played.plan.write_text("format = 2")

    def silent(entries: list[Entry], schedule: Schedule) -> None:
        """Nobody listens."""

    with pytest.raises(PlanRefusedError):
        asyncio.run(serve(played.options, tell=played.words.append, on_entries=silent))  # type: ignore[arg-type]
