"""What is told of a demand is so and comes true: for any plants, bounds, air and span that follows.

Each sentence is read as a person reads it, and held against what the controller does.
"""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from hypothesis import given
from hypothesis import strategies as st

from controller.core.demand.pace import REVIEW_MS
from controller.core.orders import Why
from controller.core.units import HOUR_MS, MINUTE_MS, SECOND_MS
from tests.strategies import examples
from tests.worlds import MIDNIGHT, Driver, load, on_demand, plan_of, stand

if TYPE_CHECKING:
    from controller.core.decide import Decision
    from controller.core.observation import Request
    from controller.core.orders import Reason
    from controller.core.plan import Plan
    from controller.core.plan_parts.spans import DemandBounds
    from controller.core.units import Instant

AIR = {"air": {"measures": "air_temperature", "stale_after": "20m"}}
USUAL_MS = 15 * MINUTE_MS  # the rest of the fixed cycle
_LENGTH = r"(?:\d+ h(?: \d+ min)?|\d+ min|\d+ s)"
_AIR = r"-?\d+ °C, \d+ % humidity, roots (?:hold (?P<hold>" + _LENGTH + ")|lose nothing)"
_REST = re.compile(
    rf"rest (?P<change>cut to|stretched to|of) (?P<length>{_LENGTH})(?:, (?P<because>[^:]+))?: "
    rf"(?P<now>now )?{_AIR}"
)
_WATERING = re.compile(
    rf"watering of (?P<length>{_LENGTH})(?:, (?P<because>[^:]+),)? "
    rf"(?:after a rest of (?P<rested>{_LENGTH})|with no rest known before it): {_AIR}"
)
_SHORTEST, _LONGEST = "the shortest that the plan allows", "the longest that the plan allows"
_AS_MUCH_AS = "as much as the longest watering makes good for"
_AS_SET, _NEXT_SPAN = "as set before", "as the next span has it"


class Told(NamedTuple):
    """What was told at one moment, of the pump that was then on or off."""

    at: Instant
    is_on: bool
    reason: Reason
    since: Instant  # the state
    watered: Instant | None  # the end of the last watering


class Listener(Driver):
    """A driver that keeps what is told after each decision, and when a reading came."""

    def __init__(self, plan: Plan, *, start: Instant) -> None:
        self.heard: list[Told] = []
        self.sensed: set[Instant] = set()
        super().__init__(plan, start=start, is_settled=True)

    def step(self, *requests: Request) -> Decision:
        """Decides once, and hears what is told."""
        decision = super().step(*requests)
        its = self.its("pump")
        watered = None if its.watered is None else self.booted + its.watered
        self.heard.append(
            Told(self.true_now, its.is_on, its.reason, self.booted + its.since, watered)
        )
        return decision

    def feel(self, air_c: float) -> None:
        """The air changes now."""
        self.sensed.add(self.true_now)
        self.sense(air=air_c)


MINUTES = st.sampled_from((3, 5, 6, 10, 15, 16, 30, 45, 150))


@st.composite
def gardens(draw: st.DrawFn) -> Plan:
    """A pump on demand from six on, and something else or nothing from the evening on."""
    least_rest, most_rest = sorted((draw(MINUTES), draw(MINUTES)))
    least, most = sorted((draw(MINUTES), draw(MINUTES)))
    span = on_demand(
        "06:07",
        shortest_rest=f"{least_rest}m",
        longest_rest=f"{most_rest}m",
        shortest_watering=f"{least}m",
        longest_watering=f"{most}m",
    )
    evening = draw(st.sampled_from((None, "off", "on", "15m on, 45m off", "45m off, 15m on")))
    later = [] if evening is None else [{"from": "14:52", "cycle": evening}]
    plants: dict[str, Any] = {
        "medium": draw(st.sampled_from(("expanded-clay", "mineral-wool"))),
        "drip_ml_per_min": draw(st.sampled_from((2.0, 10.0, 50.0))),
        "reserve": draw(st.sampled_from((0.0, 0.3, 0.9))),
    }
    pump = load(kind="pump") | {"spans": [span, *later]}
    return plan_of(sensors=AIR, stands={"heads": stand(**plants)}, pump=pump)


AIRS_C = st.sampled_from((-10.0, 5.0, 18.0, 25.0, 33.0, 38.0, 50.0))
CHANGES = st.lists(st.tuples(st.integers(1, 90 * 60), AIRS_C), min_size=3, max_size=12)
HOURS = st.sampled_from((8, 12, 14))


def lived(plan: Plan, hour: int, changes: list[tuple[int, float]]) -> Listener:
    """Some hours from an hour of the day on, in air that changes now and then."""
    driver = Listener(plan, start=MIDNIGHT + hour * HOUR_MS)
    driver.feel(25.0)
    for seconds, air_c in changes:
        driver.advance(seconds * SECOND_MS)
        driver.feel(air_c)
    return driver


def told_of_demand(driver: Listener) -> list[Told]:
    """What was told while the pump went by demand."""
    return [one for one in driver.heard if one.reason.why is Why.DEMAND]


