"""What two plans do to roots, pumps and reservoirs, beside each other."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import date_words
from controller.core.water_words import percent_text, rough_length_words, two_figures
from controller.report.comparison_rows import Row, difference_words, rows_text
from controller.report.text_cells import printable, wrapped
from controller.report.water_stand_text import THIRST_TOLD_ML
from controller.report.water_tank_text import litre_words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from typing import TypeVar

    from controller.core.calendar import Calendar
    from controller.core.units import Instant
    from controller.dry_run.water.water_account import (
        LiftAccount,
        ReservoirAccount,
        StandAccount,
        WaterAccount,
    )
    from controller.report.ink import Ink

    _Told = TypeVar("_Told")


class WatersCompared(NamedTuple):
    """The water of two runs, and the calendar by which dates are told."""

    first: WaterAccount
    second: WaterAccount
    calendar: Calendar


class _Part(NamedTuple):
    """A stand, lift or reservoir that both plans have, with its rows; none where only one
    has it, and then `sentence` says which."""

    title: str
    rows: list[Row]
    sentence: str


def water_comparison(waters: WatersCompared, *, width: int, ink: Ink) -> list[str]:
    """Stands, lifts and reservoirs of both runs, each with what differs; those that are the
    same in both are only named."""
    lines: list[str] = []
    alike: list[str] = []
    for part in _parts(*waters):
        if part.rows and not any(row.words for row in part.rows):
            alike.append(part.title)
            continue
        lines += ["", *(ink.heading(line) for line in wrapped(part.title, width))]
        lines += wrapped(f"With 2: {part.sentence}.", width, first="  ", rest="  ")
        lines += rows_text(part.rows, width)
    if alike:
        lines += ["", *wrapped(f"The same in both: {', '.join(alike)}.", width)]
    return lines


def _parts(first: WaterAccount, second: WaterAccount, calendar: Calendar) -> Iterable[_Part]:
    yield from _of_kind("stand", first.stands, second.stands, _stand_rows)
    yield from _of_kind("water to the top", first.lifts, second.lifts, _lift_rows)
    yield from _of_kind(
        "reservoir",
        first.reservoirs,
        second.reservoirs,
        lambda one, other: _tank_rows(one, other, calendar),
    )


def _of_kind(
    kind: str,
    first: Mapping[str, _Told],
    second: Mapping[str, _Told],
    rows_of: Callable[[_Told, _Told], list[Row]],
) -> Iterable[_Part]:
    for name in dict.fromkeys([*first, *second]):
        title = f"{printable(name)} ({kind})"
        one, other = first.get(name), second.get(name)
        if one is None:
            yield _Part(title, [], "only the second plan has it")
        elif other is None:
            yield _Part(title, [], "only the first plan has it")
        else:
            rows = rows_of(one, other)
            yield _Part(title, rows, difference_words(rows))


def _row(label: str, both: tuple[str, str], phrase: str) -> Row:
    """A row; `phrase` says what is `{1}` instead of `{0}` where they differ."""
    words = "" if both[0] == both[1] else phrase.format(*both)
    return Row(label, *both, words)


def _stand_rows(one: StandAccount, other: StandAccount) -> list[Row]:
    def both(words: Callable[[StandAccount], str]) -> tuple[str, str]:
        return words(one), words(other)

    return [
        _row("left when driest", both(_left), "{1} left when driest instead of {0}"),
        Row("its range", *both(_left_range), ""),
        _row("below its reserve", both(_below), "below its reserve {1} instead of {0}"),
        _row(
            "a plant's thirst",
            both(lambda stand: _ml(stand.thirst_ml.likely)),
            "a plant's thirst {1} instead of {0}",
        ),
        _row(
            "thirst at worst",
            both(lambda stand: _ml(stand.thirst_ml.high)),
            "at worst a thirst of {1} instead of {0}",
        ),
        _row(
            "drunk in the run",
            both(lambda stand: _ml(stand.transpired_ml.likely)),
            "a plant drinks {1} in the run instead of {0}",
        ),
    ]


def _left(stand: StandAccount) -> str:
    return "not sown" if stand.driest is None else percent_text(stand.driest.left_share.likely)


def _left_range(stand: StandAccount) -> str:
    if stand.driest is None:
        return "not sown"
    low, _, high = stand.driest.left_share
    return f"{100 * low:.0f} to {percent_text(high)}"


def _below(stand: StandAccount) -> str:
    length_ms = stand.below_reserve_ms.likely
    return rough_length_words(length_ms) if length_ms > 0.0 else "never"


def _ml(amount_ml: float) -> str:
    return f"{two_figures(amount_ml)} mL" if amount_ml >= THIRST_TOLD_ML else "none"


def _lift_rows(one: LiftAccount, other: LiftAccount) -> list[Row]:
    flows = [f"{two_figures(lift.found.flow_l_per_h.likely)} L/h" for lift in (one, other)]
    return [_row("at the top", (flows[0], flows[1]), "{1} at the top instead of {0}")]


def _tank_rows(one: ReservoirAccount, other: ReservoirAccount, calendar: Calendar) -> list[Row]:
    """What becomes of a reservoir that nobody fills."""

    def both(words: Callable[[ReservoirAccount], str]) -> tuple[str, str]:
        return words(one), words(other)

    def filling(tank: ReservoirAccount) -> str:
        return _date(None if tank.top_up_at is None else tank.top_up_at.likely, calendar)

    def dry(tank: ReservoirAccount) -> str:
        inlet_l = tank.left_alone.reservoir.inlet_at_l
        return _date(tank.left_alone.falls_to(inlet_l).likely, calendar)

    def left(tank: ReservoirAccount) -> str:
        return litre_words(tank.left_alone.water_l(tank.left_alone.end).likely)

    return [
        _row("to be filled", both(filling), "to be filled {1} instead of {0}"),
        _row("inlet draws air", both(dry), "inlet draws air {1} instead of {0}"),
        _row("left unfilled", both(left), "{1} left at the end instead of {0}, if never filled"),
    ]


def _date(instant: Instant | None, calendar: Calendar) -> str:
    return "not in the run" if instant is None else date_words(calendar.date_of(instant))
