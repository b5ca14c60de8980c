"""The picture of a stand's roots: what is left of their water through a day, to its driest."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core import daylight
from controller.core.phrases import date_words
from controller.core.water_words import (
    around_clock_words,
    around_on_words,
    around_words,
    share_words,
)
from controller.report.picture.curves import thinned
from controller.report.picture.day_panel import DayPanel, draw_clock, draw_shares
from controller.report.picture.run_lengths import stretches
from controller.report.picture.scene import WIDTH
from controller.report.picture.svg import add, label, number, path, place, tell, text_lines
from controller.report.text_cells import printable
from controller.report.water_days_text import day_of_air, days_told
from controller.report.water_stand_text import day_words, left_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date
    from xml.etree.ElementTree import Element

    from controller.core.daylight import Stretches
    from controller.core.units import Instant
    from controller.dry_run.water.water_account import (
        CoursePoint,
        DriestMoment,
        StandAccount,
        WaterAccount,
    )
    from controller.report.picture.scene import Scene
    from controller.weather.days import AirDay

_BARS = 5.0  # how high the waterings below a panel are


def draw_roots(
    parent: Element, scene: Scene, water: WaterAccount, stand: StandAccount, top: float
) -> float:
    """Draws a stand on the day of heat and on the mildest one, below `top`, as wide as a
    picture; returns where it ends."""
    group = add(parent, "g", role="graphics-symbol img")
    label(group, _told(scene, water, stand))
    y = _write(group, _heading(scene, stand), top, kind="b")
    for name, day in days_told(water):
        air = day_of_air(water, day)
        panel = DayPanel(air.start, air.end, 0.0)
        course = [
            point
            for point in water.courses.get(stand.name, {}).get(day, ())
            if panel.start <= point.instant <= panel.end
        ]
        if len(course) > 1:
            y = _write(group, _day_heading(scene, stand, name, air), y + 3, kind="f")
            y = _draw_day(group, scene, stand, panel._replace(top=y + 6), course, air.date)
    return y + 6


def _write(group: Element, text: str, y: float, *, kind: str) -> float:
    """Writes a text below `y`; returns the base of its last line."""
    for line in text_lines(text, size=9.5, width=WIDTH - 12):
        y += 12
        add(group, "text", line, x=4, y=y, class_=kind)
    return y


# Words


def _heading(scene: Scene, stand: StandAccount) -> str:
    name = printable(stand.name)
    if stand.driest is None:
        return f"{name}: nothing grows in this run"
    when = around_words(stand.driest.instant, scene.schedule.calendar)
    return f"{name}: driest {when}, {left_words(stand.driest, stand)}"


def _day_heading(scene: Scene, stand: StandAccount, name: str, air: AirDay) -> str:
    words = f"{date_words(air.date)}, {name or 'up'} to {air.warmest_c:z.0f} °C"
    driest = _driest_of(stand, air.date)
    if driest is None:
        return f"{words}: nothing grows yet"
    when = around_on_words(driest.instant, air.date, scene.schedule.calendar)
    return f"{words}: driest {when}, {share_words(driest.left_share, after=' left')}"


def _driest_of(stand: StandAccount, day: date) -> DriestMoment | None:
    return next((one.driest for one in stand.days if one.date == day), None)


def _told(scene: Scene, water: WaterAccount, stand: StandAccount) -> str:
    """The picture in words."""
    told = [_heading(scene, stand)]
    for name, day in days_told(water):
        words = day_words(stand, water, day, scene.schedule.calendar, account=scene.account)
        if words is not None:
            told.append(f"{name.capitalize()}, {words}" if name else words)
    return ". ".join(told) + "."


# A day


def _draw_day(
    group: Element,
    scene: Scene,
    stand: StandAccount,
    panel: DayPanel,
    course: Sequence[CoursePoint],
    day: date,
) -> float:
    """Draws one day; returns where its hours end."""
    _draw_ground(group, scene, stand, panel)
    draw_shares(group, panel, stand.reserve)
    _draw_course(group, panel, course)
    driest = _driest_of(stand, day)
    if driest is not None:
        _draw_driest(group, scene, panel, driest)
    bars = _bars(panel, _on_times(scene, stand.load, panel))
    if bars:
        kind = scene.schedule.plan.loads[stand.load].kind
        add(group, "path", d=path(bars), class_=f"bar {kind}", stroke_width=_BARS)
    baseline = panel.bottom + _BARS + 12
    draw_clock(group, panel, scene.schedule.calendar.zone, baseline=baseline)
    return baseline + 2


def _draw_ground(group: Element, scene: Scene, stand: StandAccount, panel: DayPanel) -> None:
    """Night and day behind the curves; for plants under lamps, dark and light."""
    calendar = scene.schedule.calendar
    facts = scene.schedule.plan.stands[stand.name]
    add(group, "path", d=panel.box(panel.start, panel.end), class_="night")
    twilight: Stretches = []
    if facts.place == "under-lamps" and facts.lamp is not None:
        light = list(_on_times(scene, facts.lamp, panel))
    else:
        twilight = daylight.not_night(calendar, panel.start, panel.end)
        light = daylight.sun_up(calendar, panel.start, panel.end)
    for shade, times in (("twi", twilight), ("day", light)):
        if times:
            add(group, "path", d=path([panel.box(*one) for one in times]), class_=shade)


def _on_times(scene: Scene, load: str, panel: DayPanel) -> Iterator[tuple[Instant, Instant]]:
    """When a load was on in the panel's time, as far as the run is recorded."""
    names = [one.name for one in scene.schedule.loads]
    lane = scene.recording.lanes[names.index(load)]
    for day, bars in zip(scene.recording.days, lane, strict=True):
        if day.begin < panel.end and panel.start < day.end:
            for start, end in stretches(bars):
                if start < panel.end and panel.start < end:
                    yield max(start, panel.start), min(end, panel.end)


