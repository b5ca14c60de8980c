"""A dry run as `rootclock dry-run` does it, asked for by the page."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.errors import BadRequestError
from controller.core.schedule import make_schedule
from controller.core.units import parse_date, parse_rfc3339
from controller.dry_run.fault_script import read_fault_script
from controller.paper.carrying_out import carry_out, period
from controller.report.comparison import comparison_json
from controller.report.events_csv import EventsCsv
from controller.report.picture.draw import Run, draw, draw_pair
from controller.report.picture.recorder import PictureRecorder
from controller.weather.formats import parse_weather
from web.paper.checking import read

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.findings import Finding
    from controller.dry_run.account import Account
    from controller.dry_run.faults import FaultFile
    from controller.dry_run.listeners import Listener
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
    account: Account
    findings: list[Finding]
    air_note: str
    picture: Run | None
    events: str | None


def dry_run(message: Mapping[str, Any]) -> dict[str, Any]:
    """The account, and what else is wanted.

    Args:
        message: `text`, `start` (a date or an instant), `days`, `weather` (name and text) or
            None, `faults` or None, `compare` or None, `want`.

    Raises:
        RootclockError: something does not fit; says what.
    """
    weather, script = _weather(message["weather"]), _script(message["faults"])
    first = _carried_out(message, message["text"], "this plan", weather, script)
    told = first.account.as_json()
    told["air"] = first.air_note
    told["findings"] = [finding.as_json() for finding in first.findings]
    second = None
    if message["compare"] is not None:
        second = _carried_out(message, message["compare"], "the other plan", weather, script)
        told["compared"] = {
            "plan": "the other plan",
            **second.account.as_json(),
            "findings": [finding.as_json() for finding in second.findings],
            "differences": comparison_json(first.account, second.account),
        }
    if "events" in message["want"]:
        told["events"] = first.events
    if "picture" in message["want"]:
        told["picture"] = _picture(first.picture, None if second is None else second.picture)
    return told


def _weather(given: Mapping[str, str] | None) -> Weather | None:
    if given is None:
        return None
    return parse_weather(given["text"].encode("utf-8", "replace"), name=given["name"])


def _script(text: str | None) -> FaultFile | None:
    if text is None:
        return None
    return read_fault_script(text.encode("utf-8", "replace"), "the fault script")


def _carried_out(
    message: Mapping[str, Any],
    text: str,
    name: str,
    weather: Weather | None,
    script: FaultFile | None,
) -> _Outcome:
    found = read(text)
    schedule = make_schedule(found.plan)
    when = message["start"]
    begin = parse_rfc3339(when) if "T" in when or " " in when else parse_date(when)
    start, end = period(schedule, begin, message["days"])
    recorder = PictureRecorder(schedule) if "picture" in message["want"] else None
    stream = _Bounded(newline="") if "events" in message["want"] else None
    listeners: list[Listener] = [] if recorder is None else [recorder]
    if stream is not None:
        listeners.append(EventsCsv(schedule, stream))
    done = carry_out(
        found,
        schedule,
        start=start,
        end=end,
        weather=weather,
        script=script,
        listeners=listeners,
    )
    return _Outcome(
        done.account,
        done.findings,
        done.air_note,
        None if recorder is None else Run(schedule, done.account, recorder.recording, name),
        None if stream is None else stream.getvalue(),
    )


def _picture(first: Run | None, second: Run | None) -> str | None:
    if first is None:
        return None
    if second is None:
        return draw(first.schedule, first.account, first.recording, plan_name=first.plan_name)
    return draw_pair(first, second)
