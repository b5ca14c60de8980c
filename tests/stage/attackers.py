"""What people do to a page who mean it ill, or a program that has gone wild: each for some
seconds, from processes of its own, always on this machine.

They come after page and controller in the line for the processor, as they would from another
machine.
"""

from __future__ import annotations

import json
import multiprocessing
import os
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import NamedTuple

from tests.stage.priorities import ATTACKER_NICE

_PLAN = Path(__file__).resolve().parents[2] / "controller" / "examples" / "greenhouse.toml"


class Target(NamedTuple):
    """A page, by its port, and an owner's cookie that fell into wrong hands."""

    port: int
    cookie: str

    def head(self, line: str, *more: str) -> bytes:
        """A request's head, as one of the page's own pages sends it."""
        host = f"127.0.0.1:{self.port}"
        told = (line, f"Host: {host}", f"Origin: http://{host}", f"Cookie: {self.cookie}", *more)
        return "\r\n".join((*told, "", "")).encode("latin-1")

    def order(self, path: str, asked: object) -> bytes:
        """A whole request that carries JSON."""
        body = json.dumps(asked).encode()
        more = ("Content-Type: application/json", f"Content-Length: {len(body)}")
        return self.head(f"POST /api/v1{path} HTTP/1.1", *more) + body


Attack = Callable[[Target, float], None]


def _peer(target: Target, source: str = "127.0.0.1", *, room: int | None = None) -> socket.socket:
    """A connection from one of this machine's addresses; `room` bounds what it takes unread."""
    peer = socket.socket()
    if room is not None:
        peer.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, room)
    peer.settimeout(5)
    peer.bind((source, 0))
    peer.connect(("127.0.0.1", target.port))
    return peer


def _ask(target: Target, asks: Iterator[bytes] | tuple[bytes, ...], source: str) -> None:
    """Each on a connection of its own; every third answer is not waited for."""
    for number, ask in enumerate(asks):
        with suppress(OSError), _peer(target, source) as peer:
            peer.sendall(ask)
            if number % 3:
                peer.recv(4_096)


def from_other_sites(target: Target, until: float) -> None:
    """Orders of pages of other sites, by names that were pointed here; forms that are no JSON."""
    cookie, port = target.cookie, target.port
    heads = [
        (f"127.0.0.1:{port}", "http://evil.example"),
        (f"127.0.0.1:{port}", "null"),
        (f"evil.example:{port}", f"http://evil.example:{port}"),
        ("evil.example", "http://evil.example"),
    ]
    asks = tuple(
        f"POST /api/v1/stop HTTP/1.1\r\nHost: {host}\r\nOrigin: {origin}\r\nCookie: {cookie}\r\n"
        "Content-Length: 0\r\n\r\n".encode()
        for host, origin in heads
    )
    form = target.head(
        "POST /api/v1/release HTTP/1.1", "Content-Type: text/plain", "Content-Length: 15"
    )
    while time.monotonic() < until:
        _ask(target, (*asks, form + b'{"load":"mist"}'), "127.0.0.1")


def slowly(target: Target, until: float) -> None:
    """Heads and bodies that drip, on more connections than one address may have."""
    body = target.head(
        "POST /api/v1/hold HTTP/1.1", "Content-Type: application/json", "Content-Length: 9000"
    )
    peers: list[socket.socket] = []
    while time.monotonic() < until:
        while len(peers) < 200:
            peer = _peer(target)
            peers.append(peer)
            with suppress(OSError):
                peer.sendall(body if len(peers) % 2 else b"GET / HTTP/1.1\r\nHost: loc")
        for peer in [*peers]:
            try:
                peer.send(b"x", socket.MSG_DONTWAIT)
            except OSError:
                peers.remove(peer)
                peer.close()


def in_crowds(target: Target, until: float) -> None:
    """Connections that say nothing, say nonsense or hang up, as fast as they can be made."""
    kept: list[socket.socket] = []
    while time.monotonic() < until:
        for number in range(40):
            with suppress(OSError):
                peer = _peer(target, f"127.0.1.{number % 4 + 1}")
                if number % 4 == 0:
                    peer.sendall(b"\x00" * 300)
                kept.append(peer)
        while len(kept) > 200:
            kept.pop(0).close()


