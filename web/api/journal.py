"""The journal: filtered, page by page, and as files."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import AsyncIterator, Mapping
from typing import Annotated, Any, NamedTuple

from fastapi import APIRouter, Depends, Query
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from controller.core.messages.methods import LOG_ENTRIES_MAX
from controller.core.units import parse_rfc3339, shown
from controller.report.journal_export import HEADER, csv_cells, json_line
from web.controller_link import ControllerLink
from web.moments import moment_text
from web.problems import Problem
from web.replies import page_of, told
from web.shapes.journal import Log

router = APIRouter(tags=["journal"])
EXPORTED_MAX = 100_000
_AT_ONCE = 250  # more in one answer would hold up the controller's loop on a small board
_PAGE = re.compile(r"[1-9][0-9]{0,17}", re.ASCII)
_Moment = Annotated[str | None, Query(max_length=40, examples=["2026-07-01T06:00"])]


class Filters(NamedTuple):
    """Which entries are asked for."""

    params: Mapping[str, Any]


def filters(
    since: _Moment = None,
    until: _Moment = None,
    load: Annotated[str | None, Query(max_length=200)] = None,
    only: Annotated[list[str] | None, Query(max_length=20)] = None,
    find: Annotated[str | None, Query(max_length=200)] = None,
) -> Filters:
    """The filters of a query; an empty one asks for nothing. Moments are written as `rootclock
    log` takes them: local times of the site, instants, or how long ago."""
    given = {"since": since, "until": until, "load": load, "only": only, "find": find}
    return Filters({key: value for key, value in given.items() if value})


_Filters = Annotated[Filters, Depends(filters)]


@router.get("/log", response_model=Log)
async def log(
    request: Request,
    given: _Filters,
    last: Annotated[int, Query(ge=1, le=LOG_ENTRIES_MAX)] = 200,
    page: Annotated[str | None, Query(max_length=80)] = None,
) -> Response:
    """The last entries, or with `page` those before some that were told."""
    link = page_of(request).link
    entries, remark, following = await _read(link, await _in_time(link, given), last, page)
    return told({"entries": entries, "remark": remark, "next": following})


async def _in_time(link: ControllerLink, given: Filters) -> Filters:
    """The filters with instants in place of moments as people write them."""
    params = dict(given.params)
    for name in ("since", "until"):
        if name in params:
            is_end = name == "until"
            params[name] = await moment_text(link, params[name], name=name, is_end=is_end)
    if "since" in params and "until" in params:
        since, until = (parse_rfc3339(params[name]) for name in ("since", "until"))
        if since >= until:
            raise Problem("unfit", "since is not before until: nothing lies between", about="until")
    return Filters(params)


async def _read(
    link: ControllerLink, given: Filters, last: int, page: str | None
) -> tuple[list[dict[str, Any]], str, str | None]:
    """One page: entries, oldest first, what cannot be read, and the page before it.

    Pages are told by the number of an entry, so that none is lost or told twice, however many
    there are of one instant and whatever the clock has done.
    """
    params: dict[str, Any] = {**given.params, "last": last}
    if page is not None:
        if _PAGE.fullmatch(page) is None:
            raise Problem("unfit", f"page {shown(page)} is none that was told as `next`")
        params["before"] = int(page)
    answer = await link.call("log", params)
    following = answer["next"]
    return answer["entries"], answer["remark"], None if following is None else str(following)


@router.get(
    "/log.csv",
    response_class=StreamingResponse,
    responses={200: {"description": "CSV, newest first", "content": {"text/csv": {}}}},
)
async def log_csv(
    request: Request,
    given: _Filters,
    last: Annotated[int, Query(ge=1, le=EXPORTED_MAX)] = EXPORTED_MAX,
) -> Response:
    """Entries as CSV, newest first."""
    return await _export(request, given, last, "csv", _csv, head=_csv_row(HEADER))


@router.get(
    "/log.jsonl",
    response_class=StreamingResponse,
    responses={200: {"description": "JSON lines", "content": {"application/jsonl": {}}}},
)
async def log_jsonl(
    request: Request,
    given: _Filters,
    last: Annotated[int, Query(ge=1, le=EXPORTED_MAX)] = EXPORTED_MAX,
) -> Response:
    """Entries as JSON, an object a line, newest first."""
    return await _export(request, given, last, "jsonl", json_line, head="")


async def _export(
    request: Request, given: Filters, last: int, suffix: str, text_of: Any, *, head: str
) -> Response:
    link = page_of(request).link
    given = await _in_time(link, given)
    # Asked before the answer begins, so that a refusal is told as one.
    first = await _read(link, given, min(last, _AT_ONCE), None)

    async def texts() -> AsyncIterator[str]:
        yield head
        left, (entries, _, following) = last, first
        while entries:
            left -= len(entries)
            yield "".join(text_of(entry) for entry in reversed(entries))
            if following is None or left <= 0:
                return
            entries, _, following = await _read(link, given, min(left, _AT_ONCE), following)

    media_type = "text/csv; charset=utf-8" if suffix == "csv" else "application/jsonl"
    name = {"Content-Disposition": f'attachment; filename="journal.{suffix}"'}
    headers = {"Cache-Control": "no-store", **name}
    return StreamingResponse(texts(), media_type=media_type, headers=headers)


def _csv(entry: Mapping[str, Any]) -> str:
    return _csv_row(csv_cells(entry))


def _csv_row(cells: tuple[str, ...]) -> str:
    stream = io.StringIO(newline="")
    csv.writer(stream, lineterminator="\n").writerow(cells)
    return stream.getvalue()
