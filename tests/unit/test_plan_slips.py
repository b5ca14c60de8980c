"""Slips of TOML: line, column, place, sentence and mend, word by word."""

from __future__ import annotations

import pytest

from controller.core.findings import Finding
from tests.plan_texts import PLAN, changed, findings_in

# old text, new text, line, place, message, mend
READ_ON = [
    pytest.param(
        'kind = "pump"',
        "kind = pump",
        13,
        "loads.pump.kind",
        "'pump' is a text, and texts stand between quotation marks (column 8)",
        'write kind = "pump"',
        id="a text without quotes",
    ),
    pytest.param(
        'longest_on = "45m"',
        "longest_on = 45m",
        17,
        "loads.pump.longest_on",
        "'45m' is a text, and texts stand between quotation marks (column 16)",
        'write longest_on = "45m"',
        id="a duration without quotes",
    ),
    pytest.param(
        'cycle = "15m on, 45m off"',
        "cycle = 15m on, 45m off  # rest",
        35,
        "loads.pump.spans.1.cycle",
        "'15m on, 45m off' is a text, and texts stand between quotation marks (column 11)",
        'write cycle = "15m on, 45m off"',
        id="a cycle without quotes, with a comma and a comment",
    ),
    pytest.param(
        'from = "sunset + 1h"',
        "from = 19:30",
        34,
        "loads.pump.spans.1.from",
        "'19:30' is a text, and texts stand between quotation marks (column 10)",
        'write from = "19:30"',
        id="a time that TOML reads as a number and more",
    ),
    pytest.param(
        'from = "sunset + 1h"',
        "from = sunset + 1h",
        34,
        "loads.pump.spans.1.from",
        "'sunset + 1h' is a text, and texts stand between quotation marks (column 8)",
        'write from = "sunset + 1h"',
        id="an anchor without quotes",
    ),
    pytest.param(
        'kind = "pump"',
        'kind = "pump',
        13,
        "loads.pump.kind",
        "the text is not closed: a quotation mark on this line has no partner (column 13)",
        'write kind = "pump"',
        id="a quotation mark forgotten at the end",
    ),
    pytest.param(
        'kind = "pump"',
        'kind = "pump   # what',
        13,
        "loads.pump.kind",
        "the text is not closed: a quotation mark on this line has no partner (column 22)",
        'write kind = "pump"',
        id="the same before a comment",
    ),
    pytest.param(
        'kind = "pump"',
        "kind = 'pump",
        13,
        "loads.pump.kind",
        "the text is not closed: a quotation mark on this line has no partner (column 8)",
        "write kind = 'pump'",
        id="a literal text, which would run to the file's end",
    ),
    pytest.param(
        'kind = "pump"',
        "kind = “pump”",
        13,
        "loads.pump.kind",
        "“ is a typographic quotation mark; texts stand between straight ones (column 8)",
        'write kind = "pump"',
        id="quotes from a word processor",
    ),
    pytest.param(
        'kind = "pump"',
        "kind: pump",
        13,
        "loads.pump.kind",
        ": stands between key and value; TOML writes = (column 5)",
        'write kind = "pump"',
        id="as YAML writes it",
    ),
    pytest.param(
        'kind = "pump"',
        'kind "pump"',
        13,
        "loads.pump.kind",
        "after kind stands no = (column 6)",
        'write kind = "pump"',
        id="no sign between",
    ),
    pytest.param(
        'kind = "pump"',
        'kind == "pump"',
        13,
        "loads.pump.kind",
        "== stands between key and value; TOML writes = (column 7)",
        'write kind = "pump"',
        id="as programs compare",
    ),
    pytest.param(
        'kind = "pump"',
        'kind = "pump";',
        13,
        "loads.pump.kind",
        "after the value of kind stands ; (column 14)",
        'write kind = "pump"',
        id="as programs end a line",
    ),
    pytest.param(
        'kind = "pump"',
        "kind = none",
        13,
        "loads.pump.kind",
        "TOML has no word for nothing, such as none: what is not set is left out (column 8)",
        'write kind = "pump"',
        id="a word for nothing",
    ),
    pytest.param(
        'name = "hot"',
        'name = "C:\\hot"',
        38,
        "loads.pump.variants.0.name",
        "a backslash in a text begins an escape such as \\n, and this one is none (column 13)",
        'write name = "C:\\\\hot"',
        id="a backslash",
    ),
    pytest.param(
        'kind = "pump"',
        'kind = "pump" "lamp"',
        13,
        "loads.pump.kind",
        "kind has 2 texts where one may stand (column 15)",
        'write kind = "pump, lamp"',
        id="two texts for one",
    ),
    pytest.param(
        'kind = "pump"',
        '// what\nkind = "pump"',
        13,
        "loads.pump",
        "// does not begin a comment in TOML; # does (column 1)",
        "write # what",
        id="a comment of another language",
    ),
    pytest.param(
        'longest_on = "45m"',
        'longest on = "45m"',
        17,
        "loads.pump.longest_on",
        "'longest on' is no key: keys have letters from a to z, digits, - and _ (column 9)",
        'write longest_on = "45m"',
        id="a blank in a key",
    ),
    pytest.param(
        "latitude = 47.1",
        "latitude = 47,1",
        5,
        "site.latitude",
        "47,1 has a decimal comma; TOML writes a point (column 14)",
        "write latitude = 47.1",
        id="a decimal comma",
    ),
    pytest.param(
        "latitude = 47.1",
        "latitude = 47.1°",
        5,
        "site.latitude",
        "'47.1°' is more than a number; latitude takes the number alone (column 16)",
        "write latitude = 47.1",
        id="a unit behind a number",
    ),
    pytest.param(
        "latitude = 47.1",
        "latitude = .5",
        5,
        "site.latitude",
        ".5 has no digit on one side of its point (column 12)",
        "write latitude = 0.5",
        id="no digit before the point",
    ),
    pytest.param(
        "line = 17",
        "line = 017",
        14,
        "loads.pump.line",
        "017 begins with 0, which a number may not (column 9)",
        "write line = 17",
        id="a zero in front",
    ),
    pytest.param(
        "by_hand = true",
        "by_hand = True",
        55,
        "loads.pump.variants.1.by_hand",
        "'True' is neither true nor false, in small letters (column 11)",
        "write by_hand = true",
        id="a capital letter",
    ),
    pytest.param(
        "elevation_m = 450",
        "elevation_m = 450\nelevation_m = 460",
        9,
        "site.elevation_m",
        "elevation_m is written twice, first on line 8; a key may stand once in a table (column "
        "18)",
        "delete the one that is wrong",
        id="a key twice",
    ),
    pytest.param(
        "[loads.lamp]",
        "[loads.lamp",
        62,
        "loads.lamp",
        "[loads.lamp has 1 of [ and 0 of ] (column 12)",
        "write [loads.lamp]",
        id="a bracket forgotten",
    ),
    pytest.param(
        '[[loads.pump.variants]]\nname = "hot"',
        '[[loads.pump.variants]\nname = "hot"',
        37,
        "loads.pump.variants",
        "[[loads.pump.variants] has 2 of [ and 1 of ] (column 22)",
        "write [[loads.pump.variants]]",
        id="one of two brackets forgotten",
    ),
    pytest.param(
        "[loads.lamp]",
        "[loads lamp]",
        62,
        "loads.lamp",
        "'loads lamp' is no name of a table: points join its parts, without blanks (column 8)",
        "write [loads.lamp]",
        id="a blank in a header",
    ),
    pytest.param(
        "[loads.lamp]",
        "[loads:lamp]",
        62,
        "loads.lamp",
        "'loads:lamp' is no name of a table: points join its parts, without blanks (column 7)",
        "write [loads.lamp]",
        id="a colon in a header",
    ),
    pytest.param(
        '{ from = "04:00", cycle = "on" }',
        '{ from = 04:00, cycle = "on" }',
        69,
        "loads.lamp.spans.0.from",
        "'04:00' is a text, and texts stand between quotation marks (column 13)",
        'write from = "04:00"',
        id="a time without quotes between braces",
    ),
    pytest.param(
        '{ from = "04:00", cycle = "on" }',
        '{ from = "04:00" cycle = "on" }',
        69,
        "loads.lamp.spans.0.cycle",
        "a comma is missing before cycle (column 20)",
        'write { from = "04:00", cycle = "on" },   # early',
        id="a comma forgotten between braces",
    ),
    pytest.param(
        '{ from = "04:00", cycle = "on" }',
        '{ from = "04:00", cycle = "on", }',
        69,
        "loads.lamp.spans.0",
        "TOML has no comma before } (column 35)",
        'write { from = "04:00", cycle = "on" },   # early',
        id="a comma too many between braces",
    ),
    pytest.param(
        '{ from = "04:00", cycle = "on" }',
        '{ from: "04:00", cycle = "on" }',
        69,
        "loads.lamp.spans.0.from",
        ": stands between key and value; TOML writes = (column 9)",
        'write from = "04:00"',
        id="a colon between braces",
    ),
    pytest.param(
        'kind = "pump"',
        'kind = "pump" or lamp',
        13,
        "loads.pump.kind",
        "after the first text of kind stands 'or lamp' (column 15)",
        'write kind = "pump or lamp"',
        id="words behind a text",
    ),
]

