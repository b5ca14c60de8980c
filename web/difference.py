"""What changed between two texts of the plan: as lines for a page, and as a unified diff."""

from __future__ import annotations

from difflib import unified_diff
from typing import TYPE_CHECKING, Any

from web.problems import Problem

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

_LINES_MAX = 5_000  # comparing takes up to the square of it


def difference_of(before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, Any]:
    """From one revision (`revision`, `text`) to another, with three lines around each change.

    Raises:
        Problem: a text is too long to compare.
    """
    texts = before["text"].splitlines(), after["text"].splitlines()
    if max(map(len, texts)) > _LINES_MAX:
        raise Problem("too-big", f"plans of over {_LINES_MAX:,} lines are too long to compare here")
    names = (f"revision {before['revision']}", f"revision {after['revision']}")
    unified = list(unified_diff(*texts, *names, lineterm=""))
    return {
        "before": before["revision"],
        "after": after["revision"],
        "text": "".join(f"{line}\n" for line in unified),
        "lines": _numbered(unified[2:]),
    }


def _numbered(unified: Sequence[str]) -> list[dict[str, Any]]:
    """The lines of a unified diff with their numbers, which its @@ lines tell."""
    lines: list[dict[str, Any]] = []
    first = second = 0
    for line in unified:
        sign, text = line[0], line[1:]
        if sign == "@":
            _, old, new, *_ = line.split()
            first, second = (_start_of(part) for part in (old, new))
            continue
        is_old, is_new = sign != "+", sign != "-"
        lines.append(
            {
                "sign": sign,
                "before": first if is_old else None,
                "after": second if is_new else None,
                "text": text,
            }
        )
        first, second = first + is_old, second + is_new
    return lines


def _start_of(part: str) -> int:
    return int(part[1:].partition(",")[0])
