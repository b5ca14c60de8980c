"""Where a plan's values do not fit the plan's form: one plain sentence for each.

The form is held by pydantic's models; what it finds is told here in the words of the plan:
what was found, what is allowed, and what to write.
"""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Any

from controller.core.plan_text.echoes import likely_key
from controller.core.plan_text.keys import ALLOWED_NAME, homes_of, key_at, keys, model_of
from controller.core.plan_text.likely import (
    likely_anchor,
    likely_clock,
    likely_cycle,
    likely_date,
    likely_duration,
    likely_name,
    likely_span_cycle,
)
from controller.core.plan_text.meant import meant
from controller.core.plan_text.place import dotted, header_text, key_text
from controller.core.plan_text.tell import described, toml_text

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from controller.core.plan_text.form import Misfit
    from controller.core.plan_text.keys import Key
    from controller.core.plan_text.place import Place

_HINT = re.compile(r" \(did you mean (?P<likely>.+)\?\)$")
# What a table under no family's name must be one of, by a key that it has.
_SIGNS = (
    ("kind", "loads"),
    ("spans", "loads"),
    ("measures", "sensors"),
    ("plants", "stands"),
    ("full_l", "reservoirs"),
)
_LIKELY: dict[str, Callable[[str], str | None]] = {
    "duration": likely_duration,
    "cycle": likely_cycle,
    "cycle or demand": likely_span_cycle,
    "anchor": likely_anchor,
    "clock": likely_clock,
    "date": likely_date,
    "name": likely_name,
}


def sentences(misfit: Misfit, document: Mapping[str, Any]) -> tuple[str, str]:
    """(message, mend) for one misfit of a document."""
    tell = _TELLERS.get(misfit.kind)
    if tell is not None:
        return tell(misfit)
    is_text = misfit.kind == "value_error" and isinstance(misfit.value, str)
    if is_text and _known(misfit.place).kind in _LIKELY:
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
    return key.example if key.kind == "named" else f"[{names}]"


def _least(key: Key) -> str:
    """The pairs that a table must have, as examples."""
    needed = (part for part in keys()[key.holds].values() if part.is_required and not part.holds)
    return ", ".join(part.line for part in needed) or "its keys"


def _unknown(misfit: Misfit) -> tuple[str, str]:
    name = str(misfit.place[-1])
    model = model_of(misfit.place[:-1])
    message = (
        f"{header_text(misfit.place[:-1])} has no key named {key_text(name)}; "
        f"its keys are {', '.join(keys()[model])}"
    )
    if model == "Plan" and isinstance(misfit.value, dict):
        for sign, family in _SIGNS:
            if sign in misfit.value:
                return message, f"write [{family}.{key_text(name)}]"
    likely = likely_key(misfit.place)
    if likely is not None:
        return message, f"did you mean {likely}?"
    homes = homes_of(name)
    if homes:
        return message, f"{name} belongs in {' or '.join(homes)}"
    return message, f"delete {key_text(name)}, or write the key that was meant"


def _bad_name(misfit: Misfit) -> tuple[str, str]:
    name = str(misfit.place[-1])
    likely = likely_name(name)
    allowed = ALLOWED_NAME.replace(" in quotes", "")
    message = f"{key_text(name)} is no name that the plan can use; allowed is {allowed}"
    if likely is None:
        return message, "give it such a name"
    return message, f"write {header_text((*misfit.place[:-1], likely))}"


def _wrong_count(misfit: Misfit) -> tuple[str, str]:
    key = _known(misfit.place)
    count = len(misfit.value)
    if count:
        message = f"{key.name} has {count:,} of them; allowed is {key.allowed}"
        return message, "leave out what is too many"
    message = f"{key.name} is empty; allowed is {key.allowed}"
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
    message = f"{key.name} is {_found(key, misfit.value)}; allowed is {key.allowed}"
    if misfit.words and (key.kind == "points" or type(misfit.value) is date):
        return f"{key.name}: {misfit.words}", f"write it like {key.line}"
    if key.holds:
        header = _header(misfit.place, key)
        if isinstance(misfit.value, dict | list):
            brackets = "double" if key.kind == "tables" else "single"
            return message, f"write {header}, with {brackets} brackets"
        return message, f"write {header} with {_least(key)}"
    likely = meant(key, misfit.value)
    if likely is not None:
        return message, f"write {key.name} = {likely}"
    if key.name == "latitude" and _may_be_swapped(misfit.value, document):
        return message, "exchange the values of latitude and longitude if they are swapped"
    return message, f"write it like {key.line}"


def _found(key: Key, value: Any) -> str:
    """The value, with what it is where that is what is wrong with it."""
    if key.is_text and isinstance(value, str):
        return toml_text(value)
    if _is_number(value) and (
        key.kind == "number" or (key.kind == "whole" and isinstance(value, int))
    ):
        return toml_text(value)
    return described(value)


def _plain_header(place: Place) -> str:
    names = dotted(tuple(part for part in place if isinstance(part, str)))
    return f"[[{names}]]" if isinstance(place[-1], int) else f"[{names}]"


def _may_be_swapped(latitude: Any, document: Mapping[str, Any]) -> bool:
    site = document.get("site")
    longitude: Any = site.get("longitude") if isinstance(site, dict) else None
    if longitude is None or not (_is_number(latitude) and _is_number(longitude)):
        return False
    return bool(-180 <= latitude <= 180 and -90 <= longitude <= 90)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _known(place: Place) -> Key:
    key = key_at(place)
    assert key is not None, place  # pydantic names only keys that the models have
    return key


_TELLERS: dict[str, Callable[[Misfit], tuple[str, str]]] = {
    "missing": _missing,
    "extra_forbidden": _unknown,
    "bad_name": _bad_name,
    "too_short": _wrong_count,
    "too_long": _wrong_count,
}
