"""Rules about sensors and wiring: every error, warning and note word by word."""

from __future__ import annotations

import pytest

from controller.core.findings import Finding
from controller.core.plan import Sensor
from tests.plan_texts import PLAN, changed, findings_in

AIR = 'air.file = "/sys/class/hwmon/hwmon0/temp1_input"\nair.scale = 0.001\n'
METER = "line = 20, pulses_per_litre = 450"

FOUND = [
    pytest.param(
        "float.line = 16\n",
        'float.line = 16\nfloat.file = "/run/float"\n',
        Finding(
            "error",
            "sensors.float",
            "float has a file and a line; allowed is one of the two",
            "delete line = 16 if the value is in the file, else delete file",
            84,
        ),
        id="a file and a line",
    ),
    pytest.param(
        "float.line = 16\n",
        "",
        Finding(
            "warning",
            "sensors.float",
            "float has neither a file nor a line: it is known only in a dry run, and the "
            "controller will have no reading",
            "add line = and the GPIO line that it hangs on",
            84,
        ),
        id="neither a file nor a line",
    ),
    pytest.param(
        AIR,
        "",
        Finding(
            "warning",
            "sensors.air",
            "air has neither a file nor a line: it is known only in a dry run, and the controller "
            "will have no reading",
            "add file = and the kernel's file with its value",
            80,
        ),
        id="a variant's sensor without a file",
    ),
    pytest.param(
        METER,
        "line = 20",
        Finding(
            "error",
            "sensors.meter.pulses_per_litre",
            "meter measures flow on line 20 and has no pulses_per_litre: its pulses could not be "
            "turned into litres",
            "add pulses_per_litre = and the number on the meter or in its data sheet",
            86,
        ),
        id="a meter without its number",
    ),
    pytest.param(
        "line = 21",
        "line = 21, pulses_per_litre = 450",
        Finding(
            "error",
            "sensors.drip.pulses_per_litre",
            "drip measures leak and has pulses_per_litre; allowed is it only with "
            'measures = "flow"',
            "delete pulses_per_litre, or correct measures",
            87,
        ),
        id="pulses of a leak",
    ),
    pytest.param(
        METER,
        'file = "/run/flow", pulses_per_litre = 450',
        Finding(
            "warning",
            "sensors.meter.pulses_per_litre",
            "pulses_per_litre is for a sensor with a line, which meter is not: it does nothing",
            "delete pulses_per_litre",
            86,
        ),
        id="pulses out of a file",
    ),
    pytest.param(
        METER,
        "line = 20, pulses_per_litre = 5e-324",  # a flow that no number holds for each pulse
        Finding(
            "error",
            "sensors.meter.pulses_per_litre",
            "pulses_per_litre is 5e-324; allowed is a number from 0.001 to 1,000,000",
            "write it like pulses_per_litre = 450.0",
            86,
        ),
        id="a meter of hardly any pulses",
    ),
    pytest.param(
        METER,
        "line = 20, pulses_per_litre = 1",
        Finding(
            "warning",
            "loads.pump.flow_within",
            "at 1 pulse a litre, less than 2 L/min gives no pulse in 30s, and pump would be "
            "stopped for want of flow",
            "write a longer flow_within (and every), or take a meter with more pulses a litre",
            24,
        ),
        id="a meter too coarse for its pump",
    ),
    pytest.param(
        AIR,
        "air.line = 5\n",
        Finding(
            "error",
            "sensors.air.line",
            "air measures air_temperature and hangs on a line, which tells only closed or open; "
            "allowed on a line are level, leak, stop and flow",
            "write file = and the kernel's file with its value in place of line",
            82,
        ),
        id="a temperature on a line",
    ),
    pytest.param(
        "air.scale = 0.001",
        "air.scale = 0.0",
        Finding(
            "error",
            "sensors.air.scale",
            "scale is 0: every reading would be 0",
            "write scale = 0.001 for a file in thousandths, or leave it out",
            83,
        ),
        id="a scale of nothing",
    ),
    pytest.param(
        "air.scale = 0.001\n",
        "",
        Finding(
            "warning",
            "sensors.air",
            'the kernel writes "/sys/class/hwmon/hwmon0/temp1_input" in thousandths, and air has '
            "no scale: 21.5 would be read as 21500",
            "add scale = 0.001",
            80,
        ),
        id="thousandths taken whole",
    ),
    pytest.param(
        '"/sys/class/hwmon/hwmon0/temp1_input"',
        '"temp1_input"',
        Finding(
            "error",
            "sensors.air.file",
            'file is "temp1_input"; allowed is a path from the root, with / first',
            'write it like file = "/sys/class/hwmon/hwmon0/temp1_input"',
            82,
        ),
        id="a path from nowhere",
    ),
    pytest.param(
        '"/sys/class/hwmon/hwmon0/temp1_input"',
        '"sys/class/hwmon/hwmon0/temp1_input"',
        Finding(
            "error",
            "sensors.air.file",
            'file is "sys/class/hwmon/hwmon0/temp1_input"; allowed is a path from the root, with '
            "/ first",
            'write file = "/sys/class/hwmon/hwmon0/temp1_input"',
            82,
        ),
        id="a path whose / was lost",
    ),
    pytest.param(
        '"/sys/class/hwmon/hwmon0/temp1_input"',
        r'"/sys/\u001b[2J/temp1_input"',
        Finding(
            "error",
            "sensors.air.file",
            r'file is "/sys/\x1b[2J/temp1_input", with a character that cannot be shown',
            'write the path as ls shows it, like file = "/sys/class/hwmon/hwmon0/temp1_input"',
            82,
        ),
        id="a path that a terminal would obey",
    ),
    pytest.param(
        "float.line = 16",
        "float.line = 17",
        Finding(
            "error",
            "sensors.float.line",
            "the sensor float hangs on line 17 like pump; allowed is one load or sensor a line",
            "give it a free line, such as line = 23",
            85,
        ),
        id="a sensor on a load's line",
    ),
    pytest.param(
        '"stop", line = 26',
        '"stop", line = 21',
        Finding(
            "error",
            "sensors.stop.line",
            "the sensor stop hangs on line 21 like the sensor drip; allowed is one load or sensor "
            "a line",
            "give it a free line, such as line = 23",
            88,
        ),
        id="two sensors on one line",
    ),
    pytest.param(
        "float.line = 16",
        "float.line = 2",
        Finding(
            "note",
            "sensors.float.line",
            "on common boards line 2 is the I2C bus for sensors, with a resistor to 3.3 V",
            "make sure that your board leaves it free, or take another line",
            85,
        ),
        id="a sensor on a line with another use",
    ),
    pytest.param(
        'air.stale_after = "15m"',
        'air.stale_after = "15m"\nair.every = "15m"',
        Finding(
            "error",
            "sensors.air.every",
            "air is read every 15m and a reading of it is stale after 15m: it would be silent "
            "again and again",
            'write every = "5m", or a longer stale_after',
            82,
        ),
        id="stale before the next reading",
    ),
    pytest.param(
        'air.stale_after = "15m"',
        'air.stale_after = "0.5s"',
        Finding(
            "error",
            "sensors.air.stale_after",
            "air is read every 1s and a reading of it is stale after 0.5s: it would be silent "
            "again and again",
            'write stale_after = "3s"',
            81,
        ),
        id="stale sooner than anything is read",
    ),
    pytest.param(
        'air.stale_after = "15m"',
        'air.stale_after = "15m"\nair.every = "8m"',
        Finding(
            "warning",
            "sensors.air.every",
            "air is read every 8m and a reading of it is stale after 15m: one reading that fails "
            "makes it silent",
            'write stale_after = "24m", or a shorter every',
            82,
        ),
        id="one failure from silence",
    ),
    pytest.param(
        'air.stale_after = "15m"',
        'air.stale_after = "15m"\nair.every = "0.5s"',
        Finding(
            "error",
            "sensors.air.every",
            'every is 0.5s; allowed is "1s" or more',
            'write every = "1s", or leave it out: a contact tells its changes at once',
            82,
        ),
        id="read too often",
    ),
    pytest.param(
        "float.line = 16",
        'float.line = 16\nfloat.debounce = "11s"',
        Finding(
            "error",
            "sensors.float.debounce",
            'debounce is 11s; allowed is "0.005s" to "10s"',
            'write debounce = "0.05s", or some seconds for a float on waves',
            86,
        ),
        id="a contact that is never heard",
    ),
    pytest.param(
        "float.line = 16",
        'float.line = 16\nfloat.debounce = "0s"',
        Finding(
            "error",
            "sensors.float.debounce",
            'debounce is 0s; allowed is "0.005s" to "10s"',
            'write debounce = "0.05s", or some seconds for a float on waves',
            86,
        ),
        id="a contact whose every bounce is heard",
    ),
    pytest.param(
        '"stop", line = 26',
        '"stop", line = 26, debounce = "2s"',
        Finding(
            "warning",
            "sensors.stop.debounce",
            "debounce is 2s: stop must be pressed for as long before it stops anything",
            'write debounce = "0.05s"',
            88,
        ),
        id="a stop switch that must be pressed for long",
    ),
    pytest.param(
        '"leak", line = 21',
        '"leak", line = 21, contact = "normally-open"',
        Finding(
            "warning",
            "sensors.drip.contact",
            "with a normally-open contact nobody notices when a wire to drip breaks: it goes on "
            "saying that all is well",
            "take a contact that is closed while all is well, and write "
            'contact = "normally-closed"',
            87,
        ),
        id="a wire that breaks unseen",
    ),
    pytest.param(
        "float.line = 16",
        "float.line = 16\nfloat.scale = 0.001",
        Finding(
            "warning",
            "sensors.float.scale",
            "scale is for a sensor with a file, which float is not: it does nothing",
            "delete scale",
            86,
        ),
        id="a scale of a contact",
    ),
    pytest.param(
        "air.scale = 0.001",
        'air.scale = 0.001\nair.pull = "down"',
        Finding(
            "warning",
            "sensors.air.pull",
            "pull is for a sensor with a line, which air is not: it does nothing",
            "delete pull",
            84,
        ),
        id="a resistor of a file",
    ),
    pytest.param(
        METER,
        METER + ', debounce = "1s"',
        Finding(
            "warning",
            "sensors.meter.debounce",
            "debounce is for a sensor with a contact on a line, which meter is not: it does "
            "nothing",
            "delete debounce",
            86,
        ),
        id="a debounce of pulses",
    ),
    pytest.param(
        'flow_within = "30s"',
        'flow_within = "0s"',
        Finding(
            "error",
            "loads.pump.flow_within",
            "flow_within is 0s: pump would be stopped for want of flow before any water can have "
            "come",
            'write flow_within = "30s", or as long as the water takes to the meter',
            24,
        ),
        id="water that must be there before it can",
    ),
    pytest.param(
        'active = "low"\nwatts = 22',
        'active = "low"\nmains = true\nwatts = 22',
        Finding(
            "note",
            "loads.pump.mains",
            "pump runs on mains voltage and stands in water: a fault in the cable can kill",
            "put it behind a GFCI (RCD), make a drip loop in the cable, put the relay into an "
            "enclosure, keep to your local code, and ask a licensed electrician",
            16,
        ),
        id="a pump on mains",
    ),
    pytest.param(
        'active = "low"\nwatts = 22',
        'active = "low"\ncontact = "normally-closed"\nwatts = 22',
        Finding(
            "warning",
            "loads.pump.contact",
            "on a normally-closed contact pump is on whenever the relay board has no power or its "
            "cable is loose, and nothing can stop it: nobody would notice a dry reservoir or a "
            "burst hose",
            'hang it on the normally-open contact and write contact = "normally-open"',
            16,
        ),
        id="a pump that only power can stop",
    ),
    pytest.param(
        "[loads.fan]",
        "[loads.Lamp]",
        Finding(
            "error",
            "loads.Lamp",
            "the load Lamp is called like lamp but for capital letters: people would take one for "
            "the other",
            "give it another name, such as [loads.Lamp_2]",
            73,
        ),
        id="loads that differ in a capital",
    ),
    pytest.param(
        "stop = {",
        'AIR = { measures = "humidity" }\nstop = {',
        Finding(
            "error",
            "sensors.AIR",
            "the sensor AIR is called like air but for capital letters: people would take one for "
            "the other",
            "give it another name, such as [sensors.AIR_2]",
            88,
        ),
        id="sensors that differ in capitals",
    ),
]


