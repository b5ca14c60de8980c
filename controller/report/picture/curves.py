"""Curves with no more points than an eye can tell apart."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


def thinned(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """A curve from left to right with at most four points in each unit of width: the first,
    the last, the highest and the lowest of it. So no dip is lost."""
    kept: list[tuple[float, float]] = []
    column: list[tuple[float, float]] = []
    for point in points:
        if column and int(point[0]) != int(column[0][0]):
            kept += _few(column)
            column = []
        column.append(point)
    return kept + _few(column)


def _few(column: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    if len(column) <= 4:
        return list(column)
    heights = [y for _, y in column]
    places = {0, len(column) - 1, heights.index(min(heights)), heights.index(max(heights))}
    return [column[at] for at in sorted(places)]
