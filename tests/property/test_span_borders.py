"""No rest in life is longer than those that `check` reckons with where spans meet."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from controller.core.units import DAY_MS, MINUTE_MS, SECOND_MS
from controller.core.year.span_borders import rests_after_demands, runs_over_borders
from tests.strategies import examples
from tests.worlds import MIDNIGHT, Driver, load, on_demand, plan_of, stand

AIR = {"air": {"measures": "air_temperature", "stale_after": "20m"}}
ANCHORS = ("00:00", "03:20", "sunrise", "12:07", "sunset", "22:30")
CYCLES = ("15m on, 15m off", "20m off, 10m on", "5m on, 1h30m off", "2m off, 3m on, 40m off")


@st.composite
def span_lists(draw: st.DrawFn) -> list[dict[str, str]]:
    """Spans that all water, some of them on demand."""
    anchors = draw(st.lists(st.sampled_from(ANCHORS), min_size=2, max_size=4, unique=True))
    made = []
    for anchor in sorted(anchors):
        cycle = draw(st.sampled_from(CYCLES))
        if draw(st.booleans()):
            longest = draw(st.sampled_from(("20m", "1h", "3h")))
            made.append(on_demand(anchor, longest_rest=longest, fixed=cycle))
        else:
            made.append({"from": anchor, "cycle": cycle})
    return made


READINGS = st.lists(
    st.tuples(st.integers(1, 6 * 60), st.one_of(st.floats(-5, 45), st.none())), max_size=12
)


@given(span_lists(), READINGS)
@examples(60)
def test_no_rest_is_longer_than_the_longest_that_is_reckoned_with(
    spans: list[dict[str, str]], readings: list[tuple[int, Any]]
) -> None:
    """Whatever the air, and whether it is known or not."""
    pump = load(kind="pump") | {"spans": spans}
    plan = plan_of(sensors=AIR, stands={"heads": stand(medium="mineral-wool")}, pump=pump)
    driver = Driver(plan, start=MIDNIGHT, is_settled=True)
    own = driver.schedule.loads[0].own
    around = MIDNIGHT - DAY_MS, MIDNIGHT + 4 * DAY_MS
    reckoned_ms = [
        *(span.dry_gap_ms or 0 for span in own.spans),
        *(run.length_ms for run in runs_over_borders(own.pieces(*around)) if not run.is_on),
        *(run.length_ms for run in rests_after_demands(own, *around)),
    ]
    for minutes, air_c in readings:
        if air_c is None:
            driver.silence("air")
        else:
            driver.sense(air=air_c)
        driver.advance(minutes * MINUTE_MS)
    driver.advance(MIDNIGHT + 2 * DAY_MS - driver.true_now)
    rests_ms = [
        later.instant - earlier.instant
        for earlier, later in pairwise(driver.changes)
        if not earlier.is_on
    ]
    assert rests_ms
    assert max(rests_ms) <= max(reckoned_ms) + SECOND_MS
