"""Text measured in the cells of a terminal: wrapped, cut and padded to a width."""

from __future__ import annotations

from unicodedata import category, east_asian_width


def printable(text: str) -> str:
    """The text on one line, without anything that a terminal would obey instead of show."""
    plain = " ".join(text.split())
    return "".join(char if char.isprintable() else "�" for char in plain)


def width_of(text: str) -> int:
    """How many cells the text takes: wide characters two, combining ones none."""
    if text.isascii():
        return len(text)
    return sum(map(_width, text))


def _width(char: str) -> int:
    if category(char) in {"Mn", "Me", "Cf"}:
        return 0
    return 2 if east_asian_width(char) in {"W", "F"} else 1


def wrapped(text: str, width: int, *, first: str = "", rest: str = "") -> list[str]:
    """The text in lines of at most that many cells, at least one.

    `first` stands before the first line, `rest` before the others; where they would take
    half of a line they are left out. A word longer than a line is broken.
    """
    if 2 * max(width_of(first), width_of(rest)) >= width:
        first = rest = ""
    lines = [first]
    is_begun = False
    for word in text.split():
        joined = f"{lines[-1]} {word}" if is_begun else lines[-1] + word
        if width_of(joined) <= width:
            lines[-1] = joined
        else:
            if is_begun:
                lines.append(rest)
            lines[-1] += word
            while width_of(lines[-1]) > width:
                head = _head(lines[-1], width)
                lines[-1:] = [head, rest + lines[-1][len(head) :]]
        is_begun = True
    return lines


def _head(text: str, width: int) -> str:
    """As much of the text as fits, one character at the least."""
    cells = 0
    for place, char in enumerate(text):
        cells += _width(char)
        if cells > width and place:
            return text[:place]
    return text


def shortened(name: str, width: int) -> str:
    """An ASCII name within that many cells, its middle left out where it does not fit:
    names that differ differ at their ends."""
    if len(name) <= width:
        return name
    keep = max(0, width - 1)
    tail = keep // 2
    return name[: keep - tail] + "…" + (name[-tail:] if tail else "")
