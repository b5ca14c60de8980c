"""The journal as a grower and as a program see it: sentences by day, CSV, JSON lines."""

from __future__ import annotations

import csv
import io
import json
from zoneinfo import ZoneInfo

import pytest

from controller.core.journal_entry import Entry, Numbered
from controller.core.units import parse_rfc3339
from controller.report.journal_export import HEADER, JournalCsv, write_json_lines
from controller.report.journal_text import JournalText, entry_sentence
from controller.report.text_cells import width_of
from controller.shell.journal.rows import AT_MAX, AT_MIN

ZURICH = ZoneInfo("Europe/Zurich")
_WHY = "Watering until 05:20, 15 min more. Cycle 15m on, 15m off, since sunrise at 05:05."


def _entry(utc: str, what: str, subject: str = "", detail: str = "", **more: object) -> Entry:
    entry = Entry(parse_rfc3339(utc), 0, True, what, subject, "plan", detail)
    return entry._replace(**more)  # type: ignore[arg-type]


def _text(*entries: Entry, width: int = 80, is_colour: bool = False) -> list[str]:
    return list(JournalText(ZURICH, width=width, is_colour=is_colour).lines(entries))


def test_entries_stand_under_their_local_day_and_time() -> None:
    """A switching with its reason, wrapped under itself; everything else as a sentence."""
    assert _text(
        _entry("2026-07-01T21:58:00Z", "controller started", "", "rootclock 0.1.0"),
        _entry("2026-07-01T22:05:16.250Z", "on", "pump", _WHY),
        _entry("2026-07-01T22:20:16Z", "off", "pump", "Resting."),
        _entry("2026-07-01T22:21:00Z", "alarm", "float", "reservoir low"),
    ) == [
        "Wed 1 Jul 2026",
        "  23:58:00         Controller started: rootclock 0.1.0.",
        "",
        "Thu 2 Jul 2026",
        "  00:05:16  pump   on  Watering until 05:20, 15 min more. Cycle 15m on, 15m off,",
        "                       since sunrise at 05:05.",
        "  00:20:16  pump   off Resting.",
        "  00:21:00  float  Alarm: reservoir low.",
    ]


def test_a_day_that_goes_on_over_pages_is_headed_once() -> None:
    """Pages are how it is read, and nothing that a reader should see."""
    text = JournalText(ZURICH, width=80, is_colour=False)
    first = _entry("2026-07-01T10:00:00Z", "on", "pump")
    second = _entry("2026-07-01T10:15:00Z", "off", "pump")
    assert [*text.lines([first]), *text.lines([second])] == [
        "Wed 1 Jul 2026",
        "  12:00:00  pump  on",
        "  12:15:00  pump  off",
    ]


def test_an_hour_that_comes_twice_is_told_apart() -> None:
    """25 October 2026, 01:00 UTC: clocks of Europe go back.

    Source: EU directive 2000/84/EC: the last Sunday of October at 01:00 UTC.
    """
    assert _text(
        _entry("2026-10-25T00:30:00Z", "on", "pump"),
        _entry("2026-10-25T01:30:00Z", "off", "pump"),
    ) == [
        "Sun 25 Oct 2026",
        "  02:30:00  pump  on",
        "  from here on, clocks are at UTC+01:00",
        "  02:30:00  pump  off",
    ]


def test_a_time_that_cannot_be_believed_is_marked() -> None:
    """And whoever prints the lines is told that there is something to explain."""
    text = JournalText(ZURICH, width=80, is_colour=False)
    lines = [*text.lines([_entry("1970-01-01T00:00:05Z", "on", "pump", is_clock_trusted=False)])]
    assert lines == ["Thu 1 Jan 1970", "  01:00:05? pump  on"]
    assert text.has_untrusted


@pytest.mark.parametrize(
    ("entry", "sentence"),
    [
        (("on", "Watering until 05:20."), "Watering until 05:20."),
        (("on", ""), ""),  # a switching without words is still one, its state stands before
        (("alarm", "leak"), "Alarm: leak."),
        (("alarm over", "leak"), "Alarm over: leak."),
        (("hold began", "on, for 20 min (by Wren)"), "Hold began: on, for 20 min (by Wren)."),
        (("clock not trusted", ""), "Clock not trusted."),
        (("plan taken", "Revision 3 of plan.toml."), "Plan taken: Revision 3 of plan.toml."),
        (("plan refused", "what is this?"), "Plan refused: what is this?"),
        (("", ""), ""),
        (("alarm", "two\nlines\x1b[31m"), "Alarm: two lines�[31m."),  # nothing for a terminal
    ],
)
def test_an_entry_is_a_sentence(entry: tuple[str, str], sentence: str) -> None:
    """Whatever the deed or event, known or not."""
    what, detail = entry
    assert entry_sentence(_entry("2026-07-01T10:00:00Z", what, "pump", detail)) == sentence


