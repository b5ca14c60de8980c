"""What the recorder of a picture keeps: times on as runs, episodes, happenings, bounds."""

from __future__ import annotations

import random

import pytest

from controller.core.orders import AlarmCode, Event, Notice, Reason, Why
from controller.core.schedule import Schedule
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, Instant, parse_rfc3339
from controller.report.picture.recorder import (
    DAYS_MAX,
    EPISODES_MAX,
    HAPPENINGS_MAX,
    PictureRecorder,
)
from controller.report.picture.recording import Bars, Blend, Day, Episode, Happening, Recording, Run
from controller.report.picture.run_lengths import (
    RUNS_A_DAY_MAX,
    bars_of,
    blended,
    drawable,
    stretches,
)
from tests.planned_runs import PLANNED, load, midnight, play, schedule_of

START = parse_rfc3339("2026-06-01T00:00:00Z")
M, H = MINUTE_MS, HOUR_MS
DAY = Day(START, START + DAY_MS)


def recorded(schedule: Schedule, start: Instant, end: Instant) -> Recording:
    """The recording of an undisturbed run."""
    recorder = PictureRecorder(schedule)
    play(schedule, start, end, recorder)
    return recorder.recording


def told(*changes: tuple[int, bool, bool, Reason], length_ms: int = DAY_MS) -> Recording:
    """The recording of one pump, off at first, told (ms after the start, is_on, is_wet,
    reason)."""
    recorder = PictureRecorder(schedule_of({"pump": load("off")}))
    recorder.begin(START, [(False, PLANNED)])
    for after_ms, is_on, is_wet, reason in changes:
        recorder.change(START + after_ms, 0, reason, is_on=is_on, is_wet=is_wet)
    recorder.finish(START + length_ms)
    return recorder.recording


def test_a_regular_day_is_one_run() -> None:
    """48 quarters as four numbers; a second day another run."""
    schedule = schedule_of({"pump": load("15m on, 15m off")})
    recording = recorded(schedule, START, START + 2 * DAY_MS)
    assert recording.days == (DAY, Day(DAY.end, DAY.end + DAY_MS))
    assert recording.lanes == (
        (
            (Run(START, 15 * M, 15 * M, 48),),
            (Run(DAY.end, 15 * M, 15 * M, 48),),
        ),
    )


def test_times_on_are_cut_at_midnight() -> None:
    """A watering from 23:50 to 00:10 is a part of either day."""
    recording = told(
        (DAY_MS - 10 * M, True, True, PLANNED),
        (DAY_MS + 10 * M, False, False, PLANNED),
        length_ms=2 * DAY_MS,
    )
    assert recording.lanes == (
        ((Run(DAY.end - 10 * M, 10 * M, 0, 1),), (Run(DAY.end, 10 * M, 0, 1),)),
    )


def test_a_run_within_a_day_has_that_day_whole() -> None:
    """The day is told from midnight to midnight, the times on only as far as they go."""
    schedule = schedule_of({"fan": load("on", kind="fan")})
    recording = recorded(schedule, START + 10 * H, START + 11 * H)
    assert recording.days == (DAY,)
    assert recording.lanes == (((Run(START + 10 * H, H, 0, 1),),),)


def test_a_run_that_ends_at_midnight_has_no_day_after_it() -> None:
    """The end is not part of the run."""
    schedule = schedule_of({"fan": load("on", kind="fan")})
    assert len(recorded(schedule, START, START + DAY_MS).days) == 1
    assert len(recorded(schedule, START, START + DAY_MS + 1).days) == 2


@pytest.mark.parametrize("day", ["2026-03-28", "2026-10-24"])
def test_days_are_those_of_the_calendar(day: str) -> None:
    """Over a change of the clocks, the first begins at local midnight before the start."""
    site = {"latitude": 47.1, "longitude": 8.3, "timezone": "Europe/Zurich"}
    schedule = schedule_of({"fan": load("on", kind="fan")}, site=site)
    start = midnight(schedule, day) + 5 * H
    recording = recorded(schedule, start, start + 40 * H)
    borders = [midnight(schedule, day, days) for days in range(3)]
    assert [d.begin for d in recording.days] == borders[:2]
    assert [d.end for d in recording.days] == borders[1:]


def test_a_run_that_begins_in_an_hour_that_comes_twice_has_one_day() -> None:
    """Newfoundland's clocks went back from 00:01 to 23:01 until 2011: a start at the second
    23:30 belongs to the date that had begun."""
    site = {"latitude": 47.6, "longitude": -52.7, "timezone": "America/St_Johns"}
    schedule = schedule_of({"fan": load("on", kind="fan")}, site=site)
    start = parse_rfc3339("2010-11-07T03:00:00Z")
    recording = recorded(schedule, start, start + H)
    begin = parse_rfc3339("2010-11-07T02:30:00Z")
    assert recording.days == (Day(begin, begin + 25 * H),)


