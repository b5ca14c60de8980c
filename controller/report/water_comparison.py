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


# What a part is, as a title says it.
STAND, LIFT, RESERVOIR = "stand", "water to the top", "reservoir"
_UNSOWN, _NEVER, _NONE, _NOTHING = "not sown", "never", "none", "nothing"
_NOT_IN_RUN = "not in the run"


class WatersCompared(NamedTuple):
    """The water of two runs, and the calendar by which dates are told."""

    first: WaterAccount
    second: WaterAccount
    calendar: Calendar


class Part(NamedTuple):
    """A stand, lift or reservoir, with its rows where both plans have it; `sentence` says what is
    different, or which plan has it alone."""

    kind: str
    name: str
    rows: list[Row]
    sentence: str

    @property
    def title(self) -> str:
        """Its name and what it is."""
        return f"{printable(self.name)} ({self.kind})"


def water_comparison(waters: WatersCompared, *, width: int, ink: Ink) -> list[str]:
    """Stands, lifts and reservoirs of both runs, each with what differs; those that are the
    same in both are only named."""
    lines: list[str] = []
    alike: list[str] = []
    for part in parts_compared(waters):
        if part.rows and not any(row.words for row in part.rows):
            alike.append(part.title)
            continue
        lines += ["", *(ink.heading(line) for line in wrapped(part.title, width))]
        lines += wrapped(f"With 2: {part.sentence}.", width, first="  ", rest="  ")
        lines += rows_text(part.rows, width)
    if alike:
        lines += ["", *wrapped(f"The same in both: {', '.join(alike)}.", width)]
    return lines


def parts_compared(waters: WatersCompared) -> Iterable[Part]:
    """Everything that either plan has: stands, then lifts, then reservoirs."""
    first, second, calendar = waters
    yield from _of_kind(STAND, first.stands, second.stands, _stand_rows)
    yield from _of_kind(LIFT, first.lifts, second.lifts, _lift_rows)
    yield from _of_kind(
        RESERVOIR,
        first.reservoirs,
        second.reservoirs,
        lambda one, other: _tank_rows(one, other, calendar),
    )


def _of_kind(
    kind: str,
    first: Mapping[str, _Told],
    second: Mapping[str, _Told],
    rows_of: Callable[[_Told, _Told], list[Row]],
) -> Iterable[Part]:
    for name in dict.fromkeys([*first, *second]):
        one, other = first.get(name), second.get(name)
        if one is None:
            yield Part(kind, name, [], "only the second plan has it")
        elif other is None:
            yield Part(kind, name, [], "only the first plan has it")
        else:
            rows = rows_of(one, other)
            yield Part(kind, name, rows, difference_words(rows))


def _row(
    label: str, both: tuple[str, str], phrase: str, *, nothing: str = "", without: str = ""
) -> Row:
    """A row; `phrase` says what is `{1}` instead of `{0}` where they differ, and `without` what
    is where the second is `nothing`."""
    if both[0] == both[1]:
        return Row(label, *both, "")
    words = without if nothing and both[1] == nothing else phrase
    return Row(label, *both, words.format(*both))


def _stand_rows(one: StandAccount, other: StandAccount) -> list[Row]:
    def both(words: Callable[[StandAccount], str]) -> tuple[str, str]:
        return words(one), words(other)

    return [
        _row(
            "left when driest",
            both(_left),
            "{1} left when driest instead of {0}",
            nothing=_UNSOWN,
            without="{1} instead of {0} left when driest",
        ),
        Row("its range", *both(_left_range), ""),
        _row(
            "below its reserve",
            both(_below),
            "below its reserve for {1} instead of {0}",
            nothing=_NEVER,
            without="never below its reserve instead of for {0}",
        ),
        _row(
            "a plant's thirst",
            both(lambda stand: _ml(stand.thirst_ml.likely)),
            "a plant's thirst {1} instead of {0}",
            nothing=_NONE,
            without="no thirst instead of {0} a plant",
        ),
        _row(
            "thirst at worst",
            both(lambda stand: _ml(stand.thirst_ml.high)),
            "at worst a thirst of {1} instead of {0}",
            nothing=_NONE,
            without="no thirst at worst instead of {0}",
        ),
        _row(
            "drunk in the run",
            both(lambda stand: _ml(stand.transpired_ml.likely, nothing=_NOTHING)),
            "a plant drinks {1} in the run instead of {0}",
        ),
    ]


def _left(stand: StandAccount) -> str:
    return _UNSOWN if stand.driest is None else percent_text(stand.driest.left_share.likely)


def _left_range(stand: StandAccount) -> str:
    if stand.driest is None:
        return _UNSOWN
    low, _, high = stand.driest.left_share
    return f"{100 * low:.0f} to {percent_text(high)}"


def _below(stand: StandAccount) -> str:
    length_ms = stand.below_reserve_ms.likely
    return rough_length_words(length_ms) if length_ms > 0.0 else _NEVER


def _ml(amount_ml: float, *, nothing: str = _NONE) -> str:
    return f"{two_figures(amount_ml)} mL" if amount_ml >= THIRST_TOLD_ML else nothing


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
        _row(
            "to be filled",
            both(filling),
            "to be filled {1} instead of {0}",
            nothing=_NOT_IN_RUN,
            without="not to be filled in the run instead of {0}",
        ),
        _row(
            "inlet draws air",
            both(dry),
            "inlet draws air {1} instead of {0}",
            nothing=_NOT_IN_RUN,
            without="inlet draws no air in the run instead of {0}",
        ),
        _row("left unfilled", both(left), "{1} left at the end instead of {0}, if never filled"),
    ]


def _date(instant: Instant | None, calendar: Calendar) -> str:
    return _NOT_IN_RUN if instant is None else date_words(calendar.date_of(instant))
