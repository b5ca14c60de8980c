"""A smooth curve through points that fall, which falls as they do and never overshoots."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

# Beyond this circle of slopes, as multiples of the secant, a cubic may turn: Fritsch and
# Carlson, section 3.
_RADIUS = 3.0


@dataclass(frozen=True, slots=True)
class MonotoneCubic:
    """Piecewise cubic through points of rising `xs` and never rising `ys`.

    Source: F. N. Fritsch and R. E. Carlson, "Monotone piecewise cubic interpolation", SIAM J.
        Numer. Anal. 17 (1980) 238, slopes held within the circle of radius 3.
    """

    xs: tuple[float, ...]
    ys: tuple[float, ...]
    slopes: tuple[float, ...]

    def y(self, x: float) -> float:
        """The curve at x, which lies between the first and the last of `xs`."""
        left = min(max(bisect_right(self.xs, x) - 1, 0), len(self.xs) - 2)
        width = self.xs[left + 1] - self.xs[left]
        top, bottom = self.ys[left], self.ys[left + 1]
        share = (x - self.xs[left]) / width
        rest = 1.0 - share
        value = (
            (1.0 + 2.0 * share) * rest * rest * top
            + share * share * (3.0 - 2.0 * share) * bottom
            + share * rest * rest * width * self.slopes[left]
            - share * share * rest * width * self.slopes[left + 1]
        )
        # The last digit of a rounded cubic may lie outside of its two points.
        return min(max(value, bottom), top)


def monotone_cubic(xs: Sequence[float], ys: Sequence[float]) -> MonotoneCubic:
    """The curve through two points or more, `xs` rising and `ys` never rising."""
    secants = [
        (lower - upper) / (right - left)
        for (left, right), (upper, lower) in zip(pairwise(xs), pairwise(ys), strict=True)
    ]
    inner = [(before + after) / 2.0 for before, after in pairwise(secants)]
    slopes = [secants[0], *inner, secants[-1]]
    for place, secant in enumerate(secants):
        if secant == 0.0:
            slopes[place] = slopes[place + 1] = 0.0
            continue
        start, end = slopes[place] / secant, slopes[place + 1] / secant
        length = sqrt(start * start + end * end)
        if length > _RADIUS:
            slopes[place] *= _RADIUS / length
            slopes[place + 1] *= _RADIUS / length
    return MonotoneCubic(tuple(xs), tuple(ys), tuple(slopes))
