"""The state at a random instant ten years ahead."""

from __future__ import annotations

import random

from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, day_number, parse_date
from tests.bench.measure import Result, best_s
from tests.bench.plans import one_pump, sun_pump

_QUESTIONS = 20_000


def _microseconds(plan: Plan, *, is_known: bool, days: int) -> float:
    """Per question; a known date has been asked about before."""
    start = day_number(parse_date("2036-01-01")) * DAY_MS
    dice = random.Random(1)
    instants = [start + dice.randrange(days * DAY_MS) for _ in range(_QUESTIONS)]
    timeline = make_schedule(plan).loads[0].own
    if is_known:
        for instant in instants:
            timeline.state_at(instant)
        return (
            best_s(lambda: [timeline.state_at(instant) for instant in instants]) * 1e6 / _QUESTIONS
        )
    times = []
    for _ in range(3):
        fresh = make_schedule(plan).loads[0].own
        times.append(best_s(lambda at=fresh: [at.state_at(i) for i in instants], repeats=1))  # type: ignore[misc]
    return min(times) * 1e6 / _QUESTIONS


def lookup() -> list[Result]:
    """Microseconds a question."""
    results = []
    for name, plan in (("clock", one_pump()), ("sun", sun_pump())):
        known = _microseconds(plan, is_known=True, days=365)
        fresh = _microseconds(plan, is_known=False, days=365)
        results += [
            Result(f"state in ten years, {name} spans, dates known", known, "µs", "", None, 10.0),
            Result(
                f"state in ten years, {name} spans, a new timeline, {_QUESTIONS} questions "
                "over a year",
                fresh,
                "µs",
                "each date computed once",
                None,
                10.0,
            ),
        ]
    return results
