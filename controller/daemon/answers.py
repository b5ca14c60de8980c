"""What the controller answers to its clients, one method of the control socket a function.

Whatever changes something answers with the status after it, once the change is written down
for good; a disk that cannot write it does not stop it, and the status has the alarm.
"""

from __future__ import annotations

import asyncio
import pwd
from typing import TYPE_CHECKING, Any

from controller import __version__
from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.messages.methods import (
    AcknowledgeParams,
    HoldParams,
    NoParams,
    Params,
    ProposeParams,
    ReleaseParams,
    RevisionParams,
    WhyParams,
)
from controller.core.messages.wanted import requests_of, wanted_status
from controller.core.observation import ResumeRequest, StopRequest
from controller.core.orders import AlarmCode, Event
from controller.core.requests import refuse_unfit
from controller.core.status.json_form import as_json, lateness_as_json
from controller.core.status.record import Lateness, PlanStatus
from controller.core.status.taking import Facts, status_of
from controller.core.units import rfc3339
from controller.daemon.journal_answers import JournalAnswers

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from controller.core.observation import Request
    from controller.core.status.record import Status
    from controller.daemon.running import Running
    from controller.shell.control_socket.connection import Caller
    from controller.shell.plan_store.taken import Taken

_WRITTEN_WITHIN_S = 3.0
_NAMED_WITHIN_S = 0.5


