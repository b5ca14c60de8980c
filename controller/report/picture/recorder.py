"""Records of a run what its picture needs, in memory bounded by days and loads."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.orders import (
    AlarmCode,
    Event,
    Notice,
    Why,
    alarm_code_of,
    alarm_detail,
)
from controller.core.units import MINUTE_MS, Instant, day_number
from controller.dry_run.account_keeper import midnight_after
from controller.report.picture.recording import Day, Episode, Happening, Recording
from controller.report.picture.run_lengths import bars_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.orders import Reason
    from controller.core.schedule import Schedule
    from controller.report.picture.recording import Bars

DAYS_MAX = 366
EPISODES_MAX = 2_000
HAPPENINGS_MAX = 1_000
# Two episodes of one kind closer than this are one to the eye.
_APART_MS = 2 * MINUTE_MS
# A guard that shifts a start or stop by less than this does its daily work unseen.
_WORTH_TELLING_MS = 2 * MINUTE_MS

_WAITING = frozenset({Why.SHORTEST_ON, Why.SHORTEST_OFF, Why.STARTS_APART, Why.WATTS_AT_ONCE})


class PictureRecorder:
    """The listener that makes a recording. It holds the first `DAYS_MAX` days of a run."""

    def __init__(self, schedule: Schedule) -> None:
        self._calendar = schedule.calendar
        places = range(len(schedule.loads))
        self._start: Instant = 0
        self._days: list[Day] = []
        self._day = Day(0, 0)
        self._is_full = False
        self._is_on = [False for _ in places]
        self._edges: list[list[Instant]] = [[] for _ in places]
        self._lanes: list[list[Bars]] = [[] for _ in places]
        self._whys: list[tuple[Why, str]] = [(Why.PLAN, "") for _ in places]
        self._whys_since: list[Instant] = [0 for _ in places]
        self._failing_since: list[Instant | None] = [None for _ in places]
        self._episodes: list[Episode] = []
        self._latest: dict[tuple[int, Why | None, str], int] = {}
        self._happenings: list[Happening] = []
        self._silent_since: dict[str, Instant] = {}
        self._left_out = 0
        self._recording: Recording | None = None

    @property
    def recording(self) -> Recording:
        """The recording of a finished run."""
        if self._recording is None:
            raise RuntimeError("the run is not finished: its recording is not closed")
        return self._recording

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """Opens the recording on the first local date."""
        self._start = start
        number = day_number(self._calendar.date_of(start))
        while (following := self._calendar.midnight(number + 1)) <= start:
            number += 1  # the clocks went back over midnight, and its date has begun
        self._day = Day(self._calendar.midnight(number), following)
        for place, (is_on, reason) in enumerate(states):
            self._is_on[place] = is_on
            self._edges[place] = [start] if is_on else []
            self._whys[place] = (reason.why, reason.detail)
            self._whys_since[place] = start

    def change(
        self, instant: Instant, place: int, reason: Reason, *, is_on: bool, is_wet: bool
    ) -> None:
        """Records what ends here and begins what follows."""
        if instant >= self._day.end:
            self._end_days(instant)
        if self._is_full:
            return
        if is_on is not self._is_on[place]:
            self._is_on[place] = is_on
            self._edges[place].append(instant)
        if (is_on is is_wet) is (self._failing_since[place] is not None):
            self._change_failing(instant, place)
        why, detail = self._whys[place]
        if reason.why is not why or reason.detail != detail:
            self._end_episode(instant, place)
            self._whys[place] = (reason.why, reason.detail)
            self._whys_since[place] = instant

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Records what no load's reason tells: silent sensors, missed waterings, clock steps."""
        if instant >= self._day.end:
            self._end_days(instant)
        if self._is_full:
            return
        code = alarm_code_of(notice.detail)
        if notice.event is Event.ALARM_RAISED and code is AlarmCode.SENSOR_SILENT:
            self._silent_since[notice.subject] = instant
        elif notice.event is Event.ALARM_CLEARED and code is AlarmCode.SENSOR_SILENT:
            self._end_silence(notice.subject, instant)
        elif notice.event is Event.CLOCK_STEPPED or (
            notice.event is Event.ALARM_RAISED and code is AlarmCode.WATERING_MISSED
        ):
            self._keep_happening(Happening(notice, instant, instant))

    def finish(self, end: Instant) -> None:
        """Closes the recording."""
        self._end_days(end)
        if not self._is_full:
            if end > self._day.begin:
                self._end_day(end)
            self._close(end)
        self._recording = Recording(
            start=self._start,
            end=end,
            days=tuple(self._days),
            lanes=tuple(tuple(lane) for lane in self._lanes),
            episodes=tuple(sorted(self._episodes, key=lambda e: (e.start, e.place))),
            happenings=tuple(sorted(self._happenings, key=lambda h: h.start)),
            left_out=self._left_out,
        )

    # Days

    def _end_days(self, instant: Instant) -> None:
        while instant >= self._day.end and not self._is_full:
            self._end_day(self._day.end)
            if len(self._days) == DAYS_MAX:
                self._close(self._day.end)
                self._is_full = True
                return
            begin = self._day.end
            self._day = Day(begin, midnight_after(self._calendar, begin))

    def _end_day(self, end: Instant) -> None:
        self._days.append(self._day)
        for place, edges in enumerate(self._edges):
            if self._is_on[place]:
                edges.append(end)
            self._lanes[place].append(bars_of(edges, self._day))
            self._edges[place] = [end] if self._is_on[place] else []

    def _close(self, end: Instant) -> None:
        for place in range(len(self._lanes)):
            self._end_episode(end, place)
            if self._failing_since[place] is not None:
                self._change_failing(end, place)
        for subject in list(self._silent_since):
            self._end_silence(subject, end)

    # What else decided, and what went wrong

    def _end_episode(self, instant: Instant, place: int) -> None:
        why, detail = self._whys[place]
        start = self._whys_since[place]
        if why in (Why.PLAN, Why.DEMAND) or (
            why in _WAITING and instant - start < _WORTH_TELLING_MS
        ):
            return
        self._keep_episode(Episode(place, why, detail, start, instant))

    def _change_failing(self, instant: Instant, place: int) -> None:
        since = self._failing_since[place]
        if since is not None:
            self._keep_episode(Episode(place, None, "", since, instant))
        self._failing_since[place] = instant if since is None else None

    def _keep_episode(self, episode: Episode) -> None:
        """Keeps an episode, or lengthens the one of its kind that ended just before."""
        if episode.start == episode.end:
            return
        key = (episode.place, episode.why, episode.detail)
        index = self._latest.get(key)
        apart_ms = 0 if episode.why is None else _APART_MS
        if index is not None and episode.start - self._episodes[index].end <= apart_ms:
            self._episodes[index] = self._episodes[index]._replace(end=episode.end)
        elif len(self._episodes) < EPISODES_MAX:
            self._latest[key] = len(self._episodes)
            self._episodes.append(episode)
        else:
            self._left_out += 1

    def _end_silence(self, subject: str, instant: Instant) -> None:
        since = self._silent_since.pop(subject, None)
        if since is not None:
            notice = Notice(Event.ALARM_RAISED, subject, alarm_detail(AlarmCode.SENSOR_SILENT))
            self._keep_happening(Happening(notice, since, instant))

    def _keep_happening(self, happening: Happening) -> None:
        if len(self._happenings) < HAPPENINGS_MAX:
            self._happenings.append(happening)
        else:
            self._left_out += 1
