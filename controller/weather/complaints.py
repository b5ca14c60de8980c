"""The mistakes of one weather file, collected so that all are told at once."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from controller.core.errors import BadWeatherError

COMPLAINTS_MAX = 20  # more would scroll the first, which is often the cause, out of sight


class _Complaint(NamedTuple):
    line: int
    column: str
    text: str

    def __str__(self) -> str:
        where = f"line {self.line}" if self.line else ""
        place = ", ".join(part for part in (where, self.column) if part)
        return f"  {place}: {self.text}" if place else f"  {self.text}"


class Complaints:
    """Mistakes found in one file; the first twenty by line are told."""

    def __init__(self, source: str) -> None:
        self._source = source
        self._told: list[_Complaint] = []
        self._counts: Counter[str] = Counter()

    def add(self, line: int, column: str, *, found: str, allowed: str, mend: str) -> None:
        """Note a mistake; line 0 stands for the whole file, lines of a column come in order."""
        self._counts[column] += 1
        if self._counts[column] <= COMPLAINTS_MAX:
            text = f"found {found}; allowed: {allowed}; {mend}"
            self._told.append(_Complaint(line, column, text))

    def __bool__(self) -> bool:
        return bool(self._told)

    def are_enough(self, column: str) -> bool:
        """Whether more mistakes of this column would not be told, so that reading can stop."""
        return self._counts[column] > COMPLAINTS_MAX

    def raise_if_any(self) -> None:
        """Raise what was noted.

        Raises:
            BadWeatherError: there is at least one mistake.
        """
        if not self._told:
            return
        count = self._counts.total()
        told = sorted(self._told, key=lambda complaint: complaint.line)[:COMPLAINTS_MAX]
        number = "1 mistake" if count == 1 else f"{count} mistakes"
        if count > COMPLAINTS_MAX:
            number = f"more than {COMPLAINTS_MAX} mistakes"
        lines = [f"{self._source}: {number} in the weather file", *map(str, told)]
        if count > COMPLAINTS_MAX:
            lines.append(f"  and more: only the first {COMPLAINTS_MAX} are told")
        raise BadWeatherError("\n".join(lines))
