"""Plan files that nobody means well by: findings in words, never a crash, never for long."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.errors import BadRequestError, PlanRefusedError
from controller.core.findings import LEVELS, Finding
from controller.core.plan_text.encoding import SIZE_MAX
from controller.core.plan_text.reading import FINDINGS_MAX, read_plan
from tests.plan_edits import add_item, add_table, remove, set_value
from tests.plan_texts import PLAN, SMALLEST, changed
from tests.work import counted_work
from web.paper.jobs import answer

# What an answer to a file may cost, however odd the file: a person waits for it. Counted in calls,
# so that no slow or busy machine matters; the worst of these has 3.2 million, a second or two.
CALLS_MAX = 5_000_000


def answer_to(data: bytes) -> list[Finding]:
    """What is found, after checking that it is fit to be shown."""
    try:
        findings = list(read_plan(data, "plan.toml").findings)
        levels = {"warning", "note"}
    except PlanRefusedError as refusal:
        findings = list(refusal.findings)
        levels = set(LEVELS)
        assert any(finding.level == "error" for finding in findings)
    assert len(findings) <= FINDINGS_MAX + 1
    lines = data.count(b"\n") + 1
    for finding in findings:
        assert finding.level in levels
        assert finding.line is None or 1 <= finding.line <= lines
        for text in (finding.where, finding.message, finding.mend):
            assert text.isprintable()
            assert len(text) <= 410
        assert finding.message
        assert finding.mend
    return findings


def _with(old: str, new: str) -> bytes:
    return changed(old, new).encode()


_SITE = SMALLEST.partition("[loads")[0]
_DEEP = "the file has tables or lists more than 16 deep; a plan never needs that"
_MANY = "the file has more than 60,000 words and signs; a plan never needs that"


@pytest.mark.parametrize(
    ("data", "message"),
    [
        pytest.param(
            b"[" * 10_000_000,
            "the file has more than 262,144 bytes, the most that a plan may have",
            id="10 MB of brackets",
        ),
        pytest.param(b"[" * 100_000, _DEEP, id="100,000 brackets"),
        pytest.param(b"a = " + b"[" * 100_000, _DEEP, id="100,000 brackets as a value"),
        pytest.param(b"a = " + b"{a = " * 50_000, _DEEP, id="50,000 braces"),
        pytest.param(b"a" + b".a" * 100_000 + b" = 1", _DEEP, id="100,000 dotted keys"),
        pytest.param(b"[a" + b'."a"' * 50_000 + b"]", _DEEP, id="a header as deep"),
        pytest.param(b"a = 1\n" * 40_000, _MANY, id="40,000 pairs"),
        pytest.param(b"[[a]]\n" * 40_000, _MANY, id="40,000 headers"),
        pytest.param(b"a = [" + b"1," * 100_000 + b"]", _MANY, id="100,000 numbers"),
    ],
)
def test_what_is_built_like_no_plan_is_refused_unread(data: bytes, message: str) -> None:
    """Size, depth and number of parts are judged before anything is taken apart."""
    assert [finding.message for finding in answer_to(data)] == [message]


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("a" + ".a" * 17 + " = 1", id="dotted keys"),
        pytest.param("[a" + ".a" * 17 + "]", id="a header"),
        pytest.param("a = " + "[" * 17 + "]" * 17, id="lists"),
        pytest.param("a = 1\n" * 20_001, id="pairs"),
    ],
)
@pytest.mark.parametrize("job", ["check", "preview", "edit", "faults"])
def test_what_is_refused_unread_is_not_read_for_the_page_either(
    text: str, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reader of TOML takes gigabytes for a hundred thousand keys that points join."""

    def loads(_: str) -> dict[str, Any]:
        raise AssertionError("a text beyond all bounds was read")

    monkeypatch.setattr(tomllib, "loads", loads)
    asked = {"running": text, "plan": text, "now": 0, "parts": ["next"], "share": [0, 1]}
    told = answer({"job": job, "text": text, "edits": [], **asked})
    if job == "edit":
        assert told["refused"].startswith("the edited plan: ")
    elif job == "preview":
        assert b'"is_fit":false' in told["result"].texts[0]
        assert b'"document":null' in told["result"].texts[0]
    else:
        assert told["result"]["is_fit"] is False
        assert told["result"]["document"] is None