STOP = [
    pytest.param(
        "[loads.lamp]",
        '[loads."la"mp]',
        62,
        "loads.pump.limits",
        "this is no line of TOML: '[loads.\"la\"mp]' (column 12)",
        'write a table like [site], a pair like line = 17 or kind = "pump", or # and a comment',
        id="a text and more in a header",
    ),
    pytest.param(
        "[loads.lamp]",
        "[loads.lämp]",
        62,
        "loads.pump.limits",
        "'loads.lämp' is no name of a table: it has letters, digits, -, _ and points (column 9)",
        "write it like [loads.pump]",
        id="an umlaut in a header",
    ),
    pytest.param(
        "[loads.lamp]",
        "[loads.(lamp)]",
        62,
        "loads.pump.limits",
        "'loads.(lamp)' is no name of a table: it has letters, digits, -, _ and points (column 8)",
        "write it like [loads.pump]",
        id="signs in a header",
    ),
    pytest.param(
        'kind = "pump"',
        "kind =",
        13,
        "loads.pump.kind",
        "after kind = stands no value (column 7)",
        "write kind = and the value",
        id="no value",
    ),
    pytest.param(
        'kind = "pump"',
        "kind",
        13,
        "loads.pump.kind",
        "after kind stands no = (column 5)",
        "write kind = and the value",
        id="a key alone",
    ),
    pytest.param(
        'kind = "pump"',
        'kind = "pump" line = 17',
        13,
        "loads.pump.kind",
        "after the value of kind stands 'line = 17': each pair has its own line (column 15)",
        "write each pair on a line of its own",
        id="two pairs on one line",
    ),
    pytest.param(
        'kind = "pump"',
        'kind = """pump',
        13,
        "loads.pump.kind",
        "a text that begins with three quotation marks is not closed (column 8)",
        "write the three marks again where it ends",
        id="a long text that never ends",
    ),
    pytest.param(
        'kind = "pump"',
        'kind = "\\ud800"',
        13,
        "loads.pump.kind",
        "the escape stands for one half of a surrogate pair, which is no character (column 15)",
        "write the character itself",
        id="half of a surrogate pair",
    ),
    pytest.param(
        'kind = "pump"',
        'kind = "pu\x01mp"',
        13,
        "loads.pump.kind",
        "the control character \\x01 may not stand here (column 11)",
        "delete the character",
        id="a control character",
    ),
    pytest.param(
        "[loads.lamp]",
        "[]",
        62,
        "loads.pump.limits",
        "the table has no name (column 2)",
        "write the name, as in [site]",
        id="a header without a name",
    ),
    pytest.param(
        "[loads.lamp]",
        "[loads.pump]",
        62,
        "loads.pump",
        "[loads.pump] stands a second time, first on line 12; a table may stand once (column 12)",
        "put both parts together, or if these are two things give each its own name",
        id="a table twice",
    ),
    pytest.param(
        "[loads.lamp]",
        "[loads.lamp] watts = 3",
        62,
        "loads.pump.limits",
        "after the header stands 'watts = 3' (column 14)",
        "write it on a line of its own",
        id="a pair beside a header",
    ),
    pytest.param(
        '{ from = "04:00", cycle = "on" },',
        '{ from = "04:00", cycle = "on" }',
        70,
        "loads.lamp.spans.1",
        "a comma is missing between this item of the list and the one before it (column 3)",
        "write , after the item before",
        id="a comma forgotten between items",
    ),
    pytest.param(
        '{ from = "22:00", cycle = "off" },  # late\n]',
        '{ from = "22:00", cycle = "off" },  # late\n',
        73,
        "loads.lamp.spans",
        "the [ on line 67 is not closed before this line (column 2)",
        "write ] after the last item of the list",
        id="a list that is not closed",
    ),
    pytest.param(
        '{ from = "04:00", cycle = "on" }',
        '{ from = "04:00",\n cycle = "on" }',
        69,
        "loads.lamp.spans.0",
        "a table in braces is not closed on its line (column 20)",
        "close it: a list is [item, item], a table on one line { key = value, key = value }",
        id="braces over two lines",
    ),
    pytest.param(
        '{ from = "04:00", cycle = "on" }',
        '{ from = "04:00, cycle = "on" }',
        69,
        "loads.lamp.spans.0",
        "the text is not closed: a quotation mark on this line has no partner (column 29)",
        "write the mark where the text ends",
        id="a mark forgotten between braces",
    ),
    pytest.param(
        '{ from = "04:00", cycle = "on" }',
        '{ from = "04:00", from = "on" }',
        69,
        "loads.lamp.spans.0.from",
        "from is written twice between one pair of braces (column 32)",
        "keep the one that is right",
        id="a key twice between braces",
    ),
    pytest.param(
        "energy_per_month_kwh = 50",
        "energy_per_month_kwh = [",
        101,
        "limits.energy_per_month_kwh",
        "the [ of energy_per_month_kwh is not closed, or has something wrong within (column 25)",
        "close it: a list is [item, item], a table on one line { key = value, key = value }",
        id="a list that the file ends in",
    ),
    pytest.param(
        '[[loads.pump.spans]]\nfrom = "sunrise - 30m"',
        '[loads.pump.spans]\nfrom = "sunrise - 30m"',
        33,
        "loads.pump.spans",
        "[[loads.pump.spans]] is the second item of a list whose first has single brackets, "
        "first on line 27 (column 19)",
        "write [[loads.pump.spans]] at each of them",
        id="single brackets at the first item of a list",
    ),
    pytest.param(
        "[loads.pump.limits]\n",
        "[[loads.lamp.variants]]\n[loads.lamp.variants]\n",
        59,
        "loads.lamp.variants",
        "[loads.lamp.variants] stands a second time, first on line 58; a list's items have "
        "double brackets (column 21)",
        "write [[loads.lamp.variants]] at each of them",
        id="single brackets at the second item of a list",
    ),
    pytest.param(
        "[guards]\n",
        "[[loads.fan.spans]]\n",
        90,
        "loads.fan.spans",
        "[[loads.fan.spans]] adds to a list that is already written in another way, first on "
        "line 77 (column 18)",
        "write all of spans either with [[loads.fan.spans]] or with spans = [...]",
        id="headers for a list in brackets",
    ),
    pytest.param(
        "line = 17",
        "line = " + "9" * 5000,
        14,
        "",
        "the number has thousands of digits; the longest that a plan takes has ten",
        "write the number that was meant",
        id="a number of thousands of digits",
    ),
]


