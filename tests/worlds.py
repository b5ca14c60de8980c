"""A controller in a bottle: the pure decision, driven through a time that a test sets.

No plan file, no relays, no dry run: only `decide`, a clock that can be set wrong or
distrusted, readings, requests and power that fails. Each step checks what every decision
must hold; the whole history is kept for the test to compare.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.adoption import adopted_memory
from controller.core.cycle import parse_cycle
from controller.core.decide import Decision, decide
from controller.core.memory import LoadMemory, Memory, settled_memory
from controller.core.observation import (
    AcknowledgeRequest,
    HoldRequest,
    Observation,
    Reading,
    ReleaseRequest,
    ResumeRequest,
    StopRequest,
    Trouble,
)
from controller.core.orders import Event, Notice, Reason, Why
from controller.core.plan import Plan
from controller.core.schedule import Schedule, make_schedule
from controller.core.snapshot import restored_memory, snapshot_text
from controller.core.units import (
    HOUR_MS,
    MINUTE_MS,
    SECOND_MS,
    Instant,
    parse_duration_ms,
    parse_rfc3339,
)
from controller.core.words import sentence

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.observation import Request, Tick
    from controller.core.orders import AlarmCode

# A made-up garden on the meridian whose clocks show UTC, so that a test's times are plain.
GARDEN = {"latitude": 47.1, "longitude": 0.0, "timezone": "Etc/UTC"}
MIDNIGHT: Instant = parse_rfc3339("2026-06-01T00:00:00Z")

# One thing may follow from another at once; a hundred in a row are a loop that never sleeps.
_HASTY_MAX = 100

# A speaking sensor's reading never grows old here; a silenced one keeps its last.
_ALWAYS_FRESH: Tick = 10**14


def ms(text: str) -> int:
    """The length of `15m` or `-1h`."""
    return -parse_duration_ms(text[1:]) if text.startswith("-") else parse_duration_ms(text)


def spans(*pairs: str) -> list[dict[str, str]]:
    """The spans of `"06:30 | 15m on, 15m off"`; a cycle alone starts at midnight."""
    made = []
    for pair in pairs:
        anchor, _, cycle = pair.rpartition("|")
        made.append({"from": anchor.strip() or "00:00", "cycle": cycle.strip()})
    return made


def load(*of_spans: str, kind: str = "pump", **keys: Any) -> dict[str, Any]:
    """A load's table as a plan has it, but for its line (`plan_of` gives each another)."""
    return {"kind": kind, "active": "low", "spans": spans(*of_spans), **keys}


def on_demand(anchor: str = "00:00", **bounds: str) -> dict[str, str]:
    """A span on demand: rests of 5 to 45 min, waterings of 3 to 20, else 15/15."""
    usual = {"shortest_rest": "5m", "longest_rest": "45m", "fixed": "15m on, 15m off"}
    return {"from": anchor, "cycle": "demand", **usual, **bounds}


def stand(watered_by: str = "pump", **keys: Any) -> dict[str, Any]:
    """Grown heads in pots of expanded clay, outdoors, by what the sensor `air` says."""
    usual = {
        "watered_by": watered_by,
        "plants": 40,
        "age_days": 38,
        "medium": "expanded-clay",
        "medium_ml": 90.0,
        "place": "outdoors",
        "plants_per_m2": 25.0,
        "drip_ml_per_min": 50.0,
        "air": "air",
    }
    made = {**usual, **keys}
    return {key: value for key, value in made.items() if value is not None}


def plan_of(*, site: Mapping[str, object] | None = None, **tables: Any) -> Plan:
    """The plan with these loads; `sensors`, `guards` and `stands` are tables, all else is a
    load."""
    own_tables = ("sensors", "guards", "stands")
    stated = {key: tables.pop(key) for key in own_tables if key in tables}
    loads = {name: {"line": line, **table} for line, (name, table) in enumerate(tables.items())}
    site = GARDEN if site is None else site
    return Plan.model_validate({"format": 1, "site": site, "loads": loads, **stated})


class Change(NamedTuple):
    """A load's change of state, at true time."""

    instant: Instant
    load: str
    is_on: bool
    why: Why
    boot: int