@pytest.mark.parametrize(
    ("data", "where"),
    [
        pytest.param(_with("latitude = 47.1", "latitude = nan"), "site.latitude", id="NaN"),
        pytest.param(_with("latitude = 47.1", "latitude = -inf"), "site.latitude", id="infinity"),
        pytest.param(_with("latitude = 47.1", "latitude = 1e309"), "site.latitude", id="1e309"),
        pytest.param(_with("above = 32.0", "above = nan"), "loads.pump.variants.0.above", id="nan"),
        pytest.param(
            _with("line = 17 ", f"line = {'9' * 4000} "), "loads.pump.line", id="4000 digits"
        ),
        pytest.param(_with("line = 17 ", f"line = {'9' * 5000} "), "", id="5000 digits"),
        pytest.param(
            _with("line = 17 ", f"line = 0x{'f' * 100_000} "), "loads.pump.line", id="hexadecimal"
        ),
        pytest.param(
            _with("latitude = 47.1", f"latitude = 0b{'1' * 100_000}"), "site.latitude", id="binary"
        ),
        pytest.param(
            _with('"45m"', f"0x{'f' * 100_000}"), "loads.pump.longest_on", id="for a text"
        ),
        pytest.param(_with('"45m"', "0001-01-01"), "loads.pump.longest_on", id="the year 1"),
        pytest.param(
            _with('"45m"', "9999-12-31T23:59:59-23:59"), "loads.pump.longest_on", id="year 9999"
        ),
        pytest.param(
            _with('"sunset + 1h"', "24:00:00"), "loads.pump.spans.1.from", id="no time at all"
        ),
        pytest.param(
            _with('"15m on, 45m off"', '"' + "1s on, 1s off, " * 5000 + '1s on"'),
            "loads.pump.spans.1.cycle",
            id="10,001 steps",
        ),
        pytest.param(
            _with('"15m on, 45m off"', '"1m on,' + " " * 100_000 + 'x"'),
            "loads.pump.spans.1.cycle",
            id="blanks that make a pattern backtrack",
        ),
        pytest.param(
            _with('"sunset + 1h"', '"' + " + 1h" * 20_000 + '"'),
            "loads.pump.spans.1.from",
            id="a very long moment",
        ),
        pytest.param(
            _with('"45m"', '"' + "1h" * 50_000 + '"'), "loads.pump.longest_on", id="a long length"
        ),
        pytest.param(
            _with("Europe/Zurich", "../../../etc/passwd"), "site.timezone", id="a path for a zone"
        ),
        pytest.param(
            _with("Europe/Zurich", r"Europe\u0000Zurich"), "site.timezone", id="NUL in a zone"
        ),
        pytest.param(_with("Europe/Zurich", "a/" * 32), "site.timezone", id="a folder of folders"),
        pytest.param(
            _with("Europe/Zurich", "a" * 200_000), "site.timezone", id="a zone without end"
        ),
        pytest.param(
            _with('name = "hot"', r'name = "\u001b[2J"'),
            "loads.pump.variants.0.name",
            id="a name that clears the screen",
        ),
        pytest.param(
            _with("[guards]", '[guards]\n"\\u001b[2J" = 1'),
            'guards."\\u001b[2J"',
            id="a key that clears the screen",
        ),
        pytest.param(
            _with("[guards]", "[guards]\n" + "a" * 100_000 + " = 1"),
            f'guards."{"a" * 60}…"',
            id="a key without end",
        ),
        pytest.param(
            _with('timezone = "Europe/Zurich"', 'timezone = "\\ud800"'),
            "site.timezone",
            id="half a surrogate pair",
        ),
        pytest.param(
            _with("[guards]", "[guards]\nx = " + '"\\\\' * 50_000), "guards", id="backslashes"
        ),
    ],
)
def test_an_insane_value_is_refused_at_its_place(data: bytes, where: str) -> None:
    """Errors tell the place alone; nothing overflows, backtracks or reaches a terminal."""
    assert {finding.where for finding in answer_to(data)} == {where}


