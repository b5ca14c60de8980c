"""Rules about wiring: lines, names, power, and what is on while the controller is not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_rules.rule import Found

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan

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


def loads_on_one_line(plan: Plan) -> Iterator[Found]:
    """Two loads that hang on one line."""
    first: dict[int, str] = {}
    for name, load in plan.loads.items():
        other = first.setdefault(load.line, name)
        if other == name:
            continue
        used = {load.line for load in plan.loads.values()}
        free = next((line for line in _FREE_LINES if line not in used), None)
        yield Found(
            "error",
            ("loads", name, "line"),
            f"{name} hangs on line {load.line} like {other}; allowed is one load a line",
            f"give it a free line, such as line = {free}" if free else "give it a free line",
            (("loads", other, "line"),),
        )


def lines_with_another_use(plan: Plan) -> Iterator[Found]:
    """A line that common boards use for something else, or do not bring out."""
    for name, load in plan.loads.items():
        use = _OTHER_USES.get(load.line)
        if load.line > _HEADER_LINE_MAX:
            use = "is not on the 40-pin header"
        if use is not None:
            yield Found(
                "note",
                ("loads", name, "line"),
                f"on common boards line {load.line} {use}",
                "make sure that your board leaves it free, or take another line",
            )


def loads_named_like_anchors(plan: Plan) -> Iterator[Found]:
    """A load whose name anchors and cycles use for something else."""
    for name in plan.loads:
        if name.lower() in _ANCHOR_WORDS:
            yield Found(
                "error",
                ("loads", name),
                f"a load may not be called {name}: anchors and cycles use that word",
                f"give it another name, such as [loads.{name}_load]",
            )


def loads_on_while_stopped(plan: Plan) -> Iterator[Found]:
    """A load that stays on without anybody to watch it, where that can do harm."""
    for name, load in plan.loads.items():
        if load.when_stopped == "on" and load.kind in _LEFT_ON:
            yield Found(
                "warning",
                ("loads", name, "when_stopped"),
                f"{name} stays on while the controller does not run: {_LEFT_ON[load.kind]}",
                'write when_stopped = "off", unless people are safe and you know why',
                (("loads", name, "kind"),),
            )


def loads_over_the_limit(plan: Plan) -> Iterator[Found]:
    """A load that alone takes more power than all together may."""
    for name, load in plan.loads.items():
        watts = ("loads", name, "watts")
        guard, limit = plan.guards.watts_at_once, plan.limits.watts_at_once
        if load.watts is not None and guard is not None and load.watts > guard:
            yield Found(
                "error",
                ("guards", "watts_at_once"),
                f"watts_at_once is {guard:g} and {name} alone takes {load.watts:g} W: "
                "it could never start",
                f"write watts_at_once = {load.watts:g} or more, as far as the supply allows",
                (watts,),
            )
        if load.watts is not None and limit is not None and load.watts > limit:
            yield Found(
                "warning",
                ("limits", "watts_at_once"),
                f"watts_at_once is {limit:g} and {name} alone takes {load.watts:g} W: "
                "a dry run in which it starts breaks this limit",
                f"write watts_at_once = {load.watts:g} or more",
                (watts,),
            )


def pumps_without_watts(plan: Plan) -> Iterator[Found]:
    """A pump whose power is not stated."""
    for name, load in plan.loads.items():
        if load.kind == "pump" and load.watts is None:
            yield Found(
                "note",
                ("loads", name, "watts"),
                f"{name} has no watts, so its energy and cost cannot be told",
                "add watts = and the power on the pump's plate",
            )
