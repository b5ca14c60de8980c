"""An almanac: calendars, timelines and the open air of a site, which many plans share.

Somebody who edits a plan makes a new one with every key, of which little is new. A timeline
is its spans at a site, and nothing else; one that is at hand has its days computed already.
"""

from __future__ import annotations

from collections import OrderedDict
from typing import TYPE_CHECKING, TypeVar

from controller.core.anchor import LoadChange
from controller.core.calendar import Calendar
from controller.core.timeline import Timeline

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Mapping

    from controller.core.demand.present_air import OpenAir
    from controller.core.plan import Load, Site
    from controller.core.plan_parts.spans import Spans

_CALENDARS_MAX = 4
_TIMELINES_MAX = 80  # a third of a megabyte each, once a year of it was asked for
_Value = TypeVar("_Value")


class Almanac:
    """Pure in effect, like all that it hands out again."""

    def __init__(self) -> None:
        self._calendars: OrderedDict[Hashable, Calendar] = OrderedDict()
        self._timelines: OrderedDict[Hashable, Timeline] = OrderedDict()
        self._open_airs: OrderedDict[Hashable, OpenAir] = OrderedDict()

    def calendar(self, site: Site) -> Calendar:
        """The calendar of a site.

        Raises:
            UnknownZoneError: its zone is not known on this machine.
        """
        key = (site.timezone, site.latitude, site.longitude)
        return recalled(self._calendars, key, lambda: Calendar(site), _CALENDARS_MAX)

    def open_air(self, site: Site) -> OpenAir:
        """The air of a site under the sky."""
        # The models of water are for the few plans that ask for them: 40 ms of every start else.
        from controller.core.demand.present_air import OpenAir
        from controller.core.typical_air import course_of

        return recalled(
            self._open_airs, site, lambda: OpenAir.of(site, course_of(site)), _CALENDARS_MAX
        )

    def own(self, loads: Mapping[str, Load], calendar: Calendar) -> dict[str, Timeline]:
        """The timeline of each load's own spans, by load, in the plan's order.

        No load may follow itself, be it through others.
        """
        made: dict[str, Timeline] = {}
        for name in loads:
            self._make(name, loads, calendar, made)
        return {name: made[name] for name in loads}

    def _make(
        self, name: str, loads: Mapping[str, Load], calendar: Calendar, made: dict[str, Timeline]
    ) -> None:
        """Adds the timeline of a load, those that it follows first."""
        if name in made:
            return
        for followed in _followed(loads[name].spans):
            self._make(followed, loads, calendar, made)
        made[name] = self.timeline(loads[name].spans, calendar, made)

    def timeline(
        self, spans: Spans, calendar: Calendar, others: Mapping[str, Timeline]
    ) -> Timeline:
        """The timeline of a list of spans.

        Args:
            spans: as listed in the plan.
            calendar: of the site, from this almanac.
            others: the timelines of the loads that its anchors name, from this almanac.
        """
        followed = {name: others[name] for name in _followed(spans)}
        # Calendars and the timelines that are followed are told apart by which they are.
        key = (calendar, spans, tuple(followed.items()))
        return recalled(
            self._timelines, key, lambda: Timeline(spans, calendar, followed), _TIMELINES_MAX
        )


def _followed(spans: Spans) -> list[str]:
    bases = [span.anchor.base for span in spans]
    return list(dict.fromkeys(base.load for base in bases if isinstance(base, LoadChange)))


def recalled(
    memory: OrderedDict[Hashable, _Value],
    key: Hashable,
    make: Callable[[], _Value],
    count_max: int,
) -> _Value:
    """What was made for a key before, else a new one; what nobody asked for longest makes room."""
    value = memory.get(key)
    if value is None:
        value = memory[key] = make()
    memory.move_to_end(key)
    if len(memory) > count_max:
        memory.popitem(last=False)
    return value
