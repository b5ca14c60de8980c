"""What changed between two plans, as a unified diff."""

from __future__ import annotations

from difflib import unified_diff

from controller.core.errors import BadRequestError

# Comparing takes up to the square of it; a plan of 54 loads has 2,000 lines.
LINES_MAX = 5_000


def difference_of(before: str, after: str, *, names: tuple[str, str]) -> str:
    """The lines that went and came, with three lines around; empty where there are none.

    Raises:
        BadRequestError: a text is too long to compare.
    """
    lines = before.splitlines(), after.splitlines()
    if max(map(len, lines)) > LINES_MAX:
        raise BadRequestError(
            f"these plans have more than {LINES_MAX:,} lines: too long to compare here"
        )
    return "".join(f"{line}\n" for line in unified_diff(*lines, *names, lineterm=""))
