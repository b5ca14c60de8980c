"""Where everything stands in a plan's text: one pass over the tokens of valid TOML 1.0.

The standard library's reader gives values without positions; this gives positions
without values. Error messages take their lines from it, edits their borders.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from enum import Enum
from typing import TYPE_CHECKING, NamedTuple

from controller.core.plan_text.tokens import tokens_of

if TYPE_CHECKING:
    from controller.core.plan_text.place import Place
    from controller.core.plan_text.tokens import Tokens

_OPENING = frozenset("[{")
_KEY = frozenset({"bare", "string"})
_END = "end"  # the kind of a token of the scanner's own, past the last of the text
_ENDS_LINE = frozenset({"newline", _END})
_ENDS_VALUE = frozenset({"newline", _END, ",", "]", "}"})


class Shape(Enum):
    """How a value is written."""

    TABLE = "[header]"
    ITEM = "[[header]]"
    PAIR = "key = value on its own line"
    INNER = "key = value within braces"
    ELEMENT = "value within brackets"


class Mark(NamedTuple):
    """One header, pair or list element: its place and its offsets in the text.

    `start` is where it begins, `value` where its value does, `end` is past its last
    character; `opens` is the bracket that the value starts with, or nothing.
    """

    place: Place
    shape: Shape
    line: int
    start: int
    value: int
    end: int
    opens: str = ""


def scan(text: str, tokens: Tokens | None = None) -> list[Mark]:
    """The marks of a valid TOML text, in the order in which they begin.

    Of a text that breaks off, those up to there.

    Args:
        text: the text.
        tokens: all of its tokens, where somebody has cut it already.
    """
    return _Scanner(text, tokens_of(text) if tokens is None else tokens).run()


class _Scanner:
    def __init__(self, text: str, tokens: Tokens) -> None:
        self._text = text
        self._kinds = [*tokens.kinds, _END]
        self._starts = [*tokens.starts, len(text)]
        self._ends = [*tokens.ends, len(text)]
        self._newlines = [match.start() for match in re.finditer("\n", text)]
        self._next = 0
        self._marks: list[Mark] = []
        self._items: dict[Place, int] = {}  # how many items each list of headers has so far
        self._table: Place = ()

    def run(self) -> list[Mark]:
        """All marks, in the order in which they begin."""
        while (kind := self._kinds[self._next]) != _END:
            if kind == "newline":
                self._next += 1
            elif kind == "[":
                self._header()
            else:
                self._pair(self._table, Shape.PAIR)
                self._skip_line()
        return self._marks

    def _take(self) -> int:
        """Passes a token by; where it ends."""
        end = self._ends[self._next]
        self._next += 1
        return end

    def _skip_line(self) -> None:
        while self._kinds[self._next] not in _ENDS_LINE:
            self._next += 1

    def _skip_newlines(self) -> None:
        while self._kinds[self._next] == "newline":
            self._next += 1

    def _line_of(self, offset: int) -> int:
        return bisect_left(self._newlines, offset) + 1

    def _header(self) -> None:
        number = self._next
        start = self._starts[number]
        is_item = self._kinds[number + 1] == "[" and self._starts[number + 1] == start + 1
        self._next += 2 if is_item else 1
        keys = self._key()
        place: Place = ()
        for count, key in enumerate(keys, 1):
            place = (*place, key)
            if is_item and count == len(keys):
                self._items[place] = self._items.get(place, 0) + 1
            if place in self._items:
                place = (*place, self._items[place] - 1)
        self._table = place
        end = start
        while self._kinds[self._next] == "]":
            end = self._take()
        shape = Shape.ITEM if is_item else Shape.TABLE
        self._marks.append(Mark(place, shape, self._line_of(start), start, start, end))
        self._skip_line()

    def _key(self) -> tuple[str, ...]:
        keys: list[str] = []
        number = self._next
        while self._kinds[number] in _KEY:
            keys.append(_key_of(self._text[self._starts[number] : self._ends[number]]))
            number += 1
            if self._kinds[number] != ".":
                break
            number += 1
        self._next = number
        return tuple(keys)

    def _pair(self, table: Place, shape: Shape) -> int:
        start = self._starts[self._next]
        place = (*table, *self._key())
        if self._kinds[self._next] != "=":
            return start
        self._next += 1
        return self._marked(place, shape, start)

    def _marked(self, place: Place, shape: Shape, start: int) -> int:
        """Adds the mark of what begins at `start` and has its value here; where that ends."""
        value, kind = self._starts[self._next], self._kinds[self._next]
        line = self._line_of(start)
        if kind not in _OPENING:
            end = self._plain_value()
            self._marks.append(Mark(place, shape, line, start, value, end))
            return end
        number = len(self._marks)
        self._marks.append(Mark(place, shape, line, start, value, start, kind))
        end = self._list(place) if kind == "[" else self._braces(place)
        self._marks[number] = Mark(place, shape, line, start, value, end, kind)
        return end

    def _plain_value(self) -> int:
        number = self._next
        end = self._starts[number]
        while self._kinds[number] not in _ENDS_VALUE:
            end = self._ends[number]
            number += 1
        self._next = number
        return end

    def _list(self, place: Place) -> int:
        end = self._take()
        number = 0
        while True:
            self._skip_newlines()
            kind = self._kinds[self._next]
            if kind in {"]", ","}:
                end = self._take()
                if kind == "]":
                    break
                continue
            if kind == _END:
                break
            end = self._marked((*place, number), Shape.ELEMENT, self._starts[self._next])
            number += 1
            self._skip_newlines()
            if self._kinds[self._next] not in {"]", ","}:
                break
        return end

    def _braces(self, place: Place) -> int:
        end = self._take()
        while True:
            self._skip_newlines()
            kind = self._kinds[self._next]
            if kind in {"}", ","}:
                end = self._take()
                if kind == "}":
                    break
                continue
            if kind == _END:
                break
            end = self._pair(place, Shape.INNER)
            self._skip_newlines()
            if self._kinds[self._next] not in {"}", ","}:
                break
        return end


def _key_of(source: str) -> str:
    if source[0] == "'":
        return source[1:-1]
    if source[0] != '"':
        return source
    if "\\" not in source:
        return source[1:-1]
    try:
        return str(tomllib.loads(f"key = {source}")["key"])
    except tomllib.TOMLDecodeError:  # of a text that breaks off, or never was TOML
        return source[1:-1]
