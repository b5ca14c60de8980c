"""What of a fault script is in force at an instant, and when that next changes."""

from __future__ import annotations

from bisect import bisect_right
from datetime import timedelta
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import BadFaultScriptError, BadRequestError
from controller.core.observation import HoldRequest
from controller.core.requests import refuse_unfit
from controller.core.units import Instant, rfc3339
from controller.core.wall_clock import instant_of_local
from controller.dry_run.faults import (
    AcknowledgeAt,
    ClockUntrusted,
    ClockWrong,
    HoldAt,
    PowerOut,
    PumpFails,
    ReleaseAt,
    ResumeAt,
    SensorReads,
    SensorSilent,
    SensorStuck,
    StopAt,
)

if TYPE_CHECKING:
    from datetime import datetime

    from controller.core.schedule import Schedule
    from controller.dry_run.faults import Deed, FaultFile, Lasting


class Trouble(NamedTuple):
    """The faults in force during one stretch of time."""

    is_power_out: bool = False
    clock_off_ms: int = 0
    is_clock_trusted: bool = True
    silent: frozenset[str] = frozenset()
    stuck: frozenset[str] = frozenset()
    false_values: tuple[tuple[str, float], ...] = ()
    failing: frozenset[str] = frozenset()


NO_TROUBLE = Trouble()


class FaultClock:
    """A fault script laid on true time.

    Raises:
        BadFaultScriptError: a fault ends before it begins, or names a load, variant or
            sensor that the plan does not have. Tells all such faults.
    """

    def __init__(self, schedule: Schedule, script: FaultFile | None) -> None:
        self._lasting: list[tuple[Instant, Instant, Lasting]] = []
        self._deeds: list[tuple[Instant, Deed]] = []
        complaints: list[tuple[str, str]] = []
        zone = schedule.calendar.zone

        def instant(moment: datetime | int) -> Instant:
            if isinstance(moment, int):
                return moment
            into_day = timedelta(
                hours=moment.hour,
                minutes=moment.minute,
                seconds=moment.second,
                microseconds=moment.microsecond,
            )
            return instant_of_local(zone, moment.date(), into_day // timedelta(milliseconds=1))

        for number, fault in enumerate([] if script is None else script.faults):
            where = f"faults.{number} ({fault.kind})"
            complaints += [(where, text) for text in _unknown_names(schedule, fault)]
            if isinstance(fault, HoldAt | ReleaseAt | StopAt | ResumeAt | AcknowledgeAt):
                self._deeds.append((instant(fault.at), fault))
                continue
            start, end = instant(fault.from_), instant(fault.until)
            if isinstance(fault, PowerOut) and end > start and fault.clock_unknown_for:
                unknown = ClockUntrusted.model_construct(
                    kind="clock_untrusted", from_=start, until=end + fault.clock_unknown_for
                )
                self._lasting.append((start, end + fault.clock_unknown_for, unknown))
            if end <= start:
                told = (
                    f"ends at {rfc3339(end)}, not after its start at {rfc3339(start)}; give an "
                    "`until` later than `from`"
                )
                complaints.append((where, told))
            self._lasting.append((start, end, fault))
        if complaints:
            raise BadFaultScriptError(complaints)
        self._deeds.sort(key=lambda deed: deed[0])
        borders = {at for start, end, _ in self._lasting for at in (start, end)}
        self._borders = sorted(borders | {at for at, _ in self._deeds})

    def next_border(self, after: Instant) -> Instant | None:
        """The next instant at which anything begins, ends or is done."""
        index = bisect_right(self._borders, after)
        return self._borders[index] if index < len(self._borders) else None

    def trouble_at(self, instant: Instant) -> Trouble:
        """What is in force at an instant; of two that contradict, the later listed wins."""
        now = [fault for start, end, fault in self._lasting if start <= instant < end]
        if not now:
            return NO_TROUBLE
        return Trouble(
            is_power_out=any(isinstance(fault, PowerOut) for fault in now),
            clock_off_ms=sum(fault.by for fault in now if isinstance(fault, ClockWrong)),
            is_clock_trusted=not any(isinstance(fault, ClockUntrusted) for fault in now),
            silent=frozenset(f.sensor for f in now if isinstance(f, SensorSilent)),
            stuck=frozenset(f.sensor for f in now if isinstance(f, SensorStuck)),
            false_values=tuple((f.sensor, f.value) for f in now if isinstance(f, SensorReads)),
            failing=frozenset(f.load for f in now if isinstance(f, PumpFails)),
        )

    def deeds_at(self, instant: Instant) -> list[Deed]:
        """What people do at that very instant."""
        return [deed for at, deed in self._deeds if at == instant]


def _unknown_names(schedule: Schedule, fault: Lasting | Deed) -> list[str]:
    if isinstance(fault, HoldAt):
        try:
            refuse_unfit(schedule, HoldRequest(fault.load, fault.order, fault.for_ms))
        except BadRequestError as error:
            return [str(error)]
    if isinstance(fault, PumpFails | ReleaseAt) and fault.load not in schedule.places:
        return [
            f"there is no load {fault.load!r}; the plan has {', '.join(schedule.places)}",
        ]
    if isinstance(fault, SensorSilent | SensorStuck | SensorReads):
        known = [*schedule.sensors]
        if fault.sensor not in known:
            has = f"it uses {', '.join(known)}" if known else "it uses none"
            return [f"the plan decides nothing by a sensor {fault.sensor!r}; {has}"]
    return []
