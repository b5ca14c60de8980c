"""What a meter on the board's pins would show: every change of every line, as it happens.

The emulated GPIO controller (a PL061) tells of each of its own changes on the emulator's
trace, with the host's time to the microsecond. Nothing is sampled, so no pulse is too short.
"""

from __future__ import annotations

import re
import threading
import time
from typing import TYPE_CHECKING, NamedTuple

from tests.board.host import HostError

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable
    from typing import IO

LINES = range(8)

_UPDATE = re.compile(
    r"\d+@(?P<at>\d+\.\d+):pl061_update \S+ "
    r"GPIODIR 0x(?P<direction>[0-9a-f]+) GPIODATA 0x(?P<data>[0-9a-f]+)"
)


class Level(NamedTuple):
    """A line's state from this moment on.

    `at` is host time in seconds since 1970. A line that is not driven shows what its
    resistor, or whoever is wired to it, makes of it.
    """

    at: float
    is_high: bool
    is_driven: bool


class Lines:
    """All lines' levels since the start, filled by a thread of its own.

    A line that the board lets go of falls back to its resistor: `let_go` is called with it.
    """

    def __init__(self, trace: IO[str], *, let_go: Callable[[int], None], log: IO[str]) -> None:
        self._news = threading.Condition()
        self._series = {line: [Level(0.0, False, False)] for line in LINES}
        self._is_over = False
        self._let_go = let_go
        self._thread = threading.Thread(target=self._read, args=(trace, log), name="lines")
        self._thread.start()

    def _read(self, trace: Iterable[str], log: IO[str]) -> None:
        for text in trace:
            update = _UPDATE.match(text)
            if update is None:
                log.write(text)
                log.flush()
            else:
                self._take(
                    float(update["at"]), int(update["direction"], 16), int(update["data"], 16)
                )
        with self._news:
            self._is_over = True
            self._news.notify_all()

    def _take(self, at: float, direction: int, data: int) -> None:
        released = []
        with self._news:
            for line, series in self._series.items():
                level = Level(at, bool(data >> line & 1), bool(direction >> line & 1))
                if level[1:] != series[-1][1:]:
                    if series[-1].is_driven and not level.is_driven:
                        released.append(line)
                    series.append(level)
            self._news.notify_all()
        for line in released:
            self._let_go(line)

    def begin(self, pulled_up: Collection[int]) -> None:
        """Starts every series anew, once the lines with a resistor to the supply are high.

        Raises:
            HostError: they do not become so.
        """

        def are_up() -> bool:
            return all(self._series[line][-1].is_high for line in pulled_up)

        with self._news:
            if not self._news.wait_for(are_up, 10):
                raise HostError("the emulator does not tell of its lines")
            for line in LINES:
                self._series[line] = [self._series[line][-1]._replace(at=time.time())]

    def series(self, line: int, *, since: float = 0.0) -> list[Level]:
        """The line's states from `since` on, with the one that was in force then."""
        with self._news:
            series = list(self._series[line])
        first = max((i for i, level in enumerate(series) if level.at <= since), default=0)
        return series[first:]

    def wait(
        self,
        line: int,
        *,
        is_high: bool,
        within_s: float,
        since: float = 0.0,
    ) -> float:
        """When the line first had that level at or after `since`, waiting for it if need be.

        Raises:
            HostError: it did not come in time.
        """

        def found() -> float | None:
            for level, following in _with_ends(self._series[line]):
                if level.is_high is is_high and following > since:
                    return max(level.at, since)
            return None

        with self._news:
            self._news.wait_for(lambda: found() is not None or self._is_over, within_s)
            at = found()
        if at is None:
            word = "high" if is_high else "low"
            raise HostError(f"line {line} did not go {word} within {within_s:g} s")
        return at

    def close(self) -> None:
        """Waits until all that was told has been read."""
        self._thread.join()


def _with_ends(series: list[Level]) -> Iterable[tuple[Level, float]]:
    ends = [level.at for level in series[1:]]
    return zip(series, [*ends, float("inf")], strict=True)
