"""The keys that a plan's tables have, as an error message needs to know them."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.plan_text.said import in_file, value
from controller.core.plan_text.schema import grammar_of, schema
from controller.core.plan_text.words import WORDS
from controller.core.sentence import Sentence, joined

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.plan_text.place import Place

_QUOTED = in_file(" in quotes")
_STEPS = ' like "15m on, 15m off", "on" or "off"'
_ALLOWED_TEXTS = {
    "duration": Sentence("a duration", _QUOTED, ' like "1h30m", "15m" or "90s"'),
    "cycle": Sentence("a cycle", _QUOTED, _STEPS),
    "cycle or demand": Sentence("a cycle", _QUOTED, f'{_STEPS}, or "demand"'),
    "anchor": Sentence(
        "a moment of the day", _QUOTED, ' like "06:30", "sunrise - 30m" or "lamp on"'
    ),
    "clock": Sentence("a time of the clock", _QUOTED, ' like "22:00"'),
    "date": Sentence("a date like 2026-06-01", in_file(", without quotes or within them")),
}
_NAME = ": a letter, then letters, digits, - and _, at most 40 characters together"
ALLOWED_NAME = f"a name{_NAME}"


class Key(NamedTuple):
    """One key of a table.

    `kind` is text, name, word, duration, cycle, cycle or demand, anchor, clock, date, whole,
    number, truth, points (of a curve), table, tables (a list of them) or named (tables by
    name); `holds` names the model of the tables; `words` are the only texts allowed and
    `choices` the only numbers, where that is so; `least` and `most` bound a number. `allowed`
    completes "allowed is …", as a sentence that knows what is for the file alone.
    """

    name: str
    kind: str
    is_required: bool
    allowed: str
    meaning: str
    example: str
    words: tuple[str, ...] = ()
    choices: tuple[float, ...] = ()
    holds: str = ""
    least: float = -math.inf
    most: float = math.inf

    @property
    def is_text(self) -> bool:
        """Whether its value stands between quotes."""
        return self.kind in {"text", "name", "word", *_ALLOWED_TEXTS}

    def takes(self, number: float) -> bool:
        """Whether a number is within what the key allows, or at its border."""
        if self.choices:
            return number in self.choices
        return self.least <= number <= self.most


@cache
def keys() -> Mapping[str, Mapping[str, Key]]:
    """The keys of each model, by the names that the file uses."""
    document = schema()
    models = {"Plan": document, **document["$defs"]}
    return {
        model: {
            name: _key(model, name, field, is_required=name in table.get("required", ()))
            for name, field in table["properties"].items()
        }
        for model, table in models.items()
    }


def _key(model: str, name: str, field: dict[str, Any], *, is_required: bool) -> Key:
    kind, allowed, holds = _kind(name, field)
    return Key(
        name=name,
        kind=kind,
        is_required=is_required,
        allowed=allowed,
        meaning=field["description"],
        example=WORDS[model][name].example,
        least=field.get("minimum", field.get("exclusiveMinimum", -math.inf)),
        most=field.get("maximum", math.inf),
        words=tuple(word for word in field.get("enum", ()) if isinstance(word, str)),
        choices=tuple(number for number in field.get("enum", ()) if isinstance(number, int)),
        holds=holds,
    )


def _kind(name: str, field: dict[str, Any]) -> tuple[str, str, str]:
    """(kind, what is allowed, the model that it holds) of a key by its field of the schema."""
    if "$ref" in field:
        return "table", "a table", _model(field)
    if "patternProperties" in field:
        (inner,) = field["patternProperties"].values()
        least = field.get("minProperties", 0)
        many = f"{least} to {field['maxProperties']} tables, each under a name"
        return "named", many, _model(inner)
    if field["type"] == "array":
        return _kind_of_list(field)
    if "const" in field:
        return "whole", str(field["const"]), ""
    if field["type"] == "string":
        return _kind_of_text(name, field)
    if field["type"] == "boolean":
        return "truth", "true or false", ""
    kind = "whole" if field["type"] == "integer" else "number"
    if "enum" in field:
        return kind, "one of " + ", ".join(map(str, field["enum"])), ""
    return kind, ("a whole number" if kind == "whole" else "a number") + _range(field), ""


def _kind_of_list(field: dict[str, Any]) -> tuple[str, str, str]:
    least, most = field.get("minItems", 0), field["maxItems"]
    if "$ref" in field["items"]:
        return "tables", f"a list of {least} to {most} tables", _model(field["items"])
    written = in_file(" [L/h, m], such as [[900, 0.0], [0, 2.0]]")
    return "points", Sentence(f"a list of {least} to {most} points", written), ""


def _kind_of_text(name: str, field: dict[str, Any]) -> tuple[str, str, str]:
    if "enum" in field:
        words = joined(", ", (value((name,), f'"{word}"') for word in field["enum"]))
        return "word", Sentence("one of ", words), ""
    grammar = grammar_of(field)
    if grammar:
        return grammar, _ALLOWED_TEXTS[grammar], ""
    if "pattern" in field:
        return "name", Sentence("a name", _QUOTED, _NAME), ""
    return "text", Sentence("a text", _QUOTED, f" of 1 to {field['maxLength']} characters"), ""


def _range(field: dict[str, Any]) -> str:
    if "maximum" not in field:
        return ""
    high = f"{field['maximum']:,.12g}"
    if "exclusiveMinimum" in field:
        return f" above {field['exclusiveMinimum']:,.12g} and up to {high}"
    return f" from {field['minimum']:,.12g} to {high}"


def _model(field: dict[str, Any]) -> str:
    return str(field["$ref"]).rpartition("/")[2]


def model_at(place: Place) -> str | None:
    """The model of the table at a place; None where the plan has no table."""
    model, inside = "Plan", ""  # `inside`: what the last key holds many of, else nothing
    for part in place:
        if inside:
            model, inside = inside, ""
            continue
        key = keys()[model].get(part) if isinstance(part, str) else None
        if key is None or not key.holds:
            return None
        if key.kind == "table":
            model = key.holds
        else:
            inside = key.holds
    return None if inside else model


def model_of(table: Place) -> str:
    """The model of a table that the plan's form has."""
    model = model_at(table)
    assert model is not None, table  # pydantic looks into no others
    return model


