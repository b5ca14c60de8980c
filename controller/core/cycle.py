"""A cycle: steps of on and off, repeated for as long as its span lasts."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass, field

from controller.core.errors import BadCycleError, BadDurationError
from controller.core.units import duration_text, parse_duration_ms, shown

STEPS_MAX = 500  # more is a machine's doing; a person's cycle has two, a mist bed's perhaps ten
# A relay that turns on and off ten times a second has worn out its contact, rated for 100,000
# operations, within three hours. Relays' data sheets allow 18,000 operations an hour without a
# load, five a second (from memory).
STEP_MS_MIN = 100
_STEP_LENGTH_MAX = 60  # the pattern below backtracks; a step is never this long
# A state within the length means that the comma between two steps was forgotten.
_STEP = re.compile(r"(?P<length>(?:(?!\b(?:on|off)\b).)*?)\s+(?P<state>on|off)")
_WORDS = re.compile(r"[0-9][0-9.hms]*|on|off")
_LIKELY_LENGTH_MAX = 200


@dataclass(frozen=True, slots=True)
class Step:
    """One state held for one length of time."""

    is_on: bool
    length_ms: int

    def __str__(self) -> str:
        return f"{duration_text(self.length_ms)} {'on' if self.is_on else 'off'}"


@dataclass(frozen=True, slots=True)
class Cycle:
    """Steps repeated from the moment at which the span starts; or one steady state.

    Neighbouring steps of one state are one segment. `offsets_ms[i]` is where segment i
    starts within the period and `states[i]` its state; a steady cycle has one segment
    and a period of 0. `edges` are the changes of each period that follows another of its
    kind: how long after its start, and to which state. `dry_gap_ms` is the longest time
    that the cycle leaves a load off (None: for ever), `watering_ms` the longest that it
    keeps it on (None: for ever).
    """

    steps: tuple[Step, ...]
    steady: bool | None = None
    period_ms: int = field(init=False)
    offsets_ms: tuple[int, ...] = field(init=False)
    states: tuple[bool, ...] = field(init=False)
    edges: tuple[tuple[int, bool], ...] = field(init=False)
    dry_gap_ms: int | None = field(init=False)
    watering_ms: int | None = field(init=False)

    def __post_init__(self) -> None:
        offsets: list[int] = []
        states: list[bool] = []
        elapsed_ms = 0
        for step in self.steps:
            if not states or states[-1] != step.is_on:
                offsets.append(elapsed_ms)
                states.append(step.is_on)
            elapsed_ms += step.length_ms
        if len(states) == 1:  # all steps alike: steady, however it was written
            object.__setattr__(self, "steady", states[0])
        if self.steady is not None:
            offsets, states, elapsed_ms = [0], [self.steady], 0
        object.__setattr__(self, "period_ms", elapsed_ms)
        object.__setattr__(self, "offsets_ms", tuple(offsets))
        object.__setattr__(self, "states", tuple(states))
        edges = list(zip(offsets, states, strict=True))
        if edges and edges[0][1] is edges[-1][1]:  # no change at the wrap
            edges = edges[1:]
        object.__setattr__(self, "edges", tuple(edges))
        object.__setattr__(self, "dry_gap_ms", self._longest_ms(is_on=False))
        object.__setattr__(self, "watering_ms", self._longest_ms(is_on=True))

    def __str__(self) -> str:
        if self.steps:
            return ", ".join(map(str, self.steps))
        return "on" if self.steady else "off"

    def state_at(self, elapsed_ms: int) -> bool:
        """The state that long after the cycle started."""
        if self.steady is not None:
            return self.steady
        return self.states[bisect_right(self.offsets_ms, elapsed_ms % self.period_ms) - 1]

    def look_ms(self, elapsed_ms: int) -> tuple[bool, int | None]:
        """The state that long after the cycle started, and how long after its start it
        first changes later than that (None: never)."""
        if self.steady is not None:
            return self.steady, None
        within_ms = elapsed_ms % self.period_ms
        offsets_ms, states = self.offsets_ms, self.states
        index = bisect_right(offsets_ms, within_ms)
        is_on = states[index - 1]
        base_ms = elapsed_ms - within_ms
        if index < len(offsets_ms):
            return is_on, base_ms + offsets_ms[index]
        # The wrap is a change only where the last segment differs from the first.
        first_ms = 0 if is_on is not states[0] else offsets_ms[1]
        return is_on, base_ms + self.period_ms + first_ms

    def segment_start_ms(self, elapsed_ms: int) -> int:
        """How long after the cycle's start its state of that moment began; 0 at the least."""
        if self.steady is not None:
            return 0
        within_ms = elapsed_ms % self.period_ms
        index = bisect_right(self.offsets_ms, within_ms) - 1
        begun_ms = elapsed_ms - within_ms + self.offsets_ms[index]
        if index == 0 and begun_ms and self.states[0] == self.states[-1]:
            begun_ms -= self.period_ms - self.offsets_ms[-1]
        return begun_ms

    def _longest_ms(self, *, is_on: bool) -> int | None:
        """The longest unbroken stretch of a state; None where it has no end."""
        if self.steady is not None:
            return None if self.steady is is_on else 0
        ends_ms = (*self.offsets_ms[1:], self.period_ms)
        lengths = [end - start for start, end in zip(self.offsets_ms, ends_ms, strict=True)]
        if self.states[0] == self.states[-1]:  # one stretch across the wrap
            lengths[0] += lengths[-1]
        return max(n for n, state in zip(lengths, self.states, strict=True) if state is is_on)


