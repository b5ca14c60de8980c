"""Whether the time of day can be believed.

A board without a battery clock starts in the past, and a restored clock looks valid and is
not. Believed is a clock that the kernel or the time service has synchronised in this boot,
one that came from a real-time clock that was not reset, and one that a person vouches for.
Once believed, it is believed until the next boot: a quartz without its network drifts by
seconds a day, which no plant feels, while going by elapsed time loses the plan.
"""

from __future__ import annotations

import ctypes
import os
from pathlib import Path
from typing import Final, NamedTuple, Protocol

from controller.core.units import MINUTE_MS, SECOND_MS, Instant, parse_rfc3339

_STA_UNSYNC: Final = 0x40  # linux/timex.h
_TIME_ERROR: Final = 5  # adjtimex(2): the clock is not synchronised
_TIMEX_BYTES: Final = 208  # sizeof(struct timex) on 64-bit Linux; asked for with room to spare
_STATUS_AT: Final = 40  # offset of `status` in it

_RTC_BYTES: Final = 40  # of a number in a file

# No clock of a board that runs this release shows an earlier time than the release's own.
RELEASED: Final[Instant] = parse_rfc3339("2026-11-01T00:00:00Z")


class TimeFolders(NamedTuple):
    """Where the time service and the real-time clock tell of themselves."""

    synchronised: Path = Path("/run/systemd/timesync/synchronized")  # touched at each sync
    rtc: Path = Path("/sys/class/rtc")


class TrustSource(Protocol):
    """One reason to believe the clock."""

    def __call__(self, now: Instant) -> str | None:
        """The reason in words, or None."""


def kernel_is_synchronised(now: Instant) -> str | None:  # noqa: ARG001 - one of the sources
    """The kernel says that a time service keeps the clock right (adjtimex(2))."""
    buffer = ctypes.create_string_buffer(2 * _TIMEX_BYTES)  # modes = 0: only reads
    state = ctypes.CDLL(None, use_errno=True).adjtimex(buffer)
    status = int.from_bytes(buffer.raw[_STATUS_AT : _STATUS_AT + 4], "little")
    if state < 0 or state == _TIME_ERROR or status & _STA_UNSYNC:
        return None
    return "the kernel says that it is synchronised"


class ServiceSynchronised:
    """The time service has set the clock in this boot."""

    def __init__(self, flag: Path) -> None:
        self._flag = flag

    def __call__(self, now: Instant) -> str | None:  # noqa: ARG002
        """The reason in words, or None."""
        # os.path's: it takes a folder that is closed to us for one without the flag.
        is_there = os.path.exists(self._flag)  # noqa: PTH110
        return "the time service has set it" if is_there else None


class RealTimeClock:
    """The kernel took the time from a battery clock at boot, and it is no reset one's.

    A battery clock without its battery starts at its epoch; so a time before the release of
    this program, or before something that the journal knows to have happened, is no time. Nor
    is one that somebody has set since: the battery clock must still show the same.

    Source of the files: Linux, Documentation/ABI/testing/sysfs-class-rtc.
    """

    def __init__(self, folder: Path, *, not_before: Instant) -> None:
        self._folder = folder
        self._not_before = max(RELEASED, not_before)

    def __call__(self, now: Instant) -> str | None:
        """The reason in words, or None."""
        if now < self._not_before:
            return None
        for clock in sorted(self._folder.glob("rtc*")):
            try:
                did_set = (clock / "hctosys").read_bytes()[:_RTC_BYTES].strip() == b"1"
                shows_ms = int((clock / "since_epoch").read_bytes()[:_RTC_BYTES]) * SECOND_MS
            except (OSError, ValueError):  # a clock that cannot be asked vouches for nothing
                continue
            if did_set and abs(shows_ms - now) <= MINUTE_MS:
                return "it came from a battery clock"
        return None


class ClockTrust:
    """Believed or not; once believed, for the rest of the boot.

    `note` is where that is kept over a restart of the daemon: a file that a boot does not
    survive, with the boot's name in it.
    """

    def __init__(
        self, sources: tuple[TrustSource, ...], *, note: Path | None, kernel_boot: str
    ) -> None:
        self._sources = sources
        self._note = note
        self._kernel_boot = kernel_boot
        self.reason = self._noted()

    @property
    def is_trusted(self) -> bool:
        """Whether the time of day can be believed."""
        return self.reason is not None

    def look(self, now: Instant) -> bool:
        """Asks the sources, unless it is believed already; whether that changed."""
        if self.is_trusted:
            return False
        found = (source(now) for source in self._sources)
        reason = next((reason for reason in found if reason is not None), None)
        if reason is not None:
            self._believe(reason)
        return reason is not None

    def vouch(self, who: str) -> None:
        """A person says that the clock is right."""
        self._believe(f"{who} said that it is right")

    def _believe(self, reason: str) -> None:
        self.reason = reason
        if self._note is not None:
            try:
                self._note.write_text(f"{self._kernel_boot}\n{reason}\n", encoding="utf-8")
            except OSError:
                # Not kept over a restart, then: the sources are asked again, and a person
                # who vouched must say it again.
                self._note = None

    def _noted(self) -> str | None:
        if self._note is None:
            return None
        try:
            boot, _, reason = (
                self._note.read_bytes()[:400].decode("utf-8", "replace").partition("\n")
            )
        except OSError:
            return None
        return reason.strip() or None if boot == self._kernel_boot else None


def board_sources(folders: TimeFolders, *, not_before: Instant) -> tuple[TrustSource, ...]:
    """The reasons to believe a board's clock; `not_before` is something that is known to
    have happened."""
    return (
        kernel_is_synchronised,
        ServiceSynchronised(folders.synchronised),
        RealTimeClock(folders.rtc, not_before=not_before),
    )


def vouched(now: Instant) -> str | None:  # noqa: ARG001 - one of the sources
    """Believed as it is: for boards on which nothing real is switched, and for whoever says
    so when starting."""
    return "it is taken to be right, as asked"