def key_at(place: Place) -> Key | None:
    """The key whose value stands at a place; None for unknown keys and for list items."""
    model = model_at(place[:-1]) if place else None
    last = place[-1] if place else 0
    return None if model is None or isinstance(last, int) else keys()[model].get(last)


def homes_of(name: str) -> tuple[str, ...]:
    """The headers of the tables that have a key of that name, in the order of the format."""
    return tuple(header for model, header in _headers().items() if name in keys()[model])


@cache
def _headers() -> Mapping[str, str]:
    headers = {"Plan": "the top of the plan, above all headers"}
    _add_headers(headers, "Plan", ())
    return headers


def _add_headers(headers: dict[str, str], model: str, path: tuple[str, ...]) -> None:
    for key in keys()[model].values():
        if key.holds and key.holds not in headers:
            inner = (*path, key.name, "NAME") if key.kind == "named" else (*path, key.name)
            header = f"[{'.'.join(inner)}]"
            headers[key.holds] = f"[{header}]" if key.kind == "tables" else header
            _add_headers(headers, key.holds, inner)


def wanted(name: str) -> Key | None:
    """The key of that name, if it means one kind of value wherever it stands, or a text."""
    found = [known[name] for known in keys().values() if name in known]
    is_sure = len({key.kind for key in found}) == 1 or all(key.is_text for key in found)
    return found[0] if found and is_sure else None


def example_value(key: Key) -> Any:
    """A value that the key takes; of tables, the least that they must have."""
    if not key.holds:
        return tomllib.loads(f"value = {key.example}")["value"]
    inner = {
        name: example_value(part) for name, part in keys()[key.holds].items() if part.is_required
    }
    return {"table": inner, "tables": [inner], "named": {"pump": inner}}[key.kind]
