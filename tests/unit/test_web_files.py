"""The page's own files as browsers get them."""

from __future__ import annotations

import asyncio
from pathlib import Path

import httpx
import pytest
from fastapi import FastAPI

from web.files import add_files_to
from web.markup import put_together

_FRAME = """<!-- head -->
<a href="/">Now</a><a href="/plan">Plan</a>
<!-- main -->
"""
_NOW = """<title>now</title>
<a href="/" aria-current="page">Now</a><a href="/plan">Plan</a>
<p>now</p>
"""
_PLAN = """<title>plan</title>
<a href="/">Now</a><a href="/plan" aria-current="page">Plan</a>
<p>plan</p>
"""


def _page(name: str) -> str:
    return f"<!-- head -->\n<title>{name}</title>\n<!-- main -->\n<p>{name}</p>\n"


def _app(home: Path) -> FastAPI:
    app = FastAPI()
    add_files_to(app, home)
    return app


def _get(home: Path | FastAPI, path: str, **headers: str) -> httpx.Response:
    app = home if isinstance(home, FastAPI) else _app(home)

    async def ask() -> httpx.Response:
        transport = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=transport, base_url="http://page") as client:
            return await client.get(path, headers=headers)

    return asyncio.run(ask())


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A folder with two pages and a script, and something that is none of them."""
    for name, text in {
        "frame.html": _FRAME,
        "pages/index.html": _page("now"),
        "pages/plan.html": _page("plan"),
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
        ("/", _NOW, "text/html"),
        ("/plan", _PLAN, "text/html"),
        ("/plan.html", _PLAN, "text/html"),
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


def test_a_browser_that_can_unpack_gets_files_packed(home: Path) -> None:
    """With a tag of their own; one that cannot gets them as they are."""
    packed = _get(home, "/static/app.js", **{"Accept-Encoding": "br, gzip"})
    plain = _get(home, "/static/app.js", **{"Accept-Encoding": "identity"})
    assert packed.headers["content-encoding"] == "gzip"
    assert "content-encoding" not in plain.headers
    assert packed.text == plain.text == "let a = 1;"
    assert {one.headers["vary"] for one in (packed, plain)} == {"Accept-Encoding"}
    tag = packed.headers["etag"]
    assert tag != plain.headers["etag"]
    again = _get(home, "/static/app.js", **{"Accept-Encoding": "gzip", "If-None-Match": tag})
    assert (again.status_code, again.headers["etag"]) == (304, tag)


def test_a_file_that_changes_is_served_as_it_is(home: Path) -> None:
    """An update shows at once, though files are kept in memory; one that goes is not there."""
    app, script = _app(home), home / "static" / "app.js"
    before = _get(app, "/static/app.js")
    script.write_text("let a = 22;", encoding="utf-8")
    after = _get(app, "/static/app.js", **{"If-None-Match": before.headers["etag"]})
    assert (after.status_code, after.text) == (200, "let a = 22;")
    script.unlink()
    assert _get(app, "/static/app.js").status_code == 404


@pytest.mark.parametrize(
    "path",
    ["/nothing", "/frame", "/frame.html", "/index", "/static/nothing.js", "/static/../secret.py",
     "/static/%2e%2e/secret.py", "/../secret.py", "/%2e%2e/secret", "/secret.py", "/static/"],
)  # fmt: skip
def test_nothing_else_is(home: Path, path: str) -> None:
    """Neither what is not there nor what lies beside."""
    assert _get(home, path).status_code == 404


@pytest.mark.parametrize(
    "page", ["<p>no mark</p>", "<!-- head -->\n<p></p>", "x<!-- head -->\n<!-- main -->\n"]
)
def test_a_page_without_its_marks_is_refused(page: str) -> None:
    """Its maker learns so at the program's start, and not from half a view."""
    with pytest.raises(ValueError, match="/plan: the marks"):
        put_together(_FRAME, page, "/plan")
