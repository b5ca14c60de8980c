"""Two plans' runs side by side: the figures of each, and the difference in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import (
    amount_words,
    gap_words,
    length_words,
    percent_words,
    rate_words,
    turn_words,
    years_words,
)
from controller.core.units import DAY_MS, SECOND_MS
from controller.report.comparison_rows import Row, difference_words, rows_text
from controller.report.ink import Ink
from controller.report.load_words import money_words
from controller.report.text_cells import printable, wrapped
from controller.report.water_comparison import water_comparison

if TYPE_CHECKING:
    from controller.dry_run.account import Account, LoadAccount
    from controller.report.water_comparison import WatersCompared


class _Figures(NamedTuple):
    """What two runs of one load are compared by; rates, so that runs of any length are."""

    kind: str
    starts_a_day: float
    on_share: float
    longest_dry_gap_ms: int
    longest_on_ms: int
    operations_a_year: float
    contact_share_a_year: float
    kwh_a_month: float | None
    cost_a_month: float | None
    currency: str


def _figures(account: Account, name: str) -> _Figures | None:
    done = account.loads.get(name)
    if done is None:
        return None
    return _Figures(
        kind=done.kind,
        starts_a_day=done.starts * DAY_MS / account.run_ms,
        on_share=done.on_ms / account.run_ms,
        longest_dry_gap_ms=_length_ms(done, is_gap=True),
        longest_on_ms=_length_ms(done, is_gap=False),
        operations_a_year=done.operations_a_year(account.run_ms),
        contact_share_a_year=done.contact_share_a_year(account.run_ms),
        kwh_a_month=None if done.energy_kwh is None else account.per_month(done.energy_kwh),
        cost_a_month=None if done.cost is None else account.per_month(done.cost),
        currency=account.currency,
    )


def _length_ms(done: LoadAccount, *, is_gap: bool) -> int:
    stretch = done.longest_dry_gap if is_gap else done.longest_on
    return 0 if stretch is None else stretch.length_ms


def _names(first: Account, second: Account) -> list[str]:
    return list(dict.fromkeys([*first.loads, *second.loads]))


def comparison_json(first: Account, second: Account) -> dict[str, object]:
    """By load: the figures of both runs, second less first, and the difference in words.

    None stands for the figures of a load that a plan does not have, and for an energy
    that its plan does not tell.
    """
    return {name: _load_json(first, second, name) for name in _names(first, second)}


def _load_json(first: Account, second: Account, name: str) -> dict[str, object]:
    figures = [_figures(account, name) for account in (first, second)]
    told = [None if one is None else _as_json(one) for one in figures]
    one, other = told
    difference = None
    if one is not None and other is not None:
        difference = {
            key: None if value is None or (more := other[key]) is None else more - value
            for key, value in one.items()
        }
        if first.currency != second.currency:
            difference["cost_a_month"] = None
    return {
        "first": one,
        "second": other,
        "difference": difference,
        "words": _sentence(*figures),
    }


def _as_json(figures: _Figures) -> dict[str, float | None]:
    return {
        "starts_a_day": figures.starts_a_day,
        "on_share": figures.on_share,
        "longest_dry_gap_s": figures.longest_dry_gap_ms / SECOND_MS,
        "longest_on_s": figures.longest_on_ms / SECOND_MS,
        "operations_a_year": figures.operations_a_year,
        "contact_share_a_year": figures.contact_share_a_year,
        "energy_kwh_a_month": figures.kwh_a_month,
        "cost_a_month": figures.cost_a_month,
    }


def _sentence(first: _Figures | None, second: _Figures | None) -> str:
    """What is different with the second plan."""
    if first is None:
        return "only the second plan has it"
    if second is None:
        return "only the first plan has it"
    return difference_words(_rows(first, second))


def _rows(first: _Figures, second: _Figures) -> list[Row]:
    kind = second.kind
    turns = f"{turn_words(kind, 2)} a day"
    return [
        Row(
            turns,
            rate_words(first.starts_a_day),
            rate_words(second.starts_a_day),
            _turns(first.starts_a_day, second.starts_a_day, turns),
        ),
        Row(
            "on",
            percent_words(first.on_share),
            percent_words(second.on_share),
            _lengths(
                round(first.on_share * DAY_MS),
                round(second.on_share * DAY_MS),
                ("{} a day more on", "{} a day less on"),
            ),
        ),
        _longest(f"longest {gap_words(kind)}", first.longest_dry_gap_ms, second.longest_dry_gap_ms),
        _longest("longest on", first.longest_on_ms, second.longest_on_ms),
        _contact(first, second),
        _energy(first, second),
        *_cost(first, second),
    ]


def _turns(first: float, second: float, turns: str) -> str:
    """The difference in words, none where both are shown alike."""
    if rate_words(first) == rate_words(second):
        return ""
    return f"{rate_words(abs(second - first))} {'more' if second > first else 'fewer'} {turns}"


def _lengths(first_ms: int, second_ms: int, forms: tuple[str, str]) -> str:
    if length_words(first_ms) == length_words(second_ms):
        return ""
    form = forms[0] if second_ms > first_ms else forms[1]
    return form.format(length_words(abs(second_ms - first_ms)))


def _longest(label: str, first_ms: int, second_ms: int) -> Row:
    forms = (f"{label} {{}} longer", f"{label} {{}} shorter")
    return Row(
        label,
        length_words(first_ms),
        length_words(second_ms),
        _lengths(first_ms, second_ms, forms),
    )


def _contact(first: _Figures, second: _Figures) -> Row:
    one, other = (years_words(figures.contact_share_a_year) for figures in (first, second))
    words = "" if one == other else f"relay's contact lasts {other} instead of {one}"
    return Row("relay's contact", one, other, words)


def _energy(first: _Figures, second: _Figures) -> Row:
    one, other = (
        "not told" if figures.kwh_a_month is None else f"{amount_words(figures.kwh_a_month)} kWh"
        for figures in (first, second)
    )
    words = ""
    if one != other:
        words = f"energy {other} instead of {one} a month"
        if first.kwh_a_month is not None and second.kwh_a_month is not None:
            difference = second.kwh_a_month - first.kwh_a_month
            more = "more" if difference > 0 else "less"
            words = f"{amount_words(abs(difference))} kWh {more} a month"
    return Row("energy a month", one, other, words)


def _cost(first: _Figures, second: _Figures) -> list[Row]:
    """What a month costs, in each plan's own currency; nothing where neither tells."""
    if first.cost_a_month is None and second.cost_a_month is None:
        return []
    one, other = (
        "not told"
        if figures.cost_a_month is None
        else f"{money_words(figures.cost_a_month)} {printable(figures.currency)}"
        for figures in (first, second)
    )
    words = "" if one == other else f"cost {other} instead of {one} a month"
    return [Row("cost a month", one, other, words)]


def comparison_text(
    names: tuple[str, str],
    first: Account,
    second: Account,
    *,
    width: int,
    is_colour: bool,
    waters: WatersCompared | None = None,
) -> str:
    """Both runs beside each other for a terminal, no line wider than `width`; loads that
    are the same in both are only named. `waters` is there where both runs tell of water."""
    ink = Ink(is_colour)
    title = f"1: {printable(names[0])} and 2: {printable(names[1])} beside each other"
    lines = [ink.heading(line) for line in wrapped(title, width)]
    alike: list[str] = []
    for name in _names(first, second):
        one, other = _figures(first, name), _figures(second, name)
        rows = [] if one is None or other is None else _rows(one, other)
        if rows and not any(row.words for row in rows):
            alike.append(name)
            continue
        lines += ["", ink.heading(name)]
        lines += wrapped(f"With 2: {_sentence(one, other)}.", width, first="  ", rest="  ")
        lines += rows_text(rows, width)
    if alike:
        lines += ["", *wrapped(f"The same in both: {', '.join(alike)}.", width)]
    if waters is not None:
        lines += water_comparison(waters, width=width, ink=ink)
    return "\n".join(lines) + "\n"
