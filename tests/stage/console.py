"""A real terminal (pty(7)) with `rootclock start` in it, whose person reads and types."""

from __future__ import annotations

import os
import pty
import re
import select
import signal
import subprocess
import sys
import time
from pathlib import Path
from types import TracebackType

from controller.shell.control_socket.client import Client

_WITHIN_S = 30.0  # a busy machine; a second or two are usual
_ENDS_WITHIN_S = 20.0


class Console:
    """`rootclock start PLAN WORDS` on mock relays; all that it says goes into `seen`."""

    def __init__(self, folder: Path, plan: Path, *words: str) -> None:
        self.socket_path = folder / "r" / "c.sock"
        self.state = folder / "s"
        self.seen = ""
        self._mine, its = pty.openpty()
        command = [
            *(sys.executable, "-m", "controller", "start", str(plan), "--mock", "--trust-clock"),
            *("--state", str(self.state), "--socket", str(self.socket_path)),
            *("--passcode-file", str(folder / "passcode"), *words),
        ]
        self._process = subprocess.Popen(  # noqa: S603 - our own program
            ["setsid", "--ctty", *command],  # noqa: S607 - so that Ctrl-C is heard as from a keyboard
            stdin=its,
            stdout=its,
            stderr=its,
            env={**os.environ, "COLUMNS": "200"},
        )
        os.close(its)

    @property
    def pid(self) -> int:
        """The controller's number."""
        return self._process.pid

    def until(self, pattern: str) -> re.Match[str]:
        """Reads on to the first place that matches, and forgets what came up to its end."""
        deadline = time.monotonic() + _WITHIN_S
        while True:
            found = re.search(pattern, self.seen)
            if found is not None:
                self.seen = self.seen[found.end() :]
                return found
            left_s = max(0.0, deadline - time.monotonic())
            assert select.select([self._mine], [], [], left_s)[0], (pattern, self.seen)
            assert self._read(), (pattern, self.seen)

    def page_url(self) -> str:
        """Where the page says that it is, next."""
        return self.until(r"The page is at (http://localhost:\d+)\r?\n")[1]

    def press(self, keys: str) -> None:
        """Types, as on a keyboard."""
        os.write(self._mine, keys.encode())

    def send(self, number: signal.Signals) -> None:
        """Sends the controller alone a signal."""
        self._process.send_signal(number)

    def wait(self) -> int:
        """Reads to the end; the exit code."""
        while self._read():
            pass
        return self._process.wait(_ENDS_WITHIN_S)

    def switchings(self) -> int:
        """How many switchings the controller has made, as it tells a client."""
        with Client(self.socket_path) as client:
            count = client.call("lateness")["count"]
        assert isinstance(count, int)
        return count

    def page_pid(self) -> int:
        """The page's number: the one that the controller has started."""
        tasks = Path(f"/proc/{self.pid}/task").glob("*/children")
        (pid,) = [int(word) for task in tasks for word in task.read_text().split()]
        return pid

    def _read(self) -> bool:
        """Reads what is there; False at the end, which Linux tells by EIO."""
        try:
            piece = os.read(self._mine, 65_536)
        except OSError:
            return False
        self.seen += piece.decode(errors="replace")
        return bool(piece)

    def __enter__(self) -> Console:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._process.poll() is None:
            self._process.kill()
        self._process.wait(_ENDS_WITHIN_S)
        os.close(self._mine)