@pytest.mark.parametrize(
    ("late_ms", "sentence"),
    [
        (None, "Resting."),
        (999.9, "Resting."),  # every switching is a little late
        (1_000.0, "Resting. 1 s late."),
        (2_345.6, "Resting. 2.3 s late."),
        (3_720_000.0, "Resting. 1 h 2 min late."),
    ],
)
def test_a_switching_that_was_late_says_so(late_ms: float | None, sentence: str) -> None:
    """From a second on, which nothing but a busy board explains."""
    entry = _entry("2026-07-01T10:00:00Z", "off", "pump", "Resting.", late_ms=late_ms)
    assert entry_sentence(entry) == sentence


@pytest.mark.parametrize("width", [20, 40, 59, 60, 80, 200])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    """Long names are shortened in their middle, long words broken."""
    lines = _text(
        _entry("2026-07-01T10:00:00Z", "on", "a_name_that_is_longer_than_most_are_1", _WHY),
        _entry("2026-07-01T10:00:00Z", "alarm", "水", "x" * 300),
        _entry("2026-07-01T10:00:00Z", "plan taken", "", _WHY),
        width=width,
    )
    assert max(map(width_of, lines)) <= width
    assert all(line == line.rstrip() for line in lines)


@pytest.mark.parametrize("at", [AT_MIN, AT_MAX])
@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Pago_Pago"])
def test_the_strangest_clock_is_shown_in_every_zone(at: int, zone: str) -> None:
    """Whatever the journal stores, its readers can show and export."""
    entry = Entry(at, 0, False, "on", "pump")
    text = JournalText(ZoneInfo(zone), width=80, is_colour=False)
    assert len([*text.lines([entry])]) == 2
    stream = io.StringIO()
    write_json_lines(stream, [Numbered(1, entry)])
    assert json.loads(stream.getvalue())["utc"][:5] in {"0002-", "9998-"}


def test_alarms_stand_out_on_a_terminal() -> None:
    """Colours change nothing but the colour."""
    entries = [
        _entry("2026-07-01T10:00:00Z", "alarm", "float", "reservoir low"),
        _entry("2026-07-01T10:00:01Z", "on", "pump", "Watering."),
    ]
    heading, alarm, switching = _text(*entries, is_colour=True)
    assert (heading, alarm) == (
        "\x1b[1mWed 1 Jul 2026\x1b[0m",
        "\x1b[1;31m  12:00:00  float  Alarm: reservoir low.\x1b[0m",
    )
    assert switching == _text(*entries)[2]


# For programs

_ODD = _entry(
    "2026-07-01T10:00:00.007Z", "alarm", "float", 'said "no",\nthen nothing — ü', late_ms=1.23456
)
_PLAIN = _entry("2026-07-01T10:15:00Z", "off", "pump", "Resting.", is_clock_trusted=False, tick=77)


def test_csv_is_read_back_by_a_standard_reader() -> None:
    """Quotes, commas and line breaks survive; the header is as the command's help says."""
    stream = io.StringIO(newline="")
    JournalCsv(stream).write([Numbered(1, _ODD), Numbered(2, _PLAIN)])
    assert list(csv.reader(io.StringIO(stream.getvalue(), newline=""), strict=True)) == [
        ["utc", "what", "subject", "why", "detail", "late_ms", "clock_trusted"],
        ["2026-07-01T10:00:00.007Z", "alarm", "float", "plan", _ODD.detail, "1.235", "yes"],
        ["2026-07-01T10:15:00Z", "off", "pump", "plan", "Resting.", "", "no"],
    ]
    assert stream.getvalue().startswith(",".join(HEADER) + "\n")


def test_csv_of_nothing_is_its_header() -> None:
    """A spreadsheet shows the columns."""
    stream = io.StringIO()
    JournalCsv(stream).write([])
    assert stream.getvalue() == "utc,what,subject,why,detail,late_ms,clock_trusted\n"


def test_json_lines_are_one_object_each() -> None:
    """Every line stands alone, whatever the text holds."""
    stream = io.StringIO()
    write_json_lines(stream, [Numbered(1, _ODD), Numbered(2, _PLAIN)])
    assert [json.loads(line) for line in stream.getvalue().splitlines()] == [
        {
            "number": 1,
            "utc": "2026-07-01T10:00:00.007Z",
            "what": "alarm",
            "subject": "float",
            "why": "plan",
            "detail": _ODD.detail,
            "late_ms": 1.23456,
            "clock_trusted": True,
            "tick_ms": 0,
        },
        {
            "number": 2,
            "utc": "2026-07-01T10:15:00Z",
            "what": "off",
            "subject": "pump",
            "why": "plan",
            "detail": "Resting.",
            "late_ms": None,
            "clock_trusted": False,
            "tick_ms": 77,
        },
    ]
