"""Values and tables as TOML text, for edits; tomlkit knows how each value is escaped."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, TypeAlias

import tomlkit

from controller.core.errors import BadRequestError
from controller.core.units import shown

if TYPE_CHECKING:
    from controller.core.plan_text.place import Place

Scalar: TypeAlias = str | int | float | bool
Value: TypeAlias = "Scalar | Table | list[Value]"
Table: TypeAlias = "Mapping[str, Value]"

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def checked_table(value: object, depth_max: int = 6) -> Table:
    """The value, if it is a table as plans have them, all the way down.

    Raises:
        BadRequestError: it is not; says what was found.
    """
    if not isinstance(value, Mapping) or depth_max < 1:
        raise BadRequestError(f"{shown(value)} is no table as a plan has them")
    for key, inner in value.items():
        if not isinstance(key, str):
            raise BadRequestError(f"{shown(key)} is no key: keys are texts")
        if isinstance(inner, list) and not is_points(inner):
            for item in inner:
                checked_table(item, depth_max - 1)
        elif isinstance(inner, Mapping):
            checked_table(inner, depth_max - 1)
        else:
            value_in_toml(inner)
    return value


def is_points(value: object) -> bool:
    """Whether the value is a list of lists of numbers, such as the points of a curve.

    A text in place of a number is left for the plan's reader to refuse, in its own words.
    """
    return (
        isinstance(value, list)
        and bool(value)
        and all(isinstance(one, list) and one and all(map(_may_be_number, one)) for one in value)
    )


def _may_be_number(value: object) -> bool:
    return isinstance(value, int | float | str) and not isinstance(value, bool)


def key_in_toml(*keys: str) -> str:
    """The keys joined by points, each in quotes where TOML needs them."""
    return ".".join(
        key if _BARE_KEY.fullmatch(key) else json.dumps(key, ensure_ascii=False) for key in keys
    )


def scalar_in_toml(value: object) -> str:
    """A text, number or truth value.

    Raises:
        BadRequestError: it is none of these; a plan has no other values.
    """
    if not isinstance(value, str | int | float) or (
        isinstance(value, int) and value.bit_length() > 63  # TOML's numbers have 64 bits
    ):
        raise BadRequestError(
            f"{shown(value)} is no value of a plan: it takes texts, numbers, true and false"
        )
    return tomlkit.item(value).as_string()


def value_in_toml(value: object) -> str:
    """A text, number or truth value, or the points of a curve.

    Raises:
        BadRequestError: it is none of these; a plan has no other values.
    """
    return inline(value) if isinstance(value, list) and is_points(value) else scalar_in_toml(value)


def inline(value: Value) -> str:
    """A value, a table in braces or a list in brackets, on one line."""
    if isinstance(value, Mapping):
        pairs = (f"{key_in_toml(key)} = {inline(inner)}" for key, inner in value.items())
        return f"{{ {', '.join(pairs)} }}"
    if isinstance(value, list):
        return f"[{', '.join(map(inline, value))}]"
    return scalar_in_toml(value)


def block(place: Place, table: Table, *, is_item: bool) -> list[str]:
    """The lines of a table under its header, and of all within under headers of their own."""
    names = tuple(part for part in place if isinstance(part, str))
    header = key_in_toml(*names)
    lines = [f"[[{header}]]" if is_item else f"[{header}]"]
    for key, value in table.items():
        if is_points(value) or not isinstance(value, Mapping | list):
            lines.append(f"{key_in_toml(key)} = {value_in_toml(value)}")
    for key, value in table.items():
        if isinstance(value, Mapping):
            lines += ["", *block((*names, key), value, is_item=False)]
        elif isinstance(value, list) and not is_points(value):
            for item in value:
                assert isinstance(item, Mapping), value  # as `checked_table` has seen
                lines += ["", *block((*names, key), item, is_item=True)]
    return lines
