"""What no plan needs: a text nested deep, or of very many parts, is refused before it is read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_text.encoding import PLAN_FILE
from controller.core.plan_text.tell import tell
from controller.core.plan_text.tokens import tokens_of

if TYPE_CHECKING:
    from controller.core.findings import Finding
    from controller.core.plan_text.encoding import TextFile
    from controller.core.plan_text.tokens import Tokens

# The deepest that the format can be written is 6 brackets and 4 keys joined by points. A
# span takes 18 words and signs, so that these are over 3,000 of them; what has more of
# them in a file of this size was written to keep a reader busy.
DEPTH_MAX = 16
TOKENS_MAX = 60_000

_WORDS = frozenset({"bare", "string"})


def bounded_tokens(text: str, what: TextFile = PLAN_FILE) -> Tokens | Finding:
    """The tokens of a text, or the error for one that is built like no file of its kind.

    A reader of TOML takes time and memory for the square of the keys that points join: it is
    for texts that have been here.
    """
    # One more than there may be, so that too many are seen to be.
    tokens = tokens_of(text, TOKENS_MAX + 1)
    place = _deep(tokens)
    if place is not None:
        return _refusal(text, place, f"tables or lists more than {DEPTH_MAX} deep", what)
    if len(tokens.kinds) > TOKENS_MAX:
        return _refusal(text, tokens.starts[-1], f"more than {TOKENS_MAX:,} words and signs", what)
    return tokens


def _deep(tokens: Tokens) -> int | None:
    """Where a text is nested too deep; None where it nowhere is."""
    depth = points = 0
    for number, kind in enumerate(tokens.kinds):
        if kind in _WORDS:
            continue
        if kind == ".":
            points += 1
        else:
            points = 0
            if kind in "[{":
                depth += 1
            elif kind in "]}":
                depth = max(0, depth - 1)
        if depth > DEPTH_MAX or points > DEPTH_MAX:
            return tokens.starts[number]
    return None


def _refusal(text: str, offset: int, has: str, what: TextFile) -> Finding:
    line = text.count("\n", 0, offset) + 1
    message = f"the file has {has}; a {what.name} never needs that"
    return tell("error", (), message, "is this the right file?", line)
