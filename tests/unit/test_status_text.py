"""The status and what orders did, as people read them: pinned word for word."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.status.record import (
    AlarmStatus,
    HoldStatus,
    Lateness,
    LoadStatus,
    PlanStatus,
    SensorStatus,
    Status,
    SunStatus,
)
from controller.core.units import HOUR_MS, MINUTE_MS, parse_rfc3339
from controller.report.ink import Ink
from controller.report.order_text import (
    acknowledge_text,
    hold_text,
    release_text,
    stop_text,
)
from controller.report.status_differences import differences
from controller.report.status_moments import length_text, local_text
from controller.report.status_text import status_text, why_text

NOON = parse_rfc3339("2026-06-15T12:00:00+02:00")
PLAIN = Ink(is_colour=False)
PUMP = LoadStatus(
    name="pump",
    kind="pump",
    line=17,
    is_on=False,
    since=NOON - 9 * MINUTE_MS,
    for_s=540.0,
    until=NOON + 6 * MINUTE_MS,
    left_s=360.0,
    why="plan",
    sentence="Resting. Next watering at 12:06, in 6 min. Cycle 15m on, 15m off, since 06:00.",
    held=None,
    variant=None,
    watts=22.0,
    may_be_mains=True,
)
LAMP = PUMP._replace(
    name="lamp",
    kind="lamp",
    line=5,
    is_on=True,
    for_s=None,
    since=None,
    sentence="Lit until 22:00.",
)
AIR = SensorStatus("air", "air_temperature", "°C", 31.25, 12.0, None)
LEAK = AlarmStatus("leak", "floor", NOON - HOUR_MS, True, False, "Dry the floor.")
STATUS = Status(
    version="0.1.0",
    protocol=1,
    now=NOON,
    now_local="2026-06-15T12:00:00+02:00",
    timezone="Europe/Zurich",
    up_s=90_061.0,
    is_mock=False,
    is_rehearsal=False,
    speed=1.0,
    is_clock_trusted=True,
    is_stopped=False,
    sun=SunStatus(None, None),
    plan=PlanStatus("plan.toml", 7, NOON - 48 * HOUR_MS, None),
    loads=(PUMP, LAMP),
    sensors=(AIR,),
    alarms=(),
    lateness=Lateness(96, 0.41, 1.9, 3.2),
)


def _held(order: str, *, load: LoadStatus = PUMP, **keys: Any) -> LoadStatus:
    return load._replace(why="hold", held=HoldStatus(order, NOON + 20 * MINUTE_MS, 1_200.0), **keys)


def test_a_quiet_garden() -> None:
    """The time, the loads, the readings, the plan; nothing about what is not."""
    assert (
        status_text(STATUS, width=80, ink=PLAIN)
        == """\
It is 12:00:00 on 15 Jun 2026 in Europe/Zurich.

pump: off for 9 min. Resting. Next watering at 12:06, in 6 min. Cycle 15m on,
  15m off, since 06:00.
lamp: on. Lit until 22:00.

air: air temperature 31.25 °C, 12 s ago.

Plan plan.toml, revision 7, in force since 12:00 on 13 Jun.
rootclock 0.1.0, up for 1 d 1 h; 96 switchings, half of them less than 0.41 ms
  late, none more than 3.2 ms."""
    )


def test_a_garden_in_trouble() -> None:
    """What is pressing comes first; an alarm that is over says so."""
    over = LEAK._replace(code="no flow", subject="pump", is_active=False, what_to_do="Look.")
    clock = LEAK._replace(
        code="clock not trusted", subject="", is_acknowledged=True, what_to_do="Set it."
    )
    status = STATUS._replace(
        is_stopped=True,
        is_mock=True,
        is_rehearsal=True,
        speed=60.0,
        alarms=(LEAK, over, clock),
        sensors=(
            AIR._replace(value=None, age_s=None, why_silent="nothing was read yet"),
            SensorStatus("floor", "leak", "", 1.0, 2.0, None),
            SensorStatus("float", "level", "", 0.0, 2.0, None),
        ),
        loads=(_held("off"),),
        plan=STATUS.plan._replace(refused="plan.toml: 1 error in the plan"),
        lateness=Lateness(0, None, None, None),
    )
    assert (
        status_text(status, width=80, ink=PLAIN)
        == """\
Everything is stopped; `rootclock resume` lets it go on. It is 12:00:00 on 15
Jun 2026 in Europe/Zurich. A rehearsal, 60 times as fast as life. No relay is
switched: the lines are mock ones.

Alarm: leak (floor), since 11:00.
  Dry the floor.
Alarm: no flow (pump), since 11:00; it is over, and stays until it is
  acknowledged.
  Look.
