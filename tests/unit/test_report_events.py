"""The events file: header, first states, changes, reasons and quoting."""

from __future__ import annotations

import csv
from io import StringIO

from controller.core.orders import Event, Notice, Reason, Why
from controller.core.units import MINUTE_MS, parse_rfc3339
from controller.report.events_csv import EventsCsv
from tests.planned_runs import PLANNED, load, play, schedule_of

START = parse_rfc3339("2026-06-01T00:00:00Z")
M = MINUTE_MS


def test_the_file_has_first_states_then_changes_in_order() -> None:
    """Whole text of half an hour of two loads; nothing at or after the end."""
    schedule = schedule_of({"pump": load("10m on, 10m off"), "lamp": load("off", kind="lamp")})
    stream = StringIO()
    play(schedule, START, START + 30 * M, EventsCsv(schedule, stream))
    assert stream.getvalue() == (
        "utc,load,state,reason\n"
        "2026-06-01T00:00:00Z,pump,on,Watering.\n"
        "2026-06-01T00:00:00Z,lamp,off,Dark.\n"
        "2026-06-01T00:10:00Z,pump,off,Resting.\n"
        "2026-06-01T00:20:00Z,pump,on,Watering.\n"
    )


def test_a_reason_is_a_sentence_with_the_cycle() -> None:
    """Quoted where it has a comma, read back whole; fractions of a second are kept."""
    schedule = schedule_of({"pump": load("15m on, 15m off")})
    stream = StringIO()
    events = EventsCsv(schedule, stream)
    look = schedule.loads[0].own.look(START)
    events.begin(START, [(True, Reason(Why.PLAN, look.piece, "", look.until))])
    events.change(START + 60_500, 0, Reason(Why.HOLD, detail="off"), is_on=False, is_wet=False)
    events.finish(START + M)
    rows = list(csv.reader(StringIO(stream.getvalue())))
    assert rows == [
        ["utc", "load", "state", "reason"],
        [
            "2026-06-01T00:00:00Z",
            "pump",
            "on",
            "Watering until 00:15, 15 min more. Cycle 15m on, 15m off, since 00:00.",
        ],
        ["2026-06-01T00:01:00.500Z", "pump", "off", "Resting. Held by hand: off."],
    ]


def test_what_changes_no_state_makes_no_row() -> None:
    """A new reason, a pump that begins to fail and a notice are not changes of state."""
    schedule = schedule_of({"pump": load("off")})
    stream = StringIO()
    events = EventsCsv(schedule, stream)
    events.begin(START, [(True, PLANNED)])
    events.change(START + 1, 0, Reason(Why.HOLD, detail="on"), is_on=True, is_wet=True)
    events.change(START + 2, 0, PLANNED, is_on=True, is_wet=False)
    events.notice(START + 3, Notice(Event.POWER_BACK))
    events.change(START + 4, 0, PLANNED, is_on=False, is_wet=False)
    events.finish(START + 5)
    assert [row["state"] for row in csv.DictReader(StringIO(stream.getvalue()))] == ["on", "off"]


def test_rows_are_written_as_they_happen() -> None:
    """The stream has each row before the next change is told."""
    schedule = schedule_of({"pump": load("off")})
    stream = StringIO()
    events = EventsCsv(schedule, stream)
    events.begin(START, [(False, PLANNED)])
    lengths = [stream.tell()]
    for number in range(1, 4):
        is_on = bool(number % 2)
        events.change(START + number, 0, PLANNED, is_on=is_on, is_wet=is_on)
        lengths.append(stream.tell())
    assert lengths == sorted(set(lengths))
