"""Rules about contacts and flow meters on lines, and about what a broken wire does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan import SENSOR_EVERY_MS_MIN
from controller.core.plan_rules.rule import Found
from controller.core.plan_text import said
from controller.core.sentence import Sentence, joined
from controller.core.units import MINUTE_MS, duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan

_CONTACTS = ("level", "leak", "stop")  # what a contact can tell
# A contact rests within a few milliseconds after it has closed, a float on waves within some
# seconds: common practice, no source.
_DEBOUNCE_MS_MIN, _DEBOUNCE_MS_MAX = 5, 10_000
_USUAL = '"0.05s"'
# So long a finger rests on a stop switch at least: common practice, no source.
_PRESS_MS = 500
# A trickle that no pump of columns means to make: common practice, no source.
_TRICKLE_L_PER_MIN = 1.0


def lines_that_tell_too_little(plan: Plan) -> Iterator[Found]:
    """A line for a quantity of which a line cannot tell how much there is."""
    for name, sensor in plan.sensors.items():
        if sensor.line is None or sensor.measures in (*_CONTACTS, "flow"):
            continue
        place, measures = ("sensors", name, "line"), ("sensors", name, "measures")
        yield Found(
            "error",
            place,
            Sentence.of(
                "{name} measures {quantity} and hangs on a line, which tells only closed or open; "
                "allowed on a line are {contacts} and {flow}",
                name=name,
                quantity=said.word(measures, sensor.measures),
                contacts=joined(", ", (said.word(measures, one) for one in _CONTACTS)),
                flow=said.word(measures, "flow"),
            ),
            Sentence.of(
                "{write_file} the kernel's file with its value in place of {line}",
                write_file=said.fill_in_what(("sensors", name, "file"), verb="write "),
                line=said.key(place),
            ),
            (measures,),
        )


def meters_without_pulses(plan: Plan) -> Iterator[Found]:
    """A flow meter on a line whose pulses mean nothing, or pulses of something else."""
    for name, sensor in plan.sensors.items():
        place, measures = ("sensors", name, "pulses_per_litre"), ("sensors", name, "measures")
        if sensor.measures == "flow":
            if sensor.line is not None and sensor.pulses_per_litre is None:
                yield Found(
                    "error",
                    place,
                    Sentence(
                        f"{name} measures flow on line {sensor.line} and has no ",
                        said.key(place),
                        ": its pulses could not be turned into litres",
                    ),
                    Sentence(
                        said.fill_in_what(place), " the number on the meter or in its data sheet"
                    ),
                )
        elif sensor.pulses_per_litre is not None:
            yield Found(
                "error",
                place,
                Sentence.of(
                    "{name} measures {quantity} and has {key}; allowed is it only with {flow}",
                    name=name,
                    quantity=said.word(measures, sensor.measures),
                    key=said.key(place),
                    flow=said.line(measures, '"flow"'),
                ),
                Sentence(said.leave_out(place), ", or correct ", said.key(measures)),
                (measures,),
            )


def meters_too_coarse(plan: Plan) -> Iterator[Found]:
    """A meter so coarse that water which flows would count as none."""
    for name, load in plan.loads.items():
        meter = plan.sensors.get(load.flow) if load.flow is not None else None
        if meter is None or meter.pulses_per_litre is None or meter.line is None:
            continue
        # The meter counts over the shortest time of all the pumps that ask it.
        others_ms = [one.flow_within for one in plan.loads.values() if one.flow == load.flow]
        window_ms = max(SENSOR_EVERY_MS_MIN, min(meter.every_ms, *others_ms))
        pulses = f"{meter.pulses_per_litre:g} pulse{'s' if meter.pulses_per_litre != 1 else ''}"
        least = MINUTE_MS / (meter.pulses_per_litre * window_ms)
        if least > _TRICKLE_L_PER_MIN:
            place, sensor = ("loads", name, "flow_within"), ("sensors", str(load.flow))
            yield Found(
                "warning",
                place,
                f"at {pulses} a litre, less than {least:.3g} L/min gives no pulse in "
                f"{duration_text(window_ms)}, and {name} would be stopped for want of flow",
                Sentence.of(
                    "write a longer {flow_within} (and {every}), or take a meter with more pulses "
                    "a litre",
                    flow_within=said.key(place),
                    every=said.key((*sensor, "every")),
                ),
                (sensor,),
            )


def contacts_that_rest_too_long(plan: Plan) -> Iterator[Found]:
    """A debounce that lets every bounce through, or that keeps a contact from being heard."""
    least, most = duration_text(_DEBOUNCE_MS_MIN), duration_text(_DEBOUNCE_MS_MAX)
    for name, sensor in plan.sensors.items():
        place = ("sensors", name, "debounce")
        if not _DEBOUNCE_MS_MIN <= sensor.debounce <= _DEBOUNCE_MS_MAX:
            yield Found(
                "error",
                place,
                Sentence(
                    said.key(place),
                    f' is {duration_text(sensor.debounce)}; allowed is "{least}" to "{most}"',
                ),
                Sentence(
                    "write ", said.line(place, _USUAL), ", or some seconds for a float on waves"
                ),
            )
        elif sensor.measures == "stop" and sensor.debounce > _PRESS_MS:
            yield Found(
                "warning",
                place,
                Sentence(
                    said.key(place),
                    f" is {duration_text(sensor.debounce)}: {name} must be pressed for as long "
                    "before it stops anything",
                ),
                Sentence("write ", said.line(place, _USUAL)),
                (("sensors", name, "measures"),),
            )


def wires_that_break_unseen(plan: Plan) -> Iterator[Found]:
    """A contact that looks well when its wire is broken."""
    for name, sensor in plan.sensors.items():
        if sensor.line is None or sensor.measures not in _CONTACTS:
            continue
        if sensor.contact == "normally-open":
            place = ("sensors", name, "contact")
            yield Found(
                "warning",
                place,
                f"with a normally-open contact nobody notices when a wire to {name} breaks: it "
                "goes on saying that all is well",
                Sentence(
                    "take a contact that is closed while all is well, and write ",
                    said.line(place, '"normally-closed"'),
                ),
                (("sensors", name),),
            )