@pytest.mark.parametrize(("old", "new", "finding"), FOUND)
def test_what_a_rule_finds_is_told_alone(old: str, new: str, finding: Finding) -> None:
    """One change of a sound plan is one finding, with its place, its line and its mend."""
    assert findings_in(changed(old, new)) == [finding]


# What is unusual and right.
SOUND = [
    pytest.param("float.line = 16\n", 'float.line = 16\nfloat.pull = "down"\n', id="pulled down"),
    pytest.param(
        "float.line = 16\n", 'float.line = 16\nfloat.debounce = "10s"\n', id="a float on waves"
    ),
    pytest.param('"stop", line = 26', '"stop", line = 26, debounce = "0.5s"', id="a slow stop"),
    pytest.param("float.line = 16\n", 'float.file = "/run/float"\n', id="a contact by a file"),
    pytest.param(METER, 'file = "/run/flow"', id="a flow by a file"),
    pytest.param(
        'air.stale_after = "15m"', 'air.stale_after = "1m30s"', id="stale soon, so read often"
    ),
    pytest.param('"15m"\nair.file', '"15m"\nair.every = "7m30s"\nair.file', id="read rarely"),
    pytest.param("air.scale = 0.001", "air.scale = 1.0", id="a scale that is stated"),
    pytest.param(
        "drip = {", 'spare = { measures = "humidity" }\ndrip = {', id="a sensor nobody asks for"
    ),
    pytest.param(
        'active = "high"\nwatts = 60.5',
        'active = "high"\ncontact = "normally-closed"\nmains = true\nwatts = 60.5',
        id="a lamp on mains, on without power",
    ),
    pytest.param(
        'active = "low"\nwatts = 22',
        'active = "low"\nmains = false\ncontact = "normally-open"\nwatts = 22',
        id="a pump on low voltage",
    ),
    pytest.param("pulses_per_litre = 450", "pulses_per_litre = 2", id="a litre a minute is seen"),
]


