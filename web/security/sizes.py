"""How long a request may be, and how long it may take to arrive."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from web.problems import Problem

if TYPE_CHECKING:
    from collections.abc import Mapping

    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    from web.settings import Limits

_JSON = "application/json"


class Sizes:
    """Lets through what is short, quick and JSON; bodies longer than others for some paths."""

    def __init__(self, app: ASGIApp, limits: Limits, longer: Mapping[str, int]) -> None:
        self._app = app
        self._limits = limits
        self._longer = longer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes a request on with its body at hand, or answers why not."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        try:
            self._look_at_head(scope)
            body = await self._body(scope, receive)
        except Problem as problem:
            response = problem.response()
            # What is still to come of the body would be read as the next request.
            response.headers["Connection"] = "close"
            await response(scope, receive, send)
            return
        if body is None:
            return  # whoever asked is gone
        is_told = False

        async def receive_body() -> Message:
            nonlocal is_told
            if is_told:
                return await receive()
            is_told = True
            return {"type": "http.request", "body": body, "more_body": False}

        await self._app(scope, receive_body, send)

    def _look_at_head(self, scope: Scope) -> None:
        target = len(scope["raw_path"]) + len(scope["query_string"])
        if target > self._limits.target_bytes_max:
            most = self._limits.target_bytes_max
            raise Problem(
                "address-too-long", f"the address has {target} bytes; it has up to {most}"
            )
        head = sum(len(name) + len(value) + 4 for name, value in scope["headers"])
        if head > self._limits.head_bytes_max:
            most = self._limits.head_bytes_max
            raise Problem("head-too-big", f"the headers have {head} bytes; they have up to {most}")

    async def _body(self, scope: Scope, receive: Receive) -> bytes | None:
        """The whole body; None if whoever sends it is gone.

        Raises:
            Problem: it is too long, too slow or no JSON.
        """
        headers = dict(scope["headers"])
        most = self._longer.get(scope["path"], self._limits.body_bytes_max)
        told = headers.get(b"content-length", b"0")
        if len(told) > 18 or int(told) > most:
            raise _too_big(most)
        if told == b"0" and b"transfer-encoding" not in headers:
            return b""
        media_type = headers.get(b"content-type", b"").decode("latin-1").partition(";")[0]
        if media_type.strip().lower() != _JSON:
            raise Problem("wrong-media-type", f"a body is JSON, sent as Content-Type: {_JSON}")
        try:
            async with asyncio.timeout(self._limits.body_s):
                return await _whole(receive, most)
        except TimeoutError:
            limit_s = self._limits.body_s
            raise Problem("too-slow-sending", f"a body arrives within {limit_s:g} s") from None


async def _whole(receive: Receive, most: int) -> bytes | None:
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return None
        body += message.get("body", b"")
        if len(body) > most:
            raise _too_big(most)
        if not message.get("more_body", False):
            return bytes(body)


def _too_big(most: int) -> Problem:
    return Problem("too-big", f"the body here has up to {most:,} bytes")
