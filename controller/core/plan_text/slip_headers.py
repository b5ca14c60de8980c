"""Slips in the headers of tables, and whatever stands in a plan twice."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from controller.core.plan_text.scan import Shape
from controller.core.units import shown

if TYPE_CHECKING:
    from controller.core.plan_text.place import Place
    from controller.core.plan_text.spot import Slip, Spot

_HEADER = re.compile(r"\s*(?P<open>\[+)(?P<name>[^\[\]]*)(?P<close>\]*)(?P<rest>.*)")
_FAMILY = re.compile(r"^(loads|sensors|site)\s+")
_TWICE = ("Cannot overwrite", "Cannot declare", "Cannot mutate", "Cannot redefine", "Duplicate")


def header(spot: Spot) -> Slip | None:
    """A header with brackets, a name or an end that is none."""
    match = _HEADER.match(spot.code)
    if match is None or spot.opened:
        return None
    opening, closing = len(match.group("open")), len(match.group("close"))
    name = spot.line[slice(*match.span("name"))].strip()
    count = min(max(opening, closing), 2)
    joined = _FAMILY.sub(r"\1.", re.sub(r"\s*[.,/:\\]\s*", ".", name))
    clean = re.sub(r"\s+", "_", joined).strip("._")
    meant = f"{'[' * count}{clean}{']' * count}"
    if not clean:
        return spot.slip("the table has no name", "write the name, as in [site]")
    if not re.fullmatch(r"[\w.\"'-]+", clean, re.ASCII):
        message = f"{shown(name)} is no name of a table: it has letters, digits, -, _ and points"
        return spot.slip(message, "write it like [loads.pump]")
    if opening != closing:
        message = f"{spot.line.strip()} has {opening} of [ and {closing} of ]"
    elif clean != name:
        message = f"{shown(name)} is no name of a table: points join its parts, without blanks"
    elif match.group("rest").strip():
        message = f"after the header stands {shown(match.group('rest').strip())}"
        return spot.slip(message, "write it on a line of its own")
    else:
        return None
    return spot.slip(message, f"write {meant}", meant=meant)._replace(place=tuple(clean.split(".")))


def twice(spot: Spot) -> Slip | None:
    """A key or a table that is there already."""
    if not spot.complaint.startswith(_TWICE):
        return None
    match = _HEADER.match(spot.code)
    if match is not None and not spot.opened:
        return _header_twice(spot, match)
    key = spot.key
    if spot.complaint.startswith("Duplicate"):
        twice = spot.complaint.removeprefix("Duplicate inline table key ").strip("'\"")
        message = f"{twice} is written twice between one pair of braces"
        return spot.slip(message, "keep the one that is right", key=twice if spot.opened else key)
    first = _first_line(spot, (*spot.table, *key.split(".")))
    return spot.slip(
        f"{key} is written twice{first}; a key may stand once in a table",
        "delete the one that is wrong",
        key=key,
        meant="#",
    )


def _header_twice(spot: Spot, match: re.Match[str]) -> Slip:
    name = match.group("name").strip()
    place = tuple(part.strip().strip("\"'") for part in name.split("."))
    first = _first_line(spot, place)
    is_list = place[-1] in {"spans", "variants"}
    if is_list and len(match.group("open")) == 1:
        message = f"[{name}] stands a second time{first}; a list's items have double brackets"
        mend = f"write [[{name}]] at each of them"
    elif is_list and _is_table(spot, place):
        message = f"[[{name}]] is the second item of a list whose first has single brackets{first}"
        mend = f"write [[{name}]] at each of them"
    elif is_list:
        message = f"[[{name}]] adds to a list that is already written in another way{first}"
        mend = f"write all of {place[-1]} either with [[{name}]] or with {place[-1]} = [...]"
    else:
        message = f"[{name}] stands a second time{first}; a table may stand once"
        mend = "put both parts together, or if these are two things give each its own name"
    return spot.slip(message, mend)._replace(place=place)


def _is_table(spot: Spot, place: Place) -> bool:
    """Whether a list's name has stood between single brackets."""
    tables = (mark.place for mark in spot.marks if mark.shape is Shape.TABLE)
    return any(tuple(p for p in table if isinstance(p, str)) == place for table in tables)


def _first_line(spot: Spot, place: Place) -> str:
    # A header under a list's item names the list without the item's number.
    for mark in spot.marks:
        plain = tuple(part for part in mark.place if isinstance(part, str))
        if place in (mark.place[: len(place)], plain[: len(place)]):
            return f", first on line {mark.line}"
    return ""
