"""Every word that a person reads on the page stands in a catalogue, and is used."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from typing import NamedTuple

import pytest

from controller.core.cautions import CAUTIONS
from controller.core.journal_entry import Deed
from controller.core.orders import AlarmCode, Event, Why
from controller.core.plan import Plan
from tests.js_source import Token, tokens

WEB = Path(__file__).resolve().parents[2] / "web"
STATIC = WEB / "static"
CATALOGUES = sorted((STATIC / "words").glob("*.js"))
SCRIPTS = sorted(path for path in STATIC.rglob("*.js") if path not in CATALOGUES)
MARKUP = [WEB / "frame.html", *sorted((WEB / "pages").glob("*.html"))]
LINES_MAX = 400
# Who has no scripts has no catalogue; the product's name is no word.
OUTSIDE = {"noscript", "script", "title", "code"}
BRAND = "rootclock"
ATTRIBUTES = {"aria-label", "title", "placeholder", "alt", "aria-description", "value"}
# What puts a text before people, and the place of the text among what it is given.
SPEAKERS = {"write": 1, "announce": 0, "tell": 0, "button": 1, "make": 2, "Option": 0}
SPOKEN_ATTRIBUTES = {"aria-label", "title", "placeholder", "aria-valuetext", "aria-description"}
SPOKEN_KEYS = {"textContent", "placeholder", "ariaLabel", "title", "innerText", "alt"}
# A sentence, or a name as it begins one; keys of the keyboard and of HTTP are none.
SENTENCE = re.compile(
    r"[^/]*\s[^/]*[A-Za-z]{2,}[.?!…](\s|$)|[A-Za-z]{2,} [a-z]+ [a-z]{2,}.*[a-z]{3}"
)
CAPITAL = re.compile(r"\s*[A-Z][a-z]+(\s|$)")
# Names in a schema, and what the controller calls its rules, alarms and entries.
NAMED_BY_THE_CONTROLLER = {
    *Plan.model_json_schema()["$defs"],
    *(one.value for kind in (Why, AlarmCode, Event, Deed) for one in kind),
}
TECHNICAL = {"Enter", "Escape", "Tab", "Home", "End", "Backspace", "Delete"}


class _Words(HTMLParser):
    """The words that stand in markup itself, and the keys of the catalogue that it names."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.keys: set[str] = set()
        self._open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._open.append(tag)
        for name, value in attrs:
            if name in ATTRIBUTES and value and re.search("[A-Za-z]{2}", value):
                self.words.append(f"{name}={value}")
            if name.startswith("data-word") and value:
                self.keys.add(value)

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        if data.strip() and data.strip() != BRAND and not OUTSIDE & set(self._open):
            self.words.append(data.strip())


def _read(path: Path) -> _Words:
    parser = _Words()
    parser.feed(path.read_text(encoding="utf-8"))
    return parser


class Use(NamedTuple):
    """A catalogue's part that a script uses: a key, or None for all of them."""

    catalogue: str
    export: str
    key: str | None


def _imports(source: list[Token]) -> dict[str, tuple[str, str]]:
    """What a script calls each part of a catalogue: its own name to file and export."""
    found: dict[str, tuple[str, str]] = {}
    for place, token in enumerate(source):
        if token.text != "from" or not source[place + 1].text.startswith("/static/words/"):
            continue
        catalogue = source[place + 1].text.rpartition("/")[2]
        start = place - 1
        while source[start].text != "{":
            start -= 1
        names = [one.text for one in source[start + 1 : place - 1]]
        for part in " ".join(names).split(","):
            if part.strip():
                export, _, own = part.strip().partition(" as ")
                found[own or export] = (catalogue, export)
    return found


def _uses(path: Path) -> set[Use]:
    source = tokens(path.read_text(encoding="utf-8"))
    names = _imports(source)
    uses: set[Use] = {Use(*part, "") for part in names.values()}
    is_import = False
    for place, token in enumerate(source):
        if token.text == "import" and source[place + 1].text != "(":
            is_import = True
        if is_import:
            is_import = token.kind != "string"
            continue
        is_member = place > 0 and source[place - 1].text in (".", "?.")
        if token.kind != "name" or token.text not in names or is_member:
            continue
        after = source[place + 1].text if place + 1 < len(source) else ""
        key = source[place + 2].text if after in (".", "?.") else None
        uses.add(Use(*names[token.text], key))
    return uses


def _exports(path: Path) -> dict[str, set[str]]:
    """What a catalogue offers: each export, with its keys where it is an object."""
    source = tokens(path.read_text(encoding="utf-8"))
    found: dict[str, set[str]] = {}
    for place, token in enumerate(source):
        if token.text == "export":
            name = source[place + 2].text
            is_object = source[place + 3].text == "=" and source[place + 4].text == "{"
            found[name] = _keys(source, place + 5) if is_object else set()
    return found


def _keys(source: list[Token], start: int) -> set[str]:
    keys: set[str] = set()
    depth = 0
    for place in range(start, len(source)):
        text = source[place].text if source[place].kind == "sign" else ""
        if text in ("}", ")", "]"):
            depth -= 1
        if depth < 0:
            break
        begins = source[place - 1].kind == "sign" and source[place - 1].text in ("{", ",")
        if depth == 0 and begins and source[place].kind in ("name", "string", "number"):
            keys.add(source[place].text)
        if text in ("{", "(", "["):
            depth += 1
    return keys


EXPORTS = {path.name: _exports(path) for path in CATALOGUES}
USES = set().union(*(_uses(path) for path in [*SCRIPTS, *CATALOGUES]))


