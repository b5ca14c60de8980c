"""What loads did during a time gone by, as the journal's entries tell it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from controller.core.journal_entry import SWITCHINGS, Deed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from controller.core.units import Instant

Stretch: TypeAlias = "tuple[Instant, Instant]"
_ON = Deed.SWITCHED_ON.value


class Told(NamedTuple):
    """What of an entry counts here."""

    what: str
    subject: str
    at: Instant
    why: str


class State(NamedTuple):
    """A load was on or off from a switching until before the next; `why` is the rule that
    decided it (`orders.Why` as text)."""

    start: Instant
    end: Instant
    is_on: bool
    why: str


class History(NamedTuple):
    """The states of each load, in order and uncut, and when the controller did not run: then
    nothing is known of them."""

    states: dict[str, tuple[State, ...]]
    away: tuple[Stretch, ...]


def history_of(entries: Iterable[Told], *, until: Instant) -> History:
    """What entries tell, given in the order in which they were written.

    A controller that died without a word ran until its last entry, as far as anybody knows. What
    is on or off at the end counts as such until then. A clock that was put back makes no state
    of negative length; those before and after may overlap.
    """
    keeper = _Keeper()
    for entry in entries:
        keeper.hear(entry)
    keeper.finish(until)
    return History(
        {name: tuple(states) for name, states in keeper.states.items()}, tuple(keeper.away)
    )


class _Keeper:
    """Hears entry after entry."""

    def __init__(self) -> None:
        self.states: dict[str, list[State]] = {}
        self.away: list[Stretch] = []
        self._open: dict[str, tuple[Instant, bool, str]] = {}
        self._newest: Instant | None = None
        self._ended: Instant | None = None

    def hear(self, entry: Told) -> None:
        what, subject, at, why = entry
        if what in SWITCHINGS:
            self._close(subject, at)
            self._open[subject] = (at, what == _ON, why)
        elif what == Deed.STARTED.value:
            self._start(at)
        elif what == Deed.ENDED.value:
            self._close_all(at)
            self._ended = at
        self._newest = at

    def finish(self, until: Instant) -> None:
        self._close_all(until)
        if self._ended is not None and self._ended < until:
            self.away.append((self._ended, until))

    def _start(self, at: Instant) -> None:
        gone = self._newest if self._ended is None else self._ended
        if gone is not None:
            self._close_all(gone)
            if gone < at:
                self.away.append((gone, at))
        self._ended = None

    def _close_all(self, at: Instant) -> None:
        for load in list(self._open):
            self._close(load, at)
        self._open.clear()

    def _close(self, load: str, at: Instant) -> None:
        states = self.states.setdefault(load, [])
        if load in self._open:
            start, is_on, why = self._open[load]
            if start < at:
                states.append(State(start, at, is_on, why))


def on_stretches(states: Iterable[State]) -> list[Stretch]:
    """When a load was on, whatever the rule: states that touch are one stretch."""
    found: list[Stretch] = []
    for state in states:
        if not state.is_on:
            continue
        if found and found[-1][1] == state.start:
            found[-1] = (found[-1][0], state.end)
        else:
            found.append((state.start, state.end))
    return found
