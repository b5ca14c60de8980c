"""Slips of TOML itself: what is wrong with the line on which the reader stopped.

Each diagnosis tells what was found and what to write, and where it is sure of one line,
that line as it was meant. The mended line serves only to read on and find the next
mistake: no plan with a slip is ever taken.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from controller.core.plan_text.slip_headers import header, twice
from controller.core.plan_text.slip_values import mended_value
from controller.core.plan_text.spot import spot_at, stands
from controller.core.units import shown

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.core.plan_text.spot import Slip, Spot

# Some patterns below take time that grows with the square of a line's length.
_LINE_LENGTH_MAX = 500

_CURLY = "“”„‟‘’‚‛«»‹›″′`´"
_FOREIGN_COMMENT = re.compile(r"\s*(//|/\*|--|;|%|<!--)")
_SEPARATOR = r"(?P<sep>:=|==|=>|=|:)"
# The group's repeat is not possessive: Python 3.11.2, Debian 12's, gets that wrong.
_STATEMENT = re.compile(
    rf"\s*+(?P<key>[^=:\s]*+(?:\s++[^=:\s]++)*)\s*+{_SEPARATOR}\s*+(?P<value>.*)$"
)
_INNER = re.compile(
    rf"(?P<key>[\w\"'-]+)\s*{_SEPARATOR}\s*(?P<value>[^{{}}\[\]=]*?)"
    rf"(?=\s*(?:,\s*[\w\"'-]+\s*[=:]|,?\s*[\]}}]|$))"
)
_NO_COMMA = re.compile(r"(?<=[^\s,{])(?P<gap>\s+)(?P<key>[\w-]+)\s*=")
_BRACES = "close it: a list is [item, item], a table on one line { key = value, key = value }"
_ESCAPE = ("Unescaped", "Invalid hex", "Escaped")
_CONTROL = re.compile(r"Illegal character '(?P<shown>\\x..|\\u....|\\r|\\t)'$")


def diagnose(text: str, complaint: str, *, line: int, column: int) -> Slip:
    """The slip for the reader's complaint about a position of the text."""
    spot = spot_at(text, complaint, line=line, column=column)
    if len(spot.line) > _LINE_LENGTH_MAX:
        return spot.slip(
            f"TOML stops making sense within this line of {len(spot.line):,} characters",
            "write tables under headers and each pair on a line of its own",
        )
    for rule in _RULES:
        slip = rule(spot)
        if slip is not None:
            return slip
    return spot.slip(
        f"this is no line of TOML: {shown(spot.line.strip())}",
        'write a table like [site], a pair like line = 17 or kind = "pump", or # and a comment',
    )


def _curly_quotes(spot: Spot) -> Slip | None:
    found = next((letter for letter in spot.code if letter in _CURLY), None)
    if found is None:
        return None
    pairs = zip(spot.line, spot.code, strict=True)
    meant = "".join('"' if mask in _CURLY else letter for letter, mask in pairs)
    return spot.slip(
        f"{found} is a typographic quotation mark; texts stand between straight ones",
        f"write {meant.strip()}",
        key=spot.key,
        meant=meant,
    )


def _bad_text(spot: Spot) -> Slip | None:
    key = spot.key
    control = _CONTROL.match(spot.complaint)
    if control is not None:
        message = f"the control character {control.group('shown')} may not stand here"
        return spot.slip(message, "delete the character", key=key)
    if not spot.complaint.startswith(_ESCAPE):
        return None
    if spot.complaint.startswith("Escaped"):
        message = "the escape stands for one half of a surrogate pair, which is no character"
        return spot.slip(message, "write the character itself", key=key)
    meant = spot.line.replace("\\", "\\\\")
    message = "a backslash in a text begins an escape such as \\n, and this one is none"
    return spot.slip(message, f"write {meant.strip()}", key=key, meant=meant)


def _open_text(spot: Spot) -> Slip | None:
    if not spot.has_open_text:
        return None
    key = spot.key
    if re.search("\"\"\"|'''", spot.line):
        message = "a text that begins with three quotation marks is not closed"
        return spot.slip(message, "write the three marks again where it ends", key=key)
    statement = _STATEMENT.match(spot.line.rstrip())
    message = "the text is not closed: a quotation mark on this line has no partner"
    body = re.sub(r"\s+#.*$", "", statement.group("value")) if statement is not None else ""
    if statement is None or spot.opened or body[:1] not in {'"', "'"} or body.count(body[0]) > 1:
        return spot.slip(message, "write the mark where the text ends", key=key)
    meant = f"{spot.line[: statement.start('value')]}{body}{body[0]}"
    return spot.slip(message, f"write {meant.strip()}", key=key, meant=meant)


