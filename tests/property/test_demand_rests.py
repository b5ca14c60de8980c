"""Whatever comes between, a rest on demand ends when it was told to at the latest."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from controller.core.orders import Why
from controller.core.units import HOUR_MS, SECOND_MS
from tests.gardens import Happening, befall
from tests.strategies import examples
from tests.worlds import MIDNIGHT, Driver, load, on_demand, plan_of, stand

SENSORS = {
    "air": {"measures": "air_temperature", "stale_after": "20m"},
    "float": {"measures": "level", "stale_after": "20m"},
}
NOTHING: st.SearchStrategy[dict[str, Any]] = st.just({})
GAPS = st.sampled_from((1, 999, 30_000, 61_000, 299_999, 300_000, 1_234_567))
STEPS = st.sampled_from((-7_200_000, -90_000, -700, 3, 800, 2_000, 600_000))
HAPPENINGS: st.SearchStrategy[Happening] = st.one_of(
    st.tuples(st.just("sense"), st.just(()), st.fixed_dictionaries({"air": st.floats(-5, 45)})),
    st.tuples(st.just("sense"), st.just(()), st.fixed_dictionaries({"air": st.floats(-5, 45)})),
    st.tuples(st.just("poll"), st.just(()), st.fixed_dictionaries({"air": st.floats(-5, 45)})),
    st.tuples(
        st.just("sense"), st.just(()), st.fixed_dictionaries({"float": st.sampled_from((0, 1))})
    ),
    st.tuples(
        st.just("hold"),
        st.tuples(st.just("pump"), st.sampled_from(("off", "care", "on")), GAPS),
        NOTHING,
    ),
    st.tuples(st.just("release"), st.just(("pump",)), NOTHING),
    st.tuples(st.sampled_from(("stop", "resume", "acknowledge_all")), st.just(()), NOTHING),
    st.tuples(st.just("silence"), st.just(("air",)), NOTHING),
    st.tuples(st.just("set_clock"), st.just(()), st.fixed_dictionaries({"by": STEPS})),
    st.tuples(st.sampled_from(("distrust_clock", "trust_clock")), st.just(()), NOTHING),
    st.tuples(
        st.just("lose_power"),
        st.tuples(GAPS),
        st.fixed_dictionaries({"is_clock_trusted": st.booleans()}),
    ),
    st.tuples(st.just("crash"), st.tuples(GAPS), NOTHING),
)
HISTORIES = st.lists(st.tuples(GAPS, HAPPENINGS), min_size=1, max_size=15)


class Listener(Driver):
    """A driver that holds what is told of the rest that runs against what was told before."""

    told_end: int | None = None  # at true time
    rests_told = 0

    def lose_power(self, length: Any, **keys: Any) -> None:
        """A clock that is wrong cannot tell how long the power was gone."""
        if self.clock_off_ms or not self.is_clock_trusted:
            self.told_end = None
        super().lose_power(length, **keys)

    def step(self, *requests: Any) -> Any:
        """Decides, and looks on."""
        decision = super().step(*requests)
        its = self.its("pump")
        is_of_demand = its.reason.why is Why.DEMAND or its.reason.detail == "care"
        if its.is_on:
            self.told_end = None
        elif is_of_demand and self.is_clock_trusted and its.rests_until is not None:
            ends = its.rests_until + self.booted
            assert self.told_end is None or ends <= max(self.told_end, self._earliest()), (
                "drawn out"
            )
            self.told_end, self.rests_told = ends, self.rests_told + 1
        return decision

    def _earliest(self) -> int:
        """When the shortest rest is over since the last watering."""
        watered = self.its("pump").watered
        return 0 if watered is None else watered + self.booted + 5 * 60 * SECOND_MS


@given(st.integers(0, 23), st.floats(-5, 45), HISTORIES)
@examples(100)
def test_no_rest_is_told_to_end_later_than_before(
    hour: int, air_c: float, history: list[tuple[int, Happening]]
) -> None:
    """Neither people nor sensors, clocks, power cuts nor crashes draw out a rest that runs."""
    care = {"name": "care", "by_hand": True, "spans": [on_demand(longest_rest="3h")]}
    pump = load(kind="pump", level="float") | {
        "spans": [on_demand(longest_rest="2h")],
        "variants": [care],
    }
    plan = plan_of(sensors=SENSORS, stands={"heads": stand()}, pump=pump)
    driver = Listener(plan, start=MIDNIGHT + hour * HOUR_MS, is_settled=True, restores=True)
    driver.sense(air=air_c, float=1.0)
    driver.advance("2h30m")
    assert driver.rests_told
    for gap_ms, happening in history:
        driver.advance(gap_ms)
        befall(driver, happening)
    driver.advance("1h")
