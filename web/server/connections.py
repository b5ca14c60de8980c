"""How many connections one address may have, and who goes when there are too many.

An idle crowd must not keep the owner out: when the house is full, the address with the most
connections loses the one that has been quiet for longest. What is refused is closed without
an answer, which costs nothing.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from web.settings import Limits


class Visit(Protocol):
    """A connection, as far as its place in the house goes."""

    visitor: str
    quiet_since_s: float | None  # None while a request of it is being answered

    def cut_off(self) -> None:
        """Closes it at once."""


class House:
    """All connections there are."""

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        self._visits: dict[Visit, None] = {}

    def __len__(self) -> int:
        return len(self._visits)

    def enter(self, visit: Visit) -> None:
        """Lets one in; somebody else may have to go."""
        self._visits[visit] = None
        of_address = [one for one in self._visits if one.visitor == visit.visitor]
        if len(of_address) > self._limits.connections_of_one_address_max:
            self._send_away(of_address, newest=visit)
        elif len(self._visits) > self._limits.connections_max:
            counts = Counter(one.visitor for one in self._visits)
            most = max(counts.values())
            crowd = [one for one in self._visits if counts[one.visitor] == most]
            self._send_away(crowd, newest=visit)

    def leave(self, visit: Visit) -> None:
        """One has gone; repeatable."""
        self._visits.pop(visit, None)

    def _send_away(self, crowd: list[Visit], *, newest: Visit) -> None:
        """The quiet one that came or spoke first; where all are busy, the newest of them."""
        quiet = [one for one in crowd if one.quiet_since_s is not None and one is not newest]
        if quiet:
            goes = min(quiet, key=lambda one: one.quiet_since_s or 0.0)
        else:
            goes = newest if newest in crowd else crowd[-1]
        self.leave(goes)
        goes.cut_off()
