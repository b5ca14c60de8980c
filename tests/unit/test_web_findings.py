"""Findings on their way to the form: each comes with the parts that the form words by itself."""

from __future__ import annotations

import json
from typing import Any

import pytest

from controller.shell.examples import example_text
from web.paper.jobs import answer
from web.shapes.finding import Finding

PORCH = example_text("porch")
NOW = 1_782_900_000_000  # 2026-07-01T10:00:00Z
_TOO_HIGH = PORCH.replace("line = 17", "line = 99")
_ALLOWED = "a whole number from 0 to 53"
_KEY = {"kind": "key", "at": "loads.pump.line", "value": ""}
_LINE = {"kind": "line", "at": "loads.pump.line", "value": "17"}


def _findings_in(told: dict[str, Any]) -> list[dict[str, Any]]:
    result = told.get("result", told)
    told_json = json.loads(result) if isinstance(result, str) else result
    findings: list[dict[str, Any]] = told_json["findings"]
    return findings


@pytest.mark.parametrize(
    "job",
    [
        pytest.param({"job": "check", "text": _TOO_HIGH, "now": NOW}, id="a text that is checked"),
        pytest.param(
            {
                "job": "edit",
                "text": PORCH,
                "edits": [{"do": "set", "at": "loads.pump.line", "value": 99}],
            },
            id="an edit that is refused",
        ),
    ],
)
def test_an_error_says_which_key_and_what_to_type(job: dict[str, Any]) -> None:
    """Beside the sentences that a person reads who writes the file."""
    [finding] = _findings_in(answer(job))
    assert finding["message"] == "line is 99; allowed is a whole number from 0 to 53"
    assert finding["message_parts"] == [_KEY, " is ", "99", "; allowed is ", _ALLOWED]
    assert finding["mend"] == "write it like line = 17"
    assert finding["mend_parts"] == ["write it like ", _LINE]
    shape = Finding.model_validate(finding)
    assert shape.model_dump() == finding


def test_a_note_about_a_sound_edit_has_its_parts_too() -> None:
    """What is taken may still be worth a word."""
    edits = [{"do": "remove", "at": "loads.pump.watts"}]
    [finding] = _findings_in(answer({"job": "edit", "text": PORCH, "edits": edits}))
    watts = {"at": "loads.pump.watts", "value": ""}
    assert finding["message_parts"][1] == {"kind": "key", **watts}
    assert finding["mend_parts"] == [{"kind": "fill_in", **watts}, " the power on the pump's plate"]
