"""Hostile and unlucky clients of the control socket: none stops the others, or the daemon.

Real sockets and real processes; the daemon behind the socket is made up.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import random
import signal
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from controller.core.messages.codes import ErrorCode
from controller.core.messages.rpc import MESSAGE_BYTES_MAX, call_line
from controller.shell.control_socket.client import Client
from controller.shell.control_socket.limits import Limits, Rate
from tests.socket_clients import STATUS, RawClient, Served, served, short_folder

STANDARD = {-32700, -32600, -32601, -32602}
OURS = {int(code) for code in ErrorCode}


def _run(work: Any) -> None:
    async def bounded() -> None:
        async with asyncio.timeout(30):
            await work()

    asyncio.run(bounded())


async def _is_well(one: Served) -> None:
    """A client that behaves is answered, and no mistake of ours was noted."""
    client = await one.client()
    assert (await client.ask("status", "well"))["result"] == STATUS
    await client.close()
    assert one.daemon.mistakes == []


_PIECES = st.one_of(
    st.binary(max_size=80),
    st.sampled_from(
        [
            b"\n",
            b"{}\n",
            b"[]\n",
            b"\xff\n",
            b'{"jsonrpc":"2.0","method":"nothing","id":1}\n',
            b'{"jsonrpc":"2.0","method":"hold","params":[1],"id":2}\n',
            b'{"jsonrpc":"2.0","method":"hold","params":',
            b"[" * 500 + b"\n",
            b'"' * 500 + b"\n",
            b'{"a":' * 100,
        ]
    ),
)


@settings(max_examples=40)
@given(st.lists(_PIECES, max_size=12))
def test_random_bytes_get_standard_errors_and_nothing_else(pieces: list[bytes]) -> None:
    """One for each line, and then an honest client is served as ever."""

    async def work() -> None:
        async with served() as one:
            client = await one.client()
            sent = b"".join(pieces)
            client.write(sent)
            client.writer.write_eof()
            told = await client.lines()
            lines = sent.count(b"\n") + (0 if sent.endswith(b"\n") or not sent else 1)
            assert len(told) == lines
            assert {line["error"]["code"] for line in told} <= STANDARD
            await _is_well(one)

    _run(work)


_MISCHIEF = [
    os.urandom(5_000),
    b"x" * 300_000,
    b"\n" * 500,
    b'{"half":',
    call_line(1, "status", {}) * 60,
    call_line(2, "subscribe", {}) * 5,
    call_line(3, "plan.propose", {"text": "y" * 200_000, "based_on": 1}),
    call_line(4, "nothing", {}),
]


async def _misbehave(one: Served, chance: random.Random) -> None:
    client = await one.client()
    may_write = True
    for _ in range(chance.randrange(1, 6)):
        what = chance.choice(["write", "write", "read", "wait", "end", "hang up"])
        if what == "write" and may_write:
            client.write(chance.choice(_MISCHIEF))
        elif what == "read":
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(0.02):
                    _check(await client.line())
        elif what == "wait":
            await asyncio.sleep(chance.random() * 0.05)  # unlike clients, unlike times
        elif what == "end":
            may_write = False
            client.writer.write_eof()
        elif what == "hang up":
            client.writer.transport.abort()
            return


@pytest.mark.parametrize("seed", range(3))
def test_a_crowd_that_does_everything_wrong(seed: int) -> None:
    """Sixty clients write halves, floods and garbage, read nothing, read something, hang up in
    the middle; every answer is a result or one of our errors, and there are never more clients
    than may be."""

    async def work() -> None:
        chance = random.Random(seed)
        limits = Limits(line_s=0.3, unread_s=0.3, idle_s=0.3, farewell_s=0.05)
        async with served(limits) as one:
            one.daemon.answers["plan.propose"] = "z" * 10_000
            crowd = [asyncio.create_task(_misbehave(one, chance)) for _ in range(60)]
            while any(not task.done() for task in crowd):
                await asyncio.sleep(0.01)
                one.server.changed()
                one.server.tell_journal([{"n": "e" * 500}])
                assert one.server.client_count <= limits.clients_max
            await asyncio.gather(*crowd)
            await one.close_clients()
            await _is_well(one)

    _run(work)


def _check(line: Any) -> None:
    if line is not None and "error" in line:
        assert line["error"]["code"] in OURS


def test_two_hundred_connections_at_once() -> None:
    """As many as may are served; each of the others is told why not, and nobody waits."""

    async def work() -> None:
        async with served(connections=Rate(per_s=1_000.0, at_once=200)) as one:
            clients = [await one.client() for _ in range(200)]
            for client in clients[:32]:
                client.request("status")
            told = [await client.line() for client in clients]
            served_ones = [line for line in told if line and "result" in line]
            refused = [line["error"]["message"] for line in told if line and "error" in line]
            assert len(served_ones) == 32
            assert (
                refused
                == ["32 clients are connected, as many as may be: try again in a moment"] * 168
            )
            await one.close_clients()
            await one.settled()
            await _is_well(one)

    _run(work)


def test_readers_that_never_read_cost_nobody_else_anything() -> None:
    """Twenty of them ask for more than the kernel keeps; another is answered meanwhile."""

    async def work() -> None:
        async with served(unread_s=0.3) as one:
            one.daemon.answers["log"] = "x" * 400_000
            for _ in range(20):
                deaf = await one.client()
                deaf.writer.transport.pause_reading()  # type: ignore[attr-defined]
                for number in range(5):
                    deaf.request("log", number)
            client = await one.client()
            for number in range(20):
                assert (await client.ask("status", number))["result"] == STATUS
            await asyncio.sleep(0.5)  # until their time is over
            await one.settled()
            assert one.server.client_count == 1

    _run(work)


_DIES = """
import socket, sys, os
peer = socket.socket(socket.AF_UNIX)
peer.connect(sys.argv[1])
peer.sendall(b'{"jsonrpc":"2.0","method":"plan.read","id":1}\\n' * 3 + b'{"jsonrpc":"2.0","meth')
print("sent", flush=True)
os.pause() if hasattr(os, "pause") else __import__("signal").pause()
"""


def test_a_client_that_is_killed_in_the_middle() -> None:
    """In the middle of a line and with requests in hand: its place is free at once."""

    async def work() -> None:
        async with served() as one:
            gate = one.daemon.gates["plan.read"] = asyncio.Event()
            process = await asyncio.create_subprocess_exec(
                sys.executable, "-c", _DIES, str(one.path), stdout=subprocess.PIPE
            )
            assert process.stdout is not None
            await process.stdout.readline()
            await one.daemon.has_been_asked(3)
            process.send_signal(signal.SIGKILL)
            await process.wait()
            gate.set()
            await one.settled()
            assert one.server.client_count == 0
            await _is_well(one)

    _run(work)


_SCARCE = """
import asyncio, json, os, resource, sys, time
from pathlib import Path
from controller.shell.control_socket.server import ControlSocket

