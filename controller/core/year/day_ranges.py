"""Days that follow each other as ranges, and in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.units import date_of_number

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator


def ranges(numbers: Iterable[int]) -> Iterator[tuple[int, int]]:
    """Day numbers as ranges, first and last included."""
    start = last = None
    for number in numbers:
        if last is not None and number == last + 1:
            last = number
            continue
        if start is not None and last is not None:
            yield start, last
        start = last = number
    if start is not None and last is not None:
        yield start, last


def dates_words(numbers: Iterable[int], *, ranges_max: int = 4) -> str:
    """Day numbers in words: `on 29 Mar 2026`, `from 18 May 2026 to 26 Jul 2026 (70 days)`."""
    texts = []
    for first, last in ranges(numbers):
        begin, end = date_of_number(first), date_of_number(last)
        if first == last:
            texts.append(f"on {begin.day} {begin:%b %Y}")
        else:
            days = last - first + 1
            texts.append(f"from {begin.day} {begin:%b %Y} to {end.day} {end:%b %Y} ({days} days)")
    if len(texts) > ranges_max:
        texts = [*texts[:ranges_max], f"and {len(texts) - ranges_max} times more"]
    return ", ".join(texts)
