"""What messages know about the plan's keys; it follows the models field by field."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.plan import Plan
from controller.core.plan_parts.values import Part
from controller.core.plan_text.form import read_form
from controller.core.plan_text.keys import (
    Key,
    example_value,
    homes_of,
    key_at,
    keys,
    model_at,
    wanted,
)
from controller.core.plan_text.place import Place
from controller.core.plan_text.words import WORDS

_MODELS = {model.__name__: model for model in Part.__subclasses__()}


def test_every_field_of_every_model_has_its_words() -> None:
    """A new field of the plan needs an entry in plan_words, an old one loses it."""
    fields = {
        name: [field.alias or key for key, field in model.model_fields.items()]
        for name, model in _MODELS.items()
    }
    assert {name: list(words) for name, words in WORDS.items()} == fields
    assert {name: list(known) for name, known in keys().items()} == fields


def test_every_meaning_is_said_once() -> None:
    """A key is described by its field or by its words, never by neither or both."""
    for name, model in _MODELS.items():
        for key, field in model.model_fields.items():
            word = WORDS[name][field.alias or key]
            assert bool(field.description) is not bool(word.meaning), f"{name}.{key}"


def test_the_examples_make_a_plan() -> None:
    """A plan of all examples, tables within tables, fits the form."""

    def full(model: str) -> dict[str, Any]:
        return {name: one(key) for name, key in keys()[model].items()}

    def one(key: Key) -> Any:
        if not key.holds:
            return example_value(key)
        inner = full(key.holds)
        return {"table": inner, "tables": [inner], "named": {"pump": inner}}[key.kind]

    plan, misfits = read_form(full("Plan"))
    assert misfits == []
    assert isinstance(plan, Plan)


@pytest.mark.parametrize(
    ("place", "model"),
    [
        pytest.param((), "Plan", id="the top"),
        pytest.param(("site",), "Site", id="a table"),
        pytest.param(("loads",), None, id="tables by name are not one table"),
        pytest.param(("loads", "any"), "Load", id="any name will do"),
        pytest.param(("loads", "any", "variants", 3, "spans", 0), "Span", id="lists in lists"),
        pytest.param(("loads", "any", "spans"), None, id="a list is no table"),
        pytest.param(("nothing",), None, id="no key"),
        pytest.param(("format", "x"), None, id="nothing within a number"),
    ],
)
def test_a_place_knows_its_model(place: Place, model: str | None) -> None:
    """The model of a table is found along the keys that lead to it."""
    assert model_at(place) == model


@pytest.mark.parametrize(
    ("place", "kind", "allowed"),
    [
        (("format",), "whole", "1"),
        (("site", "latitude"), "number", "a number from -90 to 90"),
        (("site", "timezone"), "text", "a text in quotes of 1 to 64 characters"),
        (("loads",), "named", "1 to 54 tables, each under a name"),
        (("loads", "x", "line"), "whole", "a whole number from 0 to 53"),
        (("loads", "x", "active"), "word", 'one of "low", "high"'),
        (("loads", "x", "spans"), "tables", "a list of 1 to 100 tables"),
        (("loads", "x", "limits"), "table", "a table"),
        (
            ("loads", "x", "longest_on"),
            "duration",
            'a duration in quotes like "1h30m", "15m" or "90s"',
        ),
        (
            ("loads", "x", "without_clock"),
            "cycle",
            'a cycle in quotes like "15m on, 15m off", "on" or "off"',
        ),
        (
            ("loads", "x", "spans", 0, "from"),
            "anchor",
            'a moment of the day in quotes like "06:30", "sunrise - 30m" or "lamp on"',
        ),
        (
            ("loads", "x", "spans", 0, "cycle"),
            "cycle or demand",
            'a cycle in quotes like "15m on, 15m off", "on" or "off", or "demand"',
        ),
        (("energy", "tariff", 0, "from"), "clock", 'a time of the clock in quotes like "22:00"'),
        (
            ("stands", "x", "sown"),
            "date",
            "a date like 2026-06-01, without quotes or within them",
        ),
        (
            ("loads", "x", "lift", "curve"),
            "points",
            "a list of 2 to 50 points [L/h, m], such as [[900, 0.0], [0, 2.0]]",
        ),
        (("reservoirs", "x", "ppm_scale"), "whole", "one of 500, 640, 700"),
        (("loads", "x", "lift", "fittings", "elbow"), "whole", "a whole number from 0 to 100"),
        (("loads", "x", "variants", 0, "by_hand"), "truth", "true or false"),
        (("loads", "x", "variants", 0, "above"), "number", "a number"),
        (("guards", "watts_at_once"), "number", "a number above 0 and up to 100,000"),
    ],
)
def test_a_key_knows_what_it_takes(place: Place, kind: str, allowed: str) -> None:
    """Kinds and bounds come from the schema, in words."""
    key = key_at(place)
    assert key is not None
    assert (key.kind, key.allowed) == (kind, allowed)


@pytest.mark.parametrize("place", [(), ("loads", "x"), ("loads", "x", "spans", 0), ("x",)])
def test_not_every_place_is_a_key(place: Place) -> None:
    """Names that people give, items of lists and unknown keys have no entry."""
    assert key_at(place) is None


def test_a_key_knows_where_it_is_at_home() -> None:
    """The same name may be right in several tables."""
    assert homes_of("from") == ("[[loads.NAME.spans]]", "[[energy.tariff]]")
    assert homes_of("limits") == ("the top of the plan, above all headers", "[loads.NAME]")
    assert homes_of("measures") == ("[sensors.NAME]",)
    assert homes_of("wibble") == ()


def test_a_name_that_means_one_kind_of_value_is_known_anywhere() -> None:
    """A slip of TOML may stand in any table."""
    names = ("watts", "spans", "level", "wibble", "from", "reserve")
    kinds = [key.kind if (key := wanted(name)) is not None else None for name in names]
    assert kinds == ["number", "tables", "name", None, "anchor", "number"]