def _open_bracket(spot: Spot) -> Slip | None:
    begins_anew = re.match(r"\s*(\[+\s*[\w.\"'-]+\s*\]+\s*$|[\w-]+\s*=)", spot.code)
    if spot.opened == "[" and (begins_anew or not spot.code.strip()):
        message = f"the [ on line {spot.opened_on} is not closed before this line"
        slip = spot.slip(message, "write ] after the last item of the list")
        return slip._replace(place=spot.table[:-1])
    if spot.complaint.startswith("Unclosed array") and spot.code.strip()[:1] in {"{", "["}:
        message = "a comma is missing between this item of the list and the one before it"
        return spot.slip(message, "write , after the item before")
    if spot.code.count("{") > spot.code.count("}"):
        return spot.slip("a table in braces is not closed on its line", _BRACES)
    return None


def _foreign_comment(spot: Spot) -> Slip | None:
    match = _FOREIGN_COMMENT.match(spot.code)
    if match is None:
        return None
    rest = spot.line[match.end() :].strip()
    message = f"{match.group(1)} does not begin a comment in TOML; # does"
    return spot.slip(message, f"write # {rest}", meant=f"# {rest}")


def _braces(spot: Spot) -> Slip | None:
    """A slip between braces: a comma too few or too many, or a pair that is none."""
    if not spot.opened and "{" not in spot.code:
        return None
    outer = "" if spot.opened else spot.key
    if re.search(r",\s*\}", spot.code):
        meant = _with_code(spot, re.compile(r",(?=\s*\})"), "")
        return spot.slip("TOML has no comma before }", f"write {meant.strip()}", meant=meant)
    for match in _INNER.finditer(spot.code):
        value = spot.line[slice(*match.span("value"))]
        if match.group("sep") == "=" and stands(f"x = {value}"):
            continue
        key = match.group("key").strip("\"'")
        return _wrong_pair(spot, match, outer or key)
    gap = _NO_COMMA.search(spot.code, spot.code.index("{") + 1 if "{" in spot.code else 0)
    if gap is None:
        return None
    start = gap.start("gap")
    meant = f"{spot.line[:start]},{spot.line[start:]}"
    message = f"a comma is missing before {gap.group('key')}"
    return spot.slip(message, f"write {meant.strip()}", key=outer or gap.group("key"), meant=meant)


def _with_code(spot: Spot, pattern: re.Pattern[str], new: str) -> str:
    """The line with what the pattern finds in its code replaced."""
    line = spot.line
    for match in reversed(list(pattern.finditer(spot.code))):
        line = line[: match.start()] + new + line[match.end() :]
    return line


def _pair(spot: Spot) -> Slip | None:
    match = _STATEMENT.match(spot.code.rstrip())
    if match is None or not match.group("key"):
        return _no_pair(spot)
    key = spot.line[slice(*match.span("key"))].strip()
    if re.fullmatch(r"[\w.-]+|\"[^\"]*\"|'[^']*'", key, re.ASCII):
        return _wrong_pair(spot, match, key.strip("\"'"))
    value = spot.line[slice(*match.span("value"))]
    message = f"{shown(key)} is no key: keys have letters from a to z, digits, - and _"
    if not key.isascii():
        return spot.slip(message, "write the key with such letters", meant="#")
    clean = re.sub(r"\W+", "_", key).strip("_")
    return spot.slip(message, f"write {clean} = {value}", key=clean, meant=f"{clean} = {value}")


def _wrong_pair(spot: Spot, match: re.Match[str], key: str) -> Slip:
    """The slip of a pair whose separator or value is wrong; `key` is its place's last."""
    start, end = match.span("value")
    name, value = match.group("key").strip("\"'"), spot.line[start:end]
    wrong, better = "", value or None
    if not stands(f"x = {value}"):
        wrong, better = mended_value(name.rpartition(".")[2], value)
    if match.group("sep") != "=":
        wrong = f"{match.group('sep')} stands between key and value; TOML writes ="
    if better is None:
        mend = f"write {name} = and the value"
        if value:
            mend = _BRACES if value[0] in "[{" else "write each pair on a line of its own"
        return spot.slip(wrong, mend, key=key)
    meant = f"{spot.line[: match.end('key')]} = {better}{spot.line[end:]}"
    return spot.slip(wrong, f"write {name} = {better}", key=key, meant=meant)


def _no_pair(spot: Spot) -> Slip | None:
    words = spot.line[: len(spot.code.rstrip())].split(maxsplit=1)
    if spot.opened or not words or not re.fullmatch(r"[\w-]+", words[0], re.ASCII):
        return None
    message = f"after {words[0]} stands no ="
    if len(words) == 1:
        return spot.slip(message, f"write {words[0]} = and the value", key=words[0])
    value = words[1] if stands(f"x = {words[1]}") else mended_value(*words)[1]
    meant = f"{words[0]} = {value}"
    return spot.slip(message, f"write {meant}", key=words[0], meant=meant)


_RULES: tuple[Callable[[Spot], Slip | None], ...] = (
    _curly_quotes,
    twice,
    _bad_text,
    _open_text,
    _foreign_comment,
    _open_bracket,
    header,
    _braces,
    _pair,
)