@pytest.mark.parametrize(("old", "new"), SOUND)
def test_what_is_unusual_and_right_is_left_alone(old: str, new: str) -> None:
    """Nothing is told of it."""
    assert findings_in(changed(old, new)) == []


def test_cautions_about_mains_are_told_once_a_plan() -> None:
    """Two pumps are one note that names both."""
    text = changed('active = "low"\nwatts = 22', 'active = "low"\nmains = true\nwatts = 22')
    text = changed(
        'kind = "fan"\nline = 22',
        'kind = "pump"\nmains = true\nwatts = 5\nlongest_on = "1h"\n'
        'without_clock = "off"\nline = 22',
        text=text,
    )
    assert [(f.level, f.where, f.message) for f in findings_in(text)] == [
        (
            "note",
            "loads.pump.mains",
            "pump and fan run on mains voltage and stand in water: a fault in the cable can kill",
        )
    ]


def test_a_meter_counts_over_the_shortest_time_of_its_pumps() -> None:
    """A second pump that wants its water sooner makes the meter too coarse for both."""
    text = changed("pulses_per_litre = 450", "pulses_per_litre = 2")
    text = changed(
        'kind = "fan"\nline = 22',
        'kind = "pump"\nflow = "meter"\nflow_within = "15s"\nwatts = 5\nlongest_on = "1h"\n'
        'without_clock = "off"\nline = 22',
        text=text,
    )
    assert [(f.level, f.where, f.message) for f in findings_in(text)] == [
        (
            "warning",
            f"loads.{name}.flow_within",
            "at 2 pulses a litre, less than 2 L/min gives no pulse in 15s, and "
            f"{name} would be stopped for want of flow",
        )
        for name in ("pump", "fan")
    ]