def bounds_of(plan: Plan) -> DemandBounds:
    """Those of the plan's demand."""
    bounds = plan.loads["pump"].spans[0].demand
    assert bounds is not None
    return bounds


def is_near(words: str, length_ms: int) -> bool:
    """Whether a length that a person reads is the true one, to its last figure."""
    parts = {unit: int(number) for number, unit in re.findall(r"(\d+) (h|min|s)", words)}
    read_ms = (
        parts.get("h", 0) * HOUR_MS + parts.get("min", 0) * MINUTE_MS + parts.get("s", 0) * 1_000
    )
    grain_ms = SECOND_MS if "s" in parts else MINUTE_MS if parts.get("h", 0) < 10 else HOUR_MS
    return abs(read_ms - length_ms) <= (grain_ms if "s" in parts else grain_ms // 2)


@given(gardens(), HOURS, CHANGES)
@examples(60)
def test_a_rest_is_told_as_long_as_it_is(
    plan: Plan, hour: int, changes: list[tuple[int, float]]
) -> None:
    """From the end of the last watering until the next; cut where it is shorter than the fixed
    cycle's, stretched where it is longer, and at a bound only where it is one."""
    bounds = bounds_of(plan)
    for at, is_on, reason, _, watered in told_of_demand(lived(plan, hour, changes)):
        if is_on:
            continue
        read = _REST.fullmatch(reason.detail)
        assert read, reason.detail
        assert reason.until is not None
        assert watered is not None
        length_ms = reason.until - watered
        assert reason.until > at
        assert is_near(read["length"], length_ms), reason
        assert {
            "cut to": length_ms < USUAL_MS,
            "stretched to": length_ms > USUAL_MS,
            "of": is_near("15 min", length_ms),
        }[read["change"]], reason
        assert (read["because"] == _SHORTEST) <= (length_ms == bounds.shortest_rest_ms)
        assert (read["because"] == _LONGEST) <= (length_ms == bounds.longest_rest_ms)
        assert (read["because"] == _AS_SET) is (read["now"] is not None)
        if read["because"] != _NEXT_SPAN:
            assert bounds.shortest_rest_ms <= length_ms <= bounds.longest_rest_ms


@given(gardens(), HOURS, CHANGES)
@examples(60)
def test_a_rest_is_no_longer_than_roots_are_said_to_hold(
    plan: Plan, hour: int, changes: list[tuple[int, float]]
) -> None:
    """But for the plan's own shortest rest, and what the next span or an earlier reading has."""
    for _, is_on, reason, _, _ in told_of_demand(lived(plan, hour, changes)):
        read = None if is_on else _REST.fullmatch(reason.detail)
        if read is None or read["hold"] is None or read["because"] in {_SHORTEST, _NEXT_SPAN}:
            continue
        if read["now"] is None:
            assert _read_ms(read["length"]) <= _read_ms(read["hold"]), reason.detail


def _read_ms(words: str) -> int:
    units = {"h": HOUR_MS, "min": MINUTE_MS, "s": SECOND_MS}
    return sum(int(number) * units[unit] for number, unit in re.findall(r"(\d+) (h|min|s)", words))


@given(gardens(), HOURS, CHANGES)
@examples(60)
def test_a_watering_is_told_as_long_as_it_is(
    plan: Plan, hour: int, changes: list[tuple[int, float]]
) -> None:
    """From its start until its end, after the rest that went before it."""
    bounds = bounds_of(plan)
    for _, is_on, reason, since, watered in told_of_demand(lived(plan, hour, changes)):
        if not is_on:
            continue
        read = _WATERING.fullmatch(reason.detail)
        assert read, reason.detail
        if reason.until is None:
            continue
        length_ms = reason.until - since
        assert is_near(read["length"], length_ms), reason
        assert (read["because"] == _SHORTEST) <= (length_ms == bounds.shortest_watering_ms)
        assert (read["because"] == _LONGEST) <= (length_ms == bounds.longest_watering_ms)
        if watered is None or watered >= since:
            assert read["rested"] is None
        else:
            assert is_near(read["rested"], since - watered), reason


@given(gardens(), HOURS, CHANGES)
@examples(60)
def test_what_is_told_to_come_comes_then(
    plan: Plan, hour: int, changes: list[tuple[int, float]]
) -> None:
    """The pump changes at the moment that was told last, or sooner by a new reading or review; one
    that comes just then may draw a watering out, and never a rest that runs."""
    driver = lived(plan, hour, changes)
    for told, following in pairwise(driver.heard):
        if told.reason.why is not Why.DEMAND or told.reason.until is None:
            continue
        until = told.reason.until
        assert following.at <= until
        has_changed = following.is_on is not told.is_on
        is_reviewed = following.at in driver.sensed or following.at % REVIEW_MS == 0
        if following.at == until:
            assert has_changed or (told.is_on and is_reviewed), (told, following)
        elif has_changed:
            assert is_reviewed, (told, following)
        elif not told.is_on and following.reason.why is Why.DEMAND:
            assert following.reason.until is not None
            assert following.reason.until <= until, (told, following)
