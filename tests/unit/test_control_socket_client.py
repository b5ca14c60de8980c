"""The clients of the control socket: what they ask, and what they say when nobody answers."""

from __future__ import annotations

import asyncio
import errno
import getpass
import grp
import os
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from controller.core.errors import (
    BadRequestError,
    NoDaemonError,
    RequestRefusedError,
    UnusableSocketError,
)
from controller.core.messages.methods import HoldParams, NoParams, WhyParams
from controller.core.messages.rpc import Told, result_line
from controller.shell.control_socket.async_client import AsyncClient
from controller.shell.control_socket.client import Client
from controller.shell.control_socket.reach import no_daemon
from tests.socket_clients import STATUS, served, served_elsewhere, short_folder

# The blocking client


def test_a_call_returns_the_result() -> None:
    """Parameters that are None are left out; one connection serves many calls."""
    with served_elsewhere() as one, Client(one.path) as client:
        assert client.call("status") == STATUS
        assert client.call("hold", {"load": "pump", "order": "on", "for": "1m"}) == {}
        assert client.call("why", {"load": None}) == {}
        assert [params for _, params, _ in one.daemon.asked] == [
            NoParams(),
            HoldParams("pump", "on", 60_000),
            WhyParams(None),
        ]


def test_a_refusal_is_raised_with_its_number() -> None:
    """And the connection can be used again."""
    with served_elsewhere() as one, Client(one.path) as client:
        one.daemon.answers["stop"] = BadRequestError("not now")
        with pytest.raises(RequestRefusedError, match=r"^not now$") as caught:
            client.call("stop")
        assert caught.value.code == -32000
        assert client.call("status") == STATUS


def test_a_plan_that_is_too_long_is_not_sent() -> None:
    """The client says so itself."""
    with served_elsewhere() as one, Client(one.path) as client:
        with pytest.raises(RequestRefusedError, match="at most 256 KiB"):
            client.call("plan.propose", {"text": "x" * 300_000, "based_on": 1})
        assert one.daemon.asked == []


def test_listening_begins_with_the_status_and_ends_with_the_daemon() -> None:
    """Every change, until it says farewell."""
    with served_elsewhere() as one, Client(one.path) as client:
        answer, news = client.listen(["changed"])
        assert answer == {"topics": ["changed"], "status": STATUS}
        one.daemon.answers["status"] = 2
        one.do(lambda server: server.changed())
        assert next(news) == Told("changed", {"skipped": 0, "status": 2})
        one.do(lambda server: server.close())
        with pytest.raises(NoDaemonError, match="has ended the connection: the controller ends"):
            next(news)


def test_news_between_a_request_and_its_answer_are_no_answer() -> None:
    """A listener may ask as well."""
    with served_elsewhere() as one, Client(one.path) as client:
        client.listen(["journal"])
        one.do(lambda server: server.tell_journal([{"n": 1}]))
        assert client.call("status") == STATUS


def test_an_answer_that_takes_too_long_is_given_up_and_its_late_answer_ignored() -> None:
    """The next call is not given the last one's answer."""
    with served_elsewhere() as one, Client(one.path) as client:
        gate = one.daemon.gates["plan.read"] = asyncio.Event()
        with pytest.raises(NoDaemonError, match="does not answer in time"):
            client.call("plan.read", within_s=0.05)
        one.do(lambda _: gate.set())
        assert client.call("status") == STATUS


def test_a_full_house_is_told_in_the_daemon_s_words() -> None:
    """Though it lets go at once."""
    refused = pytest.raises(NoDaemonError, match="refuses: 1 clients are connected, as many as")
    one_place = served_elsewhere(clients_max=1, clients_kept_for_root=0)
    with one_place as one, Client(one.path), refused:
        Client(one.path)


def test_another_protocol_is_told_with_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """An updated command and a daemon that was not restarted."""
    monkeypatch.setattr("controller.shell.control_socket.client.PROTOCOL", 2)
    refused = pytest.raises(RequestRefusedError, match="restart the one that was not restarted")
    with served_elsewhere() as one, refused:
        Client(one.path)


