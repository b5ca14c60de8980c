"""What people may ask for, checked against the plan and carried into the memory."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.cycle import Cycle, refuse_hasty
from controller.core.errors import BadCycleError, BadRequestError
from controller.core.memory import Hold, Memory
from controller.core.observation import (
    AcknowledgeRequest,
    HoldRequest,
    ReleaseRequest,
    Request,
    StopRequest,
)
from controller.core.orders import Event, Notice
from controller.core.units import DURATION_MS_MAX, duration_text, shown

if TYPE_CHECKING:
    from controller.core.alarms import AlarmBoard
    from controller.core.observation import Observation
    from controller.core.schedule import Schedule


def refuse_unfit(schedule: Schedule, request: Request) -> None:
    """Lets a request pass that the plan can carry out.

    Raises:
        BadRequestError: it names a load or variant that the plan does not have, its time
            is none, or its cycle is too fast for a relay. Says what there is.
    """
    if not isinstance(request, HoldRequest | ReleaseRequest):
        return
    if request.load not in schedule.places:
        raise BadRequestError(
            f"there is no load {shown(request.load)}; the plan has {', '.join(schedule.places)}"
        )
    if isinstance(request, ReleaseRequest):
        return
    if not 0 < request.for_ms <= DURATION_MS_MAX:
        raise BadRequestError("a hold lasts from 1 ms to a week (168h): say for how long")
    if isinstance(request.order, Cycle):
        _refuse_hasty_hold(request.load, request.order)
    else:
        names = [v.name for v in schedule.loads[schedule.places[request.load]].variants]
        if request.order not in names:
            there = f"it has {', '.join(names)}" if names else "it has no variants"
            raise BadRequestError(f"{request.load} has no variant {shown(request.order)}; {there}")


def _refuse_hasty_hold(load: str, cycle: Cycle) -> None:
    try:
        refuse_hasty(cycle)
    except BadCycleError as error:
        raise BadRequestError(f"{load} cannot be held at {shown(str(cycle))}: {error}") from None


def carry_out(
    schedule: Schedule,
    memory: Memory,
    request: Request,
    seen: Observation,
    board: AlarmBoard,
    notices: list[Notice],
) -> Memory:
    """The memory after a request; one that does not fit is noted and changes nothing."""
    try:
        refuse_unfit(schedule, request)
    except BadRequestError as error:
        notices.append(Notice(Event.REQUEST_REFUSED, "", str(error)))
        return memory
    if isinstance(request, HoldRequest):
        hold = Hold(request.order, seen.tick, seen.tick + request.for_ms)
        detail = f"{request.order} for {duration_text(request.for_ms)}"
        notices.append(Notice(Event.HOLD_BEGAN, request.load, detail))
        return _with_hold(schedule, memory, request.load, hold)
    if isinstance(request, ReleaseRequest):
        if memory.loads[schedule.places[request.load]].hold is not None:
            notices.append(Notice(Event.HOLD_ENDED, request.load, "released"))
        return _with_hold(schedule, memory, request.load, None)
    if isinstance(request, AcknowledgeRequest):
        if not board.acknowledge(request.code, request.subject):
            text = f"there is no alarm {request.code.value} {request.subject}".strip()
            notices.append(Notice(Event.REQUEST_REFUSED, request.subject, text))
        return memory
    if isinstance(request, StopRequest):
        if not memory.is_stopped:
            notices.append(Notice(Event.STOPPED))
        return memory._replace(is_stopped=True)
    return _resumed(schedule, memory, notices)


def _with_hold(schedule: Schedule, memory: Memory, load: str, hold: Hold | None) -> Memory:
    place = schedule.places[load]
    held = memory.loads[place]._replace(hold=hold)
    return memory._replace(loads=(*memory.loads[:place], held, *memory.loads[place + 1 :]))


def _resumed(schedule: Schedule, memory: Memory, notices: list[Notice]) -> Memory:
    switch = schedule.plan.guards.stop_switch
    if switch is not None and memory.is_switch_pressed:
        text = (
            "the stop switch is still pressed: release it"
            if switch in memory.known
            else "the stop switch was pressed when it last spoke, and is silent now: mend it, "
            "or take it out of the plan"
        )
        notices.append(Notice(Event.REQUEST_REFUSED, switch, text))
        return memory
    if memory.is_stopped:
        notices.append(Notice(Event.RESUMED))
    return memory._replace(is_stopped=False)
