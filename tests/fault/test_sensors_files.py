"""Files that hang, vanish, lie or never end: no other sensor waits, and nothing piles up."""

from __future__ import annotations

import asyncio
import os
import socket
import subprocess
import sys
import threading
from collections.abc import Awaitable, Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from controller.core.errors import NoReadingError
from controller.shell.sensors.decode import SIZE_MAX
from controller.shell.sensors.files import read_number
from controller.shell.sensors.reading_threads import Answer, ReadingThreads
from tests.sensing import (
    PATIENCE_S,
    Sensing,
    hanging_file,
    hold,
    let_go,
    plan_with,
    reading_threads,
    sensing,
    wait_for_threads,
)


class Asked:
    """Reading threads and what they answered, by file name."""

    def __init__(self, patience_s: float, threads_max: int = 128) -> None:
        self.answers: dict[str, float | str] = {}
        self.deliveries = 0
        self._told = asyncio.Event()
        self.threads = ReadingThreads(self._take, patience_s=patience_s, threads_max=threads_max)

    def _take(self, answers: Sequence[Answer]) -> None:
        assert threading.current_thread() is threading.main_thread()
        self.deliveries += 1
        for answer in answers:
            says = answer.why if answer.value is None else answer.value
            self.answers[Path(answer.path).name] = says
        self._told.set()

    async def until(self, *names: str) -> None:
        """Returns when these have answered."""
        async with asyncio.timeout(PATIENCE_S):
            while not set(names) <= set(self.answers):
                self._told.clear()
                await self._told.wait()


@contextmanager
def files(folder: Path, *, hanging: int, quick: int = 1) -> Iterator[tuple[list[str], list[str]]]:
    """So many files that hang (`h0`…) and that are quick (`q0`…)."""
    with ExitStack() as stack:
        hung = [
            str(stack.enter_context(hanging_file(folder / f"h{number}")))
            for number in range(hanging)
        ]
        ready = [str(folder / f"q{number}") for number in range(quick)]
        for path in ready:
            Path(path).write_bytes(b"7\n")
        yield hung, ready
    wait_for_threads(0)


def with_threads(
    act: Callable[[Asked], Awaitable[None]], *, patience_s: float, threads_max: int = 128
) -> None:
    """Acts on a real loop with reading threads that are closed at the end."""

    async def run() -> None:
        asked = Asked(patience_s, threads_max)
        try:
            await act(asked)
        finally:
            asked.threads.close()

    asyncio.run(run())


def test_quick_files_are_one_delivery_by_one_thread(tmp_path: Path) -> None:
    """Eighteen answers wake the loop once, and the thread ends."""
    with files(tmp_path, hanging=0, quick=18) as (_, ready):

        async def act(asked: Asked) -> None:
            asked.threads.ask(ready)
            assert len(reading_threads()) <= 1
            await asked.until(*(f"q{number}" for number in range(18)))
            assert asked.deliveries == 1
            wait_for_threads(0)
            assert asked.threads.count == 0

        with_threads(act, patience_s=PATIENCE_S)


def test_files_that_hang_keep_nobody_else_waiting(tmp_path: Path) -> None:
    """Ten hang before the quick one's turn; each keeps one thread, and the quick one answers."""
    with files(tmp_path, hanging=10) as (hung, ready):

        async def act(asked: Asked) -> None:
            asked.threads.ask([*hung, *ready])
            await asked.until("q0")
            assert asked.answers == {"q0": 7.0}
            wait_for_threads(10)
            assert all(asked.threads.silent_ms(path) is not None for path in hung)

        with_threads(act, patience_s=0.005)


def test_a_file_that_hangs_is_not_asked_again(tmp_path: Path) -> None:
    """A hundred rounds later there is one thread at it, and the quick one has answered each."""
    with files(tmp_path, hanging=1) as (hung, ready):

        async def act(asked: Asked) -> None:
            for _ in range(100):
                asked.answers.clear()
                asked.threads.ask([*hung, *ready])
                await asked.until("q0")
            wait_for_threads(1)
            assert asked.threads.count == 1
            asked.answers.clear()
            assert let_go(Path(hung[0]), b"9\n")
            await asked.until("h0")
            assert asked.answers == {"h0": 9.0}
            wait_for_threads(0)

        with_threads(act, patience_s=0.005)


