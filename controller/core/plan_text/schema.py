"""The plan as JSON Schema (draft 2020-12), for editors that check while one types."""

from __future__ import annotations

from typing import Any

from controller.core.plan import Plan
from controller.core.plan_text.words import WORDS
from controller.core.units import duration_text

# Loose on purpose: an editor must not underline what the plan's reader takes, and the
# reader tells the rest better than a pattern can.
_DURATION = r"(?=[0-9])(?:[0-9]{1,4}h)?\s*(?:[0-9]{1,5}m)?\s*(?:[0-9]{1,6}(?:\.[0-9]{1,3})?s)?"
_STEP = r"[0-9][0-9hms.\s]*\s(?:on|off)"
_CLOCK = r"(?:[01][0-9]|2[0-3]):[0-5][0-9](?::[0-5][0-9])?"
_BASE = rf"(?:{_CLOCK}|sunrise|sunset|dawn|dusk|[A-Za-z][A-Za-z0-9_-]*\s+(?:on|off))"
_STEPS = rf"on|off|{_STEP}(?:\s*,\s*{_STEP})*"
_PATTERNS = {
    "duration": rf"^\s*{_DURATION}\s*$",
    "cycle": rf"^\s*(?:{_STEPS})\s*$",
    "cycle or demand": rf"^\s*(?:{_STEPS}|demand)\s*$",
    "clock": rf"^\s*{_CLOCK}\s*$",
    "date": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$",
    "anchor": rf"^\s*{_BASE}(?:\s*[+-]\s*[0-9][0-9hms.\s]*)?\s*$",
}
# The texts that stand for lengths, cycles and moments are known by their first example.
_GRAMMARS = {
    "15m": "duration",
    "15m on, 45m off": "cycle",
    "15m on, 15m off": "cycle or demand",
    "06:30": "anchor",
    "22:00": "clock",
    "2026-06-01": "date",
}


def schema() -> dict[str, Any]:
    """The JSON Schema of the plan file, read as TOML, with every key described."""
    document = Plan.model_json_schema(by_alias=True, ref_template="#/$defs/{model}")
    tables = document.pop("$defs")
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **_table("Plan", document),
        "title": "Plan",
        "description": "A plan for columns of plants with bare roots: site, loads, sensors, guards",
        "$defs": {name: _table(name, table) for name, table in tables.items()},
    }


def grammar_of(field: dict[str, Any]) -> str:
    """Which of the plan's small languages a text field is written in; "" for plain text."""
    examples = field.get("examples") or [""]
    return _GRAMMARS.get(str(examples[0]), "")


def _table(name: str, table: dict[str, Any]) -> dict[str, Any]:
    described = {key: _field(name, key, field) for key, field in table["properties"].items()}
    return {**table, "properties": described}


def _field(table: str, key: str, field: dict[str, Any]) -> dict[str, Any]:
    plain = {name: value for name, value in field.items() if name not in {"title", "anyOf"}}
    for choice in field.get("anyOf", ()):
        if choice.get("type") != "null":  # TOML has no null: a key is there or is not
            plain.update(choice)
    grammar = grammar_of(plain)
    if grammar:
        plain["pattern"] = _PATTERNS[grammar]
    if "patternProperties" in plain:
        plain["additionalProperties"] = False
    default = plain.pop("default", None)
    if grammar == "duration" and default is not None:
        default = duration_text(default)
    if default is not None and not isinstance(default, dict):
        plain["default"] = default
    word = WORDS[table][key]
    return {**plain, "description": word.meaning or plain["description"]}
