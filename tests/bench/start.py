"""How long the commands take from the first key to the prompt."""

from __future__ import annotations

import subprocess
import sys

from tests.bench.measure import Result, best_s


def _run_s(*words: str) -> float:
    def run() -> None:
        subprocess.run(words, check=True, capture_output=True)  # noqa: S603 - our own words

    return best_s(run, repeats=9)


def start() -> list[Result]:
    """Milliseconds of whole processes, beside a bare interpreter."""
    bare = _run_s(sys.executable, "-c", "pass")
    base = (sys.executable, "-m", "controller")
    results = [Result("a bare interpreter", bare * 1e3, "ms")]
    aims = {
        ("--help",): 120.0,
        ("check", "controller/examples/porch.toml"): 300.0,
        ("check", "controller/examples/greenhouse.toml"): 300.0,
        ("day", "controller/examples/porch.toml", "--on", "2026-06-21"): None,
    }
    for words, aim in aims.items():
        taken = _run_s(*base, *words)
        results.append(Result("rootclock " + " ".join(words), taken * 1e3, "ms", "", None, aim))
    return results
