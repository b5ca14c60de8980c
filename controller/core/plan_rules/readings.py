"""Rules about where a sensor's readings come from, in which unit, and how often."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from controller.core.plan import SENSOR_EVERY_MS_MIN
from controller.core.plan_rules.rule import Found, sensors_in_use
from controller.core.plan_text.tell import toml_text
from controller.core.units import SECOND_MS, duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan, Sensor

_OF_A_LINE = ("level", "leak", "stop", "flow")
# Linux: Documentation/hwmon/sysfs-interface.rst (temp[1-*]_input in millidegrees Celsius,
# humidity[1-*]_input in milli-percent), Documentation/ABI/testing/sysfs-bus-iio
# (in_temp_input, in_humidityrelative_input: the same), Documentation/w1/slaves/w1_therm.rst.
_THOUSANDTHS = re.compile(
    r"/sys/.*/(?:temp[0-9]+_input|humidity[0-9]+_input|in_temp[0-9]*_input"
    r"|in_humidityrelative[0-9]*_input|w1_slave|temperature)"
)
_OF_FILES = ("scale", "offset")
_OF_CONTACTS = ("contact", "debounce")
_OF_LINES = (*_OF_CONTACTS, "pull", "pulses_per_litre")


def sensors_from_nowhere(plan: Plan) -> Iterator[Found]:
    """A sensor that something waits for and that has neither file nor line."""
    for name in sensors_in_use(plan):
        sensor = plan.sensors.get(name)
        if sensor is None or sensor.file is not None or sensor.line is not None:
            continue
        mend = (
            "add line = and the GPIO line that it hangs on"
            if sensor.measures in _OF_A_LINE
            else "add file = and the kernel's file with its value"
        )
        yield Found(
            "warning",
            ("sensors", name),
            f"{name} has neither a file nor a line: it is known only in a dry run, and the "
            "controller will have no reading",
            mend,
        )


def sensors_from_two_places(plan: Plan) -> Iterator[Found]:
    """A sensor with a file and a line."""
    for name, sensor in plan.sensors.items():
        if sensor.file is not None and sensor.line is not None:
            yield Found(
                "error",
                ("sensors", name),
                f"{name} has a file and a line; allowed is one of the two",
                f"delete line = {sensor.line} if the value is in the file, else delete file",
            )


def files_that_no_path_finds(plan: Plan) -> Iterator[Found]:
    """A file that is not named from the root, or that no system can open."""
    for name, sensor in plan.sensors.items():
        if sensor.file is None:
            continue
        if "\0" in sensor.file or not sensor.file.isprintable():
            yield Found(
                "error",
                ("sensors", name, "file"),
                f"file is {toml_text(sensor.file)}, with a character that cannot be shown",
                'write the path as ls shows it, like file = "/sys/class/hwmon/hwmon0/temp1_input"',
            )
        elif not sensor.file.startswith("/"):
            yield Found(
                "error",
                ("sensors", name, "file"),
                f"file is {toml_text(sensor.file)}; allowed is a path from the root, with / first",
                f"write file = {toml_text('/' + sensor.file)}"
                if sensor.file.startswith("sys/")
                else 'write it like file = "/sys/class/hwmon/hwmon0/temp1_input"',
            )


def settings_of_another_source(plan: Plan) -> Iterator[Found]:
    """A setting of a file beside a line, of a line beside a file, of a contact on a meter."""
    for name, sensor in plan.sensors.items():
        for key in _idle_settings(sensor):
            source = "a file" if key in _OF_FILES else "a line"
            source = "a contact on a line" if key in _OF_CONTACTS else source
            yield Found(
                "warning",
                ("sensors", name, key),
                f"{key} is for a sensor with {source}, which {name} is not: it does nothing",
                f"delete {key}",
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
        if sensor.scale == 0:
            yield Found(
                "error",
                ("sensors", name, "scale"),
                "scale is 0: every reading would be 0",
                "write scale = 0.001 for a file in thousandths, or leave it out",
            )
        elif sensor.file is not None and "scale" not in sensor.model_fields_set:
            if _THOUSANDTHS.fullmatch(sensor.file) is None:
                continue
            yield Found(
                "warning",
                ("sensors", name),
                f"the kernel writes {toml_text(sensor.file)} in thousandths, and {name} has no "
                "scale: 21.5 would be read as 21500",
                "add scale = 0.001",
            )


def readings_that_come_too_rarely(plan: Plan) -> Iterator[Found]:
    """A sensor whose reading is stale before the next one comes, or that is read too often."""
    for name, sensor in plan.sensors.items():
        if sensor.file is None and sensor.line is None:
            continue
        place = ("sensors", name, "every" if sensor.every is not None else "stale_after")
        also = (("sensors", name, "stale_after"), ("sensors", name, "every"))
        every, stale = duration_text(sensor.every_ms), duration_text(sensor.stale_after)
        if sensor.every_ms < SENSOR_EVERY_MS_MIN:
            yield Found(
                "error",
                place,
                f'every is {every}; allowed is "1s" or more',
                'write every = "1s", or leave it out: a contact tells its changes at once',
            )
        elif sensor.every_ms >= sensor.stale_after:
            shorter = max(SENSOR_EVERY_MS_MIN, sensor.stale_after // 3 // SECOND_MS * SECOND_MS)
            yield Found(
                "error",
                place,
                f"{name} is read every {every} and a reading of it is stale after {stale}: it "
                "would be silent again and again",
                f'write every = "{duration_text(shorter)}", or a longer stale_after'
                if shorter < sensor.stale_after
                else f'write stale_after = "{duration_text(3 * sensor.every_ms)}"',
                also,
            )
        elif 2 * sensor.every_ms > sensor.stale_after:
            yield Found(
                "warning",
                place,
                f"{name} is read every {every} and a reading of it is stale after {stale}: one "
                "reading that fails makes it silent",
                f'write stale_after = "{duration_text(3 * sensor.every_ms)}", or a shorter every',
                also,
            )
