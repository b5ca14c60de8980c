"""Moments in a query, as the command line takes them, in the site's time zone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import RootclockError
from controller.core.moments import parse_moment
from controller.core.units import rfc3339, shown
from controller.core.wall_clock import load_zone
from web.api.plans import now_of
from web.problems import Problem

if TYPE_CHECKING:
    from web.controller_link import ControllerLink


async def moment_text(link: ControllerLink, given: str, *, name: str, is_end: bool = False) -> str:
    """The instant (RFC 3339) that somebody means; a date alone as an end counts in whole.

    Raises:
        Problem: it is none, or nobody knows the site's zone yet.
    """
    try:
        moment = parse_moment(given)
    except RootclockError as error:
        raise Problem("unfit", f"{name}: {error}", about=name) from None
    if moment.instant is not None:
        return rfc3339(moment.instant)
    status = (await link.fresh_picture()).status
    if status is None:
        raise Problem("no-controller", "the controller has not told the site's time zone yet")
    zone = load_zone(status["timezone"])
    try:
        return rfc3339(moment.in_zone(zone, now=now_of(link), is_end=is_end))
    except (OverflowError, ValueError):
        text = f"{name}: {shown(given)} lies beyond every calendar"
        raise Problem("unfit", text, about=name) from None