@pytest.mark.parametrize(
    "data",
    [
        pytest.param(b'"' * 250_000, id="marks"),
        pytest.param(b"'" * 250_000, id="single marks"),
        pytest.param(b'"""' + b'\\"""' * 60_000, id="escaped marks"),
        pytest.param(b'a = "' + b"\\" * 200_001, id="backslashes"),
        pytest.param(b'a = "' + b"\\u" * 100_000, id="escapes"),
        pytest.param(b"k" + b" " * 200_000 + b"v", id="blanks"),
        pytest.param(b"k" + b" " * 900 + b"v", id="blanks in a line that is searched"),
        pytest.param(b"a = {" + b"b " * 450, id="words between braces"),
        pytest.param(b"a = {" + b"b=c, " * 190 + b"}", id="pairs between braces"),
        pytest.param(b"=" * 100_000, id="equals signs"),
        pytest.param(b"[" + b".".join([b"a" * 50] * 12) + b"\n", id="a place without end"),
        pytest.param(b"}" * 100_000, id="brackets that nobody opened"),
        pytest.param(b"#" * 200_000, id="a comment"),
        pytest.param(b"\n" * 200_000 + b"x", id="blank lines"),
        pytest.param(b"kind = pump\n" * 3_000, id="a slip on each line"),
        pytest.param(b"k = 1\n" * 10_000 + b"x = pump\n", id="a key ten thousand times"),
        pytest.param(
            b"".join(b"k%d = 1\n" % n for n in range(14_000)) + b"x = pump", id="a slip at the end"
        ),
        pytest.param(b"".join(b"k%d = 1\n" % n for n in range(14_000)), id="14,000 unknown keys"),
        pytest.param(b"".join(b"[loads.p%d]\n" % n for n in range(9_000)), id="9,000 empty loads"),
        pytest.param(b"a.b.c.d.e.f%s = 1\n" % (b"x" * 9) * 3_000, id="dotted keys, all the same"),
        pytest.param(b"loads = [" + b"{}," * 15_000 + b"]", id="15,000 empty tables"),
        pytest.param(
            SMALLEST.encode() + b'[[loads.lamp.variants]]\nname = "x"\nspans = "y"\n' * 3_000,
            id="3,000 variants",
        ),
        pytest.param(
            SMALLEST.encode() + b'[[loads.pump.spans]]\nfrom = "06:00"\ncycle = "on"\n' * 3_000,
            id="3,000 spans",
        ),
        pytest.param(
            SMALLEST.encode()
            + b"".join(
                b'[loads.p%d]\nkind = "lamp"\nline = %d\nactive = "low"\n'
                b'spans = [{ from = "p%d on", cycle = "on" }]\n' % (n, n % 54, (n + 1) % 53)
                for n in range(53)
            ),
            id="a ring of 53 loads",
        ),
        pytest.param(SMALLEST.encode()[:-3], id="a file cut off"),
        pytest.param(b"\x00\xff\xfe" * 1000, id="noise"),
        pytest.param(b"<html><body>404</body></html>", id="another language"),
        pytest.param(b'{"format": 1, "site": {"latitude": 47}}', id="JSON"),
        pytest.param(b"---\nformat: 1\nsite:\n  latitude: 47\n", id="YAML"),
    ],
)
def test_an_insane_file_is_answered_with_bounded_work(data: bytes) -> None:
    """Whatever the bytes are, the answer is errors that a person can read, and comes soon."""
    with counted_work() as work:
        assert answer_to(data)
    assert work.calls < CALLS_MAX


def test_thousands_of_errors_are_capped_and_counted() -> None:
    """A hundred are told in the order of the file, and the number of the rest."""
    findings = answer_to(b"".join(b"k%d = 1\n" % n for n in range(5_000)))
    assert [finding.where for finding in findings[3:100]] == [f"k{n}" for n in range(97)]
    assert findings[-1].message == "4,903 more findings are not shown"


