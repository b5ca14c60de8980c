"""Rules about where a sensor's readings come from, in which unit, and how often."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from controller.core.plan import SENSOR_EVERY_MS_MIN
from controller.core.plan_rules.rule import Found, sensors_in_use
from controller.core.plan_text import said
from controller.core.plan_text.tell import toml_text
from controller.core.sentence import Sentence
from controller.core.units import SECOND_MS, duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan, Sensor
    from controller.core.plan_text.place import Place
    from controller.core.sentence import Part

_OF_A_LINE = ("level", "leak", "stop", "flow")
# Linux: Documentation/hwmon/sysfs-interface.rst (temp[1-*]_input in millidegrees Celsius,
# humidity[1-*]_input in milli-percent), Documentation/ABI/testing/sysfs-bus-iio
# (in_temp_input, in_humidityrelative_input: the same), Documentation/w1/slaves/w1_therm.rst.
_THOUSANDTHS = re.compile(
    r"/sys/.*/(?:temp[0-9]+_input|humidity[0-9]+_input|in_temp[0-9]*_input"
    r"|in_humidityrelative[0-9]*_input|w1_slave|temperature)"
)
_FILE = '"/sys/class/hwmon/hwmon0/temp1_input"'
_OF_FILES = ("scale", "offset")
_OF_CONTACTS = ("contact", "debounce")
_OF_LINES = (*_OF_CONTACTS, "pull", "pulses_per_litre")


def sensors_from_nowhere(plan: Plan) -> Iterator[Found]:
    """A sensor that something waits for and that has neither file nor line."""
    for name in sensors_in_use(plan):
        sensor = plan.sensors.get(name)
        if sensor is None or sensor.file is not None or sensor.line is not None:
            continue
        place = ("sensors", name)
        mend = (
            Sentence(said.fill_in_what((*place, "line")), " the GPIO line that it hangs on")
            if sensor.measures in _OF_A_LINE
            else Sentence(said.fill_in_what((*place, "file")), " the kernel's file with its value")
        )
        yield Found(
            "warning",
            place,
            f"{name} has neither a file nor a line: it is known only in a dry run, and the "
            "controller will have no reading",
            mend,
        )


def sensors_from_two_places(plan: Plan) -> Iterator[Found]:
    """A sensor with a file and a line."""
    for name, sensor in plan.sensors.items():
        if sensor.file is not None and sensor.line is not None:
            place = ("sensors", name)
            yield Found(
                "error",
                place,
                f"{name} has a file and a line; allowed is one of the two",
                Sentence.of(
                    "{no_line}{stated} if the value is in the file, else {no_file}",
                    no_line=said.leave_out((*place, "line")),
                    stated=said.in_file(f" = {sensor.line}"),
                    no_file=said.leave_out((*place, "file")),
                ),
            )


def files_that_no_path_finds(plan: Plan) -> Iterator[Found]:
    """A file that is not named from the root, or that no system can open."""
    for name, sensor in plan.sensors.items():
        if sensor.file is None:
            continue
        place = ("sensors", name, "file")
        if "\0" in sensor.file or not sensor.file.isprintable():
            yield Found(
                "error",
                place,
                Sentence(
                    said.key(place),
                    f" is {toml_text(sensor.file)}, with a character that cannot be shown",
                ),
                Sentence("write the path as ls shows it, like ", said.line(place, _FILE)),
            )
        elif not sensor.file.startswith("/"):
            yield Found(
                "error",
                place,
                Sentence(
                    said.key(place),
                    f" is {toml_text(sensor.file)}; allowed is a path from the root, with / first",
                ),
                Sentence("write ", said.line(place, toml_text(f"/{sensor.file}")))
                if sensor.file.startswith("sys/")
                else Sentence("write it like ", said.line(place, _FILE)),
            )


def settings_of_another_source(plan: Plan) -> Iterator[Found]:
    """A setting of a file beside a line, of a line beside a file, of a contact on a meter."""
    for name, sensor in plan.sensors.items():
        for key in _idle_settings(sensor):
            source = "a file" if key in _OF_FILES else "a line"
            source = "a contact on a line" if key in _OF_CONTACTS else source
            place = ("sensors", name, key)
            yield Found(
                "warning",
                place,
                Sentence(
                    said.key(place),
                    f" is for a sensor with {source}, which {name} is not: it does nothing",
                ),
                Sentence(said.leave_out(place)),
                (("sensors", name),),
            )


def _idle_settings(sensor: Sensor) -> list[str]:
    has_source = sensor.file is not None or sensor.line is not None
    keys: list[str] = []
    if has_source and sensor.file is None:
        keys += _OF_FILES
    if has_source and sensor.line is None:
        keys += [key for key in _OF_LINES if key != "pulses_per_litre" or sensor.measures == "flow"]
    if sensor.line is not None and sensor.measures == "flow":
        keys += _OF_CONTACTS
    return [key for key in keys if key in sensor.model_fields_set]


def scales_that_lose_the_value(plan: Plan) -> Iterator[Found]:
    """A scale that makes every reading the same, or that the kernel's file needs and lacks."""
    for name, sensor in plan.sensors.items():
        place = ("sensors", name, "scale")
        if sensor.scale == 0:
            yield Found(
                "error",
                place,
                Sentence(said.key(place), " is 0: every reading would be 0"),
                Sentence(
                    "write ",
                    said.line(place, "0.001"),
                    " for a file in thousandths, or leave it out",
                ),
            )
        elif sensor.file is not None and "scale" not in sensor.model_fields_set:
            if _THOUSANDTHS.fullmatch(sensor.file) is None:
                continue
            yield Found(
                "warning",
                ("sensors", name),
                Sentence.of(
                    "the kernel writes {file} in thousandths, and {name} has no {scale}: 21.5 "
                    "would be read as 21500",
                    file=toml_text(sensor.file),
                    name=name,
                    scale=said.key(place),
                ),
                Sentence(said.fill_in(place, "0.001")),
            )


