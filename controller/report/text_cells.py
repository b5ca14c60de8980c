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


def wrapped(text: str, width: int, indent: str = "") -> list[str]:
    """The text in lines of at most that many cells; every line but the first is indented.

    A word longer than a line is broken.
    """
    indent = indent if width_of(indent) < width // 2 else ""
    lines: list[str] = []
    line = ""
    for word in text.split():
        start = indent if lines else ""
        joined = f"{line} {word}" if line else start + word
        if width_of(joined) <= width:
            line = joined
            continue
        if line:
            lines.append(line)
        line = indent + word if lines else word
        while width_of(line) > width:
            head = _head(line, width)
            lines.append(head)
            line = indent + line[len(head) :]
    return [*lines, line] if line else lines


def _head(text: str, width: int) -> str:
    """As much of the text as fits, one character at the least."""
    cells = 0
    for place, char in enumerate(text):
        cells += _width(char)
        if cells > width and place:
            return text[:place]
    return text


def shortened(text: str, width: int) -> str:
    """The text within that many cells, its middle left out where it does not fit: names
    that differ differ at their ends."""
    if width_of(text) <= width:
        return text
    keep = max(0, width - 1)
    tail = keep // 2
    return text[: keep - tail] + "…" + (text[-tail:] if tail else "")
