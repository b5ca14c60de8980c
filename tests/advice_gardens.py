"""Invented gardens for tests of advice: a plan, its question, and no weather file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from typing import Any

from controller.advice.question import Question, question_of
from controller.core.cycle import parse_cycle
from controller.core.plan import Plan
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.reading import ReadPlan
from controller.core.units import Instant
from controller.dry_run.listeners import Listener
from tests.worlds import load, plan_of, spans, stand

SITE: dict[str, Any] = {
    "latitude": 45.4,
    "longitude": 11.9,
    "timezone": "Europe/Rome",
    "elevation_m": 20,
    "typical_day": {"coolest_c": 20.0, "warmest_c": 34.0},
}
JULY = date(2026, 7, 10)
SPANS = spans("06:00 | 15m on, 15m off", "21:00 | 15m on, 45m off")


def garden(
    *of_stands: dict[str, Any], of_spans: list[dict[str, str]] | None = None, **keys: Any
) -> Plan:
    """A pump with two spans for stands called s0, s1 and so on."""
    pump = load(kind="pump", **{"longest_on": "45m", "watts": 22.0, **keys})
    pump["spans"] = SPANS if of_spans is None else of_spans
    stands = {f"s{number}": one for number, one in enumerate(of_stands or (stand(air=None),))}
    return plan_of(site=SITE, stands=stands, pump=pump)


@contextmanager
def unwatched(name: str, start: Instant, end: Instant) -> Iterator[Sequence[Listener]]:
    """Nobody looks on."""
    yield ()


def question(plan: Plan, *tries: str, days: int = 1, samples: int = 20, seed: int = 1) -> Question:
    """What is advised for some days of July, under a cloudless sky."""
    return question_of(
        ReadPlan(plan, (), Lines("")),
        None,
        start=JULY,
        days=days,
        tries=tuple((text, parse_cycle(text)) for text in tries),
        samples=samples,
        seed=seed,
        watch=unwatched,
    )
