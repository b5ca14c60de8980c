"""A panel of a picture: one day across, shares of a whole from nothing up."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import HOUR_MS, MINUTE_MS
from controller.core.wall_clock import local_datetime
from controller.core.water_words import percent_text
from controller.report.picture.scene import WIDTH
from controller.report.picture.svg import add, box, number, path, tell

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element
    from zoneinfo import ZoneInfo

    from controller.core.units import Instant

_LEFT, _RIGHT = 46.0, 8.0  # as the rows of days have them
_HEIGHT = 72.0
_HOURS_APART = 3
_LABELS_APART = 9.5


class DayPanel(NamedTuple):
    """Where a day and shares from 0 to 1 lie in the picture."""

    start: Instant
    end: Instant
    top: float

    @property
    def bottom(self) -> float:
        """Where nothing lies."""
        return self.top + _HEIGHT

    def x(self, instant: Instant) -> float:
        """Where an instant lies across."""
        width = WIDTH - _LEFT - _RIGHT
        return _LEFT + width * (instant - self.start) / (self.end - self.start)

    def y(self, share: float) -> float:
        """Where a share lies from the top."""
        return self.bottom - _HEIGHT * share

    def box(self, start: Instant, end: Instant) -> str:
        """A stretch of time as high as the panel."""
        x = self.x(max(start, self.start))
        return box(x, self.top, self.x(min(end, self.end)) - x, _HEIGHT)


def draw_shares(group: Element, panel: DayPanel, reserve: float) -> None:
    """Draws the panel's edges with their shares, and the reserve as a dashed line with its own."""
    across = f"h{number(WIDTH - _LEFT - _RIGHT)}"
    lines = [f"M{number(_LEFT)} {number(panel.y(share))}{across}" for share in (0, 0.5, 1)]
    add(group, "path", d=path(lines), class_="grid noon")
    shares = {share: panel.y(share) for share in (0.0, 1.0)}
    if reserve > 0.0:
        dashes = add(
            group,
            "path",
            d=f"M{number(_LEFT)} {number(panel.y(reserve))}{across}",
            class_="line l-alarm",
        )
        dashes.set("stroke-dasharray", "4 3")
        tell(dashes, f"reserve of the plan: {percent_text(reserve)}")
        low, high = panel.y(1.0) + _LABELS_APART, panel.y(0.0) - _LABELS_APART
        shares[reserve] = min(max(panel.y(reserve), low), high)
    for share, y in shares.items():
        add(group, "text", percent_text(share), x=_LEFT - 4, y=y + 3, class_="f s r")


def draw_clock(group: Element, panel: DayPanel, zone: ZoneInfo, *, baseline: float) -> None:
    """Draws thin lines through the panel, and numbers below it, at every third hour of a zone's
    clocks."""
    hours = add(group, "g", aria_hidden="true")
    lines = []
    for instant in range(panel.start, panel.end + 1, 15 * MINUTE_MS):  # zones go by quarters
        local_time = local_datetime(zone, instant)
        if local_time.minute == 0 and local_time.hour % _HOURS_APART == 0:
            x = panel.x(instant)
            lines.append(f"M{number(x)} {number(panel.top)}v{number(_HEIGHT)}")
            at_edge = panel.end - instant < HOUR_MS / 2
            kind = "f s r" if at_edge else "f s m"
            text_x = x + 5 if at_edge else x
            name = 24 if at_edge and local_time.hour == 0 else local_time.hour
            add(hours, "text", str(name), x=text_x, y=baseline, class_=kind)
    add(hours, "path", d=path(lines), class_="grid")
