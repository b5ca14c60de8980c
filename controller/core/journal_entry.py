"""One line of the journal: what happened, to what, when and why."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING, NamedTuple

from controller.core.orders import Event

if TYPE_CHECKING:
    from controller.core.observation import Tick
    from controller.core.units import Instant


class Deed(Enum):
    """What the daemon itself does, besides the events of `orders.Event`."""

    SWITCHED_ON = "on"
    SWITCHED_OFF = "off"
    STARTED = "controller started"
    ENDED = "controller ended"
    PLAN_TAKEN = "plan taken"
    PLAN_REFUSED = "plan refused"
    ENTRIES_LOST = "entries lost"
    JOURNAL_BEGUN = "journal begun"
    MISTAKE = "mistake of the controller"


class Kind(Enum):
    """What a reader of the journal may ask for alone. Every deed and event is of one kind."""

    SWITCHED = "switched"
    ALARMS = "alarms"
    HOLDS = "holds"
    PLAN = "plan"
    VARIANTS = "variants"
    CLOCK = "clock"
    STARTS = "starts"


_KINDS: dict[Deed | Event, Kind] = {
    Deed.SWITCHED_ON: Kind.SWITCHED,
    Deed.SWITCHED_OFF: Kind.SWITCHED,
    Deed.STARTED: Kind.STARTS,
    Deed.ENDED: Kind.STARTS,
    Deed.PLAN_TAKEN: Kind.PLAN,
    Deed.PLAN_REFUSED: Kind.PLAN,
    Deed.ENTRIES_LOST: Kind.ALARMS,
    Deed.JOURNAL_BEGUN: Kind.STARTS,
    Deed.MISTAKE: Kind.ALARMS,
    Event.ALARM_RAISED: Kind.ALARMS,
    Event.ALARM_CLEARED: Kind.ALARMS,
    Event.ALARM_ACKNOWLEDGED: Kind.ALARMS,
    Event.VARIANT_ENTERED: Kind.VARIANTS,
    Event.VARIANT_LEFT: Kind.VARIANTS,
    Event.HOLD_BEGAN: Kind.HOLDS,
    Event.HOLD_ENDED: Kind.HOLDS,
    Event.RECOVERY_BEGAN: Kind.STARTS,
    Event.CLOCK_TRUSTED: Kind.CLOCK,
    Event.CLOCK_LOST: Kind.CLOCK,
    Event.CLOCK_STEPPED: Kind.CLOCK,
    Event.POWER_LOST: Kind.STARTS,
    Event.POWER_BACK: Kind.STARTS,
    Event.CONTROLLER_BACK: Kind.STARTS,
    Event.STOPPED: Kind.HOLDS,
    Event.RESUMED: Kind.HOLDS,
    Event.REQUEST_REFUSED: Kind.HOLDS,
}


def whats_of(kind: Kind) -> tuple[str, ...]:
    """What entries of that kind say in `what`, as text."""
    return tuple(what.value for what, its_kind in _KINDS.items() if its_kind is kind)


SWITCHINGS = whats_of(Kind.SWITCHED)


class Entry(NamedTuple):
    """One line of the journal.

    `what` is a `Deed` or an `Event` as text, `subject` the load or sensor, `why` the rule
    of a switching (`orders.Why` as text), `detail` a sentence. `at` is what the
    controller's clock showed, which `is_clock_trusted` tells whether to believe; `tick`
    its monotonic clock. `late_ms` is how long after its time a switching was carried out.
    """

    at: Instant
    tick: Tick
    is_clock_trusted: bool
    what: str
    subject: str = ""
    why: str = ""
    detail: str = ""
    late_ms: float | None = None


class Numbered(NamedTuple):
    """An entry and its number in the journal; later ones have higher numbers."""

    number: int
    entry: Entry


class Summary(NamedTuple):
    """A sensor's readings of a stretch of time."""

    sensor: str
    start: Instant
    end: Instant
    count: int  # type: ignore[assignment]  # nobody counts a summary's fields
    least: float
    mean: float
    most: float
