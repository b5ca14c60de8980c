"""What a person's message asks of the plan in force: checked, and turned into requests."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from controller.core.cycle import Cycle, parse_cycle
from controller.core.errors import BadCycleError, BadRequestError
from controller.core.messages.alarm_choice import alarms_meant
from controller.core.messages.methods import AcknowledgeParams, HoldParams, ReleaseParams, WhyParams
from controller.core.messages.params import likely_of, listed
from controller.core.observation import AcknowledgeRequest, HoldRequest, ReleaseRequest, Request
from controller.core.units import shown

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from controller.core.memory import Alarm
    from controller.core.schedule import LoadSchedule, Schedule
    from controller.core.status.record import Status


def requests_of(
    params: HoldParams | ReleaseParams | AcknowledgeParams,
    schedule: Schedule,
    alarms: Sequence[Alarm],
) -> tuple[Request, ...]:
    """What to ask `decide` for.

    Raises:
        BadRequestError: the plan has no such load or variant, or there is no such alarm. Says
            what there is, and what was likely meant.
    """
    if isinstance(params, AcknowledgeParams):
        standing = [(alarm.code.value, alarm.subject) for alarm in alarms]
        meant = set(alarms_meant(params.alarm, params.subject, standing))
        return tuple(
            AcknowledgeRequest(alarm.code, alarm.subject)
            for alarm in alarms
            if (alarm.code.value, alarm.subject) in meant
        )
    load = schedule.loads[schedule.places[known_load(params.load, schedule.places)]]
    if isinstance(params, ReleaseParams):
        return (ReleaseRequest(load.name),)
    return (HoldRequest(load.name, order_of(params.order, load), params.for_ms),)


def wanted_status(params: WhyParams, schedule: Schedule, status: Status) -> Status:
    """The status as `why` tells it: of one load, with the sensors and alarms that concern it.

    Raises:
        BadRequestError: the plan has no such load. Says what there is.
    """
    if params.load is None:
        return status
    name = known_load(params.load, schedule.places)
    sensors = {*schedule.loads[schedule.places[name]].sensors, schedule.plan.guards.stop_switch}
    return status._replace(
        loads=tuple(load for load in status.loads if load.name == name),
        sensors=tuple(sensor for sensor in status.sensors if sensor.name in sensors),
        alarms=tuple(alarm for alarm in status.alarms if alarm.subject in {*sensors, name, ""}),
    )


def known_load(name: str, names: Collection[str]) -> str:
    """The name, if it is a load's.

    Raises:
        BadRequestError: it is none.
    """
    if name not in names:
        raise BadRequestError(
            f"there is no load {shown(name)}{likely_of(name, names)}; the plan has {listed(names)}"
        )
    return name


def order_of(text: str, load: LoadSchedule) -> Cycle | str:
    """The cycle that a person wrote, steady ones too, or the name of the load's variant.

    Raises:
        BadRequestError: it is neither.
    """
    try:
        return parse_cycle(text)
    except BadCycleError as error:
        unread = error
    variants = [variant.name for variant in load.variants]
    if text in variants:
        return text
    if re.search(r"[0-9].*\b(?:on|off)\b", text):  # a cycle with a slip in it
        raise BadRequestError(f"{load.name} cannot be held at {shown(text)}: {unread}")
    there = f" or one of its variants ({listed(variants)})" if variants else ""
    raise BadRequestError(
        f"{load.name} cannot be held at {shown(text)}: "
        f"write on, off, a cycle like 15m on, 15m off{there}{_likely_order(text, variants)}"
    )


def _likely_order(text: str, variants: list[str]) -> str:
    from controller.core.plan_text.likely import likely_cycle

    cycle = likely_cycle(text)
    return (
        f" (did you mean {cycle}?)"
        if cycle is not None
        else likely_of(text, ["on", "off", *variants])
    )
