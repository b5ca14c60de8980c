"""Adoption: the memory of one plan carried over to another, by the names of loads.

The same rules serve a plan that is taken while the controller runs (`adopted_memory`) and a
state that was written down under an earlier plan (`snapshot`).
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from controller.core import recovery
from controller.core.memory import LoadMemory, Memory, Turn, rested
from controller.core.orders import AlarmCode, Event, Notice, alarm_detail

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from controller.core.memory import Alarm
    from controller.core.observation import Observation, Tick
    from controller.core.plan import Sensor
    from controller.core.schedule import LoadSchedule, Schedule

_OF_LOADS = frozenset(
    {
        AlarmCode.NO_FLOW,
        AlarmCode.OUTAGE,
        AlarmCode.WATERING_MISSED,
        AlarmCode.KEPT_WAITING,
        AlarmCode.NO_SPAN,
        AlarmCode.RELAY,
    }
)


class Known(NamedTuple):
    """What is remembered of one load, without the places of any plan: `variant` is the name
    of the sensor variant in force, or empty; `its.variant` says nothing."""

    kind: str
    its: LoadMemory
    variant: str


class Fitted(NamedTuple):
    """What of a memory fits a plan, and what to note of the rest."""

    loads: tuple[LoadMemory, ...]
    alarms: tuple[Alarm, ...]
    notices: tuple[Notice, ...]


def known_loads(schedule: Schedule, memory: Memory) -> dict[str, Known]:
    """What is remembered of each load, by its name."""
    return {
        load.name: Known(
            load.kind, its, load.variants[its.variant].name if its.variant >= 0 else ""
        )
        for load, its in zip(schedule.loads, memory.loads, strict=True)
    }


def adopted_memory(
    old: Schedule, new: Schedule, memory: Memory, seen: Observation
) -> tuple[Memory, tuple[Notice, ...]]:
    """The memory of `old` carried over to `new`, and what the journal is to be told of it.

    Loads are known by name and kind; one that is new is off and rested. All are weighed at
    the next decision, which must follow at once and is `new`'s. Roots that the other plan
    would leave dry for too long are lined up for a recovery watering.
    """
    known = known_loads(old, memory)
    fitted = fit(new, known, memory.alarms, tick=memory.tick)
    is_of_this_boot = memory.boot == seen.boot
    awaited_from = seen.tick if is_of_this_boot else memory.tick
    adopted = memory._replace(
        is_switch_pressed=memory.is_switch_pressed and _has_same_switch(old, new),
        loads=fitted.loads,
        starts=_starts(old, new, memory),
        recovery=tuple(
            Turn(new.places[old.loads[turn.place].name], turn.since)
            for turn in memory.recovery
            if _is_same(new, known, old.loads[turn.place].name)
        ),
        known={name: value for name, value in memory.known.items() if name in new.sensors},
        awaited=_awaited(old, new, memory, awaited_from),
        sensor_look=memory.tick,
        alarms=fitted.alarms,
    )
    if not (is_of_this_boot and memory.is_clock_trusted and seen.is_clock_trusted):
        return adopted, fitted.notices  # nobody can tell yet; a trusted clock will
    otherwise = [
        new.places[load.name]
        for load, its in zip(old.loads, memory.loads, strict=True)
        if _is_same(new, known, load.name)
        and _prospect(load, its, seen) != _prospect(*_of(new, adopted, load.name), seen)
    ]
    return recovery.lined_up(new, adopted, seen, otherwise), fitted.notices


def _awaited(old: Schedule, new: Schedule, memory: Memory, tick: Tick) -> dict[str, Tick]:
    """The sensors that may not have spoken yet under another plan, and until when each may take.

    Those that are new, and those whose settings are, and those that were heard until now: a
    sensor that is opened anew, for whatever reason, has lost its reading for a moment. Only one
    that was silent and is as it was has no more time.
    """
    awaited = {}
    for name, stale_after_ms in new.sensors.items():
        is_as_it_was = name in old.sensors and _sensor(old, name) == _sensor(new, name)
        if is_as_it_was and name in memory.awaited:
            awaited[name] = memory.awaited[name]
        elif not is_as_it_was or name in memory.known:
            awaited[name] = tick + stale_after_ms
    return awaited


def _sensor(schedule: Schedule, name: str) -> Sensor | None:
    return schedule.plan.sensors.get(name)


def fit(
    new: Schedule, known: Mapping[str, Known], alarms: Iterable[Alarm], *, tick: Tick
) -> Fitted:
    """What is known of loads, and their alarms, laid on a plan: the loads in its order,
    all to be weighed at that tick."""
    notices: list[Notice] = []
    loads = tuple(
        _fitted_load(load, known[load.name], tick, notices)
        if _is_same(new, known, load.name)
        else rested(tick)
        for load in new.loads
    )
    notices += [
        Notice(Event.HOLD_ENDED, name, "the plan does not have this load any more")
        for name, its in known.items()
        if its.its.hold is not None and not _is_same(new, known, name)
    ]
    kept = tuple(
        alarm
        for before in alarms
        if (alarm := _fitted_alarm(new, known, before, notices)) is not None
    )
    return Fitted(loads, kept, tuple(notices))


def _is_same(new: Schedule, known: Mapping[str, Known], name: str) -> bool:
    """Whether a load of that name is one thing in both; another kind makes another load."""
    place = new.places.get(name)
    return place is not None and name in known and known[name].kind == new.loads[place].kind


def _fitted_load(load: LoadSchedule, known: Known, tick: Tick, notices: list[Notice]) -> LoadMemory:
    its = known.its
    hold = its.hold
    if hold is not None and isinstance(hold.order, str):
        names = {variant.name for variant in load.variants}
        if hold.order not in names:
            detail = f"the plan has no variant {hold.order} for it any more"
            notices.append(Notice(Event.HOLD_ENDED, load.name, detail))
            hold = None
    place = next(
        (
            place
            for place, variant in enumerate(load.variants)
            if variant.name == known.variant and variant.sensor is not None
        ),
        -1,
    )
    if known.variant and place < 0:
        notices.append(Notice(Event.VARIANT_LEFT, load.name, known.variant))
        its = its._replace(variant_since=0)
    return its._replace(look=tick, hold=hold, variant=place)


def _fitted_alarm(
    new: Schedule, known: Mapping[str, Known], alarm: Alarm, notices: list[Notice]
) -> Alarm | None:
    """The alarm, if the plan still has what it is about.

    A leak that nobody has looked at outlasts its sensor: no edit of a plan dries a floor.
    """
    code, subject = alarm.code, alarm.subject
    if code in _OF_LOADS:
        is_kept = _is_same(new, known, subject)
    elif code is AlarmCode.LEVEL_LOW:
        is_kept = any(load.level == subject for load in new.loads)
    elif code is AlarmCode.SENSOR_SILENT:
        is_kept = subject in new.sensors
    elif code is AlarmCode.LEAK and subject != new.plan.guards.leak:
        alarm = alarm._replace(is_active=False)
        is_kept = not alarm.is_acknowledged
    else:
        is_kept = True
    if is_kept:
        return alarm
    notices.append(
        Notice(Event.ALARM_CLEARED, subject, alarm_detail(code, "not in the plan any more"))
    )
    return None


def _of(schedule: Schedule, memory: Memory, name: str) -> tuple[LoadSchedule, LoadMemory]:
    place = schedule.places[name]
    return schedule.loads[place], memory.loads[place]


def _prospect(load: LoadSchedule, its: LoadMemory, seen: Observation) -> object:
    """What the plan has in store for a load: two that are equal water it alike for now."""
    timeline = load.timeline_of(its.variant)
    piece, is_on, until, _ = timeline.glance(seen.now)
    return piece.cycle, piece.watering_ms, is_on, until


def _has_same_switch(old: Schedule, new: Schedule) -> bool:
    return old.plan.guards.stop_switch == new.plan.guards.stop_switch


def _starts(old: Schedule, new: Schedule, memory: Memory) -> tuple[Tick, ...]:
    """The last starts, as far as the new plan asks for them: a plan that did not ask kept
    none, and only those loads tell of theirs that are still on."""
    before, after = old.plan.guards, new.plan.guards
    if not after.starts_apart:
        return ()
    if before.starts_apart and before.starts_together >= after.starts_together:
        return memory.starts[-after.starts_together :]
    seen_on = Counter(its.since for its in memory.loads if its.is_on)
    starts = sorted((seen_on | Counter(memory.starts)).elements())
    return tuple(starts[-after.starts_together :])
