"""The page's own files as browsers get them."""

from __future__ import annotations

import asyncio
from pathlib import Path

import httpx
import pytest
from fastapi import FastAPI

from web.files import add_files_to


def _get(home: Path, path: str, **headers: str) -> httpx.Response:
    app = FastAPI()
    add_files_to(app, home)

    async def ask() -> httpx.Response:
        transport = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=transport, base_url="http://page") as client:
            return await client.get(path, headers=headers)

    return asyncio.run(ask())


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A folder with two pages and a script, and something that is none of them."""
    for name, text in {
        "pages/index.html": "<p>now</p>",
        "pages/plan.html": "<p>plan</p>",
        "static/app.js": "let a = 1;",
        "secret.py": "secret",
    }.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("path", "text", "media_type"),
    [
        ("/", "<p>now</p>", "text/html"),
        ("/plan", "<p>plan</p>", "text/html"),
        ("/plan.html", "<p>plan</p>", "text/html"),
        ("/static/app.js", "let a = 1;", "text/javascript"),
    ],
)
def test_pages_and_static_files_are_served(
    home: Path, path: str, text: str, media_type: str
) -> None:
    """With a tag, so that an update shows at once and the rest costs nothing."""
    answer = _get(home, path)
    assert (answer.status_code, answer.text) == (200, text)
    assert answer.headers["content-type"].split(";")[0] == media_type
    assert answer.headers["cache-control"] == "no-cache"
    again = _get(home, path, **{"If-None-Match": answer.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


@pytest.mark.parametrize(
    "path",
    ["/nothing", "/static/nothing.js", "/static/../secret.py", "/static/%2e%2e/secret.py",
     "/../secret.py", "/%2e%2e/secret", "/secret.py", "/static/"],
)  # fmt: skip
def test_nothing_else_is(home: Path, path: str) -> None:
    """Neither what is not there nor what lies beside."""
    assert _get(home, path).status_code == 404
