"""Rules about sensors: that what guards and stands go by can be read at all."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.plan_rules.rule import Found
from controller.core.plan_text import said
from controller.core.sentence import Sentence

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan
    from controller.core.plan_text.place import Place

_AIR = "air"  # the reading that a dry run takes from its weather


class _Use(NamedTuple):
    """A guard's or a stand's sensor: where it is named, what it must measure, and what for."""

    place: Place
    sensor: str
    quantity: str
    purpose: str


def _uses(plan: Plan) -> Iterator[_Use]:
    for name, load in plan.loads.items():
        at: Place = ("loads", name)
        if load.level is not None:
            yield _Use((*at, "level"), load.level, "level", f"stop {name} when the water is low")
        if load.flow is not None:
            yield _Use((*at, "flow"), load.flow, "flow", f"see that {name} moves no water")
    guards = plan.guards
    if guards.leak is not None:
        yield _Use(("guards", "leak"), guards.leak, "leak", "stop the pumps at a leak")
    if guards.stop_switch is not None:
        at = ("guards", "stop_switch")
        yield _Use(at, guards.stop_switch, "stop", "stop everything when somebody presses it")
    for name, stand in plan.stands.items():
        told = f"tell how much {name} drinks"
        if stand.air is not None:
            yield _Use(("stands", name, "air"), stand.air, "air_temperature", told)
        if stand.humidity is not None:
            yield _Use(("stands", name, "humidity"), stand.humidity, "humidity", told)


def flows_judged_at_once(plan: Plan) -> Iterator[Found]:
    """A pump whose water would have to be there before it can."""
    for name, load in plan.loads.items():
        if load.flow_within == 0:
            place = ("loads", name, "flow_within")
            yield Found(
                "error",
                place,
                Sentence(
                    said.key(place),
                    f" is 0s: {name} would be stopped for want of flow before any water can have "
                    "come",
                ),
                Sentence(
                    "write ",
                    said.line(place, '"30s"'),
                    ", or as long as the water takes to the meter",
                ),
            )


def sensors_that_guard_nothing(plan: Plan) -> Iterator[Found]:
    """A guard or a stand whose sensor the plan does not declare."""
    for use in _uses(plan):
        if use.sensor in plan.sensors:
            continue
        known = f"; its sensors are {', '.join(plan.sensors)}" if plan.sensors else ""
        yield Found(
            "error",
            use.place,
            Sentence.of(
                "{key} names the sensor {sensor}, and the plan has no {table}{known}: nothing "
                "would {purpose}",
                key=said.key(use.place),
                sensor=use.sensor,
                table=said.table(("sensors", use.sensor)),
                known=known,
                purpose=use.purpose,
            ),
            _likely_sensor(use.sensor, plan) or _new_sensor(use.sensor, use.quantity),
            (("sensors", use.sensor),),
        )


def _likely_sensor(name: str, plan: Plan) -> str:
    from controller.core.plan_text.likely import likely_word

    likely = likely_word(name, plan.sensors)
    return f"did you mean {likely}?" if likely else ""


def _new_sensor(name: str, quantity: str) -> Sentence:
    place = ("sensors", name)
    return Sentence.of(
        "add {table} with {measures}",
        table=said.table(place),
        measures=said.line((*place, "measures"), f'"{quantity}"'),
    )


def sensors_that_measure_other_things(plan: Plan) -> Iterator[Found]:
    """A guard or a stand whose sensor measures another quantity than it needs."""
    for use in _uses(plan):
        sensor = plan.sensors.get(use.sensor)
        if sensor is None or sensor.measures == use.quantity:
            continue
        fitting = [name for name, one in plan.sensors.items() if one.measures == use.quantity]
        measures = ("sensors", use.sensor, "measures")
        yield Found(
            "error",
            use.place,
            Sentence.of(
                "{key} names the sensor {sensor}, which measures {measured}; allowed is one that "
                "measures {wanted}",
                key=said.key(use.place),
                sensor=use.sensor,
                measured=said.word(measures, sensor.measures),
                wanted=said.word(measures, use.quantity),
            ),
            Sentence("write ", said.line(use.place, f'"{fitting[0]}"'))
            if fitting
            else Sentence.of(
                "add a sensor with {measures} and name it here",
                measures=said.line(measures, f'"{use.quantity}"'),
            ),
            (("sensors", use.sensor),),
        )


def variants_with_undeclared_sensors(plan: Plan) -> Iterator[Found]:
    """A variant whose sensor the plan does not declare: good for dry runs only."""
    for name, load in plan.loads.items():
        for number, variant in enumerate(load.variants):
            sensor = variant.sensor
            if sensor is None or sensor in plan.sensors:
                continue
            in_dry_run = (
                "a dry run takes it for the weather's air temperature"
                if sensor == _AIR
                else f"a dry run knows only {_AIR}, the weather's air temperature"
            )
            yield Found(
                "warning",
                ("loads", name, "variants", number, "sensor"),
                Sentence(
                    f"the variant waits for the sensor {sensor}, and the plan has no ",
                    said.table(("sensors", sensor)),
                    f": {in_dry_run}, and the controller will have no reading",
                ),
                _likely_sensor(sensor, plan) or _new_sensor(sensor, "air_temperature"),
                (("sensors", sensor),),
            )
