"""A plan's text as an editor sees it: lines, the tables that own them, and changes to both.

A comment right above a header belongs to that table, and a comment right below a table's
last line to that one; comments with blank lines around them belong to nobody.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING, NamedTuple

from controller.core.plan_text.scan import Mark, Shape, scan

if TYPE_CHECKING:
    from controller.core.plan_text.place import Place

_HEADERS = {Shape.TABLE, Shape.ITEM}


class Block(NamedTuple):
    """A header and what stands under it; `first` and `last` are its lines from 0."""

    mark: Mark
    pairs: tuple[Mark, ...]
    first: int
    last: int


class Layout:
    """A valid TOML text, taken apart; `marks` are those of `plan_text.scan`."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.newline = "\r\n" if "\r\n" in text else "\n"
        self.lines = _lines(text)
        self.marks = scan(text)
        self._starts = [0]
        for line in self.lines:
            self._starts.append(self._starts[-1] + len(line))
        self._holders = self._find_holders()
        self.blocks = self._find_blocks()

    def find(self, place: Place) -> Mark | None:
        """The mark of what is written at exactly this place."""
        return next((mark for mark in self.marks if mark.place == place), None)

    def within(self, place: Place) -> list[Mark]:
        """The marks of what is written at a place or inside of it."""
        return [mark for mark in self.marks if mark.place[: len(place)] == place]

    def items(self, place: Place) -> list[Mark]:
        """The marks of a list's items, in their order."""
        return [
            mark
            for mark in self.within(place)
            if len(mark.place) == len(place) + 1 and isinstance(mark.place[-1], int)
        ]

    def ranges(self, place: Place) -> list[tuple[int, int]]:
        """The lines, first and last, of all tables and pairs at a place or inside of it."""
        found = [
            (block.first, block.last)
            for block in self.blocks
            if block.mark.place[: len(place)] == place
        ]
        for pair in self.within(place):
            first, last = self.line_of(pair.start), self.line_of(pair.end - 1)
            if pair.shape is Shape.PAIR and not any(a <= first <= b for a, b in found):
                found.append((first, last))
        return sorted(found)

    def holder(self, mark: Mark) -> Mark | None:
        """The value in brackets or braces that a mark stands directly in."""
        return self._holders[mark.start]

    def block_of(self, mark: Mark) -> Block | None:
        """The table that a header begins, or that a statement stands under."""
        before = [block for block in self.blocks if block.mark.start <= mark.start]
        return before[-1] if before else None

    def last_line_within(self, place: Place) -> int | None:
        """The last line of the tables with headers at a place or inside of it."""
        lasts = [b.last for b in self.blocks if b.mark.place[: len(place)] == place]
        return max(lasts, default=None)

    def top_pairs(self) -> list[Mark]:
        """The pairs above the first header."""
        end = self.blocks[0].mark.start if self.blocks else len(self.text)
        return [mark for mark in self.marks if mark.shape is Shape.PAIR and mark.start < end]

    def line_of(self, offset: int) -> int:
        """The line from 0 on which an offset stands."""
        return max(0, bisect_right(self._starts, offset) - 1)

    def start_of(self, line: int) -> int:
        """The offset at which a line begins; of the line after the last, the text's end."""
        return self._starts[min(line, len(self.lines))]

    def indent_of(self, offset: int) -> str:
        """The blanks before the first sign on an offset's line."""
        line = self.lines[self.line_of(offset)]
        return line[: len(line) - len(line.lstrip(" \t"))]

    def stands_alone(self, mark: Mark) -> bool:
        """Whether nothing but blanks stands before a mark on its line."""
        return not self.text[self.start_of(self.line_of(mark.start)) : mark.start].strip()

    def comments_above(self, line: int) -> int:
        """The first of the comment lines right above a line, or that line itself."""
        while line > 0 and self.lines[line - 1].lstrip().startswith("#"):
            line -= 1
        return line

    def is_blank(self, line: int) -> bool:
        """Whether a line is there and empty."""
        return 0 <= line < len(self.lines) and not self.lines[line].strip()

    def with_lines(self, line: int, new: list[str]) -> str:
        """The text with lines put in before a line."""
        written = "".join(one + self.newline for one in new)
        before, after = self.text[: self.start_of(line)], self.text[self.start_of(line) :]
        if before and not before.endswith("\n"):
            return before + self.newline + written.removesuffix(self.newline)
        return before + written + after

    def with_block(self, line: int, new: list[str]) -> str:
        """The text with a table's lines put in before a line, set off by blank lines."""
        above = [] if line == 0 or self.is_blank(line - 1) else [""]
        below = [] if line >= len(self.lines) or self.is_blank(line) else [""]
        return self.with_lines(line, [*above, *new, *below])

    def without_lines(self, ranges: list[tuple[int, int]]) -> str:
        """The text without ranges of lines, both ends included, in ascending order.

        Where blank lines stood on both sides of a range, those below it go with it.
        """
        gone: set[int] = set()
        for first, last in ranges:
            gone.update(range(first, last + 1))
            above = first - 1
            while above in gone:
                above -= 1
            below = last + 1
            if above < 0 or self.is_blank(above):
                while self.is_blank(below):
                    gone.add(below)
                    below += 1
        return "".join(line for number, line in enumerate(self.lines) if number not in gone)

    def _find_holders(self) -> dict[int, Mark | None]:
        holders: dict[int, Mark | None] = {}
        around: list[Mark] = []
        for mark in self.marks:
            while around and around[-1].end <= mark.start:
                around.pop()
            holders[mark.start] = around[-1] if around else None
            if mark.opens:
                around.append(mark)
        return holders

    def _find_blocks(self) -> list[Block]:
        owned: list[tuple[Mark, list[Mark]]] = []
        for mark in self.marks:
            if mark.shape in _HEADERS:
                owned.append((mark, []))
            elif mark.shape is Shape.PAIR and owned:
                owned[-1][1].append(mark)
        blocks = []
        limit = len(self.lines)
        for header, pairs in reversed(owned):
            last = self.line_of(pairs[-1].end - 1 if pairs else header.start)
            while last + 1 < limit and self.lines[last + 1].lstrip().startswith("#"):
                last += 1
            first = limit = self.comments_above(self.line_of(header.start))
            blocks.append(Block(header, tuple(pairs), first, last))
        return blocks[::-1]


def _lines(text: str) -> list[str]:
    """The lines with their ends; unlike Python's own splitting, at line feeds alone."""
    parts = text.split("\n")
    return [part + "\n" for part in parts[:-1]] + ([parts[-1]] if parts[-1] else [])
