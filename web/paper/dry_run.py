"""A dry run as `rootclock dry-run` does it, asked for by the page."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.errors import BadRequestError, BadWeatherError
from controller.core.schedule import make_schedule
from controller.core.units import parse_date, parse_rfc3339
from controller.paper.carrying_out import carry_out, period
from controller.report.comparison import comparison_json
from controller.report.events_csv import EventsCsv
from controller.report.picture.draw import Run, draw, draw_pair
from controller.report.picture.recorder import PictureRecorder
from controller.report.water_comparison import WatersCompared
from controller.report.water_comparison_json import water_differences
from controller.weather.formats import parse_weather
from web.paper.checking import read
from web.paper.fault_check import script_of
from web.paper.progress import Progress
from web.paper.refusals import part
from web.paper.water_told import water_told

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from controller.core.calendar import Calendar
    from controller.core.findings import Finding
    from controller.dry_run.account import Account
    from controller.dry_run.faults import FaultFile
    from controller.dry_run.listeners import Listener
    from controller.dry_run.water.water_account import WaterAccount
    from controller.weather.weather import Weather

EVENTS_LENGTH_MAX = 16_000_000


class _Bounded(io.StringIO):
    """Text in memory, up to a length."""

    def write(self, text: str) -> int:
        """Adds text.

        Raises:
            BadRequestError: it would be too long.
        """
        if self.tell() + len(text) > EVENTS_LENGTH_MAX:
            raise BadRequestError(
                f"the events of this run are longer than {EVENTS_LENGTH_MAX // 1_000_000} MB: ask "
                "for fewer days, or use `rootclock dry-run --events`"
            )
        return super().write(text)


class _Outcome(NamedTuple):
    calendar: Calendar
    account: Account
    findings: list[Finding]
    air_note: str
    water: WaterAccount | None
    picture: Run | None
    events: str | None

    def as_json(self) -> dict[str, Any]:
        """What it came to: loads, water and findings."""
        water = {} if self.water is None else water_told(self.water)
        findings = [finding.as_json() for finding in self.findings]
        return {**self.account.as_json(), **water, "air": self.air_note, "findings": findings}


def dry_run(message: Mapping[str, Any], tell: Callable[[float], None]) -> dict[str, Any]:
    """The account, and what else is wanted.

    Args:
        message: `text`, `start` (a date or an instant), `days`, `weather` (name, text and
            encoding) or None, `faults` or None, `compare` or None, `plan_name`, `compare_name`,
            `want`.
        tell: told now and then which share is done, from 0 to 1.

    Raises:
        PartRefusedError: something does not fit; says which part, and what.
    """
    with part("weather"):
        weather = _weather(message["weather"])
    with part("faults"):
        script = None if message["faults"] is None else script_of(message["faults"])
    runs = 1 if message["compare"] is None else 2
    with part("plan"):
        first = _carried_out(
            _Task(message, message["text"], message["plan_name"], weather, script),
            lambda share: tell(share / runs),
        )
    told = first.as_json()
    second = None
    if message["compare"] is not None:
        other_name = message["compare_name"]
        with part("compare"):
            second = _carried_out(
                _Task(message, message["compare"], other_name, weather, script),
                lambda share: tell((1 + share) / runs),
            )
        told["compared"] = {
            "plan": other_name,
            **second.as_json(),
            "differences": comparison_json(first.account, second.account),
            **_water_differences(first, second),
        }
    if "events" in message["want"]:
        told["events"] = first.events
    if "picture" in message["want"]:
        told["picture"] = _picture(first.picture, None if second is None else second.picture)
    return told


def _water_differences(first: _Outcome, second: _Outcome) -> dict[str, Any]:
    if first.water is None or second.water is None:
        return {}
    waters = WatersCompared(first.water, second.water, first.calendar)
    return {"water_differences": water_differences(waters)}


def _weather(given: Mapping[str, str] | None) -> Weather | None:
    if given is None:
        return None
    encoding = given["encoding"]
    try:
        data = given["text"].encode(encoding, "replace" if encoding == "utf-8" else "strict")
    except UnicodeEncodeError:
        raise BadWeatherError(
            f"{given['name']}: its text holds characters that {encoding} has not; send it as utf-8"
        ) from None
    return parse_weather(data, name=given["name"])


class _Task(NamedTuple):
    """One plan to be carried out: what was asked for, and its text."""

    message: Mapping[str, Any]
    text: str
    name: str
    weather: Weather | None
    script: FaultFile | None


def _carried_out(task: _Task, tell: Callable[[float], None]) -> _Outcome:
    message, name = task.message, task.name
    found = read(task.text)
    schedule = make_schedule(found.plan)
    when = message["start"]
    with part("start"):
        begin = parse_rfc3339(when) if "T" in when or " " in when else parse_date(when)
        start, end = period(schedule, begin, message["days"])
    recorder = PictureRecorder(schedule) if "picture" in message["want"] else None
    stream = _Bounded(newline="") if "events" in message["want"] else None
    listeners: list[Listener] = [Progress(start, end, tell)]
    if recorder is not None:
        listeners.append(recorder)
    if stream is not None:
        listeners.append(EventsCsv(schedule, stream))
    with part("days", plan_name="" if message["compare"] is None else name):
        done = carry_out(
            found,
            schedule,
            start=start,
            end=end,
            weather=task.weather,
            script=task.script,
            listeners=listeners,
        )
    picture = None
    if recorder is not None:
        picture = Run(schedule, done.account, recorder.recording, name, done.water)
    return _Outcome(
        schedule.calendar,
        done.account,
        done.findings,
        done.air_note,
        done.water,
        picture,
        None if stream is None else stream.getvalue(),
    )


def _picture(first: Run | None, second: Run | None) -> str | None:
    if first is None:
        return None
    if second is None:
        return draw(
            first.schedule,
            first.account,
            first.recording,
            plan_name=first.plan_name,
            water=first.water,
        )
    return draw_pair(first, second)
