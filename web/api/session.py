"""Logging in and out."""

from __future__ import annotations

import asyncio
import math
import time
from typing import TYPE_CHECKING

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from controller.core.errors import UnusablePasscodeError
from web.problems import Problem
from web.replies import address_of, page_of, told
from web.security.gate import session_of
from web.security.sessions import COOKIE, LASTS_S, Role
from web.security.tries import visitor_of
from web.shapes import asked
from web.shapes.session import Session

if TYPE_CHECKING:
    from web.page import Page

router = APIRouter(tags=["session"])


@router.get("/session", response_model=Session)
async def session(request: Request) -> Response:
    """Who the visitor is."""
    return _told(page_of(request), request.state.role)


@router.post("/session", response_model=Session)
async def log_in(request: Request, body: asked.Passcode) -> Response:
    """Begins a session, if that is the passcode."""
    page = page_of(request)
    if page.sessions is None or page.desk_of_passcodes is None:
        return _told(page, Role.OWNER)
    visitor = visitor_of(address_of(request))
    wait_s = page.tries.wait_s(visitor, time.monotonic())
    if wait_s > 0:
        wait = math.ceil(wait_s)
        raise Problem("too-many-tries", f"try again in {wait} s", retry_after_s=wait)
    if not await page.desk_of_passcodes.is_right(body.passcode):
        raise Problem("wrong-passcode", "that is not the passcode of this page")
    page.tries.forgive(visitor)
    response = _told(page, Role.OWNER)
    response.set_cookie(
        COOKIE,
        page.sessions.begin(),
        max_age=LASTS_S,
        httponly=True,
        samesite="strict",
        secure=request.url.scheme == "https",
    )
    return response


@router.delete("/session", response_model=Session)
async def log_out(request: Request) -> Response:
    """Ends the session."""
    page = page_of(request)
    if page.sessions is None:
        return _told(page, Role.OWNER)
    response = _told(page, Role.GUEST if page.settings.guests_may_read else Role.NOBODY)
    if page.sessions.end(session_of(request.scope)):
        page.fan_out.ask_anew()  # a stream that was opened with it is nobody's any more
        try:
            await asyncio.to_thread(page.sessions.keep_ended)
        except UnusablePasscodeError as error:
            response = Problem("out-of-reach", str(error)).response()
    response.delete_cookie(COOKIE, httponly=True, samesite="strict")
    return response


def _told(page: Page, role: Role) -> Response:
    return told(
        {
            "role": role.value,
            "needs_passcode": page.sessions is not None,
            "guests_may_read": page.settings.guests_may_read,
        }
    )