@contextmanager
def _impostor(speak: Callable[[socket.socket], None]) -> Iterator[Path]:
    """Something that listens where a daemon should, and says what a test lets it say."""
    with short_folder() as folder, socket.socket(socket.AF_UNIX) as listener:
        listener.bind(str(folder / "s"))
        listener.listen()

        def serve() -> None:
            peer, _ = listener.accept()
            with peer:
                speak(peer)

        thread = threading.Thread(target=serve)
        thread.start()
        yield folder / "s"
        thread.join()


def _say(*words: bytes) -> Callable[[socket.socket], None]:
    def speak(peer: socket.socket) -> None:
        peer.recv(1000)
        try:
            for word in words:
                peer.sendall(word)
        except OSError:
            return  # the client has heard enough

    return speak


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ([b""], "has ended the connection; it may be restarting"),
        ([b"SSH-2.0-x\r\n"], "is no rootclock daemon"),
        ([b"{}\n"], "is no rootclock daemon"),
        ([b"x" * 65_536] * 20, "is no rootclock daemon"),
        ([result_line(7, 1), b""], "has ended the connection"),
    ],
)
def test_what_is_no_daemon_is_found_out(said: list[bytes], says: str) -> None:
    """Silence, another protocol, endless lines, answers to what nobody asked."""
    with _impostor(_say(*said)) as path, pytest.raises(NoDaemonError, match=says):
        Client(path)


def test_a_daemon_that_hangs_is_told_of() -> None:
    """It lets in and says nothing."""
    over = threading.Event()

    def hang(peer: socket.socket) -> None:
        del peer
        over.wait()

    with _impostor(hang) as path:
        with pytest.raises(NoDaemonError, match="does not answer in time; loads may be switched"):
            Client(path, answer_s=0.05)
        over.set()


def test_a_daemon_that_lets_nobody_in_is_told_of() -> None:
    """Its queue is full, as when it is stopped by a debugger; the kernel waits for us."""
    with short_folder() as folder, socket.socket(socket.AF_UNIX) as listener:
        listener.bind(str(folder / "s"))
        listener.listen(0)
        with socket.socket(socket.AF_UNIX) as waiting:
            waiting.connect(str(folder / "s"))
            with pytest.raises(NoDaemonError, match="too many are asking the daemon"):
                Client(folder / "s", answer_s=0.05)


def test_no_daemon_is_told_with_how_to_start_one() -> None:
    """There is no socket at all, or one that nobody listens at."""
    with short_folder() as folder:
        with pytest.raises(NoDaemonError, match="no daemon is running: there is no control socket"):
            Client(folder / "s")
        with socket.socket(socket.AF_UNIX) as dead:
            dead.bind(str(folder / "s"))
        with pytest.raises(NoDaemonError, match=r"no daemon answers at .*: the one that was"):
            Client(folder / "s")
        with pytest.raises(UnusableSocketError, match="at most 107"):
            Client(folder / ("x" * 200))


@pytest.mark.parametrize(
    ("mode", "says"),
    [
        (0o750, f"Run `sudo adduser {getpass.getuser()} rootclock`, then log in again"),
        (0o700, f"it belongs to another user \\(you are {getpass.getuser()}\\)"),
    ],
)
def test_who_may_not_is_told_which_group_may(mode: int, says: str) -> None:
    """The service's folder is open to its group; a person's own is nobody else's business."""
    with short_folder() as folder:
        folder.chmod(mode)
        error = no_daemon(folder / "s", PermissionError(errno.EACCES, "Permission denied"))
    with pytest.raises(NoDaemonError, match=says):
        raise error


