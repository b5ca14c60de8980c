"""The page's own files: markup, styles and scripts; they hold nothing of the garden.

They are kept in memory with their tags, also compressed. A file that changes on the disk is read
again; views are put together when the program starts (`web/markup.py`).
"""

from __future__ import annotations

import gzip
import hashlib
import mimetypes
import time
from typing import TYPE_CHECKING, NamedTuple

from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import Route

from web.markup import completed, put_together

if TYPE_CHECKING:
    from pathlib import Path

    from fastapi import FastAPI
    from starlette.requests import Request

_FIRST = "index"  # the view at /
_SCRIPT = "text/javascript"
_LOOK_AGAIN_S = 1.0
# Browsers ask after each file each time, so that an update shows at once.
_CACHE = "no-cache"


class _Kept(NamedTuple):
    """A file's bytes, plain and compressed, with the tag of each."""

    media_type: str
    plain: bytes
    plain_tag: str
    packed: bytes
    packed_tag: str

    def answer(self, request: Request) -> Response:
        """The file, or that it is as it was."""
        is_packed = "gzip" in request.headers.get("accept-encoding", "")
        tag = self.packed_tag if is_packed else self.plain_tag
        headers = {"ETag": tag, "Cache-Control": _CACHE, "Vary": "Accept-Encoding"}
        if request.headers.get("if-none-match") == tag:
            return Response(status_code=304, headers=headers)
        if not is_packed:
            return Response(self.plain, media_type=self.media_type, headers=headers)
        headers["Content-Encoding"] = "gzip"
        return Response(self.packed, media_type=self.media_type, headers=headers)


def _kept(body: bytes, media_type: str) -> _Kept:
    name = hashlib.sha256(body).hexdigest()[:32]
    packed = gzip.compress(body, mtime=0)
    return _Kept(media_type, body, f'"{name}"', packed, f'"{name}-gzip"')


class _View:
    """One view, whole."""

    def __init__(self, markup: str) -> None:
        self._kept = _kept(markup.encode(), "text/html")

    async def __call__(self, request: Request) -> Response:
        return self._kept.answer(request)


class _Files:
    """All files of a folder, by their paths within it; whatever else is asked for is not there."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._found: dict[str, Path] = {}
        self._kept: dict[str, tuple[tuple[int, int], _Kept]] = {}
        self._looked_s = -_LOOK_AGAIN_S

    async def __call__(self, request: Request) -> Response:
        path: str = request.path_params["path"]
        try:
            return self._file(path).answer(request)
        except FileNotFoundError:
            raise HTTPException(404) from None

    def _file(self, path: str) -> _Kept:
        """The file as it is on the disk.

        Raises:
            FileNotFoundError: there is none.
        """
        if path not in self._found:
            self._look()
        if path not in self._found:
            raise FileNotFoundError(path)
        found = self._found[path].stat()
        state = (found.st_mtime_ns, found.st_size)
        known = self._kept.get(path)
        if known is None or known[0] != state:
            media_type = mimetypes.guess_type(path)[0] or "application/octet-stream"
            if media_type == "application/javascript":  # what older tables call it
                media_type = _SCRIPT
            known = (state, _kept(self._found[path].read_bytes(), media_type))
            self._kept[path] = known
        return known[1]

    def _look(self) -> None:
        """Looks what there is, unless it has just done so."""
        now_s = time.monotonic()
        if now_s - self._looked_s < _LOOK_AGAIN_S:
            return
        self._looked_s = now_s
        files = (path for path in self._folder.rglob("*") if path.is_file())
        self._found = {path.relative_to(self._folder).as_posix(): path for path in files}


def add_files_to(app: FastAPI, home: Path) -> None:
    """Serves the files of `static` at /static, and the views: `pages/index.html` at /, others at
    their names with and without `.html`. They come before all other routes: a view asks for many
    files at once.

    Raises:
        ValueError: a view has not the marks of its parts.
    """
    static = home / "static"
    frame = (home / "frame.html").read_text(encoding="utf-8")
    routes = [Route("/static/{path:path}", _Files(static).__call__, include_in_schema=False)]
    for page in sorted((home / "pages").glob("*.html")):
        path = "/" if page.stem == _FIRST else f"/{page.stem}"
        markup = put_together(frame, page.read_text(encoding="utf-8"), path)
        view = _View(completed(markup, static))
        routes += [
            Route(address, view.__call__, include_in_schema=False)
            for address in (path, f"/{page.name}")
        ]
    app.router.routes[:0] = routes
