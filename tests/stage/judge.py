"""Who sees a controller's lines and reads its journal, and knows the rules."""

from __future__ import annotations

from collections.abc import Iterator

from controller.core.journal_entry import SWITCHINGS, Entry
from controller.core.memory import Memory
from controller.core.orders import AlarmCode, Event, Why
from controller.core.plan import Load
from controller.core.units import Instant, rfc3339
from tests.stage.life import RELEASED_WITHIN_S, Life

_NEVER = -(10**18)
# What explains that roots are dry for longer than the plan leaves them.
_EXCUSES = {
    event.value
    for event in Event
    if event not in {Event.RECOVERY_BEGAN, Event.ALARM_ACKNOWLEDGED, Event.REQUEST_REFUSED}
}
_OF_LENGTHS = {Why.LONGEST_ON, Why.SHORTEST_ON, Why.SHORTEST_OFF}


class Judge:
    """Watches one life. `broken` of the life tells what it found."""

    def __init__(self, life: Life, *, watch_every_s: float) -> None:
        self._life = life
        self._slack_ms = round((RELEASED_WITHIN_S + watch_every_s) * 1000) + 100
        self._on_since: dict[int, Instant] = {}
        self._dry_since: dict[int, Instant] = {}
        self._holds: dict[str, Instant] = {}
        self._excused: Instant = _NEVER  # when something last happened that explains a dry gap
        self._replanned: Instant = _NEVER
        self._unstuck: dict[int, Instant] = {}
        self._read = 0
        self._looked_at: Instant = _NEVER
        self._held: set[str] = set()  # by what the journal was told
        self._last: dict[str, str] = {}  # what was told of each load's switching
        self._amiss: dict[tuple[AlarmCode, str], Instant] = {}  # since when it was seen so
        life.lines.on_change = self._change

    def _breaks(self, text: str) -> None:
        self._life.broken.append(f"{rfc3339(self._life.true_now)} {text}")

    def excuse(self) -> None:
        """Something happens now that no journal entry may tell of."""
        self._excused = self._life.true_now

    def replanned(self) -> None:
        """Another plan is in force."""
        self._replanned = self._life.true_now
        if not self._life.is_alive:  # the plan that was is not known any more at the next start
            self._read_journal()
            self._last.clear()
        self.excuse()

    def stuck(self, line: int) -> None:
        """The line does not obey, or does again."""
        self._unstuck[line] = self._life.true_now
        self.excuse()

    def held(self, load: str, for_ms: int) -> None:
        """A hold was taken; it is over after that time."""
        self._holds[load] = self._life.true_now + for_ms

    def forget_holds(self) -> None:
        """Nobody can tell how long the power was out: the ends of holds are not known."""
        self._holds.clear()

    def _loads_on(self, line: int) -> Iterator[tuple[str, Load]]:
        for name, load in self._life.schedule.plan.loads.items():
            if load.line == line:
                yield name, load

    def _change(self, line: int, level: bool | None) -> None:
        now = self._life.true_now
        for name, load in self._loads_on(line):
            is_on = level is not None and level is (load.active == "high")
            if is_on and line not in self._on_since:
                self._on_since[line] = now
                self._judge_gap(line, name, load, now)
            elif not is_on and line in self._on_since:
                self._judge_stretch(line, name, load, now)
                self._dry_since[line] = now

    def _judge_stretch(self, line: int, name: str, load: Load, now: Instant) -> None:
        since = self._on_since.pop(line)
        is_plain = line not in self._life.lines.stuck and self._unstuck.get(line, _NEVER) < since
        is_plain = is_plain and self._replanned < since
        if load.longest_on is not None and is_plain:
            on_ms = now - since
            if on_ms > load.longest_on + self._slack_ms:
                self._breaks(f"{name} was on for {on_ms} ms")

    def _judge_gap(self, line: int, name: str, load: Load, now: Instant) -> None:
        since = self._dry_since.pop(line, None)
        guards = self._life.schedule.plan.guards
        if since is None or load.kind != "pump" or guards.watts_at_once or guards.starts_apart:
            return
        gaps_ms = [span.cycle.dry_gap_ms for span in load.spans]
        known_ms = [gap_ms for gap_ms in gaps_ms if gap_ms is not None]
        if len(known_ms) < len(gaps_ms) or load.variants:
            return
        self._read_journal()
        excused = max(self._excused, self._life.died_at)
        is_excused = excused >= since - 1_000 or self._has_trouble() or name in self._held
        if now - since > max(known_ms) + load.shortest_off + 2_000 and not is_excused:
            self._breaks(f"{name} was dry for {now - since} ms and nothing explains it")

    def _has_trouble(self) -> bool:
        memory = self._life.memory
        return memory is None or bool(memory.alarms) or memory.is_stopped

    def _read_journal(self) -> None:
        for entry in self._life.told[self._read :]:
            self._judge_entry(entry)
            if entry.what in _EXCUSES:
                self.excuse()
        self._read = len(self._life.told)

    def _judge_entry(self, entry: Entry) -> None:
        if entry.what in SWITCHINGS:
            self._last[entry.subject] = entry.what
        if entry.what == Event.HOLD_BEGAN.value:
            self._held.add(entry.subject)
        if entry.what == Event.HOLD_ENDED.value:
            self._held.discard(entry.subject)
        if entry.what in SWITCHINGS and not (
            entry.why and entry.detail.endswith(".") and entry.subject
        ):
            self._breaks(f"a switching without a reason: {entry}")

    def look(self) -> None:
        """Looks at what there is now."""
        self._read_journal()
        life, memory = self._life, self._life.memory
        if memory is None or not life.has_decided or life.is_adopting:
            return
        self._judge_holds(memory)
        self._judge_stop(memory)
        self._judge_left_loads()
        self._judge_alarms(memory)
        self._looked_at = life.true_now
        for name, ends in [*self._holds.items()]:
            if life.true_now <= ends + 1_000:
                continue
            del self._holds[name]
            place = life.schedule.places.get(name)
            if place is not None and memory.loads[place].reason.why is Why.HOLD:
                self._breaks(f"the hold of {name} outlives its end")

    def _judge_holds(self, memory: Memory) -> None:
        """Whatever began or ended was told."""
        places = self._life.schedule.places
        held = {name for name, place in places.items() if memory.loads[place].hold is not None}
        if self._life.died_at < self._looked_at and held != self._held:
            self._breaks(f"held are {sorted(held)}, and told are {sorted(self._held)}")
        self._held = held

    def _judge_stop(self, memory: Memory) -> None:
        """After a stop, nothing that obeys is on."""
        for name, is_on in self._life.lines_on() if memory.is_stopped else ():
            if is_on and not self._is_amiss(name):
                self._breaks(f"{name} is on though all is stopped")

    def _judge_left_loads(self) -> None:
        """A load that is gone was told to be left in its safe state."""
        life = self._life
        if life.died_at >= self._replanned or self._replanned == life.true_now:
            return
        for name, what in self._last.items():
            if name not in life.schedule.places and what != life.when_stopped[name]:
                self._breaks(f"{name} has left the plan, and was last told to be {what}")

    def _judge_alarms(self, memory: Memory) -> None:
        """What is amiss for longer than a look takes has its alarm."""
        life = self._life
        amiss = {(AlarmCode.RELAY, name) for name in life.schedule.places if self._is_amiss(name)}
        if life.is_journal_failing:
            amiss.add((AlarmCode.JOURNAL, ""))
        known_since = max(life.died_at, self._replanned)
        self._amiss = {
            one: since
            for one in amiss
            if (since := self._amiss.get(one, life.true_now)) > known_since
        }
        told = {(alarm.code, alarm.subject) for alarm in memory.alarms if alarm.is_active}
        for code, subject in sorted(self._amiss, key=str):
            for_ms = life.true_now - self._amiss[code, subject]
            if for_ms > self._slack_ms + 1_000 and (code, subject) not in told:
                self._breaks(f"no alarm tells for {for_ms} ms: {code.value} {subject}")

    def _is_guarded(self, name: str) -> bool:
        """Whether a load is held to its longest or shortest times just now."""
        memory = self._life.memory
        place = self._life.schedule.places[name]
        return memory is not None and memory.loads[place].reason.why in _OF_LENGTHS

    def _is_amiss(self, name: str) -> bool:
        relays = self._life.relays
        return relays is not None and relays.is_on(name) is not relays.ordered[name]

    def judge_peace(self) -> None:
        """After a long time without trouble, the lines are as the plan says."""
        life, guards = self._life, self._life.schedule.plan.guards
        if guards.watts_at_once or guards.starts_apart:
            return
        for load in life.schedule.loads:
            planned = life.schedule.plan.loads[load.name]
            look = load.own.look(life.true_now)
            began = load.own.state_began(look.piece, life.true_now)
            near_ms = max(load.shortest_on_ms, load.shortest_off_ms) + 1_000
            if load.variants or min(look.until - life.true_now, life.true_now - began) < near_ms:
                continue
            if load.longest_on_ms is not None and life.true_now - began >= load.longest_on_ms:
                continue
            if self._is_guarded(load.name):
                continue
            level = life.lines.level.get(planned.line)
            if (level is (planned.active == "high")) is not look.is_on:
                self._breaks(f"{load.name} is not as planned, long after all trouble")
