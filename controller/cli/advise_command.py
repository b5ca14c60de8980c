"""`rootclock advise`: which cycles keep the roots wet enough at the fewest pump hours."""

from __future__ import annotations

import argparse
import sys
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from controller.cli.dry_run_command import days_argument, when_argument
from controller.core.errors import BadCycleError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from controller.advice.advice import Advice
    from controller.advice.question import Question
    from controller.core.cycle import Cycle
    from controller.core.units import Instant
    from controller.dry_run.listeners import Listener

_SAMPLES, _SAMPLES_MAX, _SEED, _SEED_MAX = 200, 10_000, 1, 10**9
_TRIES_MAX = 20


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds the command to the parser."""
    parser = commands.add_parser(
        "advise",
        help="find the cycles that keep roots wet enough at the fewest pump hours",
        description="Looks for the waterings and rests that keep the reserve of all stands on a "
        "load through the worst days of a period, holds them against the present plan, and "
        "prints lines to paste. It changes no file. Exit code 1 if nothing within the load's "
        "bounds keeps the reserve.",
    )
    parser.add_argument("plan", metavar="PLAN", type=Path, help="plan file (TOML)")
    parser.add_argument(
        "--weather",
        metavar="FILE",
        type=Path,
        help="weather file: EPW, TMY3, or plain CSV of hours (time, air_temperature_c, ...) or of "
        "days (date, coolest_c, warmest_c, ...); without it the plan's typical day, and --from "
        "is needed",
    )
    parser.add_argument(
        "--from",
        dest="start",
        metavar="WHEN",
        type=when_argument,
        help="a local date or an instant (default: the days of the weather file that together "
        "ask most of leaves)",
    )
    parser.add_argument("--days", metavar="N", type=days_argument, help="how many (default: 92)")
    parser.add_argument(
        "--load", metavar="NAME", help="the pump or valve (default: all that water a stand)"
    )
    parser.add_argument(
        "--try",
        dest="tries",
        metavar="CYCLE",
        type=_cycle_argument,
        action="append",
        default=[],
        help='a cycle for the whole day to be held against the others, like "10m on, 20m off"; '
        f"up to {_TRIES_MAX} times",
    )
    parser.add_argument(
        "--samples",
        metavar="N",
        type=_WholeNumber(1, _SAMPLES_MAX),
        default=_SAMPLES,
        help=f"plants drawn at random from what sources allow (default: {_SAMPLES})",
    )
    parser.add_argument(
        "--seed",
        metavar="N",
        type=_WholeNumber(0, _SEED_MAX),
        default=_SEED,
        help=f"the same seed draws the same plants (default: {_SEED})",
    )
    parser.add_argument("--picture", metavar="FILE.svg", type=Path, help="write a picture")
    parser.add_argument("--json", action="store_true", help="all figures as a JSON object")
    parser.set_defaults(run=run_advise)


def _cycle_argument(text: str) -> tuple[str, Cycle]:
    from controller.core.cycle import parse_cycle, refuse_hasty

    try:
        return text, refuse_hasty(parse_cycle(text))
    except BadCycleError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


class _WholeNumber:
    """Reads whole numbers of a range."""

    def __init__(self, least: int, most: int) -> None:
        self._least, self._most = least, most

    def __call__(self, text: str) -> int:
        """The number of the text."""
        is_number = text.isascii() and text.isdigit() and len(text) <= 12
        if not (is_number and self._least <= int(text) <= self._most):
            raise argparse.ArgumentTypeError(
                f"{text[:40]!r} is not a number from {self._least} to {self._most}"
            )
        return int(text)


def run_advise(arguments: argparse.Namespace) -> int:
    """`rootclock advise`."""
    from controller.advice.question import loads_to_advise, question_of
    from controller.advice.search import advise
    from controller.cli.own_files import keep_own_files
    from controller.core.errors import NoAdviceError
    from controller.shell.plan_file import read_plan_file
    from controller.shell.weather_file import read_weather

    if len(arguments.tries) > _TRIES_MAX:
        raise NoAdviceError(
            f"--try was given {len(arguments.tries)} times; allowed is {_TRIES_MAX}"
        )
    keep_own_files(arguments)
    read = read_plan_file(arguments.plan)
    loads = loads_to_advise(read.plan, arguments.load)
    weather = None if arguments.weather is None else read_weather(arguments.weather)
    question = question_of(
        read,
        weather,
        start=arguments.start,
        days=arguments.days,
        tries=tuple(arguments.tries),
        samples=arguments.samples,
        seed=arguments.seed,
        watch=_watch,
    )
    found = [advise(question, load) for load in loads]
    _tell(arguments, question, found)
    return 1 if any(advice.chosen is None for advice in found) else 0


@contextmanager
def _watch(name: str, start: Instant, end: Instant) -> Iterator[Sequence[Listener]]:
    """Shows the progress of a run on a terminal."""
    if not sys.stderr.isatty():
        yield ()
        return
    from controller.cli.progress import Progress

    with Progress(name, start, end) as progress:
        yield (progress,)


def _tell(arguments: argparse.Namespace, question: Question, found: Sequence[Advice]) -> None:
    from controller.cli.output import is_coloured, print_json, text_width
    from controller.dry_run.air import air_of
    from controller.report.advice_text import advice_text
    from controller.report.text_cells import wrapped

    plan, calendar, period = question.read.plan, question.schedule.calendar, question.period
    if arguments.picture is not None:
        _write_picture(arguments.picture, found)
    first, last = calendar.date_of(period.start), calendar.date_of(period.end - 1)
    note = air_of(plan.site, question.weather, first=first, last=last).note
    if arguments.json:
        print_json(
            {
                "air": note,
                "assumptions": question.air.assumptions,
                "currency": plan.currency,
                "loads": {advice.load: advice.as_json() for advice in found},
            }
        )
        return
    width = text_width()
    for advice in found:
        print(
            advice_text(
                advice,
                calendar,
                currency=plan.currency,
                width=width,
                is_colour=is_coloured(sys.stdout),
            )
        )
    for sentence in [note, *question.air.assumptions]:
        for line in wrapped(sentence, width):
            print(line)


def _write_picture(path: Path, found: Sequence[Advice]) -> None:
    from controller.report.picture.advice import draw_advice
    from controller.shell.files import written_whole

    text = draw_advice(found)
    with written_whole(path, what="picture") as stream:
        stream.write(text)