Alarm: clock not trusted, since 11:00. Acknowledged.
  Set it.

pump: off for 9 min. Resting. Next watering at 12:06, in 6 min. Cycle 15m on,
  15m off, since 06:00. Held off until 12:20, then the plan goes on.

air: air temperature, not known: nothing was read yet.
floor: leak, wet, 2 s ago.
float: level, below the float, 2 s ago.

Plan plan.toml, revision 7, in force since 12:00 on 13 Jun.
  A newer plan was not taken: plan.toml: 1 error in the plan
rootclock 0.1.0, up for 1 d 1 h."""
    )


def test_without_a_trusted_clock_no_time_of_day_is_told_as_one() -> None:
    """What the clock shows is told as that, and lengths tell the rest."""
    status = STATUS._replace(
        is_clock_trusted=False,
        alarms=(LEAK,),
        loads=(
            _held("on")._replace(
                sentence="Watering for 20 min more.", held=HoldStatus("on", None, 1_200.0)
            ),
        ),
        sensors=(),
    )
    assert (
        status_text(status, width=80, ink=PLAIN)
        == """\
Clock not trusted: it shows 12:00:00 on 15 Jun 2026. Loads run on elapsed time,
by their without_clock cycles.

Alarm: leak (floor).
  Dry the floor.

pump: off for 9 min. Watering for 20 min more. Held on for 20 min more, then the
  plan goes on.

Plan plan.toml, revision 7.
rootclock 0.1.0, up for 1 d 1 h; 96 switchings, half of them less than 0.41 ms
  late, none more than 3.2 ms."""
    )


def test_a_hold_whose_end_is_told_already_is_not_told_twice() -> None:
    """The sentence of a steady hold has its end."""
    sentence = "Resting until 12:20, 20 min more. Held by hand: off."
    held = _held("off", sentence=sentence, left_s=1_200.0)
    assert why_text(STATUS._replace(loads=(held,), sensors=()), width=80, ink=PLAIN) == (
        "pump: off for 9 min. Resting until 12:20, 20 min more. Held by hand: off. Then\n"
        "  the plan goes on."
    )


def test_no_line_is_wider_than_asked_and_nothing_is_obeyed_by_a_terminal() -> None:
    """Names of a plan that came from somewhere cannot clear a screen."""
    status = STATUS._replace(
        loads=(PUMP._replace(name="a\x1b[2Jb", sentence="word " * 60),),
        alarms=(LEAK._replace(subject="x\ny"),),
    )
    text = status_text(status, width=50, ink=PLAIN)
    assert max(map(len, text.splitlines())) <= 50
    assert "\x1b" not in text
    assert "Alarm: leak (x y)" in text


def test_colours_are_beside_the_words() -> None:
    """With colours, the words are the same."""
    status = STATUS._replace(alarms=(LEAK,))
    coloured = status_text(status, width=80, ink=Ink(is_colour=True))
    assert "\x1b[1;31mAlarm\x1b[0m: leak" in coloured
    plain = status_text(status, width=80, ink=PLAIN)
    for code in ("1;31", "1", "2", "0"):
        coloured = coloured.replace(f"\x1b[{code}m", "")
    assert coloured == plain


def test_why_leaves_the_plan_and_the_daemon_out() -> None:
    """Alarms, loads and readings."""
    assert why_text(STATUS._replace(loads=(LAMP,)), width=80, ink=PLAIN) == (
        "lamp: on. Lit until 22:00.\n\nair: air temperature 31.25 °C, 12 s ago."
    )


@pytest.mark.parametrize(
    ("after", "told"),
    [
        ({}, []),
        # The same state for longer is no news.
        ({"now": NOON + 1, "loads": (PUMP._replace(for_s=700.0, left_s=1.0), LAMP)}, []),
        ({"loads": (PUMP._replace(is_on=True, sentence="Watering."), LAMP)},
         ["pump on: Watering."]),
        ({"loads": (PUMP._replace(why="leak", sentence="Resting. Stopped."), LAMP)},
         ["pump off: Resting. Stopped."]),
        ({"loads": (_held("off", sentence="Resting."), LAMP)},
         ["pump off: Resting. Held off until 12:20, then the plan goes on."]),
        ({"loads": (PUMP,)}, ["lamp is no longer in the plan."]),
        ({"loads": (PUMP, LAMP, LAMP._replace(name="fan", sentence="Still."))}, ["fan on: Still."]),
        ({"is_stopped": True}, ["Everything is stopped."]),
        ({"is_clock_trusted": False}, ["The clock is not trusted."]),
        ({"plan": STATUS.plan._replace(revision=8)}, ["Revision 8 of the plan is in force."]),
        ({"plan": STATUS.plan._replace(refused="bad")}, ["A newer plan was not taken: bad"]),
        ({"alarms": (LEAK,)}, ["Alarm: leak (floor), since 11:00. Dry the floor."]),
    ],
)  # fmt: skip
def test_what_is_different_is_told_once(after: dict[str, Any], told: list[str]) -> None:
    """A sentence for each difference, and none for what only went on."""
    assert differences(STATUS, STATUS._replace(**after)) == told


def test_what_goes_back_is_told_too() -> None:
    """The end of a stop, of a distrust, of an alarm; and its acknowledgement."""
    before = STATUS._replace(is_stopped=True, is_clock_trusted=False, alarms=(LEAK,))
    acknowledged = before._replace(alarms=(LEAK._replace(is_acknowledged=True),))
    assert differences(before, acknowledged) == ["Alarm: leak (floor). Acknowledged."]
    assert differences(acknowledged, STATUS) == [
        "The stop is over.",
        "The clock is trusted.",
        "Alarm over: leak (floor).",
    ]


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        (PUMP, _held("off"), "pump is held off until 12:20; then the plan goes on."),
        (PUMP, _held("on", is_on=True),
         "pump is switched on now, and held on until 12:20; then the plan goes on."),
        (PUMP, _held("5m on, 5m off", is_on=True),
         "pump is held at 5m on, 5m off until 12:20; then the plan goes on. It is switched on "
         "now."),
        (PUMP, _held("deluge"),
         "pump is held at deluge until 12:20; then the plan goes on. It stays off now."),
        (PUMP, _held("on", sentence="Resting. Stopped: floor told of a leak."),
         "pump is held on until 12:20, then the plan goes on. But it is off now: Resting. "
         "Stopped: floor told of a leak."),
        (PUMP, PUMP, "The hold is over already."),
        (None, None, "The hold is over already."),
    ],
)  # fmt: skip
def test_a_hold_says_what_it_did_and_what_comes_then(
    before: LoadStatus | None, after: LoadStatus | None, told: str
) -> None:
    """That it switches now; that something stronger forbids it, if so."""
    assert hold_text(STATUS, before, after) == [told]


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        (_held("on", is_on=True), PUMP,
         f"pump is not held any more, and is switched off. {PUMP.sentence}"),
        (_held("off"), PUMP, f"pump is not held any more, and is off. {PUMP.sentence}"),
        (LAMP, LAMP, "lamp was not held, and is on. Lit until 22:00."),
        (PUMP, None, "The load is no longer in the plan."),
    ],
)  # fmt: skip
def test_a_release_says_what_the_load_does_then(
    before: LoadStatus | None, after: LoadStatus | None, told: str
) -> None:
    """Whether there was a hold, and the plan's own words."""
    assert release_text(before, after) == [told]