@pytest.mark.parametrize(
    ("edges", "runs"),
    [
        ([], []),  # nothing
        ([0, 5], [(0, 5, 0, 1)]),  # once
        ([0, 5, 10, 15], [(0, 5, 5, 2)]),  # twice
        ([0, 5, 10, 15, 20, 25], [(0, 5, 5, 3)]),  # regular
        ([0, 5, 10, 15, 30, 35], [(0, 5, 5, 2), (30, 5, 0, 1)]),  # a longer gap begins anew
        ([0, 5, 10, 16], [(0, 5, 0, 1), (10, 6, 0, 1)]),  # a longer time on does
        ([0, 0, 3, 5], [(3, 2, 0, 1)]),  # no time at all is nothing
    ],
)
def test_times_on_become_runs(edges: list[int], runs: list[tuple[int, int, int, int]]) -> None:
    """The same time on after the same gap is the same run."""
    placed = [START + edge for edge in edges]
    assert list(bars_of(placed, DAY)) == [Run(START + at, *rest) for at, *rest in runs]


def test_runs_read_back_as_what_they_were() -> None:
    """Any edges: runs lose nothing."""
    rnd = random.Random(3)
    for _ in range(200):
        edges = sorted(rnd.sample(range(0, DAY_MS, M), 2 * rnd.randrange(1, 100)))
        placed = [START + edge for edge in edges]
        flat = [edge for stretch in stretches(bars_of(placed, DAY)) for edge in stretch]
        assert flat == placed


def test_a_restless_day_is_blended_and_keeps_its_time_on() -> None:
    """More runs than a picture can show become quarter-hours with their time on."""
    rnd = random.Random(5)
    edges = sorted(START + at for at in rnd.sample(range(DAY_MS), 4 * RUNS_A_DAY_MAX))
    bars = bars_of(edges, DAY)
    assert len(bars) == 96
    assert all(isinstance(bar, Blend) for bar in bars)
    on_ms = sum(stop - begin for begin, stop in zip(edges[::2], edges[1::2], strict=True))
    assert sum(bar.on_ms for bar in bars) == on_ms


def test_blends_lie_where_the_time_on_was() -> None:
    """Half past to a quarter to two: half of one hour, three quarters of the next."""
    bars: Bars = (Run(START + 30 * M, 75 * M, 0, 1),)
    assert blended(bars, DAY, H) == (
        Blend(START, START + H, 30 * M),
        Blend(START + H, START + 2 * H, 45 * M),
    )


def test_blends_can_be_blended_again() -> None:
    """Four quarters become an hour with all of their time on."""
    quarters: Bars = tuple(
        Blend(START + n * 15 * M, START + (n + 1) * 15 * M, (n + 1) * M) for n in range(4)
    )
    assert blended(quarters, DAY, H) == (Blend(START, START + H, 10 * M),)


def test_a_recording_that_cannot_be_drawn_is_blended() -> None:
    """A month of 54 restless loads; one that can be drawn stays as it is."""
    lane = tuple(Run(START + n * 20 * M, (n % 7 + 1) * M, 0, 1) for n in range(70))
    few = Recording(START, DAY.end, (DAY,), ((lane,),), (), (), 0)
    assert drawable(few) is few
    many = Recording(START, DAY.end, (DAY,) * 31, ((lane,) * 31,) * 54, (), (), 0)
    drawn = drawable(many)
    assert all(isinstance(bar, Blend) for of_load in drawn.lanes for day in of_load for bar in day)
    assert sum(len(day) for of_load in drawn.lanes for day in of_load) <= 60_000


def test_other_rules_than_the_plan_make_episodes() -> None:
    """From when to when each decided; what lasts at the end is closed there."""
    hot, hold = Reason(Why.VARIANT, detail="hot"), Reason(Why.HOLD, detail="on")
    recording = told(
        (10 * M, True, True, hot),
        (30 * M, False, False, hot),
        (60 * M, False, False, PLANNED),
        (90 * M, True, True, hold),
        length_ms=100 * M,
    )
    assert recording.episodes == (
        Episode(0, Why.VARIANT, "hot", START + 10 * M, START + 60 * M),
        Episode(0, Why.HOLD, "on", START + 90 * M, START + 100 * M),
    )


def test_an_episode_that_lasts_at_a_last_midnight_is_closed_there() -> None:
    """A run of whole dates ends where no day is under way any more."""
    recording = told((23 * H, False, False, Reason(Why.NO_POWER)), length_ms=DAY_MS)
    assert recording.episodes == (Episode(0, Why.NO_POWER, "", START + 23 * H, START + DAY_MS),)


def test_an_episode_goes_on_after_a_moment_of_another_rule() -> None:
    """A start kept apart for ten seconds does not break a hot afternoon in two."""
    hot, waits = Reason(Why.VARIANT, detail="hot"), Reason(Why.STARTS_APART)
    recording = told(
        (10 * M, True, True, hot),
        (30 * M, False, False, waits),
        (30 * M + 10_000, True, True, hot),
        (60 * M, False, False, PLANNED),
    )
    assert recording.episodes == (Episode(0, Why.VARIANT, "hot", START + 10 * M, START + 60 * M),)


