"""The page beside a controller, however it fails: real processes, and pauses made short."""

from __future__ import annotations

import os
import queue
import select
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from controller.cli.page_keeper import PAUSES_S, PageKeeper

_WITHIN_S = 20.0
_READY = "print('The page is at http://localhost:1', flush=True)\n"
_UNTIL_INPUT_ENDS = "import sys; sys.stdin.read()\n"


class _Heard:
    """What a keeper shows and tells, in order."""

    def __init__(self) -> None:
        self._lines: queue.Queue[str] = queue.Queue()
        self.put = self._lines.put

    def next(self) -> str:
        """The next line."""
        return self._lines.get(timeout=_WITHIN_S)

    def is_empty(self) -> bool:
        """Whether nothing waits."""
        return self._lines.empty()


@contextmanager
def _kept(program: str, *, pauses_s: tuple[float, ...] = (0.01,)) -> Iterator[_Heard]:
    heard = _Heard()
    words = (sys.executable, "-c", program)
    keeper = PageKeeper(words, os.environ, show=heard.put, tell=heard.put, pauses_s=pauses_s)
    keeper.start()
    try:
        yield heard
    finally:
        keeper.close()
        keeper.close()


def test_pauses_grow_up_to_a_minute() -> None:
    """A page that cannot start costs a controller next to nothing."""
    assert list(PAUSES_S) == sorted(set(PAUSES_S))
    assert PAUSES_S[-1] == 60


def test_a_page_that_fails_in_the_same_way_is_told_once(tmp_path: Path) -> None:
    """In its own words; when it is there it is shown, and a later failure is told again."""
    mark = tmp_path / "starts"
    program = (
        f"import pathlib, sys; mark = pathlib.Path({str(mark)!r})\n"
        "count = len(mark.read_bytes()) if mark.exists() else 0\n"
        "mark.write_bytes(b'x' * (count + 1))\n"
        "if count == 3:\n"
        f"    {_READY}"
        "    sys.exit(0)\n"
        "sys.exit('rootclock: no room here')\n"
    )
    with _kept(program) as heard:
        assert heard.next().startswith("no page: no room here; the watering goes on")
        assert heard.next() == "The page is at http://localhost:1"
        assert heard.next().startswith("the page has ended")
        assert heard.next().startswith("no page: no room here")


def test_what_a_page_complains_of_is_handed_on(tmp_path: Path) -> None:
    """Line by line; one without an end is cut into pieces, and no byte is wrong."""
    program = f"{_READY}import os\nos.write(2, b'a\\n\\xff\\n' + b'x' * 9000)\n{_UNTIL_INPUT_ENDS}"
    with _kept(program) as heard:
        assert heard.next() == "The page is at http://localhost:1"
        assert heard.next() == "the page: a"
        assert heard.next() == "the page: \ufffd"
        pieces = [heard.next().removeprefix("the page: ")]
        while sum(map(len, pieces)) < 4_000:
            pieces.append(heard.next().removeprefix("the page: "))
        assert set("".join(pieces)) == {"x"}


def test_a_page_s_worker_keeps_nobody_waiting() -> None:
    """It has the page's outputs; it goes with the page, which is started again."""
    worker = "import subprocess, sys; subprocess.Popen(['sleep', '600'])\n"
    with _kept(f"{worker}{_READY}sys.exit(0)") as heard:
        assert heard.next() == "The page is at http://localhost:1"
        assert heard.next().startswith("the page has ended")
        assert heard.next() == "The page is at http://localhost:1"


def test_a_page_that_does_not_end_is_ended() -> None:
    """After some seconds, by force; nobody waits for the ten minutes that it would last."""
    stubborn = f"import os, time\n{_READY}print(os.getpid(), flush=True)\ntime.sleep(600)"
    begun = time.monotonic()
    with _kept(stubborn) as heard:
        assert heard.next() == "The page is at http://localhost:1"
        end = os.pidfd_open(int(heard.next().removeprefix("the page: ")))
    try:
        assert select.select([end], [], [], _WITHIN_S)[0], "it lives on"
    finally:
        with suppress(ProcessLookupError):
            signal.pidfd_send_signal(end, signal.SIGKILL)
        os.close(end)
    assert 3 < time.monotonic() - begun < 300
    assert heard.is_empty()


def test_a_program_that_is_not_there_is_told() -> None:
    """And tried again."""
    heard = _Heard()
    keeper = PageKeeper(("no-such-program",), {}, show=heard.put, tell=heard.put)
    keeper.start()
    assert "No such file" in heard.next()
    keeper.close()
