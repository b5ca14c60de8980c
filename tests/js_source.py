"""The page's scripts as tokens: enough of JavaScript to tell words from code.

Source: ECMAScript 2024, chapter 12, without what our scripts do not use.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

_TOKEN = re.compile(
    r"""
    (?P<space>\s+)
    |(?P<comment>//[^\n]*|/\*.*?\*/)
    |(?P<string>"(?:[^"\\\n]|\\.)*"|'(?:[^'\\\n]|\\.)*')
    |(?P<name>[A-Za-z_$\#][\w$]*)
    |(?P<number>\d[\w.]*)
    |(?P<sign>=>|\.\.\.|\?\.|\?\?|.)
    """,
    re.VERBOSE | re.DOTALL,
)
_REGEX = re.compile(r"/(?:[^/\\\[\n]|\\.|\[(?:[^\]\\\n]|\\.)*\])+/[a-z]*")
# After these a slash begins a regular expression; after all else it divides.
_BEFORE_A_REGEX = frozenset({*"(,=:[!&|?{};+-*%<>", "=>", "return", "typeof", "case"})


class Token(NamedTuple):
    """One token; the text of a string or of a template's fixed part is without its quotes."""

    kind: str
    text: str
    line: int


def tokens(source: str) -> list[Token]:
    """All tokens but space and comments; what stands in a template's braces is tokens too."""
    return list(_tokens(source))


def _tokens(source: str) -> Iterator[Token]:
    at, line = 0, 1
    before = ";"
    templates: list[int] = []  # for each template that is open, the braces open within it
    while at < len(source):
        if source[at] == "`" or (source[at] == "}" and templates and templates[-1] == 0):
            if source[at] == "}":
                templates.pop()
            text, end, is_open = _template_part(source, at + 1)
            yield Token("template", text, line)
            if is_open:
                templates.append(0)
            line += source.count("\n", at, end)
            at, before = end, "(" if is_open else "`"
            continue
        match = _REGEX.match(source, at) if before in _BEFORE_A_REGEX else None
        is_comment = source[at : at + 2] in ("//", "/*")
        if match is not None and not is_comment:
            kind = "regex"
        else:
            match = _TOKEN.match(source, at)
            assert match is not None
            kind = match.lastgroup or ""
        text = match.group()
        if kind not in ("space", "comment"):
            yield Token(kind, text[1:-1] if kind == "string" else text, line)
            before = text
            if templates and kind == "sign":
                templates[-1] += {"{": 1, "}": -1}.get(text, 0)
        line += text.count("\n")
        at = match.end()


def _template_part(source: str, start: int) -> tuple[str, int, bool]:
    """The fixed text from there, where it ends, and whether a brace opened."""
    at = start
    while source[at] != "`":
        if source.startswith("${", at):
            return source[start:at], at + 2, True
        at += 2 if source[at] == "\\" else 1
    return source[start:at], at + 1, False