def test_a_pump_that_fails_makes_an_episode_of_each_dry_watering() -> None:
    """Only while it is on and dry; a failure in the middle of a watering begins there, and
    one that is over at once is none."""
    recording = told(
        (5 * M, True, False, PLANNED),
        (5 * M, True, True, PLANNED),
        (6 * M, False, False, PLANNED),
        (10 * M, True, False, PLANNED),
        (20 * M, False, False, PLANNED),
        (21 * M, True, True, PLANNED),
        (30 * M, True, False, PLANNED),
        length_ms=40 * M,
    )
    assert recording.episodes == (
        Episode(0, None, "", START + 10 * M, START + 20 * M),
        Episode(0, None, "", START + 30 * M, START + 40 * M),
    )


def test_notices_that_no_reason_tells_are_kept() -> None:
    """A silent sensor until it speaks again or the run ends; moments; nothing else."""
    silent = Notice(Event.ALARM_RAISED, "air", AlarmCode.SENSOR_SILENT.value)
    missed = Notice(Event.ALARM_RAISED, "pump", f"{AlarmCode.WATERING_MISSED.value}: why")
    stepped = Notice(Event.CLOCK_STEPPED, "", "1h")
    recorder = PictureRecorder(schedule_of({"pump": load("off")}))
    recorder.begin(START, [(False, PLANNED)])
    recorder.notice(START + 1, silent)
    recorder.notice(START + 2, Notice(Event.POWER_BACK))
    recorder.notice(START + 3, Notice(Event.ALARM_CLEARED, "air", AlarmCode.SENSOR_SILENT.value))
    recorder.notice(START + 4, missed)
    recorder.notice(START + 5, stepped)
    recorder.notice(START + 6, silent)
    recorder.notice(START + 7, Notice(Event.ALARM_CLEARED, "other", "sensor silent"))
    recorder.finish(START + 10)
    assert recorder.recording.happenings == (
        Happening(silent, START + 1, START + 3),
        Happening(missed, START + 4, START + 4),
        Happening(stepped, START + 5, START + 5),
        Happening(silent, START + 6, START + 10),
    )


def test_a_long_run_is_recorded_for_its_first_days() -> None:
    """Two years: one is kept, and what lasts then is closed there."""
    schedule = schedule_of({"pump": load("6h on, 6h off")})
    recorder = PictureRecorder(schedule)
    end = START + 730 * DAY_MS
    recorder.begin(START, [(True, Reason(Why.HOLD, detail="on"))])
    recorder.change(START + 400 * DAY_MS, 0, PLANNED, is_on=False, is_wet=False)
    recorder.notice(START + 401 * DAY_MS, Notice(Event.CLOCK_STEPPED, "", "1h"))
    recorder.finish(end)
    recording = recorder.recording
    assert len(recording.days) == len(recording.lanes[0]) == DAYS_MAX
    assert recording.shown_end == START + DAYS_MAX * DAY_MS
    assert recording.episodes == (Episode(0, Why.HOLD, "on", START, recording.shown_end),)
    assert (recording.happenings, recording.end) == ((), end)


def test_more_episodes_than_it_keeps_are_counted() -> None:
    """Memory does not grow with trouble."""
    changes = [
        (n * 10 * M, False, False, Reason(Why.LEVEL_LOW, detail="float") if n % 2 else PLANNED)
        for n in range(1, 2 * EPISODES_MAX + 21)
    ]
    recording = told(*changes, length_ms=len(changes) * 10 * M + H)
    assert (len(recording.episodes), recording.left_out) == (EPISODES_MAX, 10)


def test_more_happenings_than_it_keeps_are_counted() -> None:
    """A clock that steps every minute fills no memory."""
    recorder = PictureRecorder(schedule_of({"pump": load("off")}))
    recorder.begin(START, [(False, PLANNED)])
    for number in range(HAPPENINGS_MAX + 5):
        recorder.notice(START + number, Notice(Event.CLOCK_STEPPED, "", "1h"))
    recorder.finish(START + DAY_MS)
    recording = recorder.recording
    assert (len(recording.happenings), recording.left_out) == (HAPPENINGS_MAX, 5)


def test_a_guard_at_its_daily_work_is_no_episode() -> None:
    """A start kept apart for less than two minutes is not told; for longer it is."""
    waits = Reason(Why.STARTS_APART)
    recording = told(
        (10 * M, False, False, waits),
        (11 * M, False, False, PLANNED),
        (20 * M, False, False, waits),
        (25 * M, False, False, PLANNED),
    )
    assert recording.episodes == (Episode(0, Why.STARTS_APART, "", START + 20 * M, START + 25 * M),)


def test_a_recording_is_not_given_before_the_run_is_over() -> None:
    """Asking too early is a mistake of ours, and says so."""
    with pytest.raises(RuntimeError, match="not finished"):
        _ = PictureRecorder(schedule_of({"pump": load("off")})).recording
