"""Alarms: raised and cleared by what is, kept for a person where one must look."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.memory import Alarm
from controller.core.orders import AlarmCode, Event, Notice, alarm_detail

if TYPE_CHECKING:
    from controller.core.units import Instant

# Every code for every load and sensor that a plan can have (12 for 54 and 100) stays below: an
# alarm that found no room would be a leak that does not latch.
ALARMS_MAX = 2_000


class AlarmBoard:
    """The alarms of one decision: starts from those that stand, notes every change.

    A latching alarm stays when its cause is over, until a person acknowledges it; one
    that was acknowledged before goes with its cause.
    """

    def __init__(self, alarms: tuple[Alarm, ...], now: Instant) -> None:
        self._standing = {(alarm.code, alarm.subject): alarm for alarm in alarms}
        self._now = now
        self.notices: list[Notice] = []

    def tell(self, code: AlarmCode, subject: str, *, is_active: bool, detail: str = "") -> None:
        """Takes notice of whether something is wrong with a load or sensor now."""
        alarm = self._standing.get((code, subject))
        if is_active and (alarm is None or not alarm.is_active):
            self._raise(code, subject, is_active=True, detail=detail)
        elif alarm is not None and alarm.is_active and not is_active:
            if code.latches and not alarm.is_acknowledged:
                self._standing[code, subject] = alarm._replace(is_active=False)
            else:
                self._clear(code, subject)

    def happened(self, code: AlarmCode, subject: str, detail: str = "") -> None:
        """Takes notice of something wrong that is over already but must be looked at."""
        self._raise(code, subject, is_active=False, detail=detail)

    def acknowledge(self, code: AlarmCode, subject: str) -> bool:
        """A person has looked. False where there is no such alarm."""
        alarm = self._standing.get((code, subject))
        if alarm is None:
            return False
        if alarm.is_active:
            self._standing[code, subject] = alarm._replace(is_acknowledged=True)
            self.notices.append(Notice(Event.ALARM_ACKNOWLEDGED, subject, code.value))
        else:
            self._clear(code, subject)
        return True

    def stands(self, code: AlarmCode, subject: str) -> bool:
        """Whether the alarm stands, its cause over or not."""
        return (code, subject) in self._standing

    def as_tuple(self) -> tuple[Alarm, ...]:
        """The alarms that stand after this decision."""
        return tuple(self._standing.values())

    def _raise(self, code: AlarmCode, subject: str, *, is_active: bool, detail: str = "") -> None:
        earlier = self._standing.get((code, subject))
        if earlier is None and len(self._standing) >= ALARMS_MAX:
            return
        since = self._now if earlier is None else earlier.since
        self._standing[code, subject] = Alarm(code, subject, since, is_active)
        self.notices.append(Notice(Event.ALARM_RAISED, subject, alarm_detail(code, detail)))

    def _clear(self, code: AlarmCode, subject: str) -> None:
        del self._standing[code, subject]
        self.notices.append(Notice(Event.ALARM_CLEARED, subject, code.value))
