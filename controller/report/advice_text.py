"""Advice as text for a terminal: what is advised, the table it was chosen from, the lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.advice.candidate import Origin
from controller.core.phrases import counted, date_words, percent_words, rate_words
from controller.core.water_words import percent_text, share_words
from controller.report.advice_tables import advice_tables, table_lines
from controller.report.ink import Ink
from controller.report.period import days_words, from_to_words
from controller.report.text_cells import printable, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.advice.advice import Advice
    from controller.advice.figures import Row, WholePeriod
    from controller.core.calendar import Calendar


def advice_text(
    advice: Advice, calendar: Calendar, *, currency: str, width: int, is_colour: bool
) -> str:
    """The advice for one load, no line wider than `width`."""
    ink = Ink(is_colour)
    time = (calendar, advice.period.start, advice.period.end)
    lines = [
        *(ink.heading(line) for line in wrapped(f"Advice for {advice.load}", width)),
        *wrapped(f"{from_to_words(*time)}, {days_words(*time)}", width),
        "",
    ]
    for sentence in sentences(advice):
        lines += wrapped(sentence, width)
    for table in advice_tables(advice, currency):
        lines += ["", *table_lines(table, width, ink)]
    lines += ["", *(line for note in _remarks(advice) for line in wrapped(note, width))]
    if advice.lines:
        where = f"In the place of [[loads.{advice.load}.spans]] as they are:"
        lines += ["", *wrapped(where, width), "", *advice.lines.split("\n")]
    return "\n".join(lines) + "\n"


# Sentences


def sentences(advice: Advice) -> Iterator[str]:
    """What was found, the most important first."""
    row, whole = advice.row, advice.whole
    if row is None or whole is None:
        yield from _refusal(advice)
    elif row.candidate.spans is None:
        yield (
            f"The present plan may stay: of all that was looked at, nothing keeps the reserve "
            f"{_for_whom(row)} with fewer pump hours. {_through(advice, whole)}"
        )
    else:
        yield (
            f"Advised: {row.candidate.label}. It is what keeps the reserve {_for_whom(row)} "
            f"with fewest pump hours, {_hours(whole)} a day through the period; the present plan "
            f"has {_hours(advice.present)}. {_through(advice, whole)}"
        )
    yield from _driest(advice)
    yield _present(advice)
    for tried in advice.rows:
        if tried.candidate.origin.value == "tried":
            yield _tried(advice, tried)


def _for_whom(row: Row) -> str:
    """For which plants a row is enough."""
    return "of 19 in 20 drawn plants" if row.is_careful else "of likely roots"


def _refusal(advice: Advice) -> Iterator[str]:
    yield (
        f"Nothing within the bounds of {advice.load} keeps the reserve of likely roots"
        f"{' through the period' if advice.failed else ''}."
    )
    for hindrance in advice.hindrances:
        yield f"From {hindrance.anchor}: {hindrance.message}. To mend: {hindrance.mend}."
    broken = sorted({name for row in advice.rows if row.keeps_likely for name in row.breaks})
    if broken:
        yield (
            f"What keeps it breaks the limits {', '.join(broken)} of {advice.load}: raise them, "
            "give each plant more medium, or let a sensor set the rests (cycle = demand)."
        )
    if advice.failed:
        labels = "; ".join(candidate.label for candidate in advice.failed)
        yield f"Good for the worst days, but not for every day of the period: {labels}."
    if not (advice.hindrances or broken or advice.failed):
        yield (
            "By the models there are rests that would, but carried out they do not hold: a guard "
            f"or another load keeps {advice.load} from its waterings."
        )


def _hours(whole: WholePeriod) -> str:
    return f"{rate_words(whole.pump.hours_a_day)} h"


def _through(advice: Advice, whole: WholePeriod) -> str:
    """What is left through the whole period."""
    name, left = min(whole.lefts.items(), key=lambda one: one[1].likely - advice.reserves[one[0]])
    return (
        f"At the driest moment, {date_words(whole.driest_day)}, "
        f"{share_words(left, after=' is left')} for {printable(name)}."
    )


def _present(advice: Advice) -> str:
    """How the present plan does."""
    present = advice.present
    short = [
        f"{printable(name)} with {percent_text(left.likely)} of {percent_text(reserve)}"
        for name, left in present.lefts.items()
        for reserve in [advice.reserves[name]]
        if left.likely < reserve
    ]
    if short:
        return f"The present plan does not keep the reserve: {', '.join(short)} at the driest."
    return "The present plan keeps the reserve of likely roots."


def _tried(advice: Advice, row: Row) -> str:
    """Whether a cycle that was asked about keeps the reserve, and which stand tells."""
    name, left = min(row.lefts.items(), key=lambda one: one[1].likely - advice.reserves[one[0]])
    verdict = "keeps it" if row.keeps_likely else "does not keep it"
    return (
        f"{row.candidate.label} {verdict}: {share_words(left, after=' left')} for "
        f"{printable(name)}; {percent_words(row.kept_share)} of drawn plants keep theirs."
    )


def _driest(advice: Advice) -> Iterator[str]:
    """What plants need that are worse off than the likely ones."""
    row = advice.row
    if row is not None:
        days = "day" if len(advice.days) == 1 else "days"
        yield (
            f"Of {counted(advice.samples, 'plant')} drawn at random from what sources allow, "
            f"{percent_words(row.kept_share)} keep the reserve with it on the worst {days}."
        )
    leanest, safest = advice.leanest, advice.safest
    if leanest is not None and leanest != advice.chosen:
        lean = advice.rows[leanest]
        yield (
            f"Likely roots would do with {_with_hours(lean)}; only "
            f"{percent_words(lean.kept_share)} of the drawn plants keep it."
        )
    if safest is None:
        yield "The driest roots that sources allow keep it with nothing in the table."
    elif safest not in (leanest, advice.chosen):
        yield (
            "For the driest roots that sources allow, every worst in one plant: "
            f"{_with_hours(advice.rows[safest])}."
        )


def _with_hours(row: Row) -> str:
    return f"{row.candidate.label}, {rate_words(row.pump.hours_a_day)} h on the worst day"


def _remarks(advice: Advice) -> Iterator[str]:
    yield from _kinds(advice)
    broken = sorted({name for row in advice.rows for name in row.breaks})
    if broken:
        yield f"! breaks a limit of {advice.load}: {', '.join(broken)}."
    yield from advice.notes
    yield (
        "Models know the water of the roots. They do not know how long it takes to the lowest "
        "plant, nor how much air roots want: look at both before you water for less long."
    )


def _kinds(advice: Advice) -> Iterator[str]:
    """What is to be seen from row to row."""
    steps = _numbers(advice, Origin.LIKELY, Origin.CAREFUL, Origin.DRIEST)
    if len(steps) > 1:
        yield (
            f"From row {steps[0]} to {steps[-1]} rests get shorter, from what likely roots need to "
            "what the driest ask for: what care costs."
        )
    longer = _numbers(advice, Origin.LONGER)
    if len(longer) == 1:
        yield f"Row {longer[0]} waters for longer and starts less often, which spares the relay."
    elif longer:
        yield (
            f"Rows {', '.join(longer)} water for longer and start less often, which spares the "
            "relay."
        )


def _numbers(advice: Advice, *origins: Origin) -> list[str]:
    """The numbers of the rows that come from there."""
    return [
        str(place) for place, row in enumerate(advice.rows, 1) if row.candidate.origin in origins
    ]
