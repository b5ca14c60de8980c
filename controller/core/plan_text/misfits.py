"""Where a plan's values do not fit the plan's form: one plain sentence for each.

The form is held by pydantic's models; what it finds is told here in the words of the plan:
what was found, what is allowed, and what to write.
"""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Any, TypeAlias

from controller.core.plan_text import said
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
from controller.core.sentence import Sentence, joined

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from controller.core.plan_text.form import Misfit
    from controller.core.plan_text.keys import Key
    from controller.core.plan_text.place import Place

Told: TypeAlias = tuple[str, str]  # message and mend

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


def sentences(misfit: Misfit, document: Mapping[str, Any]) -> Told:
    """(message, mend) for one misfit of a document."""
    tell = _TELLERS.get(misfit.kind)
    if tell is not None:
        return tell(misfit)
    is_text = misfit.kind == "value_error" and isinstance(misfit.value, str)
    if is_text and _known(misfit.place).kind in _LIKELY:
        return _unread(misfit)
    return _unfit(misfit, document)


def _missing(misfit: Misfit) -> Told:
    key = _known(misfit.place)
    table = header_text(misfit.place[:-1])
    if not key.holds:
        gap = said.missing(misfit.place, f"{table} has no {key.name} ({key.meaning})")
        message = Sentence(gap, "; it needs ", key.allowed)
        return message, Sentence(said.fill_in(misfit.place, key.example))
    gap = said.missing(misfit.place, f"{table} has no {_header(misfit.place, key)} ({key.meaning})")
    return Sentence(gap), _new_table(misfit.place, key)


def _header(place: Place, key: Key) -> str:
    """How the table or tables at a place are headed in the file."""
    names = dotted(tuple(part for part in place if isinstance(part, str)))
    if key.kind == "tables":
        return f"[[{names}]]"
    return key.example if key.kind == "named" else f"[{names}]"


def _new_table(place: Place, key: Key, verb: str = "add") -> Sentence:
    """To write the table that is not there, with the pairs that it must have, as examples."""
    needed = (part for part in keys()[key.holds].values() if part.is_required and not part.holds)
    home = {"table": place, "tables": (*place, 0), "named": (*place, "NAME")}[key.kind]
    lines = joined(", ", (said.line((*home, part.name), part.example) for part in needed))
    header = said.table(place, _header(place, key))
    return Sentence(f"{verb} ", header, " with ", lines or "its keys")


def _unknown(misfit: Misfit) -> Told:
    name = str(misfit.place[-1])
    model = model_of(misfit.place[:-1])
    message = Sentence(
        said.table(misfit.place[:-1]),
        f" has no key named {key_text(name)}",
        said.in_file(f"; its keys are {', '.join(keys()[model])}"),
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


def _bad_name(misfit: Misfit) -> Told:
    name = str(misfit.place[-1])
    likely = likely_name(name)
    message = f"{key_text(name)} is no name that the plan can use; allowed is {ALLOWED_NAME}"
    if likely is None:
        return message, "give it such a name"
    return message, Sentence("write ", said.table((*misfit.place[:-1], likely)))


def _wrong_count(misfit: Misfit) -> Told:
    key = _known(misfit.place)
    count, name = len(misfit.value), said.key(misfit.place)
    if count:
        message = Sentence(name, f" has {count:,} of them; allowed is ", key.allowed)
        return message, "leave out what is too many"
    return Sentence(name, " is empty; allowed is ", key.allowed), _new_table(misfit.place, key)


def _unread(misfit: Misfit) -> Told:
    """A text that a parser of the plan's small languages does not take."""
    key = _known(misfit.place)
    hint = _HINT.search(misfit.words)
    words = misfit.words[: hint.start()] if hint is not None else misfit.words
    message = Sentence(said.key(misfit.place), ": ", words)
    likely = _LIKELY[key.kind](misfit.value)
    if likely is not None:
        return message, Sentence("write ", said.line(misfit.place, f'"{likely}"'))
    if hint is not None:
        return message, f"did you mean {hint.group('likely')}?"
    return message, _like_example(misfit.place, key)


def _like_example(place: Place, key: Key) -> Sentence:
    return Sentence("write it like ", said.line(place, key.example))


def _unfit(misfit: Misfit, document: Mapping[str, Any]) -> Told:
    """A value of the wrong kind, out of range, or not among the words allowed."""
    place = misfit.place
    key = key_at(place)
    if key is None:  # one of many: tables by name, or items of a list
        return _no_table(misfit)
    name = said.key(place)
    if misfit.words and (key.kind == "points" or type(misfit.value) is date):
        return Sentence(name, ": ", misfit.words), _like_example(place, key)
    message = Sentence(name, " is ", _found(key, misfit.value), "; allowed is ", key.allowed)
    if key.holds:
        if isinstance(misfit.value, dict | list):
            brackets = "double" if key.kind == "tables" else "single"
            return message, f"write {_header(place, key)}, with {brackets} brackets"
        return message, _new_table(place, key, "write")
    likely = meant(key, misfit.value)
    if likely is not None:
        is_bare = key.kind == "duration" and isinstance(misfit.value, int)
        besides = f', or "{misfit.value}s" for seconds' if is_bare else ""
        return message, Sentence("write ", said.line(place, likely), besides)
    if key.name == "latitude" and _may_be_swapped(misfit.value, document):
        other = said.key((*place[:-1], "longitude"))
        swap = Sentence("exchange the values of ", name, " and ", other, " if they are swapped")
        return message, swap
    return message, _like_example(place, key)


def _no_table(misfit: Misfit) -> Told:
    """A single value where one of many tables is to be."""
    last = misfit.place[-1]
    shown_name = f"item {last + 1}" if isinstance(last, int) else key_text(last)
    message = Sentence(f"{shown_name} is ", described(misfit.value), "; allowed is a table")
    return message, f"write {_plain_header(misfit.place)} and its keys below"


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


_TELLERS: dict[str, Callable[[Misfit], Told]] = {
    "missing": _missing,
    "extra_forbidden": _unknown,
    "bad_name": _bad_name,
    "too_short": _wrong_count,
    "too_long": _wrong_count,
}
