"""What is, and what people order."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from web.replies import address_of, page_of, told, told_text
from web.security.gate import session_of
from web.security.sessions import Role
from web.security.tries import visitor_of
from web.shapes import asked
from web.shapes.status import Lateness, PictureShape, Status

router = APIRouter(tags=["now"])


@router.get("/status", response_model=PictureShape)
async def status(request: Request) -> Response:
    """Everything at this moment, or as it was when the controller last answered."""
    return told_text((await page_of(request).link.fresh_picture()).as_text())


@router.get(
    "/events",
    response_class=StreamingResponse,
    responses={200: {"description": "Server-sent events", "content": {"text/event-stream": {}}}},
)
async def events(request: Request) -> Response:
    """Pictures and journal entries as they come; the connection stays open."""
    page = page_of(request)
    visitor, session = visitor_of(address_of(request)), session_of(request.scope)
    page.fan_out.refuse_crowds(visitor)
    return StreamingResponse(
        page.fan_out.stream(
            visitor,
            lambda: page.link.picture,
            may_watch=lambda: page.role_of(session) is not Role.NOBODY,
        ),
        media_type="text/event-stream",
        headers={"Cache-Control": "no-store"},
    )


@router.get("/why", response_model=Status)
async def why(request: Request, load: Annotated[str, Query(max_length=200)]) -> Response:
    """One load, with the sensors and alarms that concern it."""
    return told(await page_of(request).link.call("why", {"load": load}))


@router.get("/lateness", response_model=Lateness)
async def lateness(request: Request) -> Response:
    """How long after their time switchings were carried out."""
    return told(await page_of(request).link.call("lateness"))


@router.post("/hold", response_model=Status)
async def hold(request: Request, body: asked.Hold) -> Response:
    """Holds a load at an order, for a time."""
    order = {"load": body.load, "order": body.order, "for": body.for_}
    return told(await page_of(request).link.call("hold", order))


@router.post("/release", response_model=Status)
async def release(request: Request, body: asked.Release) -> Response:
    """Ends a hold."""
    return told(await page_of(request).link.call("release", {"load": body.load}))


@router.post("/acknowledge", response_model=Status)
async def acknowledge(request: Request, body: asked.Acknowledge) -> Response:
    """Tells that an alarm was seen."""
    meant = {"alarm": body.alarm, "subject": body.subject}
    return told(await page_of(request).link.call("acknowledge", meant))


@router.post("/stop", response_model=Status)
async def stop(request: Request) -> Response:
    """Stops everything, until `resume`."""
    return told(await page_of(request).link.call("stop"))


@router.post("/resume", response_model=Status)
async def resume(request: Request) -> Response:
    """Ends a stop."""
    return told(await page_of(request).link.call("resume"))


@router.post("/clock-trust", response_model=Status)
async def clock_trust(request: Request) -> Response:
    """A person vouches for the controller's clock."""
    return told(await page_of(request).link.call("clock.trust"))
