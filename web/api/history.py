"""What happened: a strip of hours or days, and why a load was so at a time gone by."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response

from controller.core.journal_entry import SWITCHINGS, Kind
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, Instant, parse_rfc3339, rfc3339
from web.api.plans import now_of
from web.controller_link import ControllerLink
from web.history import bands_of
from web.replies import page_of, told
from web.shapes import answers

router = APIRouter(tags=["journal"])
HOURS_MAX = 24 * 8
_SWITCHED = [Kind.SWITCHED.value]
_OTHERS = [kind.value for kind in Kind if kind is not Kind.SWITCHED]
_AT_ONCE = 250  # more in one answer would hold up the controller's loop on a small board
_ASKED_MAX = 40  # so that there are 10,000 switchings: a week of seven loads at 15/15
_LOOKS_AHEAD_MS = (10 * MINUTE_MS, 3 * HOUR_MS, 2 * DAY_MS, 10 * DAY_MS)


@router.get("/history", response_model=answers.History)
async def history(
    request: Request, hours: Annotated[int, Query(ge=1, le=HOURS_MAX)] = 24
) -> Response:
    """When each load was on during the last hours, and what else the journal has of them."""
    link = page_of(request).link
    end = now_of(link)
    start = end - hours * HOUR_MS
    switchings, is_whole = await _switchings(link, start, end)
    before = await _log(link, until=start, only=_SWITCHED, last=200)
    marks = await _log(link, since=start, only=_OTHERS, last=500)
    bands = bands_of(switchings, before, start=start, end=end)
    return told(
        {
            "from_utc": rfc3339(start),
            "to_utc": rfc3339(end),
            "is_whole": is_whole,
            "loads": [{"name": name, "on": on} for name, on in sorted(bands.items())],
            "marks": marks,
        }
    )


async def _switchings(
    link: ControllerLink, start: Instant, end: Instant
) -> tuple[list[dict[str, Any]], bool]:
    """All switchings of a time, oldest first; not the earliest where there are too many."""
    found: dict[int, dict[str, Any]] = {}
    until = end
    for _ in range(_ASKED_MAX):
        entries = await _log(link, since=start, until=until, only=_SWITCHED, last=_AT_ONCE)
        found |= {entry["number"]: entry for entry in entries}
        if len(entries) < _AT_ONCE:
            return [found[number] for number in sorted(found)], True
        until = parse_rfc3339(entries[0]["utc"]) + 1
    return [found[number] for number in sorted(found)], False


@router.get("/past", response_model=answers.Past)
async def past(
    request: Request,
    load: Annotated[str, Query(min_length=1, max_length=200)],
    at: Annotated[str, Query(max_length=40, examples=["2026-07-01T01:00:00Z"])],
) -> Response:
    """What a load did at a time gone by: its last switching until then, with why; what was noted
    of it since; and its next switching."""
    link = page_of(request).link
    instant = parse_rfc3339(at)
    latest = await _log(link, until=instant + 1, load=load, only=_SWITCHED, last=1)
    since = parse_rfc3339(latest[0]["utc"]) if latest else None
    noted = await _log(link, since=since, until=instant + 1, load=load, last=50)
    return told(
        {
            "load": load,
            "at_utc": rfc3339(instant),
            "switching": latest[0] if latest else None,
            "notices": [entry for entry in noted if entry["what"] not in SWITCHINGS],
            "next": await _next(link, load, instant),
        }
    )


async def _next(link: ControllerLink, load: str, instant: Instant) -> dict[str, Any] | None:
    """The first switching after an instant, looked for further and further on."""
    wanted: dict[str, Any] = {"since": instant + 1, "load": load, "only": _SWITCHED}
    for ahead_ms in _LOOKS_AHEAD_MS:
        until, first = instant + ahead_ms, None
        # The controller tells the last of many, so what is before them is asked for.
        while entries := await _log(link, **wanted, until=until, last=_AT_ONCE):
            first = entries[0]
            until = parse_rfc3339(first["utc"])
            if len(entries) < _AT_ONCE:
                break
        if first is not None:
            return first
    return None


async def _log(
    link: ControllerLink, *, since: Instant | None = None, until: Instant | None = None, **more: Any
) -> list[dict[str, Any]]:
    params = {
        "since": None if since is None else rfc3339(since),
        "until": None if until is None else rfc3339(until),
        **more,
    }
    entries: list[dict[str, Any]] = (await link.call("log", params))["entries"]
    return entries