STEADY_ON = Cycle((), steady=True)
STEADY_OFF = Cycle((), steady=False)


def parse_cycle(text: str) -> Cycle:
    """The cycle of `15m on, 15m off`, of any number of steps, or of `on` or `off`.

    Raises:
        BadCycleError: says which step is wrong, and what was likely meant.
    """
    plain = text.strip()
    if plain == "on":
        return STEADY_ON
    if plain == "off":
        return STEADY_OFF
    if plain.count(",") >= STEPS_MAX:
        raise BadCycleError(
            f"a cycle has at most {STEPS_MAX} steps; this one has {plain.count(',') + 1}"
        )
    steps = tuple(_parse_step(part, number) for number, part in enumerate(plain.split(","), 1))
    return Cycle(steps)


def refuse_hasty(cycle: Cycle) -> Cycle:
    """The cycle, if a relay can follow it.

    Raises:
        BadCycleError: a step is shorter than 0.1 s; says which.
    """
    for number, step in enumerate(cycle.steps, 1):
        if step.length_ms < STEP_MS_MIN:
            raise BadCycleError(
                f"step {number}, {step}, is shorter than {duration_text(STEP_MS_MIN)}: no relay "
                "is made to switch as fast as that"
            )
    return cycle


def _parse_step(text: str, number: int) -> Step:
    text = text.strip()
    match = _STEP.fullmatch(text) if len(text) <= _STEP_LENGTH_MAX else None
    if match is None:
        raise BadCycleError(
            f"step {number}, {shown(text)}, is not a duration and a state: "
            f"write steps like 15m on, 15m off, or only on or off{_likely_step(text)}"
        )
    try:
        length_ms = parse_duration_ms(match.group("length"))
    except BadDurationError as error:
        raise BadCycleError(f"step {number}: {error}") from None
    if length_ms == 0:
        raise BadCycleError(f"step {number}, {shown(text)}, lasts no time: leave it out")
    return Step(match.group("state") == "on", length_ms)


def _likely_step(text: str) -> str:
    plain = text.lower()
    words = _WORDS.findall(plain) if len(text) <= _LIKELY_LENGTH_MAX else []
    if plain in {"on", "off"}:
        return f" (did you mean {plain}?)"
    if not words or len(words) % 2:
        return ""
    steps = []
    for first, second in zip(words[0::2], words[1::2], strict=True):
        length, state = (first, second) if second in {"on", "off"} else (second, first)
        if state not in {"on", "off"} or not _is_length(length):
            return ""
        steps.append(f"{length} {state}")
    return f" (did you mean {', '.join(steps)}?)"


def _is_length(text: str) -> bool:
    try:
        return parse_duration_ms(text) > 0
    except BadDurationError:
        return False
