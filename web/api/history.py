"""What happened: a strip of hours, a week of days, why a load was so at a time gone by, and how
worn the relays are."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response

from controller.core.units import HOUR_MS, parse_rfc3339, rfc3339
from controller.core.wall_clock import load_zone
from controller.report.journal_week import week_bounds, week_told
from controller.report.past_text import past_sentence
from web.api.plans import now_of
from web.history import strips_of
from web.moments import moment_text
from web.problems import Problem
from web.replies import page_of, told
from web.shapes import past as shapes

router = APIRouter(tags=["journal"])
HOURS_MAX = 24 * 8


@router.get("/history", response_model=shapes.History)
async def history(
    request: Request, hours: Annotated[int, Query(ge=1, le=HOURS_MAX)] = 24
) -> Response:
    """When each load was on during the last hours, where that is not what the plan ordered, and
    what else the journal has of them."""
    link = page_of(request).link
    end = now_of(link)
    asked = {"since": rfc3339(end - hours * HOUR_MS), "until": rfc3339(end)}
    return told(strips_of(await link.call("history", asked)))


@router.get("/week", response_model=shapes.Week)
async def week(request: Request) -> Response:
    """The last seven local days of the site: what `rootclock week --json` prints."""
    link = page_of(request).link
    status = (await link.fresh_picture()).status
    if status is None:
        raise Problem("no-controller", "the controller has told nothing yet")
    bounds = week_bounds(load_zone(status["timezone"]), now_of(link))
    asked = {"since": rfc3339(bounds.since), "until": rfc3339(bounds.until)}
    return told(week_told(await link.call("history", asked), bounds.days))


@router.get("/past", response_model=shapes.Past)
async def past(
    request: Request,
    load: Annotated[str, Query(min_length=1, max_length=200)],
    at: Annotated[str, Query(max_length=40, examples=["2026-07-01T03:00"])],
) -> Response:
    """What a load did at a time gone by: a sentence, its last switching until then, with why;
    what was noted since; what stood; and its next switching."""
    link = page_of(request).link
    asked = {"load": load, "at": await moment_text(link, at, name="at")}
    answer = await link.call("past", asked)
    return told({**answer, "sentence": _sentence(answer)})


def _sentence(past_answer: dict[str, Any]) -> str | None:
    """As `rootclock why LOAD --at WHEN` says it; None where the journal does not reach so far."""
    switching, away = past_answer["switching"], past_answer["away"]
    if switching is None:
        return None
    return past_sentence(
        past_answer["load"],
        what=switching["what"],
        since=parse_rfc3339(switching["utc"]),
        at=parse_rfc3339(past_answer["at_utc"]),
        away_since=None if away is None else parse_rfc3339(away["since_utc"]),
        is_away_certain=away is not None and away["is_certain"],
    )


@router.get("/wear", response_model=shapes.WearTold)
async def wear(request: Request) -> Response:
    """Each relay's operations over the journal's life, against its rated life."""
    return told(await page_of(request).link.call("wear"))
