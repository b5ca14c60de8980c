"""How much the journal keeps, in memory and on the disk, and how long it waits for the disk."""

from __future__ import annotations

from typing import NamedTuple

_MEGABYTE = 1_000_000


class Limits(NamedTuple):
    """The bounds of a journal.

    On the disk: entries at most `age_days_max` old, in a file of at most `bytes_max` (beside
    which the write-ahead log takes up to `log_bytes_max`). In memory, while the disk refuses:
    `entries_waiting_max` and `summaries_waiting_max`. Beyond a bound, the oldest go.

    The disk is tried again after `retry_s_min`, then twice as long after each failure, up to
    `retry_s_max`. `locked_s` is how long one attempt waits for another program that holds the
    file, `start_s` how long a start waits for what the file says, `close_s` how long an end
    waits for the last entries.
    """

    age_days_max: int = 400
    bytes_max: int = 64 * _MEGABYTE
    log_bytes_max: int = 8 * _MEGABYTE
    entries_waiting_max: int = 10_000
    summaries_waiting_max: int = 2_000
    retry_s_min: float = 1.0
    retry_s_max: float = 60.0
    locked_s: float = 2.0
    start_s: float = 2.0
    close_s: float = 5.0
