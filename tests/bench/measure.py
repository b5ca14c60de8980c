"""How the benchmarks measure: best of several runs, figures as JSON lines."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from typing import NamedTuple


class Result(NamedTuple):
    """One figure; `at_least` or `at_most` is what it is to reach, where an aim is stated."""

    name: str
    figure: float
    unit: str
    note: str = ""
    at_least: float | None = None
    at_most: float | None = None

    @property
    def is_reached(self) -> bool:
        """Whether the aim, if any, is reached in this run."""
        enough = self.at_least is None or self.figure >= self.at_least
        return enough and (self.at_most is None or self.figure <= self.at_most)

    def as_line(self) -> str:
        """The figure as one line of JSON."""
        aim = self.at_least if self.at_least is not None else self.at_most
        return json.dumps(
            {
                "name": self.name.strip(),
                "figure": float(f"{self.figure:.4g}"),
                "unit": self.unit,
                "aim": aim,
                "reached": self.is_reached,
                "note": self.note,
            }
        )


def best_s(work: Callable[[], object], repeats: int = 7) -> float:
    """The shortest time of several runs, in seconds: what the work costs undisturbed."""
    times = []
    for _ in range(repeats):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)


def percentile(values: list[float], share: int) -> float:
    """The value that `share` per cent of all do not exceed."""
    return sorted(values)[min(len(values) - 1, len(values) * share // 100)]
