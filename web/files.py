"""The page's own files: markup, styles and scripts; they hold nothing of the garden."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.staticfiles import StaticFiles

if TYPE_CHECKING:
    import os
    from pathlib import Path

    from fastapi import FastAPI
    from starlette.responses import Response
    from starlette.types import Scope


class _Files(StaticFiles):
    """Files that browsers ask after each time, so that an update shows at once."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """The file at a path; a page without its suffix too."""
        if self.html and path not in {"", "."} and "." not in path:
            path = f"{path}.html"
        return await super().get_response(path, scope)

    def file_response(
        self,
        full_path: str | os.PathLike[str],
        stat_result: os.stat_result,
        scope: Scope,
        status_code: int = 200,
    ) -> Response:
        """The file, or that it is as it was."""
        response = super().file_response(full_path, stat_result, scope, status_code)
        response.headers["Cache-Control"] = "no-cache"
        return response


def add_files_to(app: FastAPI, home: Path) -> None:
    """Mounts `static` at /static and `pages` at /."""
    app.mount("/static", _Files(directory=home / "static", check_dir=False), name="static")
    app.mount("/", _Files(directory=home / "pages", html=True, check_dir=False), name="pages")
