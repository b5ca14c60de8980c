"""What comes out of a decision: orders, their reasons, and notices for the journal.

A reason is kept as facts and turned into a sentence (`words`) only when somebody
reads it: a year of decisions makes a million of them.
"""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from controller.core.spans_in_force import Piece
    from controller.core.units import Instant


class Why(Enum):
    """The rule that an order follows; listed in the order of authority."""

    NO_POWER = "no power"  # the world's doing, not ours: only a dry run knows it
    STOPPED = "stop switch"
    LEAK = "leak"
    LEVEL_LOW = "reservoir low"
    NO_FLOW = "no flow"
    LONGEST_ON = "longest on reached"
    SHORTEST_ON = "shortest on"
    SHORTEST_OFF = "shortest off"
    STARTS_APART = "starts kept apart"
    WATTS_AT_ONCE = "watts at once"
    HOLD = "hold"
    WITHOUT_CLOCK = "clock not trusted"
    RECOVERY = "recovery watering"
    VARIANT = "variant"
    DEMAND = "demand"
    PLAN = "plan"
    NO_SPAN = "no span"  # the plan has a hole here; `check` tells of it

    __hash__ = object.__hash__  # members are single; Enum's own hash is slow Python


class Reason(NamedTuple):
    """Why a load is in its state.

    `piece` is the stretch of the plan in force (with the cycle and the moment since
    which it runs), `detail` the name of what decided (a variant, a sensor, a hold's
    order), `until` the instant at which the state is next due to change, if known.
    """

    why: Why
    piece: Piece | None = None
    detail: str = ""
    until: Instant | None = None


class Order(NamedTuple):
    """One load's new state."""

    load: str
    is_on: bool
    reason: Reason


class Event(Enum):
    """What the journal is told besides orders."""

    ALARM_RAISED = "alarm"
    ALARM_CLEARED = "alarm over"
    ALARM_ACKNOWLEDGED = "alarm acknowledged"
    VARIANT_ENTERED = "variant entered"
    VARIANT_LEFT = "variant left"
    HOLD_BEGAN = "hold began"
    HOLD_ENDED = "hold ended"
    RECOVERY_BEGAN = "recovery watering began"
    CLOCK_TRUSTED = "clock trusted"
    CLOCK_LOST = "clock not trusted"
    CLOCK_STEPPED = "clock stepped"
    POWER_LOST = "power lost"
    POWER_BACK = "power back"
    CONTROLLER_BACK = "controller back"
    STOPPED = "everything stopped"
    RESUMED = "stop released"
    REQUEST_REFUSED = "request refused"


class AlarmCode(Enum):
    """What is wrong. The text completes "Alarm: … (subject)"."""

    LEAK = "leak"
    LEVEL_LOW = "reservoir low"
    NO_FLOW = "no flow"
    SENSOR_SILENT = "sensor silent"
    CLOCK_UNTRUSTED = "clock not trusted"
    OUTAGE = "roots left dry"
    WATERING_MISSED = "watering missed"
    KEPT_WAITING = "kept waiting"
    NO_SPAN = "plan has a hole"
    RELAY = "relay does not obey"
    JOURNAL = "journal not written"
    PLAN_REFUSED = "plan on disk refused"

    @property
    def latches(self) -> bool:
        """Whether it stays until a person acknowledges it, because one must look."""
        return self not in _OVER_WITH_THEIR_CAUSE


_ALARM_CODES = {code.value: code for code in AlarmCode}


def alarm_detail(code: AlarmCode, detail: str = "") -> str:
    """What the notice of an alarm has for its detail: the code, and what there is to say of it."""
    return f"{code.value}: {detail}" if detail else code.value


def alarm_code_of(detail: str) -> AlarmCode | None:
    """The code with which the detail of an alarm's notice begins, whatever follows: what there is
    to say of it, or who acknowledged it. None where it begins with no code."""
    return _ALARM_CODES.get(detail.partition(": ")[0].partition(", by ")[0])


_OVER_WITH_THEIR_CAUSE = frozenset(
    {
        AlarmCode.SENSOR_SILENT,
        AlarmCode.CLOCK_UNTRUSTED,
        AlarmCode.NO_SPAN,
        AlarmCode.JOURNAL,
        AlarmCode.PLAN_REFUSED,
    }
)


class Notice(NamedTuple):
    """One entry for the journal: what happened to which load or sensor."""

    event: Event
    subject: str = ""
    detail: str = ""
