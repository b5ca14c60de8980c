"""The JSON Schema of the plan: what it takes, what it refuses, and what it describes."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from controller.core.anchor import parse_anchor
from controller.core.cycle import parse_cycle
from controller.core.errors import RootclockError
from controller.core.plan_text.schema import schema
from controller.core.units import parse_duration_ms
from tests.plan_texts import PLAN, SMALLEST, changed
from tests.strategies import Document, anchor_texts, cycle_texts, duration_texts, examples, plans

_SCHEMA = schema()
_VALIDATOR = Draft202012Validator(_SCHEMA)


def _errors(text: str) -> list[str]:
    errors = _VALIDATOR.iter_errors(tomllib.loads(text))
    return sorted(".".join(map(str, error.absolute_path)) for error in errors)


def _fields() -> Iterator[tuple[str, dict[str, Any]]]:
    for name, table in (("Plan", _SCHEMA), *_SCHEMA["$defs"].items()):
        for key, field in table["properties"].items():
            yield f"{name}.{key}", field


def test_it_is_json_schema_of_the_stated_draft() -> None:
    """The schema fits the published schema of JSON Schema 2020-12 (as jsonschema carries it)."""
    assert _SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(_SCHEMA)


def test_every_table_and_key_is_described() -> None:
    """An editor can show a sentence on whatever one points at."""
    assert [name for name, field in _fields() if not field.get("description")] == []
    assert [name for name, table in _SCHEMA["$defs"].items() if not table["description"]] == []
    assert _SCHEMA["title"] == "Plan"


def test_it_speaks_of_what_the_file_has() -> None:
    """No null, which TOML does not have, and no default in milliseconds."""
    assert "null" not in str(_SCHEMA)
    defaults = {name: field["default"] for name, field in _fields() if "default" in field}
    assert defaults["Load.shortest_on"] == "1s"
    assert defaults["Load.flow_within"] == "30s"
    assert defaults["Sensor.stale_after"] == "10m"
    assert defaults["Load.contact_life"] == 100_000


@pytest.mark.parametrize("text", [PLAN, SMALLEST], ids=["of everything", "the smallest"])
def test_a_sound_plan_fits(text: str) -> None:
    """What the reader takes without a finding has no error."""
    assert _errors(text) == []


@pytest.mark.parametrize(
    ("old", "new", "where"),
    [
        pytest.param("format = 1\n", "", "", id="a key missing"),
        pytest.param("line = 17 ", "lin = 17 ", "loads.pump", id="a key misspelt"),
        pytest.param("latitude = 47.1", "latitude = 123", "site.latitude", id="out of range"),
        pytest.param("line = 17 ", 'line = "17" ', "loads.pump.line", id="a number in quotes"),
        pytest.param('kind = "pump"', 'kind = "pmp"', "loads.pump.kind", id="no such word"),
        pytest.param('"45m"', "45", "loads.pump.longest_on", id="a duration without unit"),
        pytest.param('"45m"', '"45 minutes"', "loads.pump.longest_on", id="a unit in full"),
        pytest.param('"45m"', '""', "loads.pump.longest_on", id="an empty duration"),
        pytest.param('"15m on, 45m off"', '"15min on"', "loads.pump.spans.1.cycle", id="no cycle"),
        pytest.param('"sunset + 1h"', '"teatime"', "loads.pump.spans.1.from", id="no moment"),
        pytest.param("[loads.lamp]", '[loads."my lamp"]', "loads", id="a name with a blank"),
        pytest.param("above = 32.0", 'above = "32"', "loads.pump.variants.0.above", id="a text"),
        pytest.param(
            'spans = [{ from = "00:00", cycle = "5m on, 10m off" }]',
            "spans = []",
            "loads.pump.variants.1.spans",
            id="an empty list",
        ),
    ],
)
def test_an_obvious_mistake_is_refused_at_its_place(old: str, new: str, where: str) -> None:
    """An editor underlines it; `check` tells it in words."""
    found = _errors(changed(old, new))
    assert where in found
    assert {place for place in found if not place.startswith(where)} <= {""}


@given(plans())
@examples(40)
def test_whatever_the_form_takes_fits(document: Document) -> None:
    """No plan that fits the models is refused by their schema, dates told as JSON tells them."""
    told = json.loads(json.dumps(document, default=date.isoformat))
    assert [error.message for error in _VALIDATOR.iter_errors(told)] == []


_PATTERNS = {
    "duration": _SCHEMA["$defs"]["Load"]["properties"]["longest_on"]["pattern"],
    "cycle": _SCHEMA["$defs"]["Span"]["properties"]["cycle"]["pattern"],
    "anchor": _SCHEMA["$defs"]["Span"]["properties"]["from"]["pattern"],
}


@given(
    st.one_of(duration_texts(), cycle_texts(), anchor_texts(lamps=("lamp",))),
    st.sampled_from(["", " ", "\t"]),
    st.sampled_from(["", " "]),
)
def test_no_pattern_refuses_what_a_parser_takes(text: str, before: str, after: str) -> None:
    """The patterns are looser than the parsers, never stricter."""
    parsers = {"duration": parse_duration_ms, "cycle": parse_cycle, "anchor": parse_anchor}
    for name, parse in parsers.items():
        try:
            parse(before + text + after)
        except RootclockError:
            continue
        assert re.search(_PATTERNS[name], before + text + after)