def test_what_was_read_before_a_hang_is_delivered(tmp_path: Path) -> None:
    """The loop does not wait for the end of a round that has none."""
    with files(tmp_path, hanging=1) as (hung, ready):

        async def act(asked: Asked) -> None:
            asked.threads.ask([*ready, *hung])
            await asked.until("q0")

        with_threads(act, patience_s=0.01)


def test_at_the_bound_of_threads_the_next_that_answers_goes_on(tmp_path: Path) -> None:
    """Two may read, both hang: the quick file waits until one of them is let go."""
    with files(tmp_path, hanging=2) as (hung, ready):

        async def act(asked: Asked) -> None:
            asked.threads.ask([*hung, *ready])
            handle = await hold(Path(hung[1]))
            assert asked.threads.count <= 2
            assert asked.threads.silent_ms(ready[0]) is not None
            os.write(handle, b"8\n")
            os.close(handle)
            await asked.until("h1", "q0")
            assert asked.answers == {"h1": 8.0, "q0": 7.0}

        with_threads(act, patience_s=0.005, threads_max=2)


@given(
    st.lists(
        st.one_of(
            st.lists(st.integers(0, 4), min_size=1, max_size=5).map(lambda files: ("ask", files)),
            st.integers(0, 3).map(lambda file: ("answer", [file])),
        ),
        max_size=12,
    )
)
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_whatever_is_asked_and_whenever_it_answers_nothing_piles_up_or_is_lost(
    tmp_path: Path, script: list[tuple[str, list[int]]]
) -> None:
    """Four files that hang until they are let go and a quick one, asked in any order and over
    and over: never a thread too many, and in the end all that was asked has answered."""
    folder = tmp_path / uuid4().hex
    folder.mkdir()
    with files(folder, hanging=4) as (hung, ready):
        paths = [*hung, *ready]

        async def act(asked: Asked) -> None:
            for deed, places in script:
                if deed == "ask":
                    asked.threads.ask([paths[place] for place in places])
                else:
                    let_go(Path(paths[places[0]]), b"9\n")
                await asyncio.sleep(0.002)  # some threads get on, some do not: either will do
            wait_for_threads(len(hung) + 1)
            for path in hung:
                if asked.threads.silent_ms(path) is not None:
                    handle = await hold(Path(path))
                    os.write(handle, b"9\n")
                    os.close(handle)
            wanted = {
                Path(paths[n]).name for deed, places in script for n in places * (deed == "ask")
            }
            await asked.until(*wanted)
            assert set(asked.answers) == wanted
            wait_for_threads(0)

        with_threads(act, patience_s=0.001)


def test_a_system_without_threads_is_asked_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While no thread can be started nothing breaks; when one can, the file is read."""
    with files(tmp_path, hanging=0) as (_, ready):

        async def act(asked: Asked) -> None:
            start = threading.Thread.start
            refused: list[threading.Thread] = []

            def refuse(thread: threading.Thread) -> None:
                refused.append(thread)
                if len(refused) == 3:
                    monkeypatch.setattr(threading.Thread, "start", start)
                raise RuntimeError("can't start new thread")

            monkeypatch.setattr(threading.Thread, "start", refuse)
            asked.threads.ask(ready)
            await asked.until("q0")
            assert len(refused) == 3

        with_threads(act, patience_s=0.005)


def test_nothing_is_delivered_after_the_end(tmp_path: Path) -> None:
    """A file that answers later answers nobody, and those behind it are not read."""
    with files(tmp_path, hanging=1) as (hung, ready):

        async def act(asked: Asked) -> None:
            asked.threads.ask([*hung, *ready])
            handle = await hold(Path(hung[0]))
            asked.threads.close()
            asked.threads.close()
            asked.threads.ask(ready)
            os.write(handle, b"1\n")
            os.close(handle)
            wait_for_threads(0)
            for _ in range(3):
                await asyncio.sleep(0)  # what was on its way comes now
            assert asked.answers == {}

        with_threads(act, patience_s=PATIENCE_S)


def test_a_file_that_answers_after_the_end_of_the_loop_answers_nobody(tmp_path: Path) -> None:
    """The thread ends quietly, though nobody has closed anything."""
    with files(tmp_path, hanging=1) as (hung, _):

        async def run() -> tuple[Asked, int]:
            asked = Asked(PATIENCE_S)
            asked.threads.ask(hung)
            return asked, await hold(Path(hung[0]))

        asked, handle = asyncio.run(run())
        os.write(handle, b"9\n")
        os.close(handle)
        wait_for_threads(0)
        assert asked.threads.count == 0
        assert asked.answers == {}


def test_a_hanging_file_does_not_keep_the_process_from_ending(tmp_path: Path) -> None:
    """The daemon ends though a thread stands at a file for ever. Slow: a process of its own."""
    program = (
        "import asyncio, sys\n"
        "from controller.shell.sensors.reading_threads import ReadingThreads\n"
        "async def run():\n"
        "    threads = ReadingThreads(print)\n"
        "    threads.ask([sys.argv[1]])\n"
        "    threads.close()\n"
        "asyncio.run(run())\n"
        "print('ended')\n"
    )
    with hanging_file(tmp_path / "h") as path:
        ended = subprocess.run(  # noqa: S603 - a program of this test's own
            [sys.executable, "-c", program, str(path)],
            capture_output=True,
            text=True,
            timeout=PATIENCE_S,
            check=True,
        )
    assert ended.stdout == "ended\n"
    assert ended.stderr == ""


def act_on_sensors(act: Callable[[Sensing], Awaitable[None]]) -> None:
    """Acts on a board's sensors on a real loop."""

    async def run() -> None:
        with sensing() as world:
            await act(world)

    asyncio.run(run())


