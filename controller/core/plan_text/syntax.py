"""From a plan's text to its tables: bounds, TOML, and all of TOML's complaints at once."""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.findings import Finding
from controller.core.plan_text.bounds import bounded_tokens
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.tell import tell
from controller.core.plan_text.tokens import tokens_of

if TYPE_CHECKING:
    from controller.core.plan_text.spot import Slip

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

    With errors it is of the text as it was meant, whose `lines` are those of the file.
    """

    document: dict[str, Any] | None
    lines: Lines
    errors: tuple[Finding, ...]


def read_toml(text: str) -> Draft:
    """The tables of a text, and every slip of TOML that it has."""
    tokens = bounded_tokens(text)
    if isinstance(tokens, Finding):
        return Draft(None, Lines(""), (tokens,))
    lines = Lines(text, tokens)
    errors: list[Finding] = []
    mended: dict[int, int] = {}
    for _ in range(max(1, min(_ROUNDS_MAX, _CHARACTERS_READ_MAX // len(text)))):
        try:
            return Draft(tomllib.loads(text), lines, tuple(errors))
        except (ValueError, RecursionError) as error:
            slip = _slip(text, error)
        errors.append(tell("error", slip.place, slip.message, slip.mend, slip.line))
        of_text = text.split("\n")
        mended[slip.line] = mended.get(slip.line, 0) + 1
        is_stuck = slip.meant == of_text[slip.line - 1] or mended[slip.line] > _SLIPS_A_LINE_MAX
        if slip.meant is None or is_stuck:
            break
        of_text[slip.line - 1] = slip.meant
        text = "\n".join(of_text)
        lines = Lines(text)
    return Draft(None, lines, tuple(errors))


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
    for kind, token_start, token_end in zip(*tokens_of(text), strict=True):
        if kind == "string" and not is_closed(text[token_start:token_end]):
            end = token_start
            break
    start = text.rfind("\n", 0, end) + 1
    return text.count("\n", 0, end) + 1, end - start + 1