class Driver:
    """One controller and its world.

    Args:
        plan: to carry out.
        start: true time at the beginning.
        is_settled: whether the plan has been running undisturbed until the start.
        is_clock_trusted: whether the controller may believe its clock.
        weighs_all: whether every load is made due at each step, as if `decide` had no
            notion of what is due.
        restores: whether a controller that starts again reads its memory back from what it
            wrote down, as it does in life; else it simply remembers.
    """

    def __init__(
        self,
        plan: Plan | Schedule,
        *,
        start: Instant = MIDNIGHT,
        is_settled: bool = False,
        is_clock_trusted: bool = True,
        weighs_all: bool = False,
        restores: bool = False,
        begins: bool = True,
    ) -> None:
        self.schedule = plan if isinstance(plan, Schedule) else make_schedule(plan)
        self.start = self.true_now = start
        self.weighs_all = weighs_all
        self.restores = restores
        self.clock_off_ms = 0
        self.is_clock_trusted = is_clock_trusted
        self.boot = 1
        self.booted = start - 12_345  # ticks start anywhere
        self.down_since: Instant | None = None
        self.down_ms: int | None = None
        self.troubles: frozenset[Trouble] = frozenset()
        self.readings: dict[str, Reading] = {}
        self.states = {load.name: False for load in self.schedule.loads}
        self.changes: list[Change] = []
        self.judged_from = 0  # changes before this one were made by an earlier plan
        self.reasons: list[tuple[Instant, str, Why]] = []
        self.notices: list[tuple[Instant, Notice]] = []
        self.decisions = 0
        # When each hold must be over at the latest, at true time; how far that is known.
        self.held_until: dict[str, Instant] = {}
        self.has_known_outages = True
        self.memory: Memory | None = None
        self.wake: Tick = self.tick
        if is_settled:
            self.memory = settled_memory(self.schedule, self.seen())
            self.states = {
                load.name: its.is_on
                for load, its in zip(self.schedule.loads, self.memory.loads, strict=True)
            }
        if begins:
            self.step()

    # Time

    @property
    def tick(self) -> Tick:
        """The monotonic clock of this boot."""
        return self.true_now - self.booted

    @property
    def clock_now(self) -> Instant:
        """What the controller's clock shows."""
        return self.true_now + self.clock_off_ms

    def advance(self, length: str | int) -> None:
        """Lets time pass; every wake on the way is kept, one at the very end too."""
        end = self.true_now + (length if isinstance(length, int) else ms(length))
        hasty = 0
        while (wake_at := self.booted + self.wake) <= end:
            hasty = hasty + 1 if wake_at <= self.true_now + 1 else 0
            assert hasty < _HASTY_MAX, "it wakes each millisecond, and no board can"
            self.true_now = max(self.true_now, wake_at)
            self.step()
        self.true_now = end

    def advance_until(self, name: str, *, is_on: bool) -> None:
        """Lets time pass, second by second, until a load is in that state; none if it is."""
        while self.states[name] is not is_on:
            self.advance("1s")

    def set_clock(self, *, by: str | int) -> None:
        """The clock steps, and the controller hears of it at once."""
        self.clock_off_ms += by if isinstance(by, int) else ms(by)
        self.step()

    def distrust_clock(self, *, off: str | int = 0) -> None:
        """The clock is no longer trusted, and shows something wrong from now on."""
        self.is_clock_trusted = False
        self.clock_off_ms = off if isinstance(off, int) else ms(off)
        self.step()

    def trust_clock(self) -> None:
        """The clock is set right and trusted."""
        self.is_clock_trusted = True
        self.clock_off_ms = 0
        self.step()

    def lose_power(
        self,
        length: str | int,
        *,
        is_clock_trusted: bool | None = None,
        clock_loses: str | int = 0,
        is_seen: bool = True,
    ) -> None:
        """No power for so long; then a new boot, with a clock that stood still in between
        for `clock_loses`. Unless `is_seen`, nobody can tell since when."""
        self._go_dark()
        self.down_since = self.clock_now if is_seen else None
        is_known = self.is_clock_trusted and not self.clock_off_ms
        length = length if isinstance(length, int) else ms(length)
        # What went by since the last decision is not known either, where nobody saw the end.
        decided = self.tick if is_seen or self.memory is None else self.memory.tick
        unknown_ms = self.tick - decided + length
        self.true_now += length
        self.clock_off_ms -= clock_loses if isinstance(clock_loses, int) else ms(clock_loses)
        if is_clock_trusted is not None:
            self.is_clock_trusted = is_clock_trusted
        if self.is_clock_trusted:
            self.clock_off_ms = 0
        if not (is_known and self.is_clock_trusted):  # nobody can tell how long it was
            self.has_known_outages = False
            self.held_until = {name: end + unknown_ms for name, end in self.held_until.items()}
        self.booted = self.true_now - 777
        self.down_ms = None
        self._start_again()

    def crash(self, length: str | int, *, is_seen: bool = True) -> None:
        """The controller dies and starts again so long after, while the board runs on; its
        relays fall off meanwhile, and its sensors have to be read anew. Unless `is_seen`,
        all that is known is when it last decided."""
        self._go_dark()
        self.down_since = self.clock_now if is_seen else None
        length_ms = length if isinstance(length, int) else ms(length)
        self.true_now += length_ms
        decided = self.tick if self.memory is None else self.memory.tick
        self.down_ms = length_ms if is_seen else self.tick - decided
        self._start_again()

    def _go_dark(self) -> None:
        for name, is_on in self.states.items():
            if is_on:
                self._note_change(name, Why.NO_POWER, is_on=False)

    def _start_again(self) -> None:
        if self.restores and self.memory is not None:
            text = snapshot_text(self.schedule, self.memory, kernel_boot="before")
            restored = restored_memory(self.schedule, text, self.seen(), kernel_boot="after")
            assert restored.memory is not None, restored.refused
            assert restored.notices == ()
            self.memory = restored.memory
        self.boot += 1
        kept = {name for name, reading in self.readings.items() if reading.taken == _ALWAYS_FRESH}
        self.readings = {name: self.readings[name] for name in sorted(kept)}
        self.step()

    # What happens

    def sense(self, **values: float) -> None:
        """Sensors say these from now on."""
        told = {name: Reading(float(value), _ALWAYS_FRESH) for name, value in values.items()}
        self.readings = {**self.readings, **told}
        self.step()

    def poll(self, **values: float) -> None:
        """Sensors say these now, once; their readings grow old."""
        told = {name: Reading(float(value), self.tick) for name, value in values.items()}
        self.readings = {**self.readings, **told}
        self.step()

    def silence(self, *names: str) -> None:
        """Sensors say nothing any more; what they said last grows old."""
        kept = dict(self.readings)
        for name in names:
            if name in kept:
                taken = min(self.tick, kept[name].taken)
                kept[name] = kept[name]._replace(taken=taken)
        self.readings = kept
        self.step()

    def hold(self, name: str, order: str, length: str | int) -> None:
        """A person orders a load by hand: a cycle, or the name of one of its variants."""
        variants = {v.name for place in self.schedule.loads for v in place.variants}
        what = order if order in variants else parse_cycle(order)
        for_ms = length if isinstance(length, int) else ms(length)
        self.held_until[name] = self.true_now + for_ms
        self.step(HoldRequest(name, what, for_ms))

    def release(self, name: str) -> None:
        """A person ends a hold."""
        self.step(ReleaseRequest(name))

    def stop(self) -> None:
        """A person stops everything."""
        self.step(StopRequest())

    def resume(self) -> None:
        """A person lets everything go on."""
        self.step(ResumeRequest())

    def acknowledge(self, code: AlarmCode, subject: str = "") -> None:
        """A person has looked."""
        self.step(AcknowledgeRequest(code, subject))

    def acknowledge_all(self) -> None:
        """A person has looked at everything."""
        standing = () if self.memory is None else self.memory.alarms
        self.step(*(AcknowledgeRequest(alarm.code, alarm.subject) for alarm in standing))

    # The controller itself

    def trouble(self, *troubles: tuple[AlarmCode, str]) -> None:
        """These things are wrong with the controller itself from now on, and no others."""
        self.troubles = frozenset(Trouble(code, subject) for code, subject in troubles)
        self.step()

    def adopt(self, plan: Plan | Schedule) -> None:
        """Another plan comes into force."""
        new = plan if isinstance(plan, Schedule) else make_schedule(plan)
        old, self.schedule = self.schedule, new
        self.judged_from = len(self.changes)
        assert self.memory is not None
        self.memory, notices = adopted_memory(old, new, self.memory, self.seen())
        self.notices += [(self.true_now, notice) for notice in notices]
        kinds = {load.name: load.kind for load in old.loads}
        self.states = {
            load.name: self.states.get(load.name, False) and kinds[load.name] == load.kind
            for load in new.loads
        }
        self.held_until = {
            name: end for name, end in self.held_until.items() if name in self.states
        }
        self.step()

    # Deciding

    def seen(self, *requests: Request) -> Observation:
        """The world as the controller sees it now."""
        return Observation(
            self.clock_now,
            self.tick,
            self.boot,
            self.is_clock_trusted,
            self.readings,
            requests,
            self.down_since,
            self.down_ms,
            self.troubles,
        )

    def step(self, *requests: Request) -> Decision:
        """Decides once, now, and carries it out."""
        seen = self.seen(*requests)
        before = self.memory
        if self.weighs_all and before is not None:
            loads = tuple(its._replace(look=seen.tick) for its in before.loads)
            before = before._replace(loads=loads)
        decision = decide(self.schedule, before, seen)
        self._carry_out(decision, tells_all=before is None or before.boot != seen.boot)
        self.memory, self.wake = decision.memory, decision.wake
        self.decisions += 1
        assert decision.wake > seen.tick, f"asks to be woken at once: {decision}"
        return decision

    def _carry_out(self, decision: Decision, *, tells_all: bool) -> None:
        told = [order.load for order in decision.orders]
        assert len(set(told)) == len(told), f"orders a load twice: {decision.orders}"
        for order in decision.orders:
            is_new = order.is_on is not self.states[order.load]
            assert is_new or tells_all, f"orders what is: {order}"
            if is_new:
                self._note_change(order.load, order.reason.why, is_on=order.is_on)
        of_loads = list(zip(self.schedule.loads, decision.memory.loads, strict=True))
        assert self.states == {load.name: its.is_on for load, its in of_loads}
        before = () if self.memory is None else self.memory.loads
        for place, (load_, its) in enumerate(of_loads):
            if not before or before[place].reason.why is not its.reason.why:
                self.reasons.append((self.true_now, load_.name, its.reason.why))
        self.notices += [(self.true_now, notice) for notice in decision.notices]

    def _note_change(self, name: str, why: Why, *, is_on: bool) -> None:
        self.states[name] = is_on
        self.changes.append(Change(self.true_now, name, is_on, why, self.boot))

    # What a test looks at

    def its(self, name: str) -> LoadMemory:
        """What is remembered of one load."""
        assert self.memory is not None
        return self.memory.loads[self.schedule.places[name]]

    def reason(self, name: str) -> Reason:
        """Why a load is as it is."""
        return self.its(name).reason

    def until(self, name: str) -> Instant:
        """When a load's state is over, as told."""
        told = self.reason(name).until
        assert told is not None
        return told

    def sentence(self, name: str) -> str:
        """What a person is told of a load."""
        return sentence(
            self.reason(name),
            self.schedule.loads[self.schedule.places[name]],
            is_on=self.states[name],
            now=self.true_now,
            calendar=self.schedule.calendar,
        )

    def told(self, *names: str) -> list[str]:
        """Every change since the start, of these loads or of all: `00:15:00 pump off: plan`."""
        return [
            f"{self._since_start(at)} {name} {'on' if is_on else 'off'}: {why.value}"
            for at, name, is_on, why, _ in self.changes
            if not names or name in names
        ]

    def noted(self, *events: Event) -> list[str]:
        """Every notice since the start, of these kinds or of all."""
        return [
            " ".join(
                part
                for part in (
                    self._since_start(at),
                    notice.event.value,
                    notice.subject,
                    f"({notice.detail})" if notice.detail else "",
                )
                if part
            )
            for at, notice in self.notices
            if not events or notice.event in events
        ]

    def alarms(self) -> list[str]:
        """The alarms that stand: `leak floor`, `leak floor, over`."""
        assert self.memory is not None
        return [
            f"{alarm.code.value} {alarm.subject}".strip()
            + ("" if alarm.is_active else ", over")
            + (", acknowledged" if alarm.is_acknowledged else "")
            for alarm in self.memory.alarms
        ]

    def forget(self) -> None:
        """Begins the history afresh: what comes is told from now."""
        self.start = self.true_now
        self.judged_from = 0
        self.changes.clear()
        self.reasons.clear()
        self.notices.clear()

    def _since_start(self, instant: Instant) -> str:
        seconds, millis = divmod(instant - self.start, SECOND_MS)
        hours, rest = divmod(seconds, HOUR_MS // SECOND_MS)
        minutes, seconds = divmod(rest, MINUTE_MS // SECOND_MS)
        return f"{hours:02}:{minutes:02}:{seconds:02}" + (f".{millis:03}" if millis else "")
