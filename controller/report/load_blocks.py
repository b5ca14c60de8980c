"""Loads as blocks of labelled lines: for few loads, and for narrow terminals."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.phrases import gap_words, turn_words
from controller.report.load_words import NOTHING
from controller.report.text_cells import printable, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.report.ink import Ink
    from controller.report.load_words import Extreme, LoadWords

_WIDE = 64  # from here on labels have a column of their own
_INDENT = 23  # the longest label, and a gap


def block(words: LoadWords, currency: str, *, width: int, ink: Ink) -> list[str]:
    """One load as lines of at most that width."""
    watts = "watts not stated" if words.watts == NOTHING else f"{words.watts} W"
    head = wrapped(f"{words.name} ({words.kind}, {watts})", width, rest="  ")
    lines = [ink.heading(line) for line in head]
    for label, value in _entries(words, currency):
        lines += entry(label, value, width=width)
    return lines


def entry(label: str, value: str, *, width: int) -> list[str]:
    """A label and its value: side by side where there is room, else one after the other."""
    if width < _WIDE:
        return wrapped(f"{label}: {value}", width, first="  ", rest="    ")
    return wrapped(value, width, first=f"  {label}".ljust(_INDENT), rest=" " * _INDENT)


def _entries(words: LoadWords, currency: str) -> Iterator[tuple[str, str]]:
    rate = f"{words.starts_a_day} a day, at most {words.most_starts_an_hour} an hour"
    yield turn_words(words.kind, 2), f"{words.starts}, {rate}"
    yield "on", f"{words.on}, {words.share} of the time"
    yield f"longest {gap_words(words.kind)}", _extreme(words.gap)
    yield "longest on", _extreme(words.longest_on)
    yield "relay", f"{words.operations} operations a year"
    yield "its contact", f"{words.wear} of its rated life used a year, lasts {words.lasts}"
    if words.kwh != NOTHING:
        yield "energy", f"{words.kwh} kWh, {words.kwh_a_month} kWh a month"
    if words.cost != NOTHING:
        yield "cost", printable(f"{words.cost} {currency}, {words.cost_a_month} {currency} a month")


def _extreme(extreme: Extreme) -> str:
    return extreme.length if extreme.span == NOTHING else f"{extreme.length}, {extreme.span}"
