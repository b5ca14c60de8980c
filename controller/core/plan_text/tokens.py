"""A plan's text cut into tokens: brackets, signs, words and texts in quotes."""

from __future__ import annotations

import re
from itertools import islice
from typing import NamedTuple

# Never fails and hardly backtracks, whatever the text: what is not closed runs to the end of
# its line, or of the text. Repeats of groups are not possessive: Python 3.11.2, Debian 12's,
# gets those wrong (3.11.7 does not). The names are in the order of `_KINDS`.
_TOKEN = re.compile(
    r"""
    [ \t\r]*+ (?: \#[^\n]*+ )?
    (?: (?P<newline> \n )
      | (?P<string>
            \"{3} (?: [^"\\] | \\[\s\S] | \"(?!\"\") )* (?: \"{3,5} | \\?\Z )
          | '{3} (?: [^'] | '(?!'') )* (?: '{3,5} | \Z )
          | \" [^"\\\n]*+ (?: \\[^\n] [^"\\\n]*+ )* (?: \" | \\?(?=\n|\Z) )
          | ' [^'\n]*+ (?: ' | (?=\n|\Z) )
        )
      | (?P<bare> [^\s"'\#\[\]{}=,.]++ )
      | (?P<sign> . )
      | \Z
    )
    """,
    re.VERBOSE,
)
_KINDS = ("", "newline", "string", "bare", "")
_SIGNS = frozenset("[]{}=,.")


class Tokens(NamedTuple):
    """The tokens of a text in order, without blanks and comments: of each its kind, its start
    and what is past its end.

    A kind is string, bare (a word or number), newline, or the sign itself.
    """

    kinds: list[str]
    starts: list[int]
    ends: list[int]


def tokens_of(text: str, count_max: int | None = None) -> Tokens:
    """The tokens of any text, or the first of them."""
    found = Tokens([], [], [])
    add_kind, add_start, add_end = found.kinds.append, found.starts.append, found.ends.append
    for match in islice(_TOKEN.finditer(text), count_max):
        which = match.lastindex
        if which is None:  # nothing but blanks before the end
            continue
        start, end = match.span(which)
        add_kind(_KINDS[which] or _sign(text[start]))
        add_start(start)
        add_end(end)
    return found


def _sign(character: str) -> str:
    # What has no place in TOML at all is a word of its own.
    return character if character in _SIGNS else "bare"
