"""The plan in force, those before it, and those that are to be."""

from __future__ import annotations

import time
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query
from starlette.requests import Request
from starlette.responses import Response

from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.units import Instant, parse_rfc3339
from web.controller_link import ControllerLink
from web.difference import difference_of
from web.problems import Problem, problem_of
from web.replies import address_of, guest_of, page_of, told, told_text
from web.shapes import asked
from web.shapes.plans import (
    Checked,
    Difference,
    Edited,
    PlanInForce,
    Revisions,
    RevisionText,
    Taken,
)
from web.shapes.preview import Preview

router = APIRouter(prefix="/plan", tags=["plan"])
_Number = Annotated[int, Path(ge=1, le=asked.REVISION_MAX)]


@router.get("", response_model=PlanInForce, responses={304: {"description": "As it was"}})
async def plan(request: Request) -> Response:
    """The plan in force."""
    page = page_of(request)
    page.paper.wake()  # who reads it may well edit it
    read = await page.link.call("plan.read")
    etag = f'"{read["revision"]}"'
    if request.headers.get("if-none-match") == etag:
        return Response(status_code=304, headers={"ETag": etag, "Cache-Control": "no-cache"})
    return told(read, cache="no-cache", ETag=etag)


@router.get("/revisions", response_model=Revisions)
async def revisions(request: Request) -> Response:
    """All plans that are kept, oldest first."""
    return told(await page_of(request).link.call("plan.revisions"))


@router.get("/revisions/{number}", response_model=RevisionText)
async def revision(request: Request, number: _Number) -> Response:
    """The text of a revision."""
    return told(await page_of(request).link.call("plan.text", {"revision": number}))


@router.get("/difference", response_model=Difference)
async def difference(
    request: Request,
    before: Annotated[int, Query(ge=1, le=asked.REVISION_MAX)],
    after: Annotated[int | None, Query(ge=1, le=asked.REVISION_MAX)] = None,
) -> Response:
    """What changed from one revision to another, or to the plan in force."""
    link = page_of(request).link
    first = await link.call("plan.text", {"revision": before})
    if after is None:
        second = await link.call("plan.read")
    else:
        second = await link.call("plan.text", {"revision": after})
    return told(difference_of(first, second))


@router.get("/schema", response_model=dict[str, Any])
async def schema(request: Request) -> Response:
    """JSON Schema of a plan, read as TOML."""
    described = await page_of(request).paper.small_job({"job": "schema"}, guest=guest_of(request))
    return told(described, cache="no-cache")


@router.post("/check", response_model=Checked)
async def check(request: Request, body: asked.Text) -> Response:
    """What there is to say about a plan; nothing comes of it."""
    page = page_of(request)
    job = {"job": "check", "text": body.text, "now": now_of(page.link)}
    return told(await page.paper.small_job(job, guest=guest_of(request)))


@router.post("/edit", response_model=Edited)
async def edit(request: Request, body: asked.Edits) -> Response:
    """A plan's text after edits, comments as they were; nothing else comes of it."""
    edits = [one.model_dump() for one in body.edits]
    job = {"job": "edit", "text": body.text, "edits": edits}
    return told(await page_of(request).paper.small_job(job, guest=guest_of(request)))


@router.post("/preview", response_model=Preview)
async def preview(request: Request, body: asked.PreviewOf) -> Response:
    """What a plan would do, beside the one in force; nothing comes of it."""
    page = page_of(request)
    job = {
        "job": "preview",
        "text": body.text,
        "parts": body.parts,
        "now": now_of(page.link),
        "running": await page.running_text(),
    }
    client = body.client and f"{address_of(request)} {body.client}"
    return told_text(await page.paper.preview(job, client=client, guest=guest_of(request)))


@router.post("", response_model=Taken)
async def propose(request: Request, body: asked.Proposal) -> Response:
    """Has the controller examine a plan and, if it is good, take it."""
    link = page_of(request).link
    given = {"text": body.text, "based_on": body.based_on, "note": body.note}
    try:
        return told(await link.call_about_plan("plan.propose", given))
    except RequestRefusedError as error:
        if error.code != ErrorCode.PLAN_CHANGED:
            raise
        raise await _conflict(link, error, body.based_on) from None


async def _conflict(link: ControllerLink, error: RequestRefusedError, based_on: int) -> Problem:
    """A conflict with what changed meanwhile, as far as that can still be told."""
    in_force = await link.call("plan.read")
    told_first = problem_of(error)
    told_first.more["in_force"] = in_force
    try:
        base = await link.call("plan.text", {"revision": based_on})
    except RequestRefusedError:  # it never was, or is kept no longer
        return told_first
    told_first.more["difference"] = difference_of(base, in_force)
    return told_first


@router.post("/restore", response_model=Taken)
async def restore(request: Request, body: asked.Restore) -> Response:
    """Puts an earlier plan into force again."""
    params = {"revision": body.revision}
    return told(await page_of(request).link.call_about_plan("plan.restore", params))


def now_of(link: ControllerLink) -> Instant:
    """What the controller's clock shows, as far as the page knows it, else this machine's."""
    picture = link.picture
    if picture.status is None:
        return time.time_ns() // 1_000_000
    age_ms = int((picture.age_s or 0.0) * 1000 * picture.status["speed"])
    return parse_rfc3339(picture.status["now_utc"]) + age_ms