@pytest.mark.parametrize(("old", "new", "line", "where", "message", "mend"), READ_ON)
def test_a_slip_on_one_line_hides_no_mistake_elsewhere(
    old: str, new: str, line: int, where: str, message: str, mend: str
) -> None:
    """The slip is told with its column, and so is a wrong currency at the plan's end."""
    text = changed(old, new)
    text = changed('currency = "CHF"', 'currency = ""', text=text)
    findings = findings_in(text)
    assert findings[0] == Finding("error", where, message, mend, line)
    assert findings[-1].where == "energy.currency"
    assert "(column " in message


@pytest.mark.parametrize(("old", "new", "line", "where", "message", "mend"), STOP)
def test_a_slip_that_leaves_no_sense_is_told_alone(
    old: str, new: str, line: int, where: str, message: str, mend: str
) -> None:
    """Where nobody can tell what was meant, nothing is guessed about the rest."""
    text = changed(old, new)
    text = changed('currency = "CHF"', 'currency = ""', text=text)
    assert findings_in(text) == [Finding("error", where, message, mend, line)]


def test_a_mended_line_is_never_taken() -> None:
    """A plan whose only fault is a missing quotation mark is refused all the same."""
    findings = findings_in(changed('kind = "pump"', 'kind = "pump'))
    assert [finding.level for finding in findings] == ["error"]


