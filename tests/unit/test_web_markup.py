"""Views as browsers get them: words in their places, modules asked for at once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from web.markup import completed, modules_of, put_together

WEB = Path(__file__).resolve().parents[2] / "web"
PAGES = sorted((WEB / "pages").glob("*.html"))
_CATALOGUE = """/** Words. */

export const NAMES = {
  title: "Rain & \\"sun\\"",
  views: "Views",
};

export const WORDS = {
  title: "not this one",
};
"""
_MAIN = """import { a } from "/static/a.js";
import {
  b,
  c,
} from "/static/b.js";
import { NAMES } from "/static/words/own.js";
export * from "/static/d.js";
import "/static/e.js";

const later = () => import("/static/later.js");
const said = 'import { f } from "/static/said.js"';
"""


@pytest.fixture
def static(tmp_path: Path) -> Path:
    """Scripts that import each other, and catalogues."""
    for name, text in {
        "main.js": _MAIN,
        "a.js": 'import { b } from "/static/b.js";\n',
        "b.js": 'import { f } from "/static/far.js";\n',
        "far.js": 'import { a } from "/static/a.js";\n',
        "d.js": "",
        "e.js": "",
        "later.js": "",
        "words/own.js": _CATALOGUE,
        "words/frame.js": 'export const NAMES = {\n  skip: "Skip",\n};\n',
    }.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_all_modules_are_found_once(static: Path) -> None:
    """Near ones first, in a circle or not; what is imported later is left for later."""
    assert modules_of(static, "main.js") == [
        "a.js", "b.js", "words/own.js", "d.js", "e.js", "far.js",
    ]  # fmt: skip


def test_words_stand_in_the_markup_and_modules_before_the_script(static: Path) -> None:
    """As the script would write them, and so that a quote or a sign breaks no markup."""
    script = '<script type="module" src="/static/main.js"></script>\n'
    markup = (
        f'{script}<a class="skip" data-word="skip"></a><h1 data-word="title"></h1>'
        '<nav data-word-label="title"></nav><p data-word="unknown"></p>'
    )
    modules = ("a.js", "b.js", "words/own.js", "d.js", "e.js", "far.js")
    links = "".join(f'<link rel="modulepreload" href="/static/{one}">\n' for one in modules)
    assert completed(markup, static) == (
        f'{links}{script}<a class="skip" data-word="skip">Skip</a>'
        '<h1 data-word="title">Rain &amp; &quot;sun&quot;</h1>'
        '<nav data-word-label="title" aria-label="Rain &amp; &quot;sun&quot;"></nav>'
        '<p data-word="unknown"></p>'
    )


def test_what_comes_after_the_first_paint_is_listed_whole(static: Path) -> None:
    """With all that it imports and that is not there by then; nothing of it is asked for before."""
    for name, imported in {"late.js": ("far", "g"), "g.js": ("h",), "h.js": ()}.items():
        text = "".join(f'import {{ a }} from "/static/{one}.js";\n' for one in imported)
        (static / name).write_text(text, encoding="utf-8")
    script = '<script type="module" src="/static/b.js"></script>\n'
    late = '<meta name="after-paint" content="/static/late.js /static/later.js /static/a.js">\n'
    markup = completed(late + script, static)
    listed = "/static/late.js /static/g.js /static/h.js /static/later.js"
    early = "".join(
        f'<link rel="modulepreload" href="/static/{one}">\n' for one in ("far.js", "a.js")
    )
    assert markup == f'<meta name="after-paint" content="{listed}">\n{early}{script}'


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_every_view_is_whole_before_any_script_runs(page: Path) -> None:
    """No word is missing and no module: what a browser shows at first needs neither."""
    frame = (WEB / "frame.html").read_text(encoding="utf-8")
    markup = put_together(frame, page.read_text(encoding="utf-8"), f"/{page.stem}")
    whole = completed(markup, WEB / "static")
    assert re.findall(r'<[^<>]*data-word="[^"]*"[^<>]*></', whole) == []
    assert len(re.findall(r'data-word="[^"]*"', whole)) > 10
    assert re.findall(r'data-word-label="[^"]*"(?! aria-label="[^"]+")', whole) == []
    modules = re.findall(r'<link rel="modulepreload" href="/static/([^"]+)">', whole)
    script = re.search(r'<script type="module" src="/static/([^"]+)">', whole)
    assert script is not None
    assert modules == modules_of(WEB / "static", script[1])
    late = re.findall(r'<meta name="after-paint" content="([^"]*)">', whole)
    named = [path.removeprefix("/static/") for paths in late for path in paths.split()]
    assert [one for one in named if not (WEB / "static" / one).is_file()] == []
    assert not {script[1], *modules} & set(named)
