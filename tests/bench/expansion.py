"""All changes of a year of 15/15: ours, a bare loop, SimPy, dateutil."""

from __future__ import annotations

from collections.abc import Generator
from datetime import UTC, datetime, timedelta
from typing import Any

import simpy
from dateutil.rrule import MINUTELY, rrule

from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, MINUTE_MS, instant_of
from tests.bench.measure import Result, best_s
from tests.bench.plans import one_pump

_YEAR_MS = 365 * DAY_MS
_STEP_MS = 15 * MINUTE_MS


def _bare_loop(start: int, end: int) -> list[tuple[int, bool]]:
    changes: list[tuple[int, bool]] = []
    instant, is_on = start, True
    while True:
        instant += _STEP_MS
        if instant >= end:
            return changes
        is_on = not is_on
        changes.append((instant, is_on))


def _simpy(start: int, end: int) -> list[tuple[int, bool]]:
    changes: list[tuple[int, bool]] = []
    environment = simpy.Environment(initial_time=start)

    def pump() -> Generator[Any, None, None]:
        is_on = True
        while True:
            yield environment.timeout(_STEP_MS)
            is_on = not is_on
            changes.append((int(environment.now), is_on))

    environment.process(pump())
    environment.run(until=end)
    return changes


def _rrule(start: datetime, end: datetime) -> list[datetime]:
    return list(rrule(MINUTELY, interval=15, dtstart=start, until=end - timedelta(seconds=1)))


def expansion() -> list[Result]:
    """Changes a second, side by side; all give the same instants."""
    timeline = make_schedule(one_pump()).loads[0].own
    begin = datetime(2026, 1, 1, tzinfo=UTC) - timedelta(hours=1)  # local midnight
    start = instant_of(begin)
    end = start + _YEAR_MS
    ours = list(timeline.changes(start, end))
    assert ours == _bare_loop(start, end) == _simpy(start, end)
    count = len(ours)
    ours_s = best_s(lambda: list(timeline.changes(start, end)))
    bare_s = best_s(lambda: _bare_loop(start, end))
    simpy_s = best_s(lambda: _simpy(start, end), repeats=3)
    rrule_s = best_s(lambda: _rrule(begin, begin + timedelta(days=365)), repeats=2)
    return [
        Result("changes of a year of 15/15", count / ours_s, "changes/s", f"{count} changes"),
        Result("  a bare loop", count / bare_s, "changes/s", f"ours {bare_s / ours_s:.2f} x"),
        Result("  SimPy", count / simpy_s, "changes/s", f"ours {simpy_s / ours_s:.2f} x"),
        Result("  dateutil.rrule", count / rrule_s, "changes/s", f"ours {rrule_s / ours_s:.2f} x"),
        Result("ours over a bare loop", bare_s / ours_s, "ratio", "aim: 0.7 or more", 0.7),
        Result("ours over SimPy", simpy_s / ours_s, "ratio", "aim: 3 or more", 3.0),
    ]
