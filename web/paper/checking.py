"""A plan's text checked: what `rootclock check` finds, and the text as JSON."""

from __future__ import annotations

from collections import OrderedDict
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from controller.core.almanac import Almanac, recalled
from controller.core.plan_text.reading import reading_of
from controller.core.schedule import make_schedule
from controller.core.units import DATE_MAX, DATE_MIN, DAY_MS, day_number, shown
from controller.core.year.walk import walked_spans
from controller.paper.checking import checked

if TYPE_CHECKING:
    from collections.abc import Hashable, Mapping, Sequence

    from controller.core.calendar import Calendar
    from controller.core.findings import Finding
    from controller.core.plan_text.reading import Reading, ReadPlan
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.core.year.span_list import SpanList

SOURCE = "the plan"
# The next plan is most likely this one with one thing changed: what the others came to is kept.
_ALMANAC = Almanac()
_KNOWN_MAX = 4
_known: OrderedDict[Hashable, Reading] = OrderedDict()
_WALKS_MAX = 80
_walks: OrderedDict[Hashable, list[Finding]] = OrderedDict()


def check(message: Mapping[str, Any]) -> dict[str, Any]:
    """Findings of a plan and of its year, from `now` on.

    Args:
        message: `text`; `now`, an instant.
    """
    reading = known_reading(message["text"])
    found = reading.plan
    if found is None:
        return told(reading.document, reading.findings)
    return told(reading.document, year_findings(found, schedule_of(found), message["now"]))


def known_reading(text: str) -> Reading:
    """What a text comes to; of the last few texts it is remembered."""
    return recalled(
        _known, text, lambda: reading_of(text.encode("utf-8", "surrogatepass")), _KNOWN_MAX
    )


def read(text: str) -> ReadPlan:
    """The plan of a text, remembered as its reading is.

    Raises:
        PlanRefusedError: it has errors.
    """
    return known_reading(text).plan_of(SOURCE)


def keep_known(text: str, reading: Reading) -> None:
    """Keeps what a text was read as: the next question is likely about it."""
    recalled(_known, text, lambda: reading, _KNOWN_MAX)


def schedule_of(found: ReadPlan) -> Schedule:
    """The plan ready to be carried out; what earlier plans share with it is not computed anew."""
    return make_schedule(found.plan, _ALMANAC)


def year_findings(found: ReadPlan, schedule: Schedule, now: Instant) -> list[Finding]:
    """All that `check` finds of a plan and its schedule, worst first."""
    return checked(found, schedule, first_date(schedule, now), walk_spans=_walked_spans)


def _walked_spans(calendar: Calendar, spans: SpanList, days: range) -> list[Finding]:
    load = spans.load
    key = (spans.timeline, spans.where, spans.name, load.waters, load.longest_on_ms, days)
    return recalled(_walks, key, lambda: walked_spans(calendar, spans, days), _WALKS_MAX)


def first_date(schedule: Schedule, now: Instant) -> date:
    """The local date of now, or the nearest from which a year can be looked ahead."""
    first, last = DATE_MIN + timedelta(days=2), date(DATE_MAX.year - 3, 1, 1)
    inside = min(max(now, day_number(first) * DAY_MS), day_number(last) * DAY_MS)
    return schedule.calendar.date_of(inside)


def told(document: Mapping[str, Any] | None, findings: Sequence[Finding]) -> dict[str, Any]:
    """What a text says, and findings about it, as the API tells them."""
    return {
        "is_fit": not any(finding.level == "error" for finding in findings),
        "findings": [finding.as_form_json() for finding in findings],
        "document": None if document is None else in_json(document),
    }


def in_json(value: Any) -> Any:
    """What a text of TOML says, as JSON has it: dates and times, and numbers that JSON has not,
    are text."""
    if isinstance(value, dict):
        return {key: in_json(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [in_json(inner) for inner in value]
    if isinstance(value, bool | str):
        return value
    if isinstance(value, int):
        return value if abs(value) < 2**53 else shown(value)
    if isinstance(value, float) and abs(value) < float("inf"):
        return value
    return str(value)
