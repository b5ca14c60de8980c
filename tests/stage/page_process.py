"""A real page in a process of its own, on a real socket, and streams read from it."""

from __future__ import annotations

import json
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any
from urllib.parse import urlsplit

import httpx

_ENDS_WITHIN_S = 60.0


class PageProcess:
    """`rootclock web` as it runs after the command line is read; it is ready once made."""

    def __init__(self, socket_path: Path, **settings: Any) -> None:
        wanted = {
            "socket_path": str(socket_path),
            "passcode_path": str(socket_path.parent / "no-passcode"),
            "host": "127.0.0.1",
            "port": 0,
            "names": [],
            "guests_may_read": False,
            **settings,
        }
        self._process = subprocess.Popen(  # noqa: S603 - our own program
            [sys.executable, "-m", "web", "serve", json.dumps(wanted)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        assert "http://" in line, self.wait()
        self.url = line.split()[4]
        self.port = urlsplit(self.url).port or 0

    @property
    def pid(self) -> int:
        """Its number."""
        return self._process.pid

    def client(self) -> httpx.Client:
        """A browser as far as the API goes: it says whence it comes."""
        return httpx.Client(base_url=self.url, headers={"Origin": self.url}, timeout=60)

    def connection(self) -> socket.socket:
        """A bare connection."""
        return socket.create_connection(("127.0.0.1", self.port), timeout=30)

    @contextmanager
    def events(self, client: httpx.Client) -> Iterator[Iterator[tuple[str, Any]]]:
        """The events of one stream, as (name, data)."""
        with client.stream("GET", "/api/v1/events") as response:
            assert response.status_code == 200, response.read()
            yield _events(response)

    def end(self, number: signal.Signals = signal.SIGTERM) -> None:
        """Ends it by a signal, and waits for that."""
        self._process.send_signal(number)
        self.wait()

    def wait(self) -> tuple[int, str]:
        """Waits for its end; its exit code and what it complained of."""
        _, complaint = self._process.communicate(timeout=_ENDS_WITHIN_S)
        return self._process.returncode, complaint

    def __enter__(self) -> PageProcess:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._process.poll() is None:
            self._process.kill()
        if self._process.stdout is not None and not self._process.stdout.closed:
            self.wait()


def _events(response: httpx.Response) -> Iterator[tuple[str, Any]]:
    """Reads server-sent events. Source: HTML Living Standard, section 9.2.6."""
    name = ""
    for line in response.iter_lines():
        field, _, value = line.partition(": ")
        if field == "event":
            name = value
        elif field == "data":
            yield name, json.loads(value)
