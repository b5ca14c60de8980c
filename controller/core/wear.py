"""How often relays have switched, and when their contacts reach their rated life."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.journal_entry import Deed
from controller.core.units import DAY_MS, rfc3339

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.units import Instant

RECENT_DAYS = 28  # four whole weeks tell the present rate
_FOREVER_MS = 1_000 * 366 * DAY_MS
_ON, _OFF, _STARTED = Deed.SWITCHED_ON.value, Deed.SWITCHED_OFF.value, Deed.STARTED.value
WHATS = (_ON, _OFF, _STARTED)


@dataclass(slots=True)
class LoadTally:
    """One load's operations: since the first entry of it that has a time to be believed, and by
    the UTC day of late. One operation is one make and one break (IEC 61810-1)."""

    operations: int = 0
    is_on: bool = False
    since: Instant | None = None
    days: dict[int, int] = field(default_factory=dict)


@dataclass(slots=True)
class Tally:
    """What was counted up to and with the entry of that number; `last_at` is its time."""

    up_to: int = 0
    last_at: Instant = 0
    loads: dict[str, LoadTally] = field(default_factory=dict)

    def count(self, number: int, *, what: str, subject: str, at: Instant, is_trusted: bool) -> None:
        """Counts one more entry.

        A load that is told on again has not operated; after a start of the controller it has,
        since every way to end opens the relay.
        """
        self.up_to, self.last_at = number, at
        if what == _STARTED:
            for load in self.loads.values():
                load.is_on = False
        elif what in (_ON, _OFF):
            load = self.loads.setdefault(subject, LoadTally())
            if load.since is None and is_trusted:
                load.since = at
            if what == _ON and not load.is_on:
                load.operations += 1
                if is_trusted:
                    _count_day(load.days, at // DAY_MS)
            load.is_on = what == _ON

    def as_json(self) -> dict[str, Any]:
        """The tally as it is kept; days of late are not."""
        return {
            "up_to": self.up_to,
            "last_at": self.last_at,
            "loads": {
                name: [load.operations, load.is_on, load.since] for name, load in self.loads.items()
            },
        }


def _count_day(days: dict[int, int], day: int) -> None:
    days[day] = days.get(day, 0) + 1
    if len(days) > 2 * RECENT_DAYS:
        for old in sorted(days)[:RECENT_DAYS]:
            del days[old]


def tally_from_json(kept: Mapping[str, Any]) -> Tally:
    """The tally that was kept.

    Raises:
        KeyError, TypeError, ValueError: it is none.
    """
    loads = {
        str(name): LoadTally(int(operations), bool(is_on), None if since is None else int(since))
        for name, (operations, is_on, since) in kept["loads"].items()
    }
    return Tally(int(kept["up_to"]), int(kept["last_at"]), loads)


class Wear(NamedTuple):
    """One relay's wear. `contact_life` is None for a load that the plan does not have any more,
    `a_day` where no whole day of late is known."""

    load: str
    operations: int
    since: Instant | None
    contact_life: int | None
    a_day: float | None

    @property
    def share(self) -> float | None:
        """Of the rated life that is used; 1.0 is all."""
        return None if self.contact_life is None else self.operations / self.contact_life

    @property
    def left_ms(self) -> int | None:
        """How long until the rated life is reached at the present rate: 0 where it is by now,
        None where that cannot be told or lies beyond a thousand years."""
        if self.contact_life is None or self.a_day is None:
            return None
        left = self.contact_life - self.operations
        if left <= 0:
            return 0
        left_ms = left / self.a_day * DAY_MS if self.a_day else _FOREVER_MS
        return int(left_ms) if left_ms < _FOREVER_MS else None

    def as_json(self) -> dict[str, Any]:
        """The wear as a JSON object."""
        left_ms = self.left_ms
        return {
            "name": self.load,
            "operations": self.operations,
            "since_utc": None if self.since is None else rfc3339(self.since),
            "contact_life": self.contact_life,
            "share": self.share,
            "a_day": self.a_day,
            "left_s": None if left_ms is None else left_ms // 1000,
        }


def wear_of(tally: Tally, lives: Mapping[str, int], *, now: Instant | None) -> list[Wear]:
    """The wear of the plan's loads, in its order, then of those that it had before.

    Args:
        tally: of all that is known.
        lives: operations for which the contacts of the plan's loads are rated.
        now: the time by a trusted clock, if there is one; without it there is no rate.
    """
    earlier = sorted(set(tally.loads) - set(lives))
    wear = []
    for name in [*lives, *earlier]:
        load = tally.loads.get(name, LoadTally())
        rate = None if now is None else _a_day(load, now)
        wear.append(Wear(name, load.operations, load.since, lives.get(name), rate))
    return wear


def _a_day(load: LoadTally, now: Instant) -> float | None:
    """Operations a day over the whole UTC days of late; None where there was none yet."""
    if load.since is None:
        return None
    today = now // DAY_MS
    first = max(-(-load.since // DAY_MS), today - RECENT_DAYS)
    if first >= today:
        return None
    counted = sum(load.days.get(day, 0) for day in range(first, today))
    return counted / (today - first)
