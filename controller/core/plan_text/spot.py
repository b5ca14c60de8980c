"""The spot of a plan's text at which the TOML reader stopped, and what is around it."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from controller.core.plan_text.scan import Shape, scan
from controller.core.plan_text.tokens import tokens_of

if TYPE_CHECKING:
    from controller.core.plan_text.place import Place
    from controller.core.plan_text.scan import Mark


class Slip(NamedTuple):
    """One mistake: its place, the sentences for it, and the line as it was meant."""

    line: int
    place: Place
    message: str
    mend: str
    meant: str | None = None


@dataclass(frozen=True, slots=True)
class Spot:
    """A line on which reading stopped.

    `code` is the line without its comment and with the insides of texts masked, so that
    positions in both are the same. `table` is the place of what encloses the line;
    `opened` the bracket open where the line begins, or nothing, and `opened_on` its line.
    `marks` are those of the text before the line.
    """

    complaint: str
    number: int
    column: int
    line: str
    code: str
    table: Place
    opened: str
    opened_on: int
    has_open_text: bool
    marks: tuple[Mark, ...]

    @property
    def key(self) -> str:
        """The key before the line's first = as far as it is one, else nothing."""
        before, equals, _ = self.code.partition("=")
        key = self.line[: len(before)].strip().strip("\"'") if equals else ""
        return key if re.fullmatch(r"[\w.-]+", key, re.ASCII) else ""

    def slip(self, message: str, mend: str, *, key: str = "", meant: str | None = None) -> Slip:
        """A slip on this line; `meant` is dropped where TOML would not take it either.

        A line with braces may have a slip more, and is kept for the next round.
        """
        place = (*self.table, *key.split(".")) if key else self.table
        if meant is not None and not (self.opened or "{" in self.code or stands(meant)):
            meant = None
        return Slip(self.number, place, f"{message} (column {self.column})", mend, meant)


def stands(line: str) -> bool:
    """Whether TOML takes the line as it is."""
    try:
        tomllib.loads(line)
    except (ValueError, RecursionError):
        return False
    return True


def spot_at(text: str, complaint: str, *, line: int, column: int) -> Spot:
    """The spot of a complaint about a line of the text, both counted from 1."""
    lines = text.split("\n")
    start = sum(len(one) + 1 for one in lines[: line - 1])
    source = lines[line - 1].rstrip("\r")
    end = start + len(source)
    code = [" "] * len(source)
    opened: list[tuple[str, int]] = []
    has_open_text = False
    for kind, begin, past in zip(*tokens_of(text), strict=True):
        if begin >= end:
            break
        if begin < start and kind in {"[", "{"}:
            opened.append((kind, begin))
        elif begin < start and kind in {"]", "}"} and opened:
            opened.pop()
        is_text = kind == "string"
        if is_text and past >= end and not is_closed(text[begin:past]):
            has_open_text = True
        for position in range(max(begin, start), min(past, end)):
            is_inside = is_text and begin < position < past - 1
            code[position - start] = "s" if is_inside else text[position]
    marks = tuple(scan(text[:start]))
    bracket, offset = opened[-1] if opened else ("", 0)
    return Spot(
        complaint=complaint,
        number=line,
        column=column,
        line=source,
        code="".join(code),
        table=_enclosing(marks, offset if bracket else None),
        opened=bracket,
        opened_on=text.count("\n", 0, offset) + 1 if bracket else 0,
        has_open_text=has_open_text,
        marks=marks,
    )


def is_closed(source: str) -> bool:
    """Whether a text's token ends with the quotation marks that it begins with."""
    marks = source[:3] if source.startswith(('"""', "'''")) else source[0]
    return len(source) >= 2 * len(marks) and source.endswith(marks)


def _enclosing(marks: tuple[Mark, ...], bracket: int | None) -> Place:
    """The place of the table or of the list's next item that encloses what follows."""
    opening = (m for m in reversed(marks) if m.opens and m.value == bracket)
    holder = next(opening, None) if bracket is not None else None
    if holder is None:
        headers = (m.place for m in reversed(marks) if m.shape in {Shape.TABLE, Shape.ITEM})
        return next(headers, ())
    if holder.opens == "{":
        return holder.place
    depth = len(holder.place) + 1
    count = sum(1 for m in marks if m.place[:-1] == holder.place and len(m.place) == depth)
    return (*holder.place, count)