def test_a_free_line_is_free_of_sensors_too() -> None:
    """What is proposed is no sensor's line either."""
    text = changed("float.line = 16", "float.line = 23")
    text = changed("line = 22", "line = 17", text=text)
    assert [f.mend for f in findings_in(text)] == ["give it a free line, such as line = 22"]


@pytest.mark.parametrize(
    ("stale_after", "every", "every_ms"),
    [
        pytest.param("10m", None, 60_000, id="a minute, where nothing is said"),
        pytest.param("3m", None, 60_000, id="a third of it, just a minute"),
        pytest.param("90s", None, 30_000, id="a third of it"),
        pytest.param("1s", None, 1_000, id="not below a second"),
        pytest.param("90s", "80s", 80_000, id="as it is said"),
    ],
)
def test_a_sensor_is_read_often_enough_to_stay_fresh(
    stale_after: str, every: str | None, every_ms: int
) -> None:
    """Whoever says only how old a reading may be gets readings that are younger."""
    said = {"stale_after": stale_after} | ({} if every is None else {"every": every})
    assert Sensor.model_validate({"measures": "level", "line": 5, **said}).every_ms == every_ms


def test_the_plan_of_these_tests_is_worth_no_finding() -> None:
    """Else every test above would tell two."""
    assert findings_in(PLAN) == []
