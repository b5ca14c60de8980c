"""A listener of dry runs that keeps everything it is told, and the run around it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.plan import Plan
from controller.core.schedule import Schedule, make_schedule
from controller.core.units import HOUR_MS, MINUTE_MS, SECOND_MS, Instant, rfc3339
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.faults import FaultFile
from controller.dry_run.run import run
from controller.weather.air_series import DatedSeries
from tests.worlds import MIDNIGHT, load, ms, plan_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from controller.core.memory import Memory
    from controller.core.orders import Event, Notice, Reason
    from controller.core.plan import Plan
    from controller.dry_run.account import Account
    from controller.weather.air_series import AirSeries


def clock(instant: Instant, since: Instant) -> str:
    """How long after an instant another is: `00:15:00`, hours going on past 24."""
    seconds, millis = divmod(instant - since, SECOND_MS)
    hours, rest = divmod(seconds, HOUR_MS // SECOND_MS)
    minutes, seconds = divmod(rest, MINUTE_MS // SECOND_MS)
    return f"{hours:02}:{minutes:02}:{seconds:02}" + (f".{millis:03}" if millis else "")


class Recorder:
    """Everything that a run tells, as lines that a test can compare."""

    def __init__(self, schedule: Schedule) -> None:
        self._names = [load.name for load in schedule.loads]
        self.start: Instant = 0
        self.began: list[str] = []
        self.changes: list[tuple[Instant, str]] = []
        self.notices: list[tuple[Instant, Notice]] = []
        self.ended: Instant | None = None

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """The states at the start."""
        self.start = start
        self.began = [
            f"{name} {'on' if is_on else 'off'}: {reason.why.value}"
            for name, (is_on, reason) in zip(self._names, states, strict=True)
        ]

    def change(
        self, instant: Instant, place: int, reason: Reason, *, is_on: bool, is_wet: bool
    ) -> None:
        """A change of state, of water or of reason."""
        state = ("on" if is_wet else "on and dry") if is_on else "off"
        self.changes.append((instant, f"{self._names[place]} {state}: {reason.why.value}"))

    def notice(self, instant: Instant, notice: Notice) -> None:
        """A notice."""
        self.notices.append((instant, notice))

    def finish(self, end: Instant) -> None:
        """The end."""
        self.ended = end

    def told(self) -> list[str]:
        """Every change as a line: `00:15:00 pump off: plan`."""
        return [f"{clock(at, self.start)} {text}" for at, text in self.changes]

    def noted(self, *events: Event) -> list[str]:
        """Every notice, of these kinds or of all: `00:15:00 power lost`."""
        return [
            " ".join(
                filter(
                    None,
                    (clock(at, self.start), n.event.value, n.subject, n.detail and f"({n.detail})"),
                )
            )
            for at, n in self.notices
            if not events or n.event in events
        ]


class DryRun:
    """One dry run, done: what was told, its account and its last memory.

    `faults` are tables as a script has them, whose times are lengths after the start.
    """

    def __init__(
        self,
        plan: Plan,
        length: str,
        *faults: Mapping[str, object],
        start: Instant = MIDNIGHT,
        air: Mapping[str, AirSeries] | None = None,
    ) -> None:
        self.schedule = make_schedule(plan)
        self.heard = Recorder(self.schedule)
        keeper = AccountKeeper(self.schedule)
        self.memory: Memory = run(
            self.schedule,
            start=start,
            end=start + ms(length),
            air={} if air is None else air,
            script=script_of(*faults, start=start) if faults else None,
            listeners=[self.heard, keeper],
        )
        self.account: Account = keeper.account


def script_of(*faults: Mapping[str, object], start: Instant = MIDNIGHT) -> FaultFile:
    """A fault script whose times are lengths after the start, `-1h` before it."""
    placed = [
        {
            key: rfc3339(start + ms(str(value))) if key in {"from", "until", "at"} else value
            for key, value in fault.items()
        }
        for fault in faults
    ]
    return FaultFile.model_validate({"faults": placed})


# What several files of tests run

QUARTERS = plan_of(pump=load("15m on, 15m off", watts=100))

OUTAGE = {"kind": "power_out", "from": "20m", "until": "1h"}


def sensed(measures: str, name: str = "sensor", **keys: Any) -> Plan:
    """A pump that decides by one sensor."""
    return plan_of(
        sensors={name: {"measures": measures, "stale_after": "10m"}},
        pump=load("15m on, 15m off", **keys),
    )


def warm(*points: tuple[str, float]) -> dict[str, DatedSeries]:
    """Air whose temperature runs straight from point to point."""
    stamps = [MIDNIGHT + ms(at) for at, _ in points]
    return {"air_temperature": DatedSeries(stamps, [degrees for _, degrees in points])}
