"""A contact on a line: a float, a leak probe, a stop switch.

Which level means what is a matter of safety. A normally-closed contact is closed while all
is well: water stands at the float, the floor is dry, the switch is not pressed. A wire that
breaks opens the circuit, and reads as the alarm that the contact is there for.
"""

from __future__ import annotations

import asyncio
import threading
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.core.observation import Tick
    from controller.core.plan import Contact as Kind
    from controller.core.plan import Quantity
    from controller.shell.sensors.inputs import Inputs, Pull

# What a contact says while all is well; otherwise the other of 0 and 1.
_WELL: dict[str, float] = {"level": 1.0, "leak": 0.0, "stop": 0.0}
# So long an alarm is told at least, should its end follow on its heels: whoever waits for
# news must have seen it. Ours; any time will do in which the loop takes a decision.
_TOLD_S = 0.1


def meaning(quantity: Quantity, *, kind: Kind, pull: Pull, is_high: bool) -> float:
    """What a line's level says: 0 or 1, in the quantity's sense.

    The contact joins the line to the other side than the line's resistor: with the
    resistor to the supply (`up`), a closed contact makes the line low.
    """
    is_closed = is_high is not (pull == "up")
    is_well = is_closed is (kind == "normally-closed")
    return _WELL[quantity] if is_well else 1.0 - _WELL[quantity]


class ContactSensor:
    """One contact: tells its value at each change, in the loop's thread.

    However fast the changes come, the loop has one call of this contact before it at most;
    what it finds then is the latest, after the alarm if there was one in between.

    Raises:
        UnusableLineError: the line cannot be had.
    """

    def __init__(
        self,
        inputs: Inputs,
        line: int,
        *,
        quantity: Quantity,
        kind: Kind,
        pull: Pull,
        debounce_ms: int,
        tell: Callable[[float], None],
    ) -> None:
        self._inputs = inputs
        self._line = line
        self._quantity = quantity
        self._kind = kind
        self._pull = pull
        self._tell = tell
        self._loop = asyncio.get_running_loop()
        self._is_closed = False
        self._lock = threading.Lock()  # over what the board's thread writes
        self._latest: float | None = None  # None: no change that was not told
        self._had_alarm = False
        self._is_called = False
        inputs.watch(line, pull=pull, debounce_ms=debounce_ms, on_change=self._on_change)

    def read(self) -> float:
        """What the contact says now.

        Raises:
            UnusableLineError: the line cannot be read any more.
        """
        return self._value(is_high=self._inputs.read(self._line))

    def close(self) -> None:
        """Gives the line back; repeatable."""
        self._is_closed = True
        self._inputs.unwatch(self._line)

    def _value(self, *, is_high: bool) -> float:
        return meaning(self._quantity, kind=self._kind, pull=self._pull, is_high=is_high)

    def _is_alarm(self, value: float) -> bool:
        return value != _WELL[self._quantity]

    def _on_change(self, is_high: bool, _: Tick) -> None:  # noqa: FBT001 - the board's own
        value = self._value(is_high=is_high)
        with self._lock:
            self._latest = value
            self._had_alarm |= self._is_alarm(value)
            if self._is_called:
                return
            self._is_called = True
        try:
            self._loop.call_soon_threadsafe(self._take)
        except RuntimeError:  # the loop has ended: nobody wants to know any more
            self._is_closed = True

    def _take(self) -> None:
        with self._lock:
            value, self._latest = self._latest, None
            had_alarm, self._had_alarm = self._had_alarm, False
            self._is_called = False
            if value is not None and had_alarm and not self._is_alarm(value):
                value, self._latest = 1.0 - value, value
                self._is_called = True
                self._loop.call_later(_TOLD_S, self._take)
        if value is not None and not self._is_closed:
            self._tell(value)
