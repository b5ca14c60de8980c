"""From a plan's text to its tables: bounds, TOML, and all of TOML's complaints at once."""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.plan_text.scan import tokens
from controller.core.plan_text.tell import tell

if TYPE_CHECKING:
    from controller.core.findings import Finding
    from controller.core.plan_text.spot import Slip

# The deepest that the format can be written is 6 brackets and 4 keys joined by points. A
# span takes 18 words and signs, so that these are over 3,000 of them; what has more of
# them in a file of this size was written to keep a reader busy.
DEPTH_MAX = 16
TOKENS_MAX = 60_000

# Each round reads the text again to find its next slip: this bounds the work for long texts.
_ROUNDS_MAX = 50
_CHARACTERS_READ_MAX = 300_000
# A line in braces may have several; where mending does not help, the guess was wrong.
_SLIPS_A_LINE_MAX = 8

_POSITION = re.compile(
    r"(?P<complaint>.*?) \((?:at line (?P<line>\d+), column (?P<column>\d+)"
    r"|at end of document)\)",
    re.DOTALL,
)
# Python reads no longer decimal number (sys.int_info.default_max_str_digits).
_LONG_NUMBER = re.compile(r"[0-9][0-9_]{4299,}")


class Draft(NamedTuple):
    """What could be read: `document` is None where nothing can be told past the errors.

    `text` is the text that was read in the end, each slip's line as it was meant; its
    lines are those of the file.
    """

    document: dict[str, Any] | None
    text: str
    errors: tuple[Finding, ...]


def read_toml(text: str) -> Draft:
    """The tables of a text, and every slip of TOML that it has."""
    bound = _beyond_bounds(text)
    if bound is not None:
        return Draft(None, text, (bound,))
    errors: list[Finding] = []
    mended: dict[int, int] = {}
    for _ in range(max(1, min(_ROUNDS_MAX, _CHARACTERS_READ_MAX // len(text)))):
        try:
            return Draft(tomllib.loads(text), text, tuple(errors))
        except (ValueError, RecursionError) as error:
            slip = _slip(text, error)
        errors.append(tell("error", slip.place, slip.message, slip.mend, slip.line))
        lines = text.split("\n")
        mended[slip.line] = mended.get(slip.line, 0) + 1
        is_stuck = slip.meant == lines[slip.line - 1] or mended[slip.line] > _SLIPS_A_LINE_MAX
        if slip.meant is None or is_stuck:
            break
        lines[slip.line - 1] = slip.meant
        text = "\n".join(lines)
    return Draft(None, text, tuple(errors))


def _beyond_bounds(text: str) -> Finding | None:
    """The error for a text that is built like no plan: nested deep, or of very many parts."""
    depth = points = 0
    for number, token in enumerate(tokens(text)):
        if token.kind in {"[", "{"}:
            depth += 1
        elif token.kind in {"]", "}"}:
            depth = max(0, depth - 1)
        points = points + 1 if token.kind == "." else 0 if token.kind in _ENDS_KEY else points
        if depth > DEPTH_MAX or points > DEPTH_MAX or number >= TOKENS_MAX:
            what = (
                f"more than {TOKENS_MAX:,} words and signs"
                if number >= TOKENS_MAX
                else f"tables or lists more than {DEPTH_MAX} deep"
            )
            line = text.count("\n", 0, token.start) + 1
            message = f"the file has {what}; a plan never needs that"
            return tell("error", (), message, "is this the right file?", line)
    return None


_ENDS_KEY = frozenset({"newline", "=", ",", "[", "]", "{", "}"})


def _slip(text: str, error: ValueError | RecursionError) -> Slip:
    # Only plans with errors need these.
    from controller.core.plan_text.slips import diagnose
    from controller.core.plan_text.spot import Slip

    match = _POSITION.fullmatch(str(error))
    if isinstance(error, tomllib.TOMLDecodeError) and match is not None:
        line, column = _position(text, match)
        return diagnose(text, match.group("complaint"), line=line, column=column)
    number = _LONG_NUMBER.search(text)
    line = text.count("\n", 0, number.start()) + 1 if number is not None else 1
    return Slip(
        line,
        (),
        "the number has thousands of digits; the longest that a plan takes has ten",
        "write the number that was meant",
    )


def _position(text: str, match: re.Match[str]) -> tuple[int, int]:
    """Line and column of a complaint; of one about the end, where what is open begins."""
    from controller.core.plan_text.spot import is_closed

    if match.group("line") is not None:
        return int(match.group("line")), int(match.group("column"))
    end = len(text.rstrip())
    for token in tokens(text):
        if token.kind == "string" and not is_closed(text[token.start : token.end]):
            end = token.start
            break
    start = text.rfind("\n", 0, end) + 1
    return text.count("\n", 0, end) + 1, end - start + 1
