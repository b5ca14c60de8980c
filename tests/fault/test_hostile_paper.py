"""Texts and wishes that no page sends, as the page's workers answer them: strict JSON, always."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest

from controller.core.messages.json_text import json_bytes
from controller.shell.examples import example_text
from tests.readme import ROOT
from web.paper.frames import Texts, frame_of
from web.paper.jobs import answer
from web.paper.shares import share_of, whole

PORCH = example_text("porch")
NOW = 1_782_864_000_000  # 2026-07-01


def _answered(message: dict[str, Any]) -> dict[str, Any]:
    """The answer, as whoever asked reads it."""
    result = answer(message)["result"]
    wire = whole([share_of(result)]) if isinstance(result, Texts) else json_bytes(result)
    told: dict[str, Any] = json.loads(wire, parse_constant=pytest.fail)
    return told


@pytest.mark.parametrize(
    "number",
    [
        pytest.param("0x" + "f" * 5_000, id="hexadecimal"),
        pytest.param("0o" + "7" * 9_000, id="octal"),
        pytest.param("-0", id="a zero with a sign"),
        pytest.param("[1, 0b" + "1" * 20_000 + "]", id="binary, in a list"),
        pytest.param("9" * 4_000, id="decimal"),
        pytest.param("1e400", id="beyond all numbers"),
        pytest.param("-nan", id="none"),
    ],
)
@pytest.mark.parametrize("job", ["check", "preview", "faults"])
def test_a_number_without_end_is_told_of_in_words(job: str, number: str) -> None:
    """Python prints no decimal of more than 4300 digits, but reads hexadecimal ones."""
    text = PORCH.replace("watts = 22", f"watts = {number}")
    share = {"running": None, "parts": ["next"], "share": [0, 1]}
    told = _answered({"job": job, "text": text, "plan": None, "now": NOW, **share})
    assert told["is_fit"] == (number == "-0" and job != "faults")
    shown = told["document"]["loads"]["pump"]["watts"]
    assert len(json.dumps(shown)) < 5_000


def test_a_mistake_of_ours_is_not_told_as_want_of_memory() -> None:
    """Whoever asked cannot mend it by asking for less: the worker's exit code says which it was,
    though a thread of it still waits for the next question."""
    with subprocess.Popen(  # noqa: S603 - our own program
        [sys.executable, "-m", "web.paper", str(2**31)],
        cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    ) as worker:  # fmt: skip
        assert worker.stdin is not None
        assert worker.stderr is not None
        worker.stdin.write(frame_of({"job": "none that there is"}))
        worker.stdin.flush()
        code = worker.wait(60)
        told = worker.stderr.read().decode()
    assert code == 1, told
    assert "KeyError: 'none that there is'" in told
    assert "Fatal" not in told
