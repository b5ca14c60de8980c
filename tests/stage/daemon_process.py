"""A real controller in a process of its own, as a service manager starts it: it is ready when
it says so on a real socket, and its words are kept."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path
from types import TracebackType
from typing import Any

from controller.shell.control_socket.client import Client

READY_WITHIN_S = 30.0
_ENDS_WITHIN_S = 20.0


class DaemonProcess:
    """`rootclock run PLAN --mock` on a state folder that outlives it.

    `notices` are the datagrams that it sent to its service manager, in order.
    """

    def __init__(self, folder: Path, plan: Path, *words: str, is_mock: bool = True) -> None:
        self.folder = folder
        self.socket_path = folder / "run" / "control.sock"
        self.state = folder / "state"
        self.plan = plan
        self.notices: list[str] = []
        self._words = [*(("--mock",) if is_mock else ()), *words]
        self._notify = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        self._notify_path = folder / "notify"
        self._notify_path.unlink(missing_ok=True)
        self._notify.bind(str(self._notify_path))
        self._notify.settimeout(READY_WITHIN_S)
        self._process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Starts it; returns when it has said that it is ready."""
        self.launch()
        while "READY=1" not in self.next_notice():
            pass

    def launch(self) -> None:
        """Starts it and returns at once."""
        for folder in (self.socket_path.parent, self.state):
            folder.mkdir(exist_ok=True)
        self._process = subprocess.Popen(  # noqa: S603 - our own program
            [
                sys.executable, "-m", "controller", "run", str(self.plan),
                "--socket", str(self.socket_path), "--state", str(self.state), *self._words,
            ],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, "NOTIFY_SOCKET": str(self._notify_path)},
            start_new_session=True,
        )  # fmt: skip

    def next_notice(self) -> str:
        """The next datagram; a process that ended instead is told with its words."""
        try:
            notice = self._notify.recv(4096).decode()
        except TimeoutError:
            raise AssertionError(f"it does not speak: {self.end(signal.SIGKILL)[1]}") from None
        self.notices.append(notice)
        return notice

    @property
    def pid(self) -> int:
        """Its number."""
        assert self._process is not None
        return self._process.pid

    def send(self, number: signal.Signals) -> None:
        """Sends a signal."""
        assert self._process is not None
        self._process.send_signal(number)

    def end(self, number: signal.Signals = signal.SIGTERM) -> tuple[int, str]:
        """Ends it by a signal; its exit code and what it said."""
        self.send(number)
        return self.wait()

    def wait(self) -> tuple[int, str]:
        """Waits for its end; its exit code and what it said."""
        assert self._process is not None
        words, _ = self._process.communicate(timeout=_ENDS_WITHIN_S)
        code = self._process.returncode
        self._process = None
        return code, words

    def client(self) -> Client:
        """A client of it."""
        return Client(self.socket_path)

    def call(self, method: str, params: dict[str, Any] | None = None) -> Any:
        """One question, and its answer."""
        with self.client() as client:
            return client.call(method, params or {})

    def __enter__(self) -> DaemonProcess:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._process is not None:
            self.end(signal.SIGKILL)
        self._notify.close()