async def answer(method, params, caller):
    return {"cpu_s": time.process_time()}

async def main():
    server = ControlSocket(Path(sys.argv[1]), answer)
    server.open()
    used = len(os.listdir("/proc/self/fd"))
    resource.setrlimit(resource.RLIMIT_NOFILE, (used + 6, used + 6))
    print("open", flush=True)
    await asyncio.get_running_loop().run_in_executor(None, sys.stdin.readline)
    await server.close()

asyncio.run(main())
"""


def _connect(path: Path) -> socket.socket:
    peer = socket.socket(socket.AF_UNIX)
    peer.settimeout(5)
    peer.connect(str(path))
    return peer


def _first_word(peer: socket.socket) -> dict[str, Any]:
    word = b""
    while not word.endswith(b"\n"):
        more = peer.recv(4096)
        assert more, "the connection ended without a word"
        word += more
    told: dict[str, Any] = json.loads(word)
    return told


def test_a_daemon_that_can_open_no_more_files_says_so_and_recovers() -> None:
    """Who comes is turned away with a reason instead of waking the loop for ever; who is there
    is served; as soon as one goes, the next comes in.

    Takes a second: the processor time of a loop that rests is measured over it.
    """
    with short_folder() as folder:
        path = folder / "s"
        with subprocess.Popen(  # noqa: S603
            [sys.executable, "-c", _SCARCE, str(path)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        ) as daemon:
            assert daemon.stdout is not None
            assert daemon.stdin is not None
            daemon.stdout.readline()
            with Client(path) as first:
                peers = [_connect(path) for _ in range(12)]
                for peer in peers:
                    peer.sendall(call_line(1, "status", {}))
                told = [_first_word(peer) for peer in peers]
                turned_away = [line["error"]["message"] for line in told if "error" in line]
                assert len(turned_away) >= 6
                assert set(turned_away) == {
                    "the controller cannot open more files: try again in a moment"
                }
                before_s = first.call("status")["cpu_s"]
                late = [_connect(path) for _ in range(3)]
                daemon_rest_s = 0.5
                with contextlib.suppress(subprocess.TimeoutExpired):
                    daemon.wait(daemon_rest_s)
                assert first.call("status")["cpu_s"] - before_s < daemon_rest_s / 5
                for peer in [*peers, *late]:
                    peer.close()
                for _ in range(3):  # it takes notice of them before it is asked again
                    first.call("status")
                with Client(path) as again:
                    assert "cpu_s" in again.call("status")
            daemon.stdin.write(b"\n")
            daemon.stdin.close()
            assert daemon.wait(10) == 0


def test_a_plan_that_trickles_in_is_cut_off_while_others_are_served() -> None:
    """A hundred kilobytes a byte at a time would hold a place for a day."""

    async def trickle(client: RawClient) -> None:
        with contextlib.suppress(ConnectionError):
            for _ in range(1_000):
                client.write(b"x")
                await client.writer.drain()
                await asyncio.sleep(0.005)  # slowness is what is tested

    async def work() -> None:
        async with served(line_s=0.2) as one:
            slow = [asyncio.create_task(trickle(await one.client())) for _ in range(10)]
            loop = asyncio.get_running_loop()
            end = loop.time() + 0.4
            client = await one.client()
            while loop.time() < end:
                assert "result" in await client.ask("status")
            assert one.server.client_count == 1
            for task in slow:
                task.cancel()
            await asyncio.wait(slow)

    _run(work)


def test_a_line_that_is_one_byte_too_long_a_thousand_times() -> None:
    """The memory of a connection is that of one message, however often it is tried."""

    async def work() -> None:
        async with served() as one:
            for _ in range(20):
                client = await one.client()
                client.write(b"x" * (MESSAGE_BYTES_MAX + 70_000))
                (told,) = await client.lines()
                assert told["error"]["code"] == ErrorCode.TOO_BIG
                await client.close()
            await _is_well(one)

    _run(work)
