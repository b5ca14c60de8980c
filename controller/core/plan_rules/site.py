"""Rules about the site: the zone it names, and coordinates that contradict the zone."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from controller.core.errors import UnknownZoneError
from controller.core.plan_rules.rule import Found
from controller.core.plan_text import said
from controller.core.plan_text.tell import toml_text
from controller.core.sentence import Sentence
from controller.core.wall_clock import load_zone

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan
    from controller.core.plan_text.place import Place

_TIMEZONE = ("site", "timezone")
_LATITUDE = ("site", "latitude")
_LONGITUDE = ("site", "longitude")

# Wide on purpose: western China is 3 h from its zone's meridian (Kashgar, 76° E, UTC+8).
_HOURS_APART_MAX = 4.0
# Any year will do: only the present rules of the zone count.
_JANUARY, _JULY = datetime(2026, 1, 15, tzinfo=UTC), datetime(2026, 7, 15, tzinfo=UTC)
# Zones with summer time reach over the equator nowhere by more than some degrees.
_TROPIC_DEGREES = 10.0


def zones_that_nobody_knows(plan: Plan) -> Iterator[Found]:
    """A time zone that neither the system nor tzdata has."""
    try:
        load_zone(plan.site.timezone)
    except UnknownZoneError:
        likely = _likely_zone(plan.site.timezone)
        yield Found(
            "error",
            _TIMEZONE,
            Sentence(
                said.key(_TIMEZONE),
                f" is {toml_text(plan.site.timezone)}, which the tz database does not have; "
                "allowed is a name like Europe/Zurich",
            ),
            Sentence("write ", said.line(_TIMEZONE, f'"{likely}"'))
            if likely
            else "write the name for your place",
        )


def longitudes_far_from_the_zone(plan: Plan) -> Iterator[Found]:
    """A longitude whose sun is hours away from the zone's clocks: a sign slipped."""
    hours = _standard_hours(plan.site.timezone)
    if hours is None:
        return
    longitude = plan.site.longitude
    apart = _hours_apart(longitude, hours)
    if apart <= _HOURS_APART_MAX:
        return
    message = (
        f"at longitude {longitude:g} the sun is {apart:.0f} h away from the clocks of "
        f"{plan.site.timezone}; east is positive, west negative"
    )
    mend = Sentence.of(
        "check {longitude} and {timezone}: one of them is of another place",
        longitude=said.key(_LONGITUDE),
        timezone=said.key(_TIMEZONE),
    )
    if _hours_apart(-longitude, hours) <= _HOURS_APART_MAX:
        message += ": is the sign right?"
        mend = _other_sign(_LONGITUDE, -longitude)
    yield Found("warning", _LONGITUDE, message, mend, (_TIMEZONE,))


def _other_sign(place: Place, degrees: float) -> Sentence:
    return Sentence.of(
        "if not, write {line}, else check {timezone}",
        line=said.line(place, f"{degrees:g}"),
        timezone=said.key(_TIMEZONE),
    )


def _hours_apart(longitude: float, hours: float) -> float:
    # Around the date line UTC+13 and UTC-11 are one time of day.
    return abs((longitude / 15.0 - hours + 12.0) % 24.0 - 12.0)


def hemispheres_of_zone_and_latitude(plan: Plan) -> Iterator[Found]:
    """A latitude on the other side of the equator than the zone's summer: a sign slipped."""
    zone = plan.site.timezone
    offsets = _winter_and_summer_hours(zone)
    # Troll, in Antarctica, keeps the summer time of the north.
    if offsets is None or offsets[0] == offsets[1] or zone.startswith("Antarctica/"):
        return
    is_northern_zone = offsets[1] > offsets[0]
    latitude = plan.site.latitude
    if abs(latitude) > _TROPIC_DEGREES and (latitude > 0) is not is_northern_zone:
        side, months = ("north", "July") if is_northern_zone else ("south", "January")
        yield Found(
            "warning",
            _LATITUDE,
            f"{zone} has its summer time in {months}, {side} of the equator, and latitude "
            f"{latitude:g} is on the other side; north is positive: is the sign right?",
            _other_sign(_LATITUDE, -latitude),
            (_TIMEZONE,),
        )


def limits_of_typical_day(plan: Plan) -> Iterator[Found]:
    """A typical day whose coolest hour is warmer than its warmest."""
    day = plan.site.typical_day
    if day is not None and day.coolest_c > day.warmest_c:
        place = ("site", "typical_day")
        yield Found(
            "error",
            place,
            Sentence.of(
                "{coolest} is {coolest_c} and {warmest} is {warmest_c}; the coolest of the day "
                "may not be above the warmest",
                coolest=said.key((*place, "coolest_c")),
                coolest_c=f"{day.coolest_c:g}",
                warmest=said.key((*place, "warmest_c")),
                warmest_c=f"{day.warmest_c:g}",
            ),
            "exchange the two values",
        )


def _winter_and_summer_hours(name: str) -> tuple[float, float] | None:
    """Hours from UTC in January and in July; None for an unknown zone."""
    try:
        zone = load_zone(name)
    except UnknownZoneError:
        return None
    offsets = [moment.astimezone(zone).utcoffset() for moment in (_JANUARY, _JULY)]
    january, july = (offset.total_seconds() / 3600.0 for offset in offsets if offset is not None)
    return january, july


def _standard_hours(name: str) -> float | None:
    offsets = _winter_and_summer_hours(name)
    return None if offsets is None else min(offsets)


def _likely_zone(name: str) -> str | None:
    from zoneinfo import available_timezones  # reads some files: only where a name is wrong

    from controller.core.plan_text.likely import likely_word

    zones = sorted(available_timezones())
    cities: dict[str, str] = {}
    for zone in zones:
        cities.setdefault(zone.rpartition("/")[2], zone)
    likely = likely_word(name, zones)
    if likely is None:
        city = likely_word(name.rpartition("/")[2], cities)
        likely = None if city is None else cities[city]
    return likely