def test_who_was_put_into_the_group_after_logging_in_is_told_to_log_in_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A login keeps the groups that it began with."""
    entry = grp.struct_group(("rootclock", "x", 990, [getpass.getuser()]))
    monkeypatch.setattr(grp, "getgrnam", {"rootclock": entry}.__getitem__)
    with short_folder() as folder:
        folder.chmod(0o750)
        error = no_daemon(folder / "s", PermissionError(errno.EACCES, "Permission denied"))
    assert str(error).endswith(
        "you are in the group rootclock, but not since you logged in: log in again"
    )


def test_a_folder_that_cannot_be_seen_belongs_to_somebody_else() -> None:
    """There is no group to be put into."""
    error = no_daemon(Path("/nowhere/s"), PermissionError(errno.EACCES, "Permission denied"))
    assert f"it belongs to another user (you are {getpass.getuser()})" in str(error)


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (errno.ECONNRESET, "it may be restarting"),
        (errno.EPIPE, "it may be restarting"),
        (errno.EMFILE, "control socket .*: too many open files"),
    ],
)
def test_what_else_the_kernel_says_is_told(number: int, says: str) -> None:
    """In words."""
    with pytest.raises(NoDaemonError, match=says):
        raise no_daemon(Path("/run/s"), OSError(number, os.strerror(number)))


# The page's client


def _in_a_loop(work: Any) -> None:
    async def bounded() -> None:
        async with asyncio.timeout(10):
            await work()

    asyncio.run(bounded())


def test_many_calls_wait_at_once_over_one_connection() -> None:
    """Each has its own answer, in whichever order they come."""

    async def work() -> None:
        async with served() as one:
            gate = one.daemon.gates["plan.read"] = asyncio.Event()
            one.daemon.answers["plan.read"] = "slow"
            client = await AsyncClient.connect(one.path)
            slow = asyncio.create_task(client.call("plan.read"))
            assert await client.call("status") == STATUS
            gate.set()
            assert await slow == "slow"
            one.daemon.answers["stop"] = BadRequestError("not now")
            with pytest.raises(RequestRefusedError, match=r"^not now$"):
                await client.call("stop")
            await client.close()
            await client.close()
            with pytest.raises(NoDaemonError):
                await client.call("status")

    _in_a_loop(work)


def test_the_page_is_told_of_changes_and_of_the_end() -> None:
    """What waits at the end is told too."""

    async def work() -> None:
        async with served() as one:
            client = await AsyncClient.connect(one.path)
            answer, news = await client.subscribe(["changed"])
            assert answer["status"] == STATUS
            one.daemon.answers["status"] = 2
            one.server.changed()
            assert (await anext(news)).params == {"skipped": 0, "status": 2}
            one.daemon.gates["plan.read"] = asyncio.Event()
            waiting = asyncio.create_task(client.call("plan.read"))
            await one.settled()
            await one.server.close()
            with pytest.raises(RequestRefusedError, match="the controller ends"):
                await waiting
            with pytest.raises(NoDaemonError, match="the controller ends"):
                await anext(news)
            with pytest.raises(NoDaemonError, match="the controller ends"):
                await client.call("status")
            await client.close()

    _in_a_loop(work)


def test_a_page_that_does_not_listen_still_gets_its_answers() -> None:
    """Of news that nobody takes the oldest make room."""

    async def work() -> None:
        async with served() as one:
            client = await AsyncClient.connect(one.path)
            _, news = await client.subscribe(["journal"])
            for number in range(150):
                one.server.tell_journal([{"n": number}])
                await one.settled()
            assert await client.call("status") == STATUS
            assert (await anext(news)).params["entries"] == [{"n": 50}]
            await client.close()

    _in_a_loop(work)


def test_the_page_gives_an_answer_up_and_ignores_it_when_it_comes() -> None:
    """The connection stays."""

    async def work() -> None:
        async with served() as one:
            gate = one.daemon.gates["plan.read"] = asyncio.Event()
            client = await AsyncClient.connect(one.path)
            with pytest.raises(NoDaemonError, match="in time"):
                await client.call("plan.read", within_s=0.02)
            gate.set()
            assert await client.call("status") == STATUS
            await client.close()

    _in_a_loop(work)


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ([b""], "has ended the connection"),
        ([b"SSH-2.0-x\r\n"], "is no rootclock daemon"),
        ([b"x" * 65_536] * 20, "is no rootclock daemon"),
    ],
)
def test_the_page_finds_out_what_is_no_daemon(said: list[bytes], says: str) -> None:
    """And closes."""

    async def work() -> None:
        with pytest.raises(NoDaemonError, match=says):
            await AsyncClient.connect(path)

    with _impostor(_say(*said)) as path:
        _in_a_loop(work)


def test_the_page_is_told_where_no_daemon_is() -> None:
    """In the words of the command line."""

    async def work() -> None:
        with pytest.raises(NoDaemonError, match="no daemon is running"):
            await AsyncClient.connect(folder / "s")

    with short_folder() as folder:
        _in_a_loop(work)
