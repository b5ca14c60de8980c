"""Rules about wiring: lines, names, power, and what is on while the controller is not."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.plan_rules.rule import Found
from controller.core.plan_text import said
from controller.core.sentence import Sentence

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan
    from controller.core.plan_text.place import Place

# Lines of the 40-pin header of common boards that boot or other parts use; from memory of
# the Raspberry Pi documentation, "GPIO and the 40-pin header".
_OTHER_USES = {
    0: "reads the identity of plugged-on boards while starting",
    1: "reads the identity of plugged-on boards while starting",
    2: "is the I2C bus for sensors, with a resistor to 3.3 V",
    3: "is the I2C bus for sensors, with a resistor to 3.3 V",
    14: "is the serial console, which chatters while starting",
    15: "is the serial console, which chatters while starting",
}
_HEADER_LINE_MAX = 27
_FREE_LINES = (17, 27, 22, 23, 24, 25, 5, 6, 12, 13, 16, 26, 20, 21, 19, 18, 4)
_ANCHOR_WORDS = frozenset({"sunrise", "sunset", "dawn", "dusk", "on", "off"})
_LEFT_ON = {
    "pump": "nobody would notice a dry reservoir or a burst hose",
    "valve": "water would run without end",
    "heater": "nothing would stop it from overheating",
}


class _OnLine(NamedTuple):
    """What hangs on a line: its name as a sentence tells it, and where its line is stated."""

    called: str
    place: Place
    line: int


def _on_lines(plan: Plan) -> Iterator[_OnLine]:
    for name, load in plan.loads.items():
        yield _OnLine(name, ("loads", name, "line"), load.line)
    for name, sensor in sorted(plan.sensors.items()):
        if sensor.line is not None:
            yield _OnLine(f"the sensor {name}", ("sensors", name, "line"), sensor.line)


def lines_used_twice(plan: Plan) -> Iterator[Found]:
    """Two loads or sensors that hang on one line."""
    first: dict[int, _OnLine] = {}
    used = {one.line for one in _on_lines(plan)}
    free = next((line for line in _FREE_LINES if line not in used), None)
    for one in _on_lines(plan):
        other = first.setdefault(one.line, one)
        if other is one:
            continue
        are_loads = one.place[0] == other.place[0] == "loads"
        yield Found(
            "error",
            one.place,
            f"{one.called} hangs on line {one.line} like {other.called}; allowed is one "
            + ("load a line" if are_loads else "load or sensor a line"),
            Sentence("give it a free line, such as ", said.line(one.place, str(free)))
            if free
            else "give it a free line",
            (other.place,),
        )


def lines_with_another_use(plan: Plan) -> Iterator[Found]:
    """A line that common boards use for something else, or do not bring out."""
    for one in _on_lines(plan):
        use = _OTHER_USES.get(one.line)
        if one.line > _HEADER_LINE_MAX:
            use = "is not on the 40-pin header"
        if use is not None:
            yield Found(
                "note",
                one.place,
                f"on common boards line {one.line} {use}",
                "make sure that your board leaves it free, or take another line",
            )


def names_that_look_alike(plan: Plan) -> Iterator[Found]:
    """Two loads, sensors, stands or reservoirs whose names differ only in capital letters."""
    for table, noun, names in (
        ("loads", "load", plan.loads),
        ("sensors", "sensor", plan.sensors),
        ("stands", "stand", plan.stands),
        ("reservoirs", "reservoir", plan.reservoirs),
    ):
        first: dict[str, str] = {}
        for name in sorted(names, reverse=True):  # small letters first, in any order
            other = first.setdefault(name.lower(), name)
            if other != name:
                yield Found(
                    "error",
                    (table, name),
                    f"the {noun} {name} is called like {other} but for capital letters: people "
                    "would take one for the other",
                    Sentence(
                        "give it another name, such as ", said.table((table, f"{name[:38]}_2"))
                    ),
                    ((table, other),),
                )


def loads_named_like_anchors(plan: Plan) -> Iterator[Found]:
    """A load whose name anchors and cycles use for something else."""
    for name in plan.loads:
        if name.lower() in _ANCHOR_WORDS:
            yield Found(
                "error",
                ("loads", name),
                f"a load may not be called {name}: anchors and cycles use that word",
                Sentence("give it another name, such as ", said.table(("loads", f"{name}_load"))),
            )


def loads_on_while_stopped(plan: Plan) -> Iterator[Found]:
    """A load that stays on without anybody to watch it, where that can do harm."""
    for name, load in plan.loads.items():
        if load.when_stopped == "on" and load.kind in _LEFT_ON:
            place = ("loads", name, "when_stopped")
            yield Found(
                "warning",
                place,
                f"{name} stays on while the controller does not run: {_LEFT_ON[load.kind]}",
                Sentence(
                    "write ",
                    said.line(place, '"off"'),
                    ", unless people are safe and you know why",
                ),
                (("loads", name, "kind"),),
            )


def loads_on_without_power(plan: Plan) -> Iterator[Found]:
    """A load that is on whenever the relay's coil is not, where that can do harm."""
    for name, load in plan.loads.items():
        if load.contact == "normally-closed" and load.kind in _LEFT_ON:
            place = ("loads", name, "contact")
            yield Found(
                "warning",
                place,
                f"on a normally-closed contact {name} is on whenever the relay board has no "
                f"power or its cable is loose, and nothing can stop it: {_LEFT_ON[load.kind]}",
                Sentence(
                    "hang it on the normally-open contact and write ",
                    said.line(place, '"normally-open"'),
                ),
                (("loads", name, "kind"),),
            )


