"""Entries and states as SQLite holds them, and back."""

from __future__ import annotations

import zlib
from math import isfinite
from typing import TYPE_CHECKING, Any

from controller.core.errors import DamagedJournalError
from controller.core.journal_entry import Entry, Numbered

if TYPE_CHECKING:
    from collections.abc import Sequence

COLUMNS = "id, at, tick, is_clock_trusted, what, subject, why, detail, late_ms"


# The years 2 to 9998, which `datetime` can show in every zone: no clock shows another.
AT_MIN, AT_MAX = -62_104_060_800_000, 253_370_764_799_999
_TICK_MAX = 2**62


def row_of(number: int, entry: Entry) -> tuple[Any, ...]:
    """The columns of an entry with that id; every entry has some.

    Times that cannot be are stored as an untrusted 0: nothing may keep an entry, and those
    after it, from being written.
    """
    is_time = AT_MIN <= entry.at <= AT_MAX and abs(entry.tick) < _TICK_MAX
    late_ms = entry.late_ms
    return (
        number,
        entry.at if is_time else 0,
        entry.tick if is_time else 0,
        entry.is_clock_trusted and is_time,
        storable(entry.what),
        storable(entry.subject),
        storable(entry.why),
        storable(entry.detail),
        late_ms if late_ms is not None and isfinite(late_ms) else None,
    )


def numbered_of(row: Sequence[Any]) -> Numbered:
    """The entry of the columns.

    Raises:
        DamagedJournalError: no entry was ever stored like that.
    """
    number, at, tick, is_clock_trusted, what, subject, why, detail, late_ms = row
    is_sound = (
        all(type(value) is int for value in (number, at, tick, is_clock_trusted))
        and all(type(value) is str for value in (what, subject, why, detail))
        and (late_ms is None or type(late_ms) is float)
        and AT_MIN <= at <= AT_MAX
    )
    if not is_sound:
        raise DamagedJournalError(f"its entry {number} is damaged")
    entry = Entry(at, tick, bool(is_clock_trusted), what, subject, why, detail, late_ms)
    return Numbered(number, entry)


def storable(text: str) -> str:
    r"""The text with what a database or a text file cannot hold written out: a NUL as `\x00`,
    half a character as `\udc80`."""
    if text.isprintable():  # a half is not printable, nor is NUL
        return text
    return text.replace("\0", r"\x00").encode("utf-8", "backslashreplace").decode()


def packed(state: str) -> bytes:
    """The state in few bytes: it is written with every switching."""
    return zlib.compress(state.encode("utf-8", "surrogatepass"))


def unpacked(state: bytes) -> str:
    """The state as it was handed over.

    Raises:
        DamagedJournalError: the bytes are not what was stored.
    """
    try:
        return zlib.decompress(state).decode("utf-8", "surrogatepass")
    except (zlib.error, ValueError, TypeError) as error:  # TypeError: the row holds a number
        raise DamagedJournalError(f"the state of the controller is damaged: {error}") from None


def readable(raw: bytes) -> str:
    """Text of the file for a connection's `text_factory`; damaged bytes show as such."""
    return raw.decode("utf-8", "replace")