def test_a_sensor_that_hangs_falls_silent_and_the_others_go_on(tmp_path: Path) -> None:
    """Read again and again meanwhile; it speaks again when its file answers. Slow: two
    seconds pass before a file counts as hanging."""
    (tmp_path / "good").write_bytes(b"20000\n")
    with hanging_file(tmp_path / "h") as hung:

        async def act(world: Sensing) -> None:
            air = {"measures": "air_temperature", "scale": 0.001, "every": "0.1s"}
            world.sensors.watch(
                plan_with(
                    {
                        "hangs": {**air, "file": str(hung)},
                        "good": {**air, "file": str(tmp_path / "good")},
                    }
                )
            )
            await world.until(lambda: world.news >= 20)
            assert list(world.sensors.readings) == ["good"]
            assert len(reading_threads()) <= 2
            says = f"its file {hung} has not answered for 2 s"
            await world.until(lambda: world.sensors.why_silent.get("hangs") == says)
            let_go(hung, b"19000\n")
            reading = await world.reading("hangs", 19.0)
            assert world.read_clock()[1] - reading.taken >= 2_000

        act_on_sensors(act)
    wait_for_threads(0)


def test_a_file_that_vanishes_and_comes_back_is_followed(tmp_path: Path) -> None:
    """Silent with its reason while it is away, then read again."""
    path = tmp_path / "temp1_input"
    (tmp_path / "other").write_bytes(b"20000\n")

    async def act(world: Sensing) -> None:
        air = {"measures": "air_temperature", "scale": 0.001, "every": "0.02s"}
        sensors = {
            "air": {**air, "file": str(path)},
            "other": {**air, "file": str(tmp_path / "other")},
        }
        path.write_bytes(b"21000\n")
        world.sensors.watch(plan_with(sensors))
        before = await world.reading("air")
        path.unlink()
        await world.until(lambda: "air" in world.sensors.why_silent)
        assert world.sensors.why_silent["air"].endswith("no such file or directory")
        assert world.sensors.readings["air"].value == before.value
        path.write_bytes(b"22000\n")
        await world.reading("air", 22.0)
        assert "air" not in world.sensors.why_silent

    act_on_sensors(act)


def test_plans_that_come_and_go_leave_no_threads(tmp_path: Path) -> None:
    """Twenty plans whose sensors all hang at the same two files keep two threads."""
    with files(tmp_path, hanging=2) as (hung, ready):

        async def act(world: Sensing) -> None:
            for number in range(20):
                air = {"measures": "air_temperature", "offset": float(number)}
                world.sensors.watch(
                    plan_with(
                        {name: {**air, "file": path} for name, path in zip("ab", hung, strict=True)}
                        | {"quick": {**air, "file": ready[0]}}
                    )
                )
                await world.reading("quick", 7.0 + number)
            assert len(reading_threads()) <= 3
            wait_for_threads(2)

        act_on_sensors(act)


def _make_a_terabyte(path: Path) -> None:
    path.touch()
    os.truncate(path, 2**40)  # of holes, which take no room