class Answers:
    """Carries out what clients ask of a controller."""

    def __init__(self, running: Running) -> None:
        self._running = running
        self._names: dict[int, asyncio.Future[str]] = {}
        self._methods: dict[str, Callable[[Any, Caller], Awaitable[object]]] = {
            "status": self._status,
            "why": self._why,
            "hold": self._person_s,
            "release": self._person_s,
            "acknowledge": self._person_s,
            "stop": self._stop,
            "resume": self._resume,
            **JournalAnswers(running.parts).methods,
            "plan.read": self._plan_read,
            "plan.propose": self._plan_propose,
            "plan.revisions": self._plan_revisions,
            "plan.text": self._plan_text,
            "plan.restore": self._plan_restore,
            "clock.trust": self._clock_trust,
            "lateness": self._lateness,
        }

    async def answer(self, method: str, params: Params, caller: Caller) -> object:
        """The result of a method.

        Raises:
            RootclockError: it is refused; the text says why.
        """
        await self._running.steps.give_way()
        return await self._methods[method](params, caller)

    # What is

    def status(self) -> Status:
        """Everything at this moment."""
        running = self._running
        memory = running.loop.memory
        assert memory is not None, "clients are let in after the first decision"
        now, tick = running.parts.clock.read()
        status = status_of(running.loop.schedule, memory, now=now, tick=tick, facts=self._facts())
        silent, faults = running.parts.why_silent(), running.parts.board.relays.faults()
        return status._replace(
            alarms=tuple(
                alarm._replace(what_to_do=f"{alarm.what_to_do} {_sentence(faults[alarm.subject])}")
                if alarm.code == AlarmCode.RELAY.value and alarm.subject in faults
                else alarm
                for alarm in status.alarms
            ),
            sensors=tuple(
                sensor._replace(why_silent=silent[sensor.name])
                if sensor.value is None and sensor.name in silent
                else sensor
                for sensor in status.sensors
            ),
        )

    def _facts(self) -> Facts:
        running = self._running
        taken, rehearsal = running.parts.taken, running.parts.rehearsal
        return Facts(
            version=__version__,
            started=running.started,
            is_mock=running.options.mock_because is not None,
            is_rehearsal=rehearsal is not None,
            speed=1.0 if rehearsal is None else rehearsal.pace.speed,
            plan=PlanStatus(
                source=str(running.options.plan_path),
                revision=taken.revision.number,
                taken=taken.revision.taken,
                refused=running.world.refused_plan,
            ),
            lateness=Lateness(*running.world.lateness.figures()),
        )

    async def _status(self, params: NoParams, caller: Caller) -> object:
        del params, caller
        return as_json(self.status())

    async def _why(self, params: WhyParams, caller: Caller) -> object:
        """The status of one load alone, with the alarms and sensors that concern it."""
        del caller
        return as_json(wanted_status(params, self._running.loop.schedule, self.status()))

    async def _lateness(self, params: NoParams, caller: Caller) -> object:
        del params, caller
        return lateness_as_json(Lateness(*self._running.world.lateness.figures()))

    # What people order

    async def _person_s(
        self, params: HoldParams | ReleaseParams | AcknowledgeParams, caller: Caller
    ) -> object:
        """A hold, a release, or alarms looked at; alarms one after the other."""
        memory = self._running.loop.memory
        assert memory is not None
        status: object = None
        for request in requests_of(params, self._running.loop.schedule, memory.alarms):
            status = await self._ask(request, caller)
        return status

    async def _stop(self, params: NoParams, caller: Caller) -> object:
        del params
        return await self._ask(StopRequest(), caller)

    async def _resume(self, params: NoParams, caller: Caller) -> object:
        del params
        return await self._ask(ResumeRequest(), caller)

    async def _ask(self, request: Request, caller: Caller) -> object:
        running = self._running
        refuse_unfit(running.loop.schedule, request)
        who = await self._name_of(caller)
        outcome = await running.world.inbox.ask(request, who=who)
        for notice in outcome.notices:
            if notice.event is Event.REQUEST_REFUSED:
                raise RequestRefusedError(ErrorCode.REFUSED, notice.detail)
        await self._written()
        return as_json(self.status())

    async def _name_of(self, caller: Caller) -> str:
        """What a caller is called; a list of users that hangs keeps no order waiting for long,
        and who asks twice at once is served in that order."""
        found = self._names.get(caller.uid)
        if found is None:
            found = asyncio.ensure_future(asyncio.to_thread(name_of, caller))
            self._names[caller.uid] = found
        done, _ = await asyncio.wait({found}, timeout=_NAMED_WITHIN_S)
        return found.result() if done else _number_of(caller)

    async def _written(self) -> None:
        """Waits until the journal has it, for as long as a person would."""
        try:
            await asyncio.wait_for(self._running.parts.journal.written(), _WRITTEN_WITHIN_S)
        except TimeoutError:
            return  # carried out all the same; the journal's alarm tells of the disk

    async def _clock_trust(self, params: NoParams, caller: Caller) -> object:
        del params
        clock = self._running.parts.clock
        if not clock.is_trusted:
            clock.trust.vouch(await self._name_of(caller))
            await self._running.steps.next()
            await self._written()
        return as_json(self.status())

    # The plan

    async def _plan_read(self, params: NoParams, caller: Caller) -> object:
        del params, caller
        revision = self._running.parts.store.in_force
        text = await self._running.parts.store.text_of(revision.number)
        return {"revision": revision.number, "taken_utc": rfc3339(revision.taken), "text": text}

    async def _plan_text(self, params: RevisionParams, caller: Caller) -> object:
        del caller
        text = await self._running.parts.store.text_of(params.revision)
        return {"revision": params.revision, "text": text}

    async def _plan_revisions(self, params: NoParams, caller: Caller) -> object:
        del params, caller
        store = self._running.parts.store
        in_force = store.in_force.number
        return {
            "revisions": [
                {
                    "revision": one.number,
                    "taken_utc": rfc3339(one.taken),
                    "how": one.how.value,
                    "note": one.note,
                    "is_in_force": one.number == in_force,
                }
                for one in store.revisions()
            ]
        }

    async def _plan_propose(self, params: ProposeParams, caller: Caller) -> object:
        now, _ = self._running.parts.clock.read()
        taken = await self._running.parts.store.take(
            params.text.encode("utf-8", "surrogatepass"),
            now=now,
            note=params.note or "",
            based_on=params.based_on,
        )
        return await self._taken(taken, caller)

    async def _plan_restore(self, params: RevisionParams, caller: Caller) -> object:
        now, _ = self._running.parts.clock.read()
        taken = await self._running.parts.store.restore(params.revision, now=now)
        return await self._taken(taken, caller)

    async def _taken(self, taken: Taken, caller: Caller) -> object:
        self._running.plans.take_over(taken, who=await self._name_of(caller))
        await self._running.steps.next()
        await self._written()
        examination = taken.examination
        findings = () if examination is None else examination.findings
        return {
            "revision": taken.revision.number,
            "is_new": taken.is_new,
            "remarks": list(taken.remarks),
            "findings": [finding.as_json() for finding in findings],
        }


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def name_of(caller: Caller) -> str:
    """What a caller is called on this machine."""
    try:
        return pwd.getpwuid(caller.uid).pw_name
    except (KeyError, OSError):  # nobody's, or a list that cannot be read
        return _number_of(caller)


def _number_of(caller: Caller) -> str:
    return f"user {caller.uid}"
