"""Where a plan's values do not fit the plan's form: one plain sentence for each.

The form is held by pydantic's models; what it finds is told here in the words of the plan:
what was found, what is allowed, and what to write.
"""

from __future__ import annotations

import re
from datetime import time
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.plan_keys import (
    ALLOWED_NAME,
    example_value,
    homes_of,
    key_at,
    keys,
    model_at,
)
from controller.core.plan_likely import (
    likely_anchor,
    likely_cycle,
    likely_duration,
    likely_name,
    likely_word,
)
from controller.core.plan_place import dotted, header_text, key_text
from controller.core.plan_tell import described, toml_text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from controller.core.plan_keys import Key
    from controller.core.plan_place import Place

_HINT = re.compile(r" \(did you mean (?P<likely>.+)\?\)$")
_LIKELY: dict[str, Callable[[str], str | None]] = {
    "duration": likely_duration,
    "cycle": likely_cycle,
    "anchor": likely_anchor,
    "name": likely_name,
}
# Of very many unknown keys in one table, only the first are compared with what is missing.
_COMPARED_MAX = 50


class Misfit(NamedTuple):
    """One value that does not fit: its place, pydantic's name for the kind of error, the
    value itself (of a missing one: its table) and a parser's own words, if it has some."""

    place: Place
    kind: str
    value: Any
    words: str = ""


def misfit_of(error: Mapping[str, Any]) -> Misfit:
    """The misfit that one entry of pydantic's list of errors is about."""
    place = tuple(error["loc"])
    kind = str(error["type"])
    if kind == "string_pattern_mismatch" and place[-1] == "[key]":
        place, kind = place[:-1], "bad_name"
    words = str(error["ctx"]["error"]) if kind == "value_error" else ""
    return Misfit(place, kind, error["input"], words)


def without_echoes(misfits: Iterable[Misfit]) -> list[Misfit]:
    """The misfits less those missing keys that are there under a misspelt name."""
    listed = list(misfits)
    tables_short = {misfit.place[:-1] for misfit in listed if misfit.kind == "missing"}
    missing = {misfit.place for misfit in listed if misfit.kind == "missing"}
    compared: dict[Place, int] = {}
    misspelt: set[Place] = set()
    for misfit in listed:
        table = misfit.place[:-1]
        if misfit.kind != "extra_forbidden" or table not in tables_short:
            continue
        compared[table] = compared.get(table, 0) + 1
        if compared[table] <= _COMPARED_MAX:
            likely = _likely_key(misfit.place)
            if likely is not None and (*table, likely) in missing:
                misspelt.add((*table, likely))
    return [m for m in listed if m.kind != "missing" or m.place not in misspelt]


def sentences(misfit: Misfit, document: Mapping[str, Any]) -> tuple[str, str]:
    """(message, mend) for one misfit of a document."""
    tell = _TELLERS.get(misfit.kind)
    if tell is not None:
        return tell(misfit)
    if misfit.kind == "value_error" and isinstance(misfit.value, str):
        return _unread(misfit)
    return _unfit(misfit, document)


def _missing(misfit: Misfit) -> tuple[str, str]:
    key = _known(misfit.place)
    table = header_text(misfit.place[:-1])
    if not key.holds:
        message = f"{table} has no {key.name} ({key.meaning}); it needs {key.allowed}"
        return message, f"add {key.line}"
    message = f"{table} has no {_header(misfit.place, key)} ({key.meaning})"
    return message, f"add {_header(misfit.place, key)} with {_least(key)}"


def _header(place: Place, key: Key) -> str:
    """How the table or tables at a place are headed in the file."""
    names = dotted(tuple(part for part in place if isinstance(part, str)))
    if key.kind == "tables":
        return f"[[{names}]]"
    return f"[{names}.pump]" if key.kind == "named" else f"[{names}]"


def _least(key: Key) -> str:
    """The pairs that a table must have, as examples."""
    needed = (part for part in keys()[key.holds].values() if part.is_required and not part.holds)
    return ", ".join(part.line for part in needed) or "its keys"


def _unknown(misfit: Misfit) -> tuple[str, str]:
    name = str(misfit.place[-1])
    model = _model(misfit.place[:-1])
    message = (
        f"{header_text(misfit.place[:-1])} has no key named {key_text(name)}; "
        f"its keys are {', '.join(keys()[model])}"
    )
    if model == "Plan" and isinstance(misfit.value, dict):
        for sign, family in (("kind", "loads"), ("spans", "loads"), ("measures", "sensors")):
            if sign in misfit.value:
                return message, f"write [{family}.{key_text(name)}]"
    likely = _likely_key(misfit.place)
    if likely is not None:
        return message, f"did you mean {likely}?"
    homes = homes_of(name)
    if homes:
        return message, f"{name} belongs in {' or '.join(homes)}"
    return message, f"delete {key_text(name)}, or write the key that was meant"


def _likely_key(place: Place) -> str | None:
    known = keys()[_model(place[:-1])]
    return likely_word(str(place[-1]), known)


