"""Where everything stands in a plan's text: one pass over valid TOML 1.0.

The standard library's reader gives values without positions; this gives positions
without values. Error messages take their lines from it, edits their borders.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from enum import Enum
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan_text.place import Place

# Never fails and hardly backtracks, whatever the text: what is not closed runs to the end of
# its line, or of the text. Repeats of groups are not possessive: Python 3.11.2, Debian 12's,
# gets those wrong (3.11.7 does not).
_TOKEN = re.compile(
    r"""
      (?P<blank> [ \t\r]++ | \#[^\n]*+ )
    | (?P<newline> \n )
    | (?P<string>
          \"{3} (?: [^"\\] | \\[\s\S] | \"(?!\"\") )* (?: \"{3,5} | \\?\Z )
        | '{3} (?: [^'] | '(?!'') )* (?: '{3,5} | \Z )
        | \" (?: [^"\\\n] | \\[^\n] )* (?: \" | \\?(?=\n|\Z) )
        | ' [^'\n]*+ (?: ' | (?=\n|\Z) )
      )
    | (?P<mark> [\[\]{}=,.] )
    | (?P<bare> [^\s"'\#\[\]{}=,.]++ | . )
    """,
    re.VERBOSE,
)


_OPENING = frozenset("[{")
_END = "end"  # the kind of a token of the scanner's own, past the last of the text
_ENDS_VALUE = frozenset({"newline", _END, ",", "]", "}"})


class Token(NamedTuple):
    """A piece of the text: `kind` is string, bare, newline, or the punctuation itself."""

    kind: str
    start: int
    end: int


def tokens(text: str) -> Iterator[Token]:
    """The text's tokens in order, without blanks and comments; any text will do."""
    for match in _TOKEN.finditer(text):
        kind = match.lastgroup
        if kind is not None and kind != "blank":
            yield Token(match.group() if kind == "mark" else kind, match.start(), match.end())


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


def scan(text: str) -> list[Mark]:
    """The marks of a valid TOML text, in the order in which they begin.

    Of a text that breaks off, those up to there.
    """
    return _Scanner(text).run()


class _Scanner:
    def __init__(self, text: str) -> None:
        self._text = text
        self._tokens = list(tokens(text))
        self._tokens.append(Token(_END, len(text), len(text)))
        self._newlines = [match.start() for match in re.finditer("\n", text)]
        self._next = 0
        self._marks: list[Mark] = []
        self._items: dict[Place, int] = {}  # how many items each list of headers has so far
        self._table: Place = ()

    def run(self) -> list[Mark]:
        """All marks, in the order in which they begin."""
        while (kind := self._peek().kind) != _END:
            if kind == "newline":
                self._next += 1
            elif kind == "[":
                self._header()
            else:
                self._pair(self._table, Shape.PAIR)
                self._skip_line()
        return self._marks

    def _peek(self) -> Token:
        return self._tokens[self._next]

    def _take(self) -> Token:
        token = self._tokens[self._next]
        if token.kind != _END:
            self._next += 1
        return token

    def _skip_line(self) -> None:
        while self._take().kind not in {"newline", _END}:
            pass

    def _skip_newlines(self) -> None:
        while self._peek().kind == "newline":
            self._next += 1

    def _add(self, place: Place, shape: Shape, start: int, value: int, opens: str = "") -> int:
        line = bisect_left(self._newlines, start) + 1
        self._marks.append(Mark(place, shape, line, start, value, start, opens))
        return len(self._marks) - 1

    def _close(self, number: int, end: int) -> None:
        self._marks[number] = self._marks[number]._replace(end=end)

    def _header(self) -> None:
        start = self._take().start
        is_item = self._peek().kind == "[" and self._peek().start == start + 1
        if is_item:
            self._next += 1
        keys = self._key()
        place: Place = ()
        for number, key in enumerate(keys, 1):
            place = (*place, key)
            if is_item and number == len(keys):
                self._items[place] = self._items.get(place, 0) + 1
            if place in self._items:
                place = (*place, self._items[place] - 1)
        self._table = place
        mark = self._add(place, Shape.ITEM if is_item else Shape.TABLE, start, start)
        end = start
        while self._peek().kind == "]":
            end = self._take().end
        self._close(mark, end)
        self._skip_line()

    def _key(self) -> tuple[str, ...]:
        keys: list[str] = []
        while self._peek().kind in {"bare", "string"}:
            token = self._take()
            keys.append(_key_of(self._text[token.start : token.end]))
            if self._peek().kind != ".":
                break
            self._next += 1
        return tuple(keys)

    def _pair(self, table: Place, shape: Shape) -> int:
        start = self._peek().start
        place = (*table, *self._key())
        if self._peek().kind != "=":
            return start
        self._next += 1
        first = self._peek()
        opens = first.kind if first.kind in _OPENING else ""
        mark = self._add(place, shape, start, first.start, opens)
        end = self._value(place)
        self._close(mark, end)
        return end

    def _value(self, place: Place) -> int:
        kind = self._peek().kind
        if kind == "[":
            return self._list(place)
        if kind == "{":
            return self._braces(place)
        end = self._peek().start
        while self._peek().kind not in _ENDS_VALUE:
            end = self._take().end
        return end

    def _list(self, place: Place) -> int:
        end = self._take().end
        number = 0
        while True:
            self._skip_newlines()
            token = self._peek()
            if token.kind in {"]", ","}:
                end = self._take().end
                if token.kind == "]":
                    break
                continue
            if token.kind == _END:
                break
            opens = token.kind if token.kind in _OPENING else ""
            mark = self._add((*place, number), Shape.ELEMENT, token.start, token.start, opens)
            end = self._value((*place, number))
            self._close(mark, end)
            number += 1
            self._skip_newlines()
            if self._peek().kind not in {"]", ","}:
                break
        return end

    def _braces(self, place: Place) -> int:
        end = self._take().end
        while True:
            self._skip_newlines()
            kind = self._peek().kind
            if kind in {"}", ","}:
                end = self._take().end
                if kind == "}":
                    break
                continue
            if kind == _END:
                break
            end = self._pair(place, Shape.INNER)
            self._skip_newlines()
            if self._peek().kind not in {"}", ","}:
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
