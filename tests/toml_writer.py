"""Writes documents as TOML in every way that the format allows, and notes each line.

The oracle for the lines of places: it knows them because it wrote them.
"""

from __future__ import annotations

import json
import random
from datetime import date
from typing import Any

from hypothesis import strategies as st

Document = dict[str, Any]
Place = tuple[str | int, ...]


class TomlWriter:
    """One document written by chance; `text` is the file, `lines` where each place stands."""

    def __init__(self, document: Document, seed: int) -> None:
        self._random = random.Random(seed)
        self._written: list[str] = [""]
        self.document = document
        self.lines: dict[Place, int] = {}
        self._newline = self._random.choice(["\n", "\n", "\r\n"])
        self._table((), (), document)
        self.text = self._newline.join(self._written)

    def _chance(self, of: int = 2) -> bool:
        return self._random.randrange(of) == 0

    def _add(self, text: str) -> None:
        first, *rest = text.split("\n")
        self._written[-1] += first
        self._written += rest

    def _end_line(self) -> None:
        self._add(self._random.choice(["", "  ", " # a = [ { \"' ]", "\t#"]) + "\n")
        while self._chance(5):
            self._add(self._random.choice(["", "# [x] \"\"\" '''", "   "]) + "\n")

    def _note(self, place: Place) -> None:
        line = len(self._written)
        self.lines[place] = line
        for depth in range(1, len(place)):
            self.lines.setdefault(place[:depth], line)

    # Tables

    def _table(self, place: Place, names: tuple[str, ...], table: Document) -> None:
        """What stands under a header: pairs first, then tables under their own headers."""
        later: list[tuple[str, Any]] = []
        for key, value in table.items():
            is_table = isinstance(value, dict)
            if (is_table or _is_tables(value)) and self._chance():
                later.append((key, value))
            elif is_table and value and _is_flat(value) and self._chance():
                for inner, scalar in value.items():
                    self._pair((*place, key, inner), (key, inner), scalar)
            else:
                self._pair((*place, key), (key,), value)
        for key, value in later:
            self._under_header((*place, key), (*names, key), value)

    def _under_header(self, place: Place, path: tuple[str, ...], value: Any) -> None:
        if isinstance(value, list):
            for number, item in enumerate(value):
                self._header((*place, number), path, "[[{}]]")
                self._table((*place, number), path, item)
        elif value and all(isinstance(v, dict) for v in value.values()) and self._chance():
            for inner, deeper in value.items():  # which imply the table between
                self._header((*place, inner), (*path, inner), "[{}]")
                self._table((*place, inner), (*path, inner), deeper)
        else:
            self._header(place, path, "[{}]")
            self._table(place, path, value)

    def _header(self, place: Place, path: tuple[str, ...], brackets: str) -> None:
        self._add(self._random.choice(["", "  "]))
        self._note(place)
        joint = self._random.choice([".", " . "])
        self._add(brackets.format(joint.join(map(self._key, path))))
        self._end_line()

    def _pair(self, place: Place, path: tuple[str, ...], value: Any) -> None:
        self._add(self._random.choice(["", "\t"]))
        self._note(place)
        self._add(".".join(map(self._key, path)) + self._random.choice([" = ", "="]))
        self._value(place, value)
        self._end_line()

    # Values

    def _value(self, place: Place, value: Any, *, may_break: bool = True) -> None:
        if isinstance(value, dict):
            self._braces(place, value)
        elif isinstance(value, list):
            self._brackets(place, value, may_break=may_break)
        elif isinstance(value, str):
            self._text(value, may_break=may_break)
        else:
            self._add(value.isoformat() if isinstance(value, date) else json.dumps(value))

    def _braces(self, place: Place, table: Document) -> None:
        self._add("{ ")
        for number, (key, value) in enumerate(table.items()):
            self._add(", " if number else "")
            self._note((*place, key))
            self._add(self._key(key) + " = ")
            self._value((*place, key), value, may_break=False)
        self._add(" }")

    def _brackets(self, place: Place, items: list[Any], *, may_break: bool) -> None:
        self._add("[")
        for number, item in enumerate(items):
            self._add("," if number else "")
            if may_break and self._chance():
                self._end_line()
            self._note((*place, number))
            self._value((*place, number), item, may_break=may_break)
            if may_break and self._chance(6):
                self._end_line()
        self._add("," if items and self._chance() else "")
        if may_break and self._chance():
            self._end_line()
        self._add("]")

    def _text(self, value: str, *, may_break: bool) -> None:
        plain = value.isprintable() and "'" not in value
        ways = [json.dumps(value, ensure_ascii=False)]
        if plain:
            ways.append(f"'{value}'")
        if may_break and plain and '"' not in value and "\\" not in value:
            ways += [f'"""\n{value}"""', f"'''{value}'''", f'"""\\\n   {value or "x"}"""']
        self._add(self._random.choice(ways[:4] if value.strip() else ways[:1]))

    def _key(self, key: str) -> str:
        is_bare = bool(key) and key.isascii() and key.replace("-", "").replace("_", "").isalnum()
        ways = [json.dumps(key, ensure_ascii=False)]
        if is_bare:
            ways = [key, key, *ways]
        if key.isprintable() and "'" not in key:
            ways.append(f"'{key}'")
        return self._random.choice(ways)


def _is_flat(table: Document) -> bool:
    return not any(isinstance(value, dict | list) for value in table.values())


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)


def written(documents: st.SearchStrategy[Document]) -> st.SearchStrategy[TomlWriter]:
    """Documents, each written in one of the ways that the format allows."""
    return st.builds(TomlWriter, documents, st.integers(0, 2**32))
