"""The account of a run: sums, longest stretches with their times, days, power, remarks."""

from __future__ import annotations

from datetime import timedelta

import pytest

from controller.core.orders import AlarmCode, Event, Notice, Reason, Why
from controller.core.schedule import Schedule
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, Instant, parse_rfc3339
from controller.dry_run.account import Account, LoadAccount, Remark, Stretch
from controller.dry_run.account_keeper import REMARKS_MAX, AccountKeeper, midnight_after
from tests.planned_runs import (
    GARDEN,
    PLANNED,
    account_of,
    account_of_days,
    load,
    midnight,
    schedule_of,
)

M = MINUTE_MS
START = parse_rfc3339("2026-06-01T00:00:00Z")
LEVEL = Reason(Why.LEVEL_LOW, detail="float")


def garden(**loads: dict[str, object]) -> Schedule:
    """A schedule of these loads; one pump that is off where none is told."""
    return schedule_of(loads or {"pump": load("off", watts=22.0)})


def told(
    schedule: Schedule,
    *changes: tuple[int, int, bool, bool, Reason],
    begins_on: bool = False,
    start: Instant = START,
    length_ms: int = DAY_MS,
) -> Account:
    """The account of (ms after the start, place, is_on, is_wet, reason) told in order."""
    keeper = AccountKeeper(schedule)
    keeper.begin(start, [(begins_on, PLANNED)] * len(schedule.loads))
    for after_ms, place, is_on, is_wet, reason in changes:
        keeper.change(start + after_ms, place, reason, is_on=is_on, is_wet=is_wet)
    keeper.finish(start + length_ms)
    return keeper.account


def pump_told(
    *changes: tuple[int, bool], begins_on: bool = False, length_ms: int = DAY_MS
) -> LoadAccount:
    """The account of one pump told to be on or off, so many ms after the start."""
    full = [(after_ms, 0, is_on, is_on, PLANNED) for after_ms, is_on in changes]
    return told(garden(), *full, begins_on=begins_on, length_ms=length_ms).loads["pump"]


def test_a_day_of_a_quarter_on_a_quarter_off() -> None:
    """48 starts, half of the time on, each stretch a quarter, the first of them named."""
    schedule = garden(pump=load("15m on, 15m off", watts=22.0, contact_life=1_000))
    assert account_of_days(schedule, "2026-06-01", 1) == Account(
        start=START,
        end=START + DAY_MS,
        loads={
            "pump": LoadAccount(
                name="pump",
                kind="pump",
                on_ms=12 * HOUR_MS,
                starts=47,  # the first watering was on already
                switches=95,
                longest_dry_gap=Stretch(START + 15 * M, START + 30 * M),
                longest_on=Stretch(START, START + 15 * M),
                most_starts_a_day=47,
                most_starts_an_hour=2,
                most_on_a_day_ms=12 * HOUR_MS,
                energy_kwh=0.264,  # 22 W for 12 h
                contact_life=1_000,
                whys={},
            )
        },
        watts_max=22.0,
        watts_max_at=START,
        remarks=(),
        remarks_left_out=0,
    )


def test_time_on_is_split_at_local_midnight() -> None:
    """On from 23:00 to 02:00 gives one hour to the first date and two to the second."""
    done = pump_told((23 * HOUR_MS, True), (26 * HOUR_MS, False), length_ms=2 * DAY_MS)
    assert done.on_ms == 3 * HOUR_MS
    assert done.most_on_a_day_ms == 2 * HOUR_MS
    assert done.longest_on == Stretch(START + 23 * HOUR_MS, START + 26 * HOUR_MS)


def test_a_state_that_outlasts_days_fills_each_of_them() -> None:
    """Three days on without a change are three times 24 h, and one stretch."""
    done = pump_told(begins_on=True, length_ms=3 * DAY_MS)
    assert (done.most_on_a_day_ms, done.on_ms) == (DAY_MS, 3 * DAY_MS)
    assert done.longest_on == Stretch(START, START + 3 * DAY_MS)
    assert (done.longest_dry_gap, done.starts, done.switches) == (None, 0, 0)


def test_starts_are_counted_on_the_date_on_which_they_fall() -> None:
    """A start at midnight belongs to the date that begins then."""
    changes = [(DAY_MS, True), (DAY_MS + 1, False), (2 * DAY_MS - 1, True)]
    done = pump_told((M, True), (2 * M, False), *changes, length_ms=2 * DAY_MS)
    assert (done.starts, done.most_starts_a_day) == (3, 2)


def test_the_longest_gap_is_named_with_its_time() -> None:
    """Of gaps of 10, 40 and 20 minutes the second is told, from when to when."""
    on_off = [(10 * M, True), (11 * M, False), (51 * M, True), (52 * M, False), (72 * M, True)]
    done = pump_told(*on_off, length_ms=73 * M)
    assert done.longest_dry_gap == Stretch(START + 11 * M, START + 51 * M)


def test_of_two_gaps_alike_the_earlier_is_told() -> None:
    """Two gaps of ten minutes: the first."""
    done = pump_told((10 * M, True), (20 * M, False), (30 * M, True), length_ms=31 * M)
    assert done.longest_dry_gap == Stretch(START, START + 10 * M)


