"""What loads did during a time gone by, made from journal entries."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.journal_entry import Deed
from controller.core.units import SECOND_MS, parse_rfc3339

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from controller.core.units import Instant

_ON = Deed.SWITCHED_ON.value


def bands_of(
    entries: Iterable[Mapping[str, Any]],
    before: Iterable[Mapping[str, Any]],
    *,
    start: Instant,
    end: Instant,
) -> dict[str, list[list[float]]]:
    """When each load was on during [start, end): [from, to] in seconds after the start.

    Args:
        entries: of switchings within, oldest first.
        before: of switchings earlier than the start, oldest first.
        start: of the time.
        end: of the time, or now.
    """
    since: dict[str, Instant | None] = {
        entry["subject"]: start if entry["what"] == _ON else None for entry in before
    }
    bands: dict[str, list[list[float]]] = {name: [] for name in since}

    def close(name: str, instant: Instant) -> None:
        begun = since.get(name)
        if begun is not None and instant > begun:
            bands[name].append([(begun - start) / SECOND_MS, (instant - start) / SECOND_MS])

    for entry in entries:
        name = entry["subject"]
        # A clock that was put back may have shown anything; time in a strip goes forward.
        at = min(end, max(start, parse_rfc3339(entry["utc"])))
        bands.setdefault(name, [])
        if entry["what"] != _ON:
            close(name, at)
            since[name] = None
        elif since.get(name) is None:
            since[name] = at
    for name in since:
        close(name, end)
    return bands
