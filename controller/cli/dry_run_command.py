"""`rootclock dry-run`: a plan through a stretch of time, told as text, table and picture."""

from __future__ import annotations

import argparse
import sys
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import BadInstantError

if TYPE_CHECKING:
    from datetime import date

    from controller.core.findings import Finding
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.account import Account
    from controller.dry_run.faults import FaultFile
    from controller.dry_run.listeners import Listener
    from controller.dry_run.water.water_account import WaterAccount
    from controller.report.picture.recording import Recording
    from controller.weather.weather import Weather

DAYS_MAX = 3_660  # ten years


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds the command to the parser."""
    parser = commands.add_parser(
        "dry-run",
        help="carry a plan out on paper: what it does, on any days, in any trouble",
        description="Carries a plan out under a virtual clock, by the code that switches the "
        "relays, and reports what every load did. Exit code 1 if the run broke a limit that "
        "the plan states.",
    )
    parser.add_argument("plan", metavar="PLAN", type=Path, help="plan file (TOML)")
    parser.add_argument(
        "--from",
        dest="start",
        metavar="WHEN",
        type=when_argument,
        required=True,
        help="a local date (2026-07-01), or an instant (2026-07-01T06:00:00Z)",
    )
    parser.add_argument(
        "--days",
        metavar="N",
        type=days_argument,
        required=True,
        help=f"local dates from a date on, or times 24 h from an instant on; up to {DAYS_MAX}",
    )
    parser.add_argument(
        "--weather",
        metavar="FILE",
        type=Path,
        help="weather file: EPW, TMY3, or plain CSV of hours (time, air_temperature_c, ...) or of "
        "days (date, coolest_c, warmest_c, ...)",
    )
    parser.add_argument("--faults", metavar="FILE", type=Path, help="fault script (TOML)")
    parser.add_argument(
        "--events", metavar="FILE.csv", type=Path, help="write every change to a CSV file"
    )
    parser.add_argument("--picture", metavar="FILE.svg", type=Path, help="write a picture")
    parser.add_argument("--compare", metavar="PLAN2", type=Path, help="another plan beside it")
    parser.add_argument("--json", action="store_true", help="the account as a JSON object")
    parser.set_defaults(run=run_dry_run)


def when_argument(text: str) -> date | Instant:
    """A local date or an instant for argparse."""
    from controller.core.units import parse_date, parse_rfc3339

    try:
        return parse_rfc3339(text) if "T" in text or " " in text else parse_date(text)
    except BadInstantError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def days_argument(text: str) -> int:
    """A number of days for argparse."""
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= DAYS_MAX):
        raise argparse.ArgumentTypeError(f"{text[:40]!r} is not a number from 1 to {DAYS_MAX}")
    return int(text)


class _Outcome(NamedTuple):
    """One plan's run."""

    schedule: Schedule
    account: Account
    findings: list[Finding]
    recording: Recording | None
    air_note: str
    water: WaterAccount | None


def run_dry_run(arguments: argparse.Namespace) -> int:
    """`rootclock dry-run`."""
    from controller.cli.own_files import keep_own_files
    from controller.paper.run_findings import breaks_a_limit

    keep_own_files(arguments)
    weather = script = None
    if arguments.weather is not None:
        from controller.shell.weather_file import read_weather

        weather = read_weather(arguments.weather)
    if arguments.faults is not None:
        script = _fault_script(arguments.faults)
    outcome = _carry_out(arguments, arguments.plan, weather, script, is_main=True)
    other = None
    if arguments.compare is not None:
        other = _carry_out(arguments, arguments.compare, weather, script, is_main=False)
    _tell(arguments, outcome, other)
    both = [outcome] if other is None else [outcome, other]
    return 1 if any(breaks_a_limit(one.findings) for one in both) else 0


def _fault_script(path: Path) -> FaultFile:
    from controller.core.plan_text.encoding import SIZE_MAX
    from controller.dry_run.fault_script import read_fault_script
    from controller.shell.files import read_bytes

    return read_fault_script(read_bytes(path, what="fault script", size_max=SIZE_MAX), str(path))


