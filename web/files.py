"""The page's own files: markup, styles and scripts; they hold nothing of the garden.

Every view is `frame.html` (what stands around each) with one file of `pages` put into it, once,
when the program starts. A file of `pages` has two parts, each after its mark: `<!-- head -->`
and `<!-- main -->`.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from starlette.responses import Response
from starlette.routing import Route
from starlette.staticfiles import StaticFiles

if TYPE_CHECKING:
    import os
    from pathlib import Path

    from fastapi import FastAPI
    from starlette.requests import Request
    from starlette.types import Scope

_HEAD, _MAIN = "<!-- head -->\n", "<!-- main -->\n"
_FIRST = "index"  # the view at /
# Browsers ask after each file each time, so that an update shows at once.
_CACHE = "no-cache"


class _Files(StaticFiles):
    """Files as they lie there."""

    def file_response(
        self,
        full_path: str | os.PathLike[str],
        stat_result: os.stat_result,
        scope: Scope,
        status_code: int = 200,
    ) -> Response:
        """The file, or that it is as it was."""
        response = super().file_response(full_path, stat_result, scope, status_code)
        response.headers["Cache-Control"] = _CACHE
        return response


class _View:
    """One view, whole, with a tag."""

    def __init__(self, markup: str) -> None:
        self._body = markup.encode()
        self._tag = f'"{hashlib.sha256(self._body).hexdigest()[:32]}"'

    async def __call__(self, request: Request) -> Response:
        headers = {"ETag": self._tag, "Cache-Control": _CACHE}
        if request.headers.get("if-none-match") == self._tag:
            return Response(status_code=304, headers=headers)
        return Response(self._body, media_type="text/html", headers=headers)


def add_files_to(app: FastAPI, home: Path) -> None:
    """Mounts `static` at /static, and serves the views: `pages/index.html` at /, others at
    their names with and without `.html`."""
    frame = (home / "frame.html").read_text(encoding="utf-8")
    for page in sorted((home / "pages").glob("*.html")):
        path = "/" if page.stem == _FIRST else f"/{page.stem}"
        view = _View(put_together(frame, page.read_text(encoding="utf-8"), path))
        for address in (path, f"/{page.name}"):
            app.router.routes.append(Route(address, view.__call__, include_in_schema=False))
    app.mount("/static", _Files(directory=home / "static", check_dir=False), name="static")


def put_together(frame: str, page: str, path: str) -> str:
    """A page's two parts in the frame, whose link to `path` says that one is there.

    Raises:
        ValueError: a mark is missing.
    """
    before, _, parts = page.partition(_HEAD)
    head, mark, main = parts.partition(_MAIN)
    if before.strip() or not mark or _HEAD not in frame or _MAIN not in frame:
        raise ValueError(f"{path}: the marks of head and main are not where they belong")
    link = f'<a href="{path}"'
    return (
        frame.replace(_HEAD, head).replace(_MAIN, main).replace(link, f'{link} aria-current="page"')
    )
