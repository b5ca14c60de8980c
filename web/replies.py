"""What every route answers with: JSON that no cache keeps, and documented problems."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from starlette.responses import Response

from controller.core.messages.json_text import json_bytes
from web.problems import MEDIA_TYPE
from web.security.sessions import Role
from web.security.tries import visitor_of
from web.shapes.problem import ProblemShape

if TYPE_CHECKING:
    from starlette.requests import Request

    from web.page import Page

# What any route may answer; without it, OpenAPI would promise FastAPI's own error shape.
PROBLEMS: dict[int | str, dict[str, Any]] = {
    code: {
        "description": "Problem details (RFC 9457)",
        "content": {MEDIA_TYPE: {"schema": ProblemShape.model_json_schema()}},
    }
    for code in ("4XX", "5XX", 422)
}


def told(value: object, *, cache: str = "no-store", **headers: str) -> Response:
    """A value as JSON."""
    return told_text(json_bytes(value), cache=cache, **headers)


def told_text(text: bytes, *, cache: str = "no-store", **headers: str) -> Response:
    """What is JSON text already."""
    return Response(
        text,
        headers={"Cache-Control": cache, **headers},
        media_type="application/json",
    )


def page_of(request: Request) -> Page:
    """The page that a request is asked of."""
    return cast("Page", request.app.state.page)


def guest_of(request: Request) -> str | None:
    """What tells this guest from others; None for the owner."""
    is_guest = request.state.role is Role.GUEST
    return visitor_of(address_of(request)) if is_guest else None


def address_of(request: Request) -> str:
    """Where a request comes from."""
    return request.client.host if request.client is not None else ""