def _bad_name(misfit: Misfit) -> tuple[str, str]:
    name = str(misfit.place[-1])
    likely = likely_name(name)
    allowed = ALLOWED_NAME.replace(" in quotes", "")
    message = f"{key_text(name)} is no name that the plan can use; allowed is {allowed}"
    if likely is None:
        return message, "give it such a name"
    return message, f"write {header_text((*misfit.place[:-1], likely))}"


def _wrong_count(misfit: Misfit) -> tuple[str, str]:
    if isinstance(misfit.value, str):
        return _unfit(misfit, {})
    key = _known(misfit.place)
    count = len(misfit.value)
    message = f"{key.name} has {count:,} of them; allowed is {key.allowed}"
    if count:
        return message, "leave out what is too many"
    return message, f"add {_header(misfit.place, key)} with {_least(key)}"


def _unread(misfit: Misfit) -> tuple[str, str]:
    """A text that a parser of the plan's small languages does not take."""
    key = _known(misfit.place)
    hint = _HINT.search(misfit.words)
    words = misfit.words[: hint.start()] if hint is not None else misfit.words
    likely = _LIKELY[key.kind](misfit.value)
    if likely is not None:
        mend = f'write {key.name} = "{likely}"'
    elif hint is not None:
        mend = f"did you mean {hint.group('likely')}?"
    else:
        mend = f"write it like {key.line}"
    return f"{key.name}: {words}", mend


def _unfit(misfit: Misfit, document: Mapping[str, Any]) -> tuple[str, str]:
    """A value of the wrong kind, out of range, or not among the words allowed."""
    key = key_at(misfit.place)
    if key is None:  # one of many: tables by name, or items of a list
        last = misfit.place[-1]
        shown_name = f"item {last + 1}" if isinstance(last, int) else key_text(last)
        message = f"{shown_name} is {described(misfit.value)}; allowed is a table"
        return message, f"write {_plain_header(misfit.place)} and its keys below"
    message = f"{key.name} is {described(misfit.value)}; allowed is {key.allowed}"
    if key.holds:
        brackets = "double" if key.kind == "tables" else "single"
        return message, f"write {_header(misfit.place, key)}, with {brackets} brackets"
    meant = _meant(key, misfit.value)
    if meant is not None:
        return message, f"write {key.name} = {meant}"
    if key.name == "latitude" and _is_swapped(document):
        return message, "latitude and longitude look swapped: exchange their values"
    return message, f"write it like {key.line}"


def _plain_header(place: Place) -> str:
    names = dotted(tuple(part for part in place if isinstance(part, str)))
    return f"[[{names}]]" if isinstance(place[-1], int) else f"[{names}]"


def _is_swapped(document: Mapping[str, Any]) -> bool:
    site = document.get("site")
    values = (site.get("latitude"), site.get("longitude")) if isinstance(site, dict) else ()
    if not all(isinstance(value, int | float) for value in values) or not values:
        return False
    return abs(values[0]) <= 180 and abs(values[1]) <= 90


def _meant(key: Key, value: Any) -> str | None:
    """The value as the key takes it, where a value of another kind tells what was meant."""
    if key.kind == "word":
        likely = likely_word(value, key.words) if isinstance(value, str) else None
        return None if likely is None else f'"{likely}"'
    if key.kind == "name":
        likely = likely_name(value) if isinstance(value, str) else None
        return None if likely is None else f'"{likely}"'
    if key.kind in {"number", "whole"}:
        return _meant_number(key, value)
    if key.kind == "truth":
        truths = {"true": "true", "yes": "true", "1": "true", "false": "false", "no": "false"}
        return truths.get(str(value).lower()[:5])
    if key.kind == "anchor" and isinstance(value, time):
        return f'"{value.isoformat("seconds").removesuffix(":00")}"'
    if key.kind == "cycle" and isinstance(value, bool):
        return '"on"' if value else '"off"'
    if key.kind == "duration" and isinstance(value, int) and 0 <= value <= 1440:
        return f'"{value}m", or "{value}s" for seconds'
    return None


def _meant_number(key: Key, value: Any) -> str | None:
    if isinstance(value, str) and len(value) <= 20:
        text = value.strip().replace(",", ".", 1)
    elif isinstance(value, float) and key.kind == "whole" and value.is_integer():
        text = str(int(value))
    else:
        return None
    shape = r"[+-]?[0-9]+" if key.kind == "whole" else r"[+-]?[0-9]+(?:\.[0-9]+)?"
    return text if re.fullmatch(shape, text) else None


def _known(place: Place) -> Key:
    key = key_at(place)
    assert key is not None, place  # pydantic names only keys that the models have
    return key


def _model(table: Place) -> str:
    model = model_at(table)
    assert model is not None, table
    return model


_TELLERS: dict[str, Callable[[Misfit], tuple[str, str]]] = {
    "missing": _missing,
    "extra_forbidden": _unknown,
    "bad_name": _bad_name,
    "too_short": _wrong_count,
    "too_long": _wrong_count,
}