def test_two_slips_on_one_line_are_both_told() -> None:
    """Between braces, both values without quotes are told."""
    text = changed('{ from = "04:00", cycle = "on" }', "{ from = 04:00, cycle = 15m on, 15m off }")
    assert [(f.line, f.where, f.mend) for f in findings_in(text)] == [
        (69, "loads.lamp.spans.0.from", 'write from = "04:00"'),
        (69, "loads.lamp.spans.0.cycle", 'write cycle = "15m on, 15m off"'),
    ]


def test_many_slips_are_told_together() -> None:
    """A file without a single quotation mark is told line by line."""
    text = PLAN.replace('"', "")
    lines = [finding.line for finding in findings_in(text)]
    quoted = [n for n, line in enumerate(PLAN.split("\n"), 1) if '"' in line]
    assert list(dict.fromkeys(lines)) == quoted


def test_windows_line_ends_change_nothing() -> None:
    """CR before LF is not counted, shown or kept in what is proposed."""
    text = changed('kind = "pump"', "kind = pump")
    assert findings_in(text.replace("\n", "\r\n")) == findings_in(text)


def test_a_very_long_line_is_not_searched() -> None:
    """Beyond five hundred characters only the position is told."""
    findings = findings_in(
        changed("line = 17                     # header pin 11", "line = " + "x " * 600 + "x")
    )
    assert [(f.line, f.where, f.message) for f in findings] == [
        (
            14,
            "loads.pump",
            "TOML stops making sense within this line of 1,208 characters (column 8)",
        )
    ]


def test_a_slip_behind_a_text_of_several_lines_is_placed_within_its_braces() -> None:
    """Braces may go on behind the end of a long text, and a comma may be missing there."""
    text = changed('{ from = "04:00", cycle = "on" }', '{ from = """\n04:00""" cycle = "on" }')
    assert [(f.line, f.where, f.message) for f in findings_in(text)] == [
        (70, "loads.lamp.spans.0.cycle", "a comma is missing before cycle (column 10)"),
    ]