@pytest.mark.parametrize("path", MARKUP, ids=lambda path: path.name)
def test_markup_has_no_words_of_its_own(path: Path) -> None:
    """It names keys of a catalogue instead."""
    assert _read(path).words == []


def _is_word(text: str) -> bool:
    if text in NAMED_BY_THE_CONTROLLER:
        return False
    if SENTENCE.match(text):
        return True
    return bool(CAPITAL.match(text)) and text.split()[0] not in TECHNICAL


def _spoken(source: list[Token]) -> list[str]:
    """Texts in places from which they reach people, whatever they look like."""
    found: list[str] = []
    for place, token in enumerate(source):
        if token.kind not in ("string", "template") or not re.search("[A-Za-z]{2}", token.text):
            continue
        if source[place - 1].text in ("=", "!") and source[place - 2].text == "=":
            continue  # compared, not shown
        if source[place - 1].text == "=" and source[place - 2].text in SPOKEN_KEYS:
            found.append(token.text)
        if source[place - 1].text == "," and source[place - 2].text in SPOKEN_ATTRIBUTES:
            found.append(token.text)
        if _argument(source, place) is True:
            found.append(token.text)
    return found


def _argument(source: list[Token], place: int) -> bool:
    """Whether a text is that argument of a speaker which people read."""
    depth = commas = 0
    for back in range(place - 1, max(0, place - 60), -1):
        text = source[back].text if source[back].kind == "sign" else ""
        if text in (")", "]", "}"):
            depth += 1
        elif text in ("[", "{"):
            depth -= 1
        elif text == "(" and depth == 0:
            speaker = source[back - 1].text
            return (
                speaker in SPEAKERS
                and commas >= SPEAKERS[speaker]
                and (speaker == "make" or commas == SPEAKERS[speaker])
            )
        elif text == "(":
            depth -= 1
        elif text == "," and depth == 0:
            commas += 1
        if depth < 0 or text == ";":
            return False
    return False


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: str(path.relative_to(STATIC)))
def test_scripts_have_no_words_of_their_own(path: Path) -> None:
    """No sentence, no name with a capital, and nothing at all where a text is shown."""
    source = tokens(path.read_text(encoding="utf-8"))
    texts = [one.text for one in source if one.kind in ("string", "template")]
    assert [text for text in texts if _is_word(text)] == []
    assert _spoken(source) == []


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.name)
def test_a_catalogue_has_nothing_that_nobody_shows(path: Path) -> None:
    """Every part of it is used by a script, or named in markup."""
    in_markup = set().union(*(_read(one).keys for one in MARKUP))
    unused = []
    for export, keys in EXPORTS[path.name].items():
        uses = {use.key for use in USES if use[:2] == (path.name, export)}
        if not uses:
            unused.append(export)
        used = in_markup if export == "NAMES" else uses
        if export == "NAMES" or None not in uses:
            unused += [f"{export}.{key}" for key in keys - {one for one in used if one}]
    assert unused == []


def test_no_script_asks_a_catalogue_for_what_it_has_not() -> None:
    """It would show "undefined"."""
    missing = [
        use
        for use in USES
        if use.export not in EXPORTS.get(use.catalogue, {})
        or (use.key and EXPORTS[use.catalogue][use.export]
            and use.key not in EXPORTS[use.catalogue][use.export])
    ]  # fmt: skip
    assert missing == []


@pytest.mark.parametrize("path", MARKUP, ids=lambda path: path.name)
def test_markup_names_no_key_that_is_missing(path: Path) -> None:
    """Each is among the names of the frame or of the view's own catalogue."""
    scripts = re.findall(r'<script type="module" src="/static/([^"]+)"', path.read_text("utf-8"))
    catalogues = {"frame.js"}
    for script in scripts:
        named = _uses(STATIC / script)
        catalogues |= {use.catalogue for use in named if use.export.endswith("NAMES")}
    known = set().union(*(EXPORTS[name].get("NAMES", set()) for name in catalogues))
    assert _read(path).keys - known == set()


def test_the_cautions_are_the_controller_s() -> None:
    """Word for word."""
    source = tokens((STATIC / "words" / "cautions.js").read_text(encoding="utf-8"))
    assert tuple(one.text for one in source if one.kind == "string") == CAUTIONS


@pytest.mark.parametrize(
    "path",
    sorted([*STATIC.rglob("*.js"), *STATIC.rglob("*.css")]),
    ids=lambda path: str(path.relative_to(STATIC)),
)
def test_no_file_of_the_page_is_long(path: Path) -> None:
    """As for Python."""
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LINES_MAX


@pytest.mark.parametrize(
    ("script", "is_caught"),
    [
        ('make("p", "hint", "wet roots");', True),  # shown, though neither sentence nor capital
        ('write(this.state, isOn ? "on" : WORDS.off);', True),
        ('element.setAttribute("aria-label", "more");', True),
        ('const text = "The plan has no load.";', True),
        ("const name = `Held ${order}`;", True),
        ('make("p", isBad ? "note is-bad" : "note");', False),  # classes
        ('write(this.grade, grade === "limit" ? WORDS.limit : WORDS.other);', False),
        ('addEventListener("keydown", (event) => event.key === "Enter");', False),
        ("const at = a / b / c; // A comment. With words.", False),
        ('const wanted = /[A-Z][a-z]+ is it/.test("x");', False),
        ('query(`[data-load="${name}"] .is-on`);', False),
    ],
)
def test_the_judge_tells_words_from_code(script: str, *, is_caught: bool) -> None:
    """One of each kind."""
    source = tokens(script)
    texts = [one.text for one in source if one.kind in ("string", "template")]
    assert bool([text for text in texts if _is_word(text)] or _spoken(source)) is is_caught