def test_gaps_at_the_edges_of_the_run_are_cut_there() -> None:
    """A gap that lasts at the start or the end counts as far as the run goes."""
    done = pump_told((5 * M, True), (6 * M, False), length_ms=60 * M)
    assert done.longest_dry_gap == Stretch(START + 6 * M, START + 60 * M)


def test_a_pump_that_never_runs_is_dry_all_the_time() -> None:
    """No start, no time on, one gap."""
    done = pump_told()
    assert done.longest_dry_gap == Stretch(START, START + DAY_MS)
    assert (done.on_ms, done.longest_on, done.energy_kwh) == (0, None, 0.0)


def test_a_pump_that_fails_is_on_and_dry() -> None:
    """A watering without water lengthens the dry gap, and still wears relay and meter."""
    schedule = garden()
    account = told(
        schedule,
        (30 * M, 0, True, False, PLANNED),
        (60 * M, 0, False, False, PLANNED),
        (90 * M, 0, True, True, PLANNED),
        length_ms=100 * M,
    )
    done = account.loads["pump"]
    assert done.longest_dry_gap == Stretch(START, START + 90 * M)
    assert done.longest_on == Stretch(START + 30 * M, START + 60 * M)
    assert (done.on_ms, done.starts, done.switches) == (40 * M, 2, 3)


def test_a_pump_that_fails_while_it_runs_is_dry_from_then_on() -> None:
    """The change of wetness alone begins the gap and is no change of the relay."""
    schedule = garden()
    account = told(
        schedule,
        (10 * M, 0, True, False, PLANNED),
        (25 * M, 0, True, True, PLANNED),
        begins_on=True,
        length_ms=30 * M,
    )
    done = account.loads["pump"]
    assert done.longest_dry_gap == Stretch(START + 10 * M, START + 25 * M)
    assert (done.on_ms, done.starts, done.switches) == (30 * M, 0, 0)


def test_a_pump_that_fails_from_the_very_start_is_dry_from_the_start() -> None:
    """A change at the very start is part of the starting state."""
    account = told(garden(), (0, 0, True, False, PLANNED), begins_on=True, length_ms=30 * M)
    assert account.loads["pump"].longest_dry_gap == Stretch(START, START + 30 * M)


def test_other_rules_than_the_plan_are_booked_with_their_time() -> None:
    """The plan's own time is not told; a rule that lasts at the end is."""
    hold = Reason(Why.HOLD, detail="on")
    account = told(
        garden(),
        (10 * M, 0, False, False, LEVEL),
        (30 * M, 0, False, False, PLANNED),
        (40 * M, 0, False, False, LEVEL),
        (45 * M, 0, True, True, hold),
        length_ms=60 * M,
    )
    assert account.loads["pump"].whys == {Why.LEVEL_LOW: 25 * M, Why.HOLD: 15 * M}


@pytest.mark.parametrize(
    ("day", "hours"),
    [
        ("2026-03-29", 23),  # clocks put forward
        ("2026-10-25", 25),  # clocks put back
        ("2026-06-01", 24),  # an ordinary day
    ],
)
def test_a_date_lasts_as_long_as_its_clocks_say(day: str, hours: int) -> None:
    """A load that is always on is on for the whole of the longest date."""
    site = {"latitude": 47.1, "longitude": 8.3, "timezone": "Europe/Zurich"}
    schedule = schedule_of({"fan": load("on", kind="fan")}, site=site)
    done = account_of_days(schedule, day, 1).loads["fan"]
    assert done.most_on_a_day_ms == done.on_ms == hours * HOUR_MS


def test_the_longest_day_of_a_week_with_a_clock_change_has_25_hours() -> None:
    """Midnight to midnight of each date, not 24 h after 24 h."""
    site = {"latitude": 47.1, "longitude": 8.3, "timezone": "Europe/Zurich"}
    schedule = schedule_of({"fan": load("on", kind="fan")}, site=site)
    done = account_of_days(schedule, "2026-10-22", 7).loads["fan"]
    assert done.most_on_a_day_ms == 25 * HOUR_MS


@pytest.mark.parametrize(
    ("timezone", "before", "expected"),
    [
        # Samoa went from 29 to 31 December 2011 (tz database, `australasia`).
        ("Pacific/Apia", "2011-12-29T20:00:00Z", "2011-12-30T10:00:00Z"),
        # Egypt's 25 April 2025 began at 01:00 (tz database, `africa`).
        ("Africa/Cairo", "2025-04-24T12:00:00Z", "2025-04-24T22:00:00Z"),
        # Newfoundland's clocks went back from 00:01 to 23:01 of the day before until 2011
        # (tz database, `northamerica`): the date begins once, at its first midnight.
        ("America/St_Johns", "2010-11-07T02:30:30Z", "2010-11-08T03:30:00Z"),
        ("America/St_Johns", "2010-11-07T02:29:30Z", "2010-11-07T02:30:00Z"),
        ("America/St_Johns", "2010-11-07T03:00:00Z", "2010-11-08T03:30:00Z"),
    ],
)
def test_the_next_local_date_begins_once(timezone: str, before: str, expected: str) -> None:
    """Also where a zone skips a date, a midnight, or has one twice."""
    calendar = schedule_of({"pump": load("off")}, site={**GARDEN, "timezone": timezone}).calendar
    assert midnight_after(calendar, parse_rfc3339(before)) == parse_rfc3339(expected)


