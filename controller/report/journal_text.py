"""The journal for a terminal: by day, in the site's local time, a sentence an entry."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.journal_entry import SWITCHINGS, Deed
from controller.core.orders import Event
from controller.core.phrases import date_words, length_words
from controller.core.units import SECOND_MS, utc_datetime
from controller.report.ink import Ink
from controller.report.text_cells import printable, shortened, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date, datetime, timedelta
    from zoneinfo import ZoneInfo

    from controller.core.findings import Level
    from controller.core.journal_entry import Entry

# What is late by less is what every switching is late by.
_LATE_MS = SECOND_MS
_SUBJECT_WIDTH_MAX = 14
_NARROW = 60
_UNTRUSTED = "?"
_LEVELS: dict[str, Level] = {
    Event.ALARM_RAISED.value: "error",
    Deed.ENTRIES_LOST.value: "warning",
    Deed.MISTAKE.value: "warning",
}


class JournalText:
    """Renders entries page by page; days are headed once, though they go on over pages."""

    def __init__(self, zone: ZoneInfo, *, width: int, is_colour: bool) -> None:
        self._zone = zone
        self._width = width
        self._ink = Ink(is_colour)
        self._day: date | None = None
        self._offset: timedelta | None = None
        self.has_untrusted = False  # whether the sign for an untrusted clock was used

    def lines(self, entries: Sequence[Entry]) -> Iterator[str]:
        """The entries as lines, none wider than the width; in the order in which they come."""
        subject_width = min(
            _SUBJECT_WIDTH_MAX, max((len(entry.subject) for entry in entries), default=0)
        )
        for entry in entries:
            local_time = utc_datetime(entry.at).astimezone(self._zone)
            if local_time.date() != self._day:
                if self._day is not None:
                    yield ""
                self._day = local_time.date()
                yield self._ink.heading(f"{date_words(self._day)} {self._day.year}")
            if self._offset not in {None, local_time.utcoffset()}:
                yield self._ink.faint(f"  from here on, clocks are {_offset_words(local_time)}")
            self._offset = local_time.utcoffset()
            yield from self._entry_lines(entry, f"{local_time:%H:%M:%S}", subject_width)

    def _entry_lines(self, entry: Entry, time: str, subject_width: int) -> Iterator[str]:
        self.has_untrusted |= not entry.is_clock_trusted
        mark = " " if entry.is_clock_trusted else _UNTRUSTED
        subject = shortened(printable(entry.subject), subject_width)
        words = [f"  {time}{mark}", f"{subject:<{subject_width}} " if subject_width else ""]
        if entry.what in SWITCHINGS:
            words.append(f"{entry.what:<3}")
        head = " ".join(filter(None, words)) + " "
        rest = " " * len(head)
        if self._width < _NARROW:
            head, rest = f"{' '.join(head.split())} ", "  "
        text = wrapped(entry_sentence(entry), self._width, first=head, rest=rest)
        level = _LEVELS.get(entry.what)
        yield from (self._ink.level(level, line) if level else line.rstrip() for line in text)


def _offset_words(local_time: datetime) -> str:
    """`at UTC+02:00`."""
    return f"at UTC{local_time.isoformat()[-6:]}"


def entry_sentence(entry: Entry) -> str:
    """What happened to the subject: `Alarm: leak.`, `Hold began: on, for 20 min.`; of a
    switching why: `Watering until 05:20, 15 min more.`"""
    what, detail = printable(entry.what), printable(entry.detail)
    if entry.what in SWITCHINGS:
        text = detail
    else:
        text = f"{what[:1].upper()}{what[1:]}" + (f": {detail}" if detail else "")
    if text and not text.endswith((".", "?", "…")):
        text += "."
    late_ms = entry.late_ms or 0.0
    if late_ms >= _LATE_MS:
        text += f" {length_words(round(late_ms)).capitalize()} late."
    return text.strip()
