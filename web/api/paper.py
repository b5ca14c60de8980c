"""Dry runs."""

from __future__ import annotations

import asyncio
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from controller.core.errors import BadInstantError
from controller.core.units import parse_date, parse_rfc3339
from web.problems import Problem
from web.replies import page_of, told
from web.shapes import answers, asked

router = APIRouter(tags=["on paper"])


@router.post("/dry-run", response_model=answers.DryRunTold)
async def dry_run(request: Request, body: asked.DryRunOf) -> Response:
    """Carries a plan out on paper; whoever hangs up ends it."""
    _refuse_no_moment(body.start)
    page = page_of(request)
    text = body.plan if body.plan is not None else (await page.link.call("plan.read"))["text"]
    job = {"job": "dry-run", "text": text, **body.model_dump(exclude={"plan"})}
    return told(await _while_heard(request, page.paper.dry_run(job)))


def _refuse_no_moment(start: str) -> None:
    """Told here, so that nobody waits for a worker to say it."""
    try:
        if "T" in start or " " in start:
            parse_rfc3339(start)
        else:
            parse_date(start)
    except BadInstantError as error:
        raise Problem("unfit", f"start: {error}") from None


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