def test_a_zone_that_skips_a_date_keeps_its_days_apart() -> None:
    """Three dates of Samoa's turn of the year 2011 are three times 24 h, not one of 48."""
    site = {"latitude": -13.8, "longitude": -171.8, "timezone": "Pacific/Apia"}
    schedule = schedule_of({"fan": load("on", kind="fan")}, site=site)
    start, end = midnight(schedule, "2011-12-28"), midnight(schedule, "2012-01-01")
    assert timedelta(milliseconds=end - start) == timedelta(days=3)
    assert account_of(schedule, start, end).loads["fan"].most_on_a_day_ms == DAY_MS


def test_a_run_within_a_day_counts_what_there_is() -> None:
    """From 10:07 to 10:52 with quarters from midnight on: cut at both edges."""
    schedule = garden(pump=load("15m on, 15m off"))
    start = START + 10 * HOUR_MS + 7 * M
    done = account_of(schedule, start, start + 45 * M).loads["pump"]
    assert (done.on_ms, done.starts, done.switches) == (23 * M, 1, 3)
    assert done.longest_on == Stretch(START + 630 * M, START + 645 * M)
    assert done.longest_dry_gap == Stretch(START + 615 * M, START + 630 * M)
    assert (done.most_starts_a_day, done.most_on_a_day_ms) == (1, 23 * M)
    assert done.energy_kwh is None  # its watts are not stated


def test_the_most_watts_are_told_with_when() -> None:
    """Two loads overlap from 20 to 30 minutes."""
    schedule = garden(a=load("off", watts=100.5), b=load("off", watts=22.25))
    account = told(
        schedule,
        (10 * M, 0, True, True, PLANNED),
        (20 * M, 1, True, True, PLANNED),
        (30 * M, 0, False, False, PLANNED),
    )
    assert (account.watts_max, account.watts_max_at) == (122.75, START + 20 * M)


def test_loads_that_change_at_one_instant_are_not_on_together() -> None:
    """One goes on and another off at once: their watts never add up, told in either order."""
    schedule = garden(a=load("off", watts=100.0), b=load("off", watts=60.0))
    account = told(
        schedule,
        (10 * M, 0, True, True, PLANNED),
        (20 * M, 1, True, True, PLANNED),
        (20 * M, 0, False, False, PLANNED),
    )
    assert (account.watts_max, account.watts_max_at) == (100.0, START + 10 * M)


def test_watts_add_up_without_an_error_however_often_loads_switch() -> None:
    """0.1 W and 0.2 W are 0.3 W at the first time, not a little more at a later one."""
    schedule = garden(a=load("off", watts=0.1), b=load("off", watts=0.2), c=load("off", watts=0.3))
    changes = [
        (minute * M, place, is_on, is_on, PLANNED)
        for round_ in range(200)
        for minute, place, is_on in (
            (6 * round_, 2, True),
            (6 * round_ + 1, 2, False),
            (6 * round_ + 2, 0, True),
            (6 * round_ + 3, 1, True),
            (6 * round_ + 4, 0, False),
            (6 * round_ + 5, 1, False),
        )
    ]
    account = told(schedule, *changes)
    assert (account.watts_max, account.watts_max_at) == (0.3, START)


def test_the_first_remarks_are_kept_and_the_others_counted() -> None:
    """Alarms keep their places even where other notices are many."""
    keeper = AccountKeeper(garden())
    keeper.begin(START, [(False, PLANNED)])
    entered = Notice(Event.VARIANT_ENTERED, "pump", "hot")
    alarm = Notice(Event.ALARM_RAISED, "float", AlarmCode.LEVEL_LOW.value)
    for number in range(REMARKS_MAX + 3):
        keeper.notice(START + number, entered)
    keeper.notice(START + 10_000, alarm)
    keeper.finish(START + DAY_MS)
    kept = (
        *(Remark(START + n, entered) for n in range(REMARKS_MAX)),
        Remark(START + 10_000, alarm),
    )
    assert (keeper.account.remarks, keeper.account.remarks_left_out) == (kept, 3)


def test_an_account_is_not_given_before_the_run_is_over() -> None:
    """Asking too early is a mistake of ours, and says so."""
    with pytest.raises(RuntimeError, match="not finished"):
        _ = AccountKeeper(garden()).account


def test_starts_are_counted_by_the_busiest_hour() -> None:
    """1 min on, 9 off in one span are six starts an hour; the rest of the day has two."""
    pump = load("15m on, 15m off")
    pump["spans"] += [
        {"from": "06:00", "cycle": "1m on, 9m off"},
        {"from": "07:00", "cycle": "15m on, 15m off"},
    ]
    account = account_of_days(garden(pump=pump), "2026-06-01", 1)
    assert account.loads["pump"].most_starts_an_hour == 6