def readings_that_come_too_rarely(plan: Plan) -> Iterator[Found]:
    """A sensor whose reading is stale before the next one comes, or that is read too often."""
    for name, sensor in plan.sensors.items():
        if sensor.file is None and sensor.line is None:
            continue
        each, old = ("sensors", name, "every"), ("sensors", name, "stale_after")
        place = each if sensor.every is not None else old
        every, stale = duration_text(sensor.every_ms), duration_text(sensor.stale_after)
        if sensor.every_ms < SENSOR_EVERY_MS_MIN:
            yield Found(
                "error",
                place,
                Sentence(said.key(each), f' is {every}; allowed is "1s" or more'),
                Sentence(
                    "write ",
                    said.line(each, '"1s"'),
                    ", or leave it out: a contact tells its changes at once",
                ),
            )
        elif sensor.every_ms >= sensor.stale_after:
            shorter = max(SENSOR_EVERY_MS_MIN, sensor.stale_after // 3 // SECOND_MS * SECOND_MS)
            more_often = said.line(each, f'"{duration_text(shorter)}"')
            yield Found(
                "error",
                place,
                f"{name} is read every {every} and a reading of it is stale after {stale}: it "
                "would be silent again and again",
                Sentence("write ", more_often, ", or a longer ", said.key(old))
                if shorter < sensor.stale_after
                else Sentence("write ", _rarer(old, sensor)),
                (old, each),
            )
        elif 2 * sensor.every_ms > sensor.stale_after:
            yield Found(
                "warning",
                place,
                f"{name} is read every {every} and a reading of it is stale after {stale}: one "
                "reading that fails makes it silent",
                Sentence("write ", _rarer(old, sensor), ", or a shorter ", said.key(each)),
                (old, each),
            )


def _rarer(place: Place, sensor: Sensor) -> Part:
    """A time after which readings are stale that leaves room for three of them."""
    return said.line(place, f'"{duration_text(3 * sensor.every_ms)}"')