def as_watchers(target: Target, until: float) -> None:
    """Event streams that nobody reads, from several addresses, opened again and again."""
    ask = target.head("GET /api/v1/events HTTP/1.1")
    while time.monotonic() < until:
        peers = []
        for number in range(150):
            with suppress(OSError):
                peer = _peer(target, f"127.0.2.{number % 3 + 1}", room=4_096)
                peer.sendall(ask)
                peers.append(peer)
        for peer in peers:
            with suppress(OSError):
                peer.recv(200)
            peer.close()


def too_big(target: Target, until: float) -> None:
    """Heads, addresses and bodies far beyond what the page takes, with a length and without."""
    big = b"x" * 1_000_000
    kind = "Content-Type: application/json"
    chunked = target.head("POST /api/v1/dry-run HTTP/1.1", kind, "Transfer-Encoding: chunked")
    told = target.head("POST /api/v1/plan/check HTTP/1.1", kind, "Content-Length: 900000000")
    asks = (
        target.head("GET /health HTTP/1.1", f"X: {'x' * 300_000}"),
        target.head(f"GET /health?{'x' * 50_000} HTTP/1.1"),
        told + big,
        chunked + b"ffffff\r\n" + big * 8,
        target.order("/plan/check", {"text": "[" * 200_000}),
    )
    while time.monotonic() < until:
        _ask(target, asks, "127.0.0.1")


def guessing(target: Target, until: float) -> None:
    """Passcodes, from as many addresses as this machine has."""
    stranger, number = target._replace(cookie=""), 0
    while time.monotonic() < until:
        asks = (stranger.order("/session", {"passcode": f"guess number {number}"}),) * 6
        _ask(stranger, asks, f"127.3.{number // 250 % 250}.{number % 250 + 1}")
        number += 1


def on_paper(target: Target, until: float) -> None:
    """Previews and dry runs of a large plan: a tab that has gone wild, many times over."""
    text = _PLAN.read_text(encoding="utf-8")
    parts = ["next", "hottest", "odd", "year"]
    number = 0
    while time.monotonic() < until:
        edited = text + f"# {number}\n"
        peers = []
        for tab in range(8):
            preview = {"text": edited, "parts": parts, "client": f"tab {tab}"}
            run = {"start": "2026-01-01", "days": 3660, "plan": edited}
            ask = target.order("/dry-run", run) if tab % 4 == 3 else target.order(
                "/plan/preview", preview
            )  # fmt: skip
            with suppress(OSError):
                peer = _peer(target)
                peer.sendall(ask)
                peers.append(peer)
        for peer in peers:
            peer.settimeout(0.3)
            with suppress(OSError):
                peer.recv(4_096)
            peer.close()
        number += 1


def with_questions(target: Target, until: float) -> None:
    """Whatever makes the controller work: its journal, its revisions, its plan, orders."""
    asks = (
        target.head("GET /api/v1/log?last=1000 HTTP/1.1"),
        target.head("GET /api/v1/history?hours=192 HTTP/1.1"),
        target.head("GET /api/v1/plan/revisions HTTP/1.1"),
        target.head("GET /api/v1/log.csv HTTP/1.1"),
        target.head("GET /metrics HTTP/1.1"),
        target.order("/hold", {"load": "nobody", "order": "on", "for": "1s"}),
        target.order("/acknowledge", {"alarm": "leak"}),
    )
    while time.monotonic() < until:
        _ask(target, asks, "127.0.0.1")


ATTACKS: dict[str, Attack] = {
    attack.__name__: attack
    for attack in (
        *(from_other_sites, slowly, in_crowds, as_watchers),
        *(too_big, guessing, on_paper, with_questions),
    )
}


def _work(attack: Attack, target: Target, seconds: float) -> None:
    os.nice(ATTACKER_NICE)
    attack(target, time.monotonic() + seconds)


@contextmanager
def attacked(attack: Attack, target: Target, seconds: float) -> Iterator[Callable[[], bool]]:
    """An attack that goes on meanwhile; tells whether it still does."""
    process = multiprocessing.get_context("spawn").Process(
        target=_work, args=(attack, target, seconds)
    )
    process.start()
    try:
        yield process.is_alive
    finally:
        process.join()
    assert process.exitcode == 0
