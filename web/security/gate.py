"""Who may see and do what: with a passcode set, the API is its owner's."""

from __future__ import annotations

from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING

from web.problems import Problem
from web.security.sessions import COOKIE, Role

if TYPE_CHECKING:
    from collections.abc import Callable

    from starlette.types import ASGIApp, Receive, Scope, Send

# What tells nothing about the garden, and what logging in needs.
_OPEN = ("/api/v1/session", "/api/v1/openapi.json", "/api/v1/problems/", "/health")
_GUARDED = ("/api/", "/metrics")
_LOOKING = frozenset({"GET", "HEAD"})
# They are POST for the length of what is asked, and change nothing.
_ONLY_LOOKING_TOO = frozenset({"/api/v1/plan/check", "/api/v1/plan/edit", "/api/v1/plan/preview"})


class Gate:
    """Finds out a visitor's role, tells it in the request's state, and lets through what it may.

    `role_of` tells the role of whoever brings that session, or none ("").
    """

    def __init__(self, app: ASGIApp, role_of: Callable[[str], Role]) -> None:
        self._app = app
        self._role_of = role_of

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes a request on, or answers why not."""
        if scope["type"] == "http":
            role = self._role_of(session_of(scope))
            scope.setdefault("state", {})["role"] = role
            try:
                _refuse(role, scope["method"], scope["path"])
            except Problem as problem:
                await problem.response()(scope, receive, send)
                return
        await self._app(scope, receive, send)


def session_of(scope: Scope) -> str:
    """The value of the session's cookie, or nothing."""
    for name, value in scope["headers"]:
        if name == b"cookie":
            try:
                found = SimpleCookie(value.decode("latin-1")).get(COOKIE)
            except CookieError:
                continue
            if found is not None:
                return found.value
    return ""


def _refuse(role: Role, method: str, path: str) -> None:
    if role is Role.OWNER or path.startswith(_OPEN) or not path.startswith(_GUARDED):
        return
    if role is Role.NOBODY:
        raise Problem("not-logged-in", "log in with the passcode first")
    if method not in _LOOKING and path not in _ONLY_LOOKING_TOO:
        raise Problem("not-allowed", "log in with the passcode to order something")