@pytest.mark.parametrize(
    ("make", "why"),
    [
        pytest.param(lambda path: path.is_file(), "no such file or directory", id="nothing"),
        pytest.param(
            lambda path: path.mkdir(), "is a directory, not a file that holds a value", id="folder"
        ),
        pytest.param(
            lambda path: path.symlink_to("/dev/zero"),
            "is a device, not a file that holds a value",
            id="an endless device, which is not even opened",
        ),
        pytest.param(
            lambda path: path.symlink_to("/dev/tty"),
            "is a device, not a file that holds a value",
            id="a terminal",
        ),
        pytest.param(
            lambda path: path.symlink_to(path), "too many levels of symbolic links", id="a loop"
        ),
        pytest.param(
            lambda path: path.symlink_to("/proc/self/mem"),
            "input/output error",
            id="a file whose reading fails",
        ),
        pytest.param(
            lambda path: os.close(os.open(path, os.O_CREAT)), "its file is empty", id="empty"
        ),
        pytest.param(
            _make_a_terabyte,
            "its file holds more than 256 bytes, which no number needs",
            id="a terabyte of zeros",
        ),
    ],
)
def test_what_is_no_file_with_a_value_is_told(
    tmp_path: Path, make: Callable[[Path], object], why: str
) -> None:
    """At once, and never more than a few bytes of it are read."""
    path = tmp_path / "it"
    make(path)
    with pytest.raises(NoReadingError) as refusal:
        read_number(str(path))
    assert str(refusal.value).endswith(why)


def test_a_socket_is_no_file(tmp_path: Path) -> None:
    """It could not be opened anyway."""
    with socket.socket(socket.AF_UNIX) as listener:
        listener.bind(str(tmp_path / "it"))
        with pytest.raises(NoReadingError, match="is a socket, not a file that holds a value"):
            read_number(str(tmp_path / "it"))


def test_a_file_that_may_not_be_read_is_told(tmp_path: Path) -> None:
    """As whoever has no right to it; root has it everywhere."""
    path = tmp_path / "it"
    path.write_bytes(b"7\n")
    path.chmod(0)
    was_root = os.geteuid() == 0
    if was_root:
        os.seteuid(65_534)  # nobody
    try:
        with pytest.raises(NoReadingError, match="permission denied"):
            read_number(str(path))
    finally:
        if was_root:
            os.seteuid(0)


@pytest.mark.parametrize(
    "path",
    [
        pytest.param("/sys/\0/x", id="a NUL"),
        pytest.param("/sys/\ud800/x", id="half a character"),
        pytest.param("/" + "x" * 4_000, id="a name too long"),
        pytest.param("/" + "x/" * 4_000, id="a path too long"),
        pytest.param("", id="no path"),
    ],
)
def test_a_path_that_cannot_be_is_no_reading(path: str) -> None:
    """Not a crash."""
    with pytest.raises(NoReadingError):
        read_number(path)


def fed(path: Path, *pieces: bytes) -> threading.Thread:
    """Somebody who writes these pieces to a FIFO, each by itself, until nobody reads them."""

    def write() -> None:
        handle = os.open(path, os.O_WRONLY)
        try:
            for piece in pieces:
                os.write(handle, piece)
        except BrokenPipeError:
            return  # the reader has had enough, which is what the test is about
        finally:
            os.close(handle)

    thread = threading.Thread(target=write)
    thread.start()
    return thread


def test_a_number_that_comes_in_pieces_is_read_whole(tmp_path: Path) -> None:
    """Half of a number is another number."""
    os.mkfifo(tmp_path / "it")
    writer = fed(tmp_path / "it", b"21", b"50", b"0\n")
    assert read_number(str(tmp_path / "it")) == 21_500.0
    writer.join()


def test_a_stream_without_an_end_is_left(tmp_path: Path) -> None:
    """After as many bytes as no number has."""
    os.mkfifo(tmp_path / "it")
    writer = fed(tmp_path / "it", *[b"0" * SIZE_MAX] * 1_000)
    with pytest.raises(NoReadingError, match="more than 256 bytes"):
        read_number(str(tmp_path / "it"))
    writer.join()


def test_no_handle_stays_open(tmp_path: Path) -> None:
    """After good and bad readings there are as many open files as before."""
    (tmp_path / "good").write_bytes(b"7\n")
    (tmp_path / "bad").write_bytes(b"x" * 1_000)
    before = len(list(Path("/proc/self/fd").iterdir()))
    for _ in range(50):
        read_number(str(tmp_path / "good"))
        for path in (tmp_path / "bad", tmp_path / "none", Path("/proc/self/mem")):
            with pytest.raises(NoReadingError):
                read_number(str(path))
    assert len(list(Path("/proc/self/fd").iterdir())) == before