def test_an_error_is_told_before_a_hundred_remarks() -> None:
    """What keeps a plan from being one is never among what is left out; the order is the file's."""
    loads = "".join(
        f'[loads.p{number}]\nkind = "pump"\nline = {min(number, 52)}\nactive = "low"\n'
        'spans = [{ from = "06:00", cycle = "15m on, 15m off" }]\n'
        for number in range(54)
    )
    findings = answer_to(f"{_SITE}{loads}".encode())
    errors = [finding.where for finding in findings if finding.level == "error"]
    assert errors == ["loads.p53.line"]
    lines = [finding.line or 0 for finding in findings[:-1]]
    assert lines == sorted(lines)
    assert len(lines) == FINDINGS_MAX


@given(st.binary(max_size=300))
def test_any_bytes_are_answered(data: bytes) -> None:
    """Bytes by chance are answered."""
    answer_to(data)


_PIECES = st.sampled_from(
    [*"[]{}=,.\"'#\n \\\0", "[[", "]]", '"""', "\r\n", "loads", "pump", "site", "spans", "from"]
)


@given(st.lists(_PIECES, max_size=60).map("".join))
def test_any_heap_of_toml_s_pieces_is_answered(text: str) -> None:
    """Brackets, marks and keys in any order are answered."""
    answer_to(text.encode())


@given(st.data())
def test_a_plan_with_a_piece_torn_out_or_put_in_is_answered(data: st.DataObject) -> None:
    """A sound plan with any slice replaced by any piece is answered, mostly by name."""
    start = data.draw(st.integers(0, len(PLAN)))
    end = data.draw(st.integers(start, min(len(PLAN), start + 200)))
    piece = data.draw(st.one_of(_PIECES, st.text(max_size=5)))
    answer_to((PLAN[:start] + piece + PLAN[end:]).encode("utf-8", "surrogatepass"))


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("[" * 200_000, id="brackets"),
        pytest.param("x" * (SIZE_MAX + 1), id="too large"),
        pytest.param("", id="empty"),
        pytest.param("a = 1\x00", id="NUL"),
        pytest.param("a = '\ud800'", id="a lone surrogate"),
        pytest.param("a = {" * 30, id="braces"),
        pytest.param(PLAN.replace('"45m"', "45m"), id="a slip"),
    ],
)
def test_an_edit_of_an_insane_text_is_refused(text: str) -> None:
    """What is no plan is not edited; the refusal is of the same kind as when reading."""
    edits: list[Callable[[], str]] = [
        lambda: set_value(text, "loads.pump.line", 5),
        lambda: add_table(text, "sensors.x", {"measures": "level"}),
        lambda: add_item(text, "loads.pump.spans", 0, {"from": "06:00", "cycle": "on"}),
        lambda: remove(text, "loads.pump"),
    ]
    for edit in edits:
        with counted_work() as work, pytest.raises((PlanRefusedError, BadRequestError)):
            edit()
        assert work.calls < CALLS_MAX


@pytest.mark.parametrize(
    "value",
    [
        pytest.param("\ud800", id="a lone surrogate"),
        pytest.param("\x00\x1b[2J\n", id="what a terminal would obey"),
        pytest.param("x" * 300_000, id="endless"),
        pytest.param(float("nan"), id="NaN"),
        pytest.param(10**5000, id="a huge number"),
        pytest.param(True, id="another kind"),
        pytest.param(None, id="nothing"),
        pytest.param([[]], id="a list"),
        pytest.param({"a": {}}, id="a table"),
    ],
)
def test_an_insane_value_is_not_written(value: Any) -> None:
    """A value that no plan may have is refused, in any place and as part of a table."""
    edits: list[Callable[[], str]] = [
        lambda: set_value(PLAN, "loads.pump.kind", value),
        lambda: add_table(PLAN, "sensors.x", {"measures": value}),
        lambda: add_table(PLAN, "sensors.x", value),
        lambda: add_item(PLAN, "loads.pump.spans", 0, {"from": value}),
    ]
    for edit in edits:
        with pytest.raises((PlanRefusedError, BadRequestError)):
            edit()


def test_a_table_without_end_is_not_written() -> None:
    """A table in a table in a table and so on is refused before it is walked."""
    table: dict[str, Any] = {}
    for _ in range(5_000):
        table = {"a": table}
    with pytest.raises(BadRequestError):
        add_table(PLAN, "sensors.x", table)