def test_an_acknowledgement_says_what_became_of_the_alarm() -> None:
    """Gone with its cause, or still there because its cause is."""
    status = STATUS._replace(alarms=(LEAK._replace(is_acknowledged=True),))
    assert acknowledge_text(status, [("leak", "floor"), ("no flow", "pump")]) == [
        "Acknowledged: leak (floor). Its cause is still there, and it goes away with it. "
        "Dry the floor.",
        "Acknowledged, and gone: no flow (pump).",
    ]


def test_a_stop_says_whether_everything_is_off() -> None:
    """A load that stays on is named: a person must act."""
    assert stop_text(STATUS._replace(loads=(PUMP,))) == [
        "Everything is stopped and off. It stays so until rootclock resume."
    ]
    assert stop_text(STATUS) == [
        "Everything is stopped, but still on: lamp. See why with rootclock why, and unplug what "
        "must not run."
    ]


def test_a_zone_that_this_machine_does_not_know_is_told_in_utc() -> None:
    """The daemon's machine may have newer zones."""
    status = STATUS._replace(timezone="Mars/Phobos")
    assert local_text(status, NOON) == "10:00 UTC"
    assert local_text(status, NOON + 12 * HOUR_MS) == "22:00 UTC on 15 Jun"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0.0, "0 s"),
        (0.9, "0 s"),
        (59.9, "59 s"),
        (60.0, "1 min"),
        (61.0, "1 min 1 s"),
        (3_601.0, "1 h"),  # a second beside an hour is noise
        (86_400.0 * 9 + 7_200.0, "9 d 2 h"),
        (-1.0, "0 s"),
    ],
)
def test_lengths_have_two_units_at_most(seconds: float, text: str) -> None:
    """The largest, and the next one if it counts."""
    assert length_text(seconds) == text
