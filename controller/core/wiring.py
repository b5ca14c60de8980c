"""Wiring: which level a GPIO line must have for a load to be on or off.

Two inversions lie between the two: a relay board whose input is active low, and a load on
the relay's normally-closed contact, which is on while the coil is not energised.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from controller.core.plan import Plan


class Wire(NamedTuple):
    """How one load hangs on its line."""

    load: str
    line: int
    is_active_low: bool
    is_normally_closed: bool
    is_on_when_stopped: bool
    may_be_mains: bool

    def level(self, *, is_on: bool) -> bool:
        """The level of the line (True: high) at which the load is on, or off."""
        return is_on is not (self.is_active_low is not self.is_normally_closed)

    @property
    def level_when_stopped(self) -> bool:
        """The level of the line while nobody controls the load."""
        return self.level(is_on=self.is_on_when_stopped)


def wires_of(plan: Plan) -> tuple[Wire, ...]:
    """Every load's wire, in the order of the plan."""
    return tuple(
        Wire(
            load=name,
            line=load.line,
            is_active_low=load.active == "low",
            is_normally_closed=load.contact == "normally-closed",
            is_on_when_stopped=load.when_stopped == "on",
            may_be_mains=load.mains is not False,
        )
        for name, load in plan.loads.items()
    )
