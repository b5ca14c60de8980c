"""Dry runs."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from controller.core.errors import BadInstantError, RootclockError
from controller.core.messages.json_text import json_bytes
from controller.core.units import parse_date, parse_rfc3339
from web.problems import Problem, problem_of
from web.replies import page_of, told
from web.shapes import asked
from web.shapes.dry_run import DryRunTold, FaultsChecked

if TYPE_CHECKING:
    from collections.abc import AsyncGenerator, Mapping

    from web.paper.desk import PaperDesk

router = APIRouter(prefix="/dry-run", tags=["on paper"])
LINES = "application/x-ndjson"


@router.post(
    "",
    response_model=DryRunTold,
    responses={200: {"description": "The account", "content": {LINES: {}}}},
)
async def dry_run(request: Request, body: asked.DryRunOf) -> Response:
    """Carries a plan out on paper; whoever hangs up ends it.

    Who accepts `application/x-ndjson` gets a JSON object a line: `{done}`, a share from 0 to 1,
    now and then, and last `{told}` or `{problem}`.
    """
    _refuse_no_moment(body.start)
    page = page_of(request)
    text = body.plan if body.plan is not None else (await page.link.call("plan.read"))["text"]
    job = {"job": "dry-run", "text": text, **body.model_dump(exclude={"plan"})}
    if LINES in request.headers.get("accept", ""):
        lines = _lines(page.paper, job)
        return StreamingResponse(lines, media_type=LINES, headers={"Cache-Control": "no-store"})
    return told(await _while_heard(request, page.paper.dry_run(job)))


@router.post("/faults", response_model=FaultsChecked)
async def faults(request: Request, body: asked.FaultScript) -> Response:
    """What is wrong with a fault script, for that plan too; nothing is run."""
    return told(await page_of(request).paper.small_job({"job": "faults", **body.model_dump()}))


def _refuse_no_moment(start: str) -> None:
    """Told here, so that nobody waits for a worker to say it."""
    try:
        if "T" in start or " " in start:
            parse_rfc3339(start)
        else:
            parse_date(start)
    except BadInstantError as error:
        raise Problem("unfit", f"start: {error}", about="start") from None


async def _lines(desk: PaperDesk, job: Mapping[str, Any]) -> AsyncGenerator[bytes, None]:
    """A run's progress and what came of it, line by line; ended when nobody reads on."""
    shares: asyncio.Queue[float | None] = asyncio.Queue()
    working = asyncio.ensure_future(desk.dry_run(job, shares.put_nowait))
    working.add_done_callback(lambda _: shares.put_nowait(None))
    try:
        while (share := await shares.get()) is not None:
            yield _line({"done": share})
        try:
            outcome = {"told": working.result()}
        except Problem as problem:
            outcome = {"problem": problem.as_json()}
        except RootclockError as error:
            outcome = {"problem": problem_of(error).as_json()}
        yield _line(outcome)
    finally:
        working.cancel()
        await asyncio.wait({working})


def _line(value: object) -> bytes:
    return json_bytes(value) + b"\n"


async def _while_heard(request: Request, work: Any) -> Any:
    """The outcome of work, which is ended when nobody waits for it any more."""
    working = asyncio.ensure_future(work)
    listening = asyncio.ensure_future(_gone(request))
    try:
        await asyncio.wait({working, listening}, return_when=asyncio.FIRST_COMPLETED)
        if not working.done():
            raise Problem("malformed", "whoever asked is gone")
        return working.result()
    finally:
        for task in (working, listening):
            task.cancel()
        await asyncio.wait({working, listening})


async def _gone(request: Request) -> None:
    while (await request.receive())["type"] != "http.disconnect":
        continue
