"""A controller under everything that can befall it, in any order, for as long as it takes.

Hypothesis plays the world: people, sensors, clocks and the mains. After each of its moves
the invariants must hold, and at the end they must hold of the whole history.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
)

from controller.core.orders import AlarmCode, Event, Why
from controller.core.units import DAY_MS, HOUR_MS
from tests.gardens import gardens
from tests.invariants import broken_ever, broken_now
from tests.worlds import Driver

if TYPE_CHECKING:
    from controller.core.plan import Plan

_LENGTHS_MS = st.one_of(
    st.sampled_from((0, 1, 999, 1_000, 30_000, 60_000, 900_000, HOUR_MS, 5 * HOUR_MS)),
    st.integers(1, 2 * HOUR_MS),
)
_ORDERS = st.sampled_from(("on", "off", "2m on, 3m off", "10s off, 20s on", "1h on, 1s off"))
_LEAST_HOLD_MS = 1
_OWN = (AlarmCode.RELAY, AlarmCode.JOURNAL, AlarmCode.PLAN_REFUSED)


class ControllerMachine(RuleBasedStateMachine):
    """One garden and its world."""

    driver: Driver

    @initialize(
        plan=gardens(),
        is_settled=st.booleans(),
        is_clock_trusted=st.booleans(),
        restores=st.booleans(),
    )
    def begin(
        self, plan: Plan, *, is_settled: bool, is_clock_trusted: bool, restores: bool
    ) -> None:
        """A controller starts, anew or after a long and quiet time."""
        self.driver = Driver(
            plan,
            is_settled=is_settled and is_clock_trusted,
            is_clock_trusted=is_clock_trusted,
            restores=restores,
        )

    # Time

    @rule(length_ms=_LENGTHS_MS)
    def wait(self, length_ms: int) -> None:
        """Nothing happens for a while."""
        self.driver.advance(length_ms)

    @rule()
    def wait_for_the_next_wake(self) -> None:
        """Time passes to the very moment at which the controller wakes, within a day."""
        wake_ms = self.driver.booted + self.driver.wake - self.driver.true_now
        self.driver.advance(min(wake_ms, DAY_MS))

    # People

    @rule(data=st.data(), order=_ORDERS, length_ms=_LENGTHS_MS)
    def hold(self, data: st.DataObject, order: str, length_ms: int) -> None:
        """Somebody orders a load by hand."""
        loads = self.driver.schedule.loads
        load = data.draw(st.sampled_from(loads))
        names = [variant.name for variant in load.variants]
        chosen = data.draw(st.sampled_from([order, *names]))
        self.driver.hold(load.name, chosen, max(_LEAST_HOLD_MS, length_ms))
        assert self.driver.its(load.name).hold is not None

    @rule(data=st.data())
    def release(self, data: st.DataObject) -> None:
        """Somebody ends a hold."""
        name = data.draw(st.sampled_from([load.name for load in self.driver.schedule.loads]))
        self.driver.release(name)
        assert self.driver.its(name).hold is None

    @rule()
    def stop(self) -> None:
        """Somebody stops everything."""
        self.driver.stop()
        assert not any(self.driver.states.values())

    @rule()
    def resume(self) -> None:
        """Somebody lets everything go on, which a pressed switch forbids."""
        self.driver.resume()
        memory = self.driver.memory
        assert memory is not None
        switch = self.driver.schedule.plan.guards.stop_switch
        if switch is None or switch in memory.known:
            assert memory.is_stopped is (memory.known.get(switch or "", 0.0) >= 1.0)
        assert memory.is_stopped is memory.is_switch_pressed

    @rule()
    def acknowledge(self) -> None:
        """Somebody looks at every alarm: what is over goes, what is not stays."""
        self.driver.acknowledge_all()
        memory = self.driver.memory
        assert memory is not None
        assert all(alarm.is_active and alarm.is_acknowledged for alarm in memory.alarms)

    # Sensors

    @rule(value=st.sampled_from((0.0, 1.0)))
    def float_moves(self, value: float) -> None:
        """The water rises or falls past the float."""
        self.driver.sense(float=value)

    @rule(value=st.sampled_from((0.0, 1.0)))
    def button_moves(self, value: float) -> None:
        """The stop switch is pressed or let go."""
        self.driver.sense(button=value)
        switch = self.driver.schedule.plan.guards.stop_switch
        assert not (switch and value) or not any(self.driver.states.values())

    @rule(value=st.sampled_from((0.0, 1.0)))
    def floor_gets_wet_or_dries(self, value: float) -> None:
        """Water runs out, or is wiped up."""
        self.driver.sense(floor=value)

    @rule(value=st.sampled_from((0.0, 2.5)), is_polled=st.booleans())
    def meter_tells(self, value: float, *, is_polled: bool) -> None:
        """The meter says whether water moves, once or from now on."""
        if is_polled:
            self.driver.poll(meter=value)
        else:
            self.driver.sense(meter=value)

    @rule(value=st.one_of(st.integers(0, 45), st.sampled_from((10, 13, 27, 29, 30, 35))))
    def air_changes(self, value: float) -> None:
        """It gets warmer or colder."""
        self.driver.sense(air=value)

    @rule(name=st.sampled_from(("float", "meter", "floor", "button", "air")))
    def sensor_falls_silent(self, name: str) -> None:
        """A wire breaks."""
        self.driver.silence(name)

    # Clocks

    @rule(by=st.one_of(st.integers(-DAY_MS, DAY_MS), st.integers(-2_000, 2_000)))
    def clock_steps(self, by: int) -> None:
        """Somebody or something sets the clock."""
        self.driver.set_clock(by=by)

    @precondition(lambda self: self.driver.is_clock_trusted)
    @rule(off=st.one_of(st.integers(-DAY_MS, DAY_MS), st.sampled_from((-(10**15), 10**15))))
    def clock_is_lost(self, off: int) -> None:
        """The clock shows anything, and the controller knows it."""
        self.driver.distrust_clock(off=off)
        assert not {Why.PLAN, Why.VARIANT, Why.RECOVERY} & self._whys()

    @precondition(lambda self: not self.driver.is_clock_trusted)
    @rule()
    def clock_is_found(self) -> None:
        """The clock is right again."""
        self.driver.trust_clock()
        assert Why.WITHOUT_CLOCK not in self._whys()

    def _whys(self) -> set[Why]:
        return {self.driver.reason(load.name).why for load in self.driver.schedule.loads}

    # Power

    @rule(length_ms=_LENGTHS_MS, is_clock_trusted=st.booleans(), is_seen=st.booleans())
    def power_fails(self, length_ms: int, *, is_clock_trusted: bool, is_seen: bool) -> None:
        """The mains are gone for a while; the clock stands still if nobody sets it after."""
        memory = self.driver.memory
        assert memory is not None
        was_leaking = any(alarm.code is AlarmCode.LEAK for alarm in memory.alarms)
        self.driver.lose_power(
            length_ms,
            is_clock_trusted=is_clock_trusted,
            clock_loses=0 if is_clock_trusted else length_ms,
            is_seen=is_seen,
        )
        after = self.driver.memory
        assert after is not None
        assert after.is_stopped >= memory.is_stopped
        assert not was_leaking or any(alarm.code is AlarmCode.LEAK for alarm in after.alarms)

    # The controller itself

    @rule(length_ms=_LENGTHS_MS, is_seen=st.booleans())
    def controller_dies(self, length_ms: int, *, is_seen: bool) -> None:
        """The process is killed and started again; the board runs on and knows for how long."""
        held = {load.name: self.driver.its(load.name).hold for load in self.driver.schedule.loads}
        self.driver.crash(length_ms, is_seen=is_seen)
        for name, hold in held.items():
            assert self.driver.its(name).hold in {None, hold}
            assert hold is None or (self.driver.its(name).hold is None) is (
                hold.ends <= self.driver.tick
            )

    @rule(data=st.data(), codes=st.lists(st.sampled_from(_OWN), max_size=3))
    def something_is_wrong_with_it(self, data: st.DataObject, codes: list[AlarmCode]) -> None:
        """A relay, the disk or the plan's file is in trouble, or no longer."""
        names = [load.name for load in self.driver.schedule.loads]
        told = {
            (code, data.draw(st.sampled_from(names)) if code is AlarmCode.RELAY else "")
            for code in codes
        }
        self.driver.trouble(*told)
        memory = self.driver.memory
        assert memory is not None
        active = {
            (alarm.code, alarm.subject)
            for alarm in memory.alarms
            if alarm.code in _OWN and alarm.is_active
        }
        assert active == told

    @rule(plan=gardens())
    def plan_changes(self, plan: Plan) -> None:
        """Another plan comes into force, with other loads as often as not."""
        assert broken_ever(self.driver) == []
        before = self.driver.memory
        assert before is not None
        self.driver.troubles = frozenset()
        self.driver.adopt(plan)
        after = self.driver.memory
        assert after is not None
        assert after.is_stopped >= before.is_stopped
        unseen = {
            alarm.subject
            for alarm in before.alarms
            if alarm.code is AlarmCode.LEAK and not alarm.is_acknowledged
        }
        assert unseen <= {alarm.subject for alarm in after.alarms if alarm.code is AlarmCode.LEAK}

    # What must hold

    @invariant()
    def nothing_is_broken_now(self) -> None:
        """The present state breaks no rule."""
        if hasattr(self, "driver"):
            assert broken_now(self.driver) == []

    def teardown(self) -> None:
        """Nothing that was done broke a rule, and every hold that began has ended or stands."""
        if not hasattr(self, "driver"):
            return
        assert broken_ever(self.driver) == []
        longest_ms = (
            max(end - self.driver.true_now for end in self.driver.held_until.values())
            if (self.driver.held_until)
            else 0
        )
        self.driver.advance(max(0, longest_ms) + 1)
        assert all(self.driver.its(load.name).hold is None for load in self.driver.schedule.loads)
        began = len(self.driver.noted(Event.HOLD_BEGAN))
        assert len(self.driver.noted(Event.HOLD_ENDED)) <= began


TestControllerMachine = ControllerMachine.TestCase
TestControllerMachine.settings = settings(
    max_examples=int(os.environ.get("ROOTCLOCK_EXAMPLES", "40")), stateful_step_count=25
)