def _carry_out(
    arguments: argparse.Namespace,
    path: Path,
    weather: Weather | None,
    script: FaultFile | None,
    *,
    is_main: bool,
) -> _Outcome:
    """Runs one plan; the main one writes the events as they happen."""
    from controller.core.schedule import make_schedule
    from controller.paper.carrying_out import carry_out, period
    from controller.shell.plan_file import read_plan_file

    read = read_plan_file(path)
    schedule = make_schedule(read.plan)
    start, end = period(schedule, arguments.start, arguments.days)
    listeners: list[Listener] = []
    recorder = None
    if arguments.picture is not None:
        from controller.report.picture.recorder import PictureRecorder

        recorder = PictureRecorder(schedule)
        listeners.append(recorder)
    with ExitStack() as stack:
        if arguments.events is not None and is_main:
            from controller.report.events_csv import EventsCsv
            from controller.shell.files import written_whole

            stream = stack.enter_context(written_whole(arguments.events, what="events file"))
            listeners.append(EventsCsv(schedule, stream))
        if sys.stderr.isatty():
            from controller.cli.progress import Progress

            listeners.append(stack.enter_context(Progress(path.name, start, end)))
        done = carry_out(
            read,
            schedule,
            start=start,
            end=end,
            weather=weather,
            script=script,
            listeners=listeners,
        )
    recording = None if recorder is None else recorder.recording
    return _Outcome(schedule, done.account, done.findings, recording, done.air_note, done.water)


def _tell(arguments: argparse.Namespace, outcome: _Outcome, other: _Outcome | None) -> None:
    from controller.cli.output import is_coloured, print_json, text_width
    from controller.report.comparison import comparison_json, comparison_text
    from controller.report.terminal import render
    from controller.report.water_comparison import WatersCompared
    from controller.report.water_comparison_json import water_differences

    _write_picture(arguments, outcome, other)
    names = (str(arguments.plan), str(arguments.compare))
    waters = None
    if other is not None and outcome.water is not None and other.water is not None:
        waters = WatersCompared(outcome.water, other.water, outcome.schedule.calendar)
    if arguments.json:
        account = _json(outcome)
        if other is not None:
            account["compared"] = {
                "plan": names[1],
                **_json(other),
                "differences": comparison_json(outcome.account, other.account),
                **({} if waters is None else {"water_differences": water_differences(waters)}),
            }
        print_json(account)
        return
    width, is_colour = text_width(), is_coloured(sys.stdout)
    told = [(outcome, arguments.plan.name)]
    if other is not None:
        told.append((other, arguments.compare.name))
    for one, plan_name in told:
        report = render(
            one.schedule,
            one.account,
            one.findings,
            one.air_note,
            width=width,
            is_colour=is_colour,
            plan_name=plan_name,
            water=one.water,
        )
        print(report)
    if other is not None:
        text = comparison_text(
            names,
            outcome.account,
            other.account,
            width=width,
            is_colour=is_colour,
            waters=waters,
        )
        print(text, end="")


def _json(outcome: _Outcome) -> dict[str, object]:
    """A run as one object: its loads, its water, whence the air came, and the findings."""
    from controller.dry_run.water.water_json import water_json

    return {
        **outcome.account.as_json(),
        **({} if outcome.water is None else water_json(outcome.water)),
        "air": outcome.air_note,
        "findings": [finding.as_json() for finding in outcome.findings],
    }


def _write_picture(
    arguments: argparse.Namespace, outcome: _Outcome, other: _Outcome | None
) -> None:
    if outcome.recording is None:
        return
    from controller.report.picture.draw import Run, draw, draw_pair
    from controller.shell.files import written_whole

    first = Run(
        outcome.schedule, outcome.account, outcome.recording, arguments.plan.name, outcome.water
    )
    if other is None or other.recording is None:
        text = draw(*first[:3], plan_name=first.plan_name, water=first.water)
    else:
        second = Run(
            other.schedule, other.account, other.recording, arguments.compare.name, other.water
        )
        text = draw_pair(first, second)
    with written_whole(arguments.picture, what="picture") as stream:
        stream.write(text)