def pumps_on_mains(plan: Plan) -> Iterator[Found]:
    """A pump that stands in water and runs on mains voltage; told once a plan."""
    names = [name for name, load in plan.loads.items() if load.kind == "pump" and load.mains]
    if names:
        yield Found(
            "note",
            ("loads", names[0], "mains"),
            f"{' and '.join(names)} {'runs' if len(names) == 1 else 'run'} on mains voltage and "
            f"{'stands' if len(names) == 1 else 'stand'} in water: a fault in the cable can kill",
            "put it behind a GFCI (RCD), make a drip loop in the cable, put the relay into an "
            "enclosure, keep to your local code, and ask a licensed electrician",
            tuple(("loads", name) for name in names),
        )


def loads_over_the_limit(plan: Plan) -> Iterator[Found]:
    """A load that alone takes more power than all together may."""
    of_guards, of_limits = ("guards", "watts_at_once"), ("limits", "watts_at_once")
    for name, load in plan.loads.items():
        watts = ("loads", name, "watts")
        guard, limit = plan.guards.watts_at_once, plan.limits.watts_at_once
        if load.watts is not None and guard is not None and load.watts > guard:
            yield Found(
                "error",
                of_guards,
                Sentence(
                    said.key(of_guards),
                    f" is {guard:g} and {name} alone takes {load.watts:g} W: it could never start",
                ),
                Sentence(
                    "write ",
                    said.line(of_guards, f"{load.watts:g}"),
                    " or more, as far as the supply allows",
                ),
                (watts,),
            )
        if load.watts is not None and limit is not None and load.watts > limit:
            yield Found(
                "warning",
                of_limits,
                Sentence(
                    said.key(of_limits),
                    f" is {limit:g} and {name} alone takes {load.watts:g} W: a dry run in which "
                    "it starts breaks this limit",
                ),
                Sentence("write ", said.line(of_limits, f"{load.watts:g}"), " or more"),
                (watts,),
            )


def pumps_without_watts(plan: Plan) -> Iterator[Found]:
    """A pump whose power is not stated."""
    for name, load in plan.loads.items():
        if load.kind == "pump" and load.watts is None:
            place = ("loads", name, "watts")
            yield Found(
                "note",
                place,
                Sentence(
                    f"{name} has no ", said.key(place), ", so its energy and cost cannot be told"
                ),
                Sentence(said.fill_in_what(place), " the power on the pump's plate"),
            )