def _draw_course(group: Element, panel: DayPanel, course: Sequence[CoursePoint]) -> None:
    """The band between the driest roots and the wettest, and the likely line."""
    lows, likelies, highs = (
        thinned([(panel.x(at), panel.y(left[corner])) for at, left in course])
        for corner in range(3)
    )
    outline = "L".join(place(*point) for point in [*highs, *reversed(lows)])
    add(group, "path", d=f"M{outline}z", class_="i-pump", fill_opacity="0.3")
    line = "L".join(place(*point) for point in likelies)
    add(group, "path", d=f"M{line}", class_="line l-pump")


def _draw_driest(group: Element, scene: Scene, panel: DayPanel, driest: DriestMoment) -> None:
    """A dot where the likely roots are driest, on a line from the driest to the wettest."""
    if not panel.start <= driest.instant <= panel.end:
        return
    x = panel.x(driest.instant)
    low, likely, high = (panel.y(share) for share in driest.left_share)
    mark = add(group, "g")
    ends = "".join(f"M{number(x - 3)} {number(y)}h6" for y in (low, high))
    stem = f"M{number(x)} {number(low)}V{number(high)}"
    add(mark, "path", d=f"{ends}{stem}", class_="line l-alarm")
    add(mark, "circle", cx=x, cy=likely, r=2.8, class_="i-alarm")
    when = around_clock_words(driest.instant, scene.schedule.calendar)
    tell(mark, f"driest {when}: {share_words(driest.left_share, after=' left')}")


def _bars(panel: DayPanel, times: Iterable[tuple[Instant, Instant]]) -> list[str]:
    """Waterings as bars below the panel; never thinner than an eye sees."""
    y = panel.bottom + 2 + _BARS / 2
    return [
        f"M{number(round(panel.x(start), 1))} {number(y)}"
        f"h{number(max(0.4, round(panel.x(end) - panel.x(start), 1)))}"
        for start, end in times
    ]
