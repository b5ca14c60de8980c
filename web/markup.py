"""Views put together, once, when the program starts: whole to look at before any script has run.

Every view is `frame.html` (what stands around each) with one file of `pages` put into it. A file
of `pages` has two parts, each after its mark: `<!-- head -->` and `<!-- main -->`.

Into the markup go the words that it names by `data-word` and `data-word-label`, from the same
catalogues that the scripts use, so that the browser can paint them at once; and before the view's
script, links to all modules that it imports, near and far, so that the browser asks for all of
them at once and not layer after layer. What the script fetches only after the first paint stands
in `<meta name="after-paint" content="...">`, and is completed there for the same reason.
"""

from __future__ import annotations

import json
import re
from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping
    from pathlib import Path

_HEAD, _MAIN = "<!-- head -->\n", "<!-- main -->\n"
_STATIC = "/static/"
_FRAME_WORDS = "words/frame.js"
_SCRIPT = re.compile(r'<script type="module" src="/static/([^"]+)"></script>\n')
_AFTER_PAINT = re.compile(r'(<meta name="after-paint" content=")([^"]+)(">)')
# `import { a } from "/static/b.js";`, over several lines too; not `import("...")`, which fetches
# what is wanted later.
_IMPORT = re.compile(r'^(?:import|export)\s(?:[^;"]*?\sfrom\s)?\s*"/static/([^"]+)";', re.MULTILINE)
_NAMES = re.compile(r"^export const NAMES = \{\n(.*?)^\};", re.MULTILINE | re.DOTALL)
_NAME = re.compile(r'^ {2}(\w+): ("(?:[^"\\]|\\.)*"),$', re.MULTILINE)
_WORD = re.compile(r'(<[^<>]*\bdata-word="(\w+)"[^<>]*>)(?=</)')
_LABEL = re.compile(r'\bdata-word-label="(\w+)"')


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


def completed(markup: str, static: Path) -> str:
    """A view's markup with its words and with links to all of its modules.

    What is missing, a word or a module, is left out: tests find it, and a browser says so.
    """
    script = _SCRIPT.search(markup)
    if script is None:
        return markup
    modules = [one for one in modules_of(static, script[1]) if (static / one).is_file()]
    words: dict[str, str] = {}
    for module in (_FRAME_WORDS, *imports_of(static, script[1])):
        words.update(_names_in(_text(static / module)))
    links = "".join(f'<link rel="modulepreload" href="{_STATIC}{module}">\n' for module in modules)
    markup = _with_late_modules(markup, static, {script[1], *modules})
    return _with_words(markup, words).replace(script[0], links + script[0])


def _with_late_modules(markup: str, static: Path, early: Collection[str]) -> str:
    """The markup whose list of late modules has all that they import and that is not there yet."""

    def whole(found: re.Match[str]) -> str:
        entries = [path.removeprefix(_STATIC) for path in found[2].split()]
        needed = [one for entry in entries for one in (entry, *modules_of(static, entry))]
        late = [one for one in dict.fromkeys(needed) if one not in early]
        return found[1] + " ".join(f"{_STATIC}{one}" for one in late) + found[3]

    return _AFTER_PAINT.sub(whole, markup)


def imports_of(static: Path, module: str) -> list[str]:
    """What a module imports by itself, in its order, as paths within `static`."""
    return _IMPORT.findall(_text(static / module))


def modules_of(static: Path, entry: str) -> list[str]:
    """All modules that one needs to run, near ones first, without itself."""
    found = [entry]
    for module in found:
        found += [one for one in dict.fromkeys(imports_of(static, module)) if one not in found]
    return found[1:]


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8") if path.is_file() else ""


def _names_in(catalogue: str) -> dict[str, str]:
    """The words of a catalogue's NAMES, which are plain texts; none where it has no NAMES."""
    names = _NAMES.search(catalogue)
    if names is None:
        return {}
    return {key: json.loads(text) for key, text in _NAME.findall(names[1])}


def _with_words(markup: str, words: Mapping[str, str]) -> str:
    def word(key: str) -> str:
        return escape(words.get(key, ""))

    markup = _WORD.sub(lambda found: found[1] + word(found[2]), markup)
    return _LABEL.sub(lambda found: f'{found[0]} aria-label="{word(found[1])}"', markup)
