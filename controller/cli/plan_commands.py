"""Commands about a plan alone: check, day, schema, example."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from controller.core.errors import BadInstantError

if TYPE_CHECKING:
    from datetime import date


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds the commands to the parser."""
    check = commands.add_parser(
        "check",
        help="validate a plan, walk it through a year, list findings",
        description="Validates a plan, walks it through a year, and lists what it finds, the "
        "worst first. Exit code 1 if there is an error.",
    )
    check.add_argument("plan", metavar="PLAN", type=Path, help="plan file (TOML)")
    check.add_argument("--json", action="store_true", help="findings as a JSON list")
    check.add_argument(
        "--year-from",
        metavar="DATE",
        type=date_argument,
        help="first day of the year to walk (default: today)",
    )
    check.set_defaults(run=run_check)

    day = commands.add_parser(
        "day",
        help="the anchors and spans of one local date",
        description="Shows when the sun rises and sets on a date, and when which span starts.",
    )
    day.add_argument("plan", metavar="PLAN", type=Path, help="plan file (TOML)")
    day.add_argument(
        "--on",
        metavar="YYYY-MM-DD",
        type=date_argument,
        required=True,
        help="local date of the site",
    )
    day.add_argument("--json", action="store_true", help="as a JSON object")
    day.set_defaults(run=run_day)

    schema = commands.add_parser(
        "schema", help="JSON Schema of the plan", description="Prints the JSON Schema of a plan."
    )
    schema.set_defaults(run=run_schema)

    example = commands.add_parser(
        "example",
        help="list the example plans, or print one to start from",
        description="Without a name: lists the example plans. With one: prints it.",
    )
    example.add_argument("name", metavar="NAME", nargs="?", help="one of the list")
    example.set_defaults(run=run_example)


def date_argument(text: str) -> date:
    """A local date for argparse."""
    from controller.core.units import parse_date

    try:
        return parse_date(text)
    except BadInstantError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def run_check(arguments: argparse.Namespace) -> int:
    """`rootclock check`."""
    from controller.cli.output import print_findings, print_json
    from controller.core.errors import PlanRefusedError
    from controller.core.schedule import make_schedule
    from controller.paper.checking import checked
    from controller.shell.clock.today import today
    from controller.shell.plan_file import read_plan_file

    try:
        read = read_plan_file(arguments.plan)
    except PlanRefusedError as error:
        findings = list(error.findings)
    else:
        schedule = make_schedule(read.plan)
        first = arguments.year_from or today(schedule.calendar.zone)
        findings = checked(read, schedule, first)
    if arguments.json:
        print_json([finding.as_json() for finding in findings])
    else:
        print_findings(findings, source=str(arguments.plan), stream=sys.stdout)
        print(_summary(findings))
    return 1 if any(finding.level == "error" for finding in findings) else 0


def _summary(findings: list[Any]) -> str:
    counts = [
        (sum(1 for finding in findings if finding.level == level), level)
        for level in ("error", "warning", "note")
    ]
    told = [f"{count} {level}{'' if count == 1 else 's'}" for count, level in counts if count]
    if counts[0][0]:
        return f"Not fit to run: {', '.join(told)}."
    return f"Fit to run: {', '.join(told) if told else 'nothing to remark'}."


def run_day(arguments: argparse.Namespace) -> int:
    """`rootclock day`."""
    from controller.cli.output import print_json, text_width
    from controller.core.schedule import make_schedule
    from controller.report.day import day_json, day_text
    from controller.shell.plan_file import read_plan_file

    schedule = make_schedule(read_plan_file(arguments.plan).plan)
    if arguments.json:
        print_json(day_json(schedule, arguments.on))
    else:
        print(day_text(schedule, arguments.on, width=text_width()))
    return 0


def run_schema(arguments: argparse.Namespace) -> int:
    """`rootclock schema`."""
    from controller.cli.output import print_json
    from controller.core.plan_text.schema import schema

    del arguments
    print_json(schema())
    return 0


def run_example(arguments: argparse.Namespace) -> int:
    """`rootclock example`."""
    from controller.shell.examples import example_names, example_text, example_title

    if arguments.name is None:
        names = example_names()
        width = max(len(name) for name in names)
        for name in names:
            print(f"{name:<{width}}  {example_title(name)}")
        return 0
    print(example_text(arguments.name), end="")
    return 0
