"""Every kind of mistake in a plan's values: its line, place, sentence and mend, word by word."""

from __future__ import annotations

import pytest

from controller.core.findings import Finding
from controller.core.plan_text import salvage as plan_salvage
from tests.plan_texts import PLAN, SMALLEST, changed, findings_in

# old text, new text, line, place, message, mend
BROKEN = [
    pytest.param(
        "elevation_m",
        "elevation",
        8,
        "site.elevation",
        "[site] has no key named elevation; its keys are latitude, longitude, timezone, "
        "elevation_m, typical_day",
        "did you mean elevation_m?",
        id="a key cut short",
    ),
    pytest.param(
        "latitude = 47.1",
        'latitude = "47,1"',
        5,
        "site.latitude",
        'latitude is "47,1", a text; allowed is a number from -90 to 90',
        "write latitude = 47.1",
        id="a number as text, with a comma",
    ),
    pytest.param(
        "latitude = 47.1\n",
        "",
        4,
        "site.latitude",
        "[site] has no latitude (degrees, north positive); it needs a number from -90 to 90",
        "add latitude = 47.1",
        id="a key left out",
    ),
    pytest.param(
        "latitude = 47.1",
        "latitude = 123",
        5,
        "site.latitude",
        "latitude is 123; allowed is a number from -90 to 90",
        "exchange the values of latitude and longitude if they are swapped",
        id="out of range, perhaps swapped",
    ),
    pytest.param(
        "latitude = 47.1",
        "latitude = true",
        5,
        "site.latitude",
        "latitude is true, a truth value; allowed is a number from -90 to 90",
        "write it like latitude = 47.1",
        id="a truth value where a number stands",
    ),
    pytest.param(
        "latitude = 47.1",
        "latitude = nan",
        5,
        "site.latitude",
        "latitude is nan; allowed is a number from -90 to 90",
        "write it like latitude = 47.1",
        id="no number at all",
    ),
    pytest.param(
        "longitude = 8.3",
        "longitude = 181",
        6,
        "site.longitude",
        "longitude is 181; allowed is a number from -180 to 180",
        "write it like longitude = 8.3",
        id="out of range",
    ),
    pytest.param(
        'timezone = "Europe/Zurich"',
        'timezone = "Zurich"',
        7,
        "site.timezone",
        'timezone is "Zurich", which the tz database does not have; allowed is a name like '
        "Europe/Zurich",
        'write timezone = "Europe/Zurich"',
        id="a city without its continent",
    ),
    pytest.param(
        'timezone = "Europe/Zurich"',
        'timezone = "Mars/Olympus"',
        7,
        "site.timezone",
        'timezone is "Mars/Olympus", which the tz database does not have; allowed is a name like '
        "Europe/Zurich",
        "write the name for your place",
        id="no such zone",
    ),
    pytest.param(
        "coolest_c = 12",
        "coolest_c = 30",
        9,
        "site.typical_day",
        "coolest_c is 30 and warmest_c is 27.5; the coolest of the day may not be above the "
        "warmest",
        "exchange the two values",
        id="coolest above warmest",
    ),
    pytest.param(
        "format = 1",
        "format = 2",
        2,
        "format",
        "format is 2; allowed is 1",
        "write format = 1",
        id="the future",
    ),
    pytest.param(
        "format = 1\n",
        "",
        1,
        "format",
        "the plan has no format (version of the plan's format); it needs 1",
        "add format = 1",
        id="no format",
    ),
    pytest.param(
        'kind = "pump"',
        'kind = "Pump"',
        13,
        "loads.pump.kind",
        'kind is "Pump"; allowed is one of "pump", "lamp", "fan", "valve", "heater"',
        'write kind = "pump"',
        id="a capital letter",
    ),
    pytest.param(
        'kind = "pump"',
        'kind = "sprinkler"',
        13,
        "loads.pump.kind",
        'kind is "sprinkler"; allowed is one of "pump", "lamp", "fan", "valve", "heater"',
        'write it like kind = "pump"',
        id="a word that is none of those",
    ),
    pytest.param(
        'kind = "pump"',
        "kind = 1",
        13,
        "loads.pump.kind",
        'kind is 1, a whole number; allowed is one of "pump", "lamp", "fan", "valve", "heater"',
        'write it like kind = "pump"',
        id="a number where a word stands",
    ),
    pytest.param(
        "line = 17",
        'line = "17"',
        14,
        "loads.pump.line",
        'line is "17", a text; allowed is a whole number from 0 to 53',
        "write line = 17",
        id="a number in quotes",
    ),
    pytest.param(
        "line = 17",
        "line = 17.0",
        14,
        "loads.pump.line",
        "line is 17.0, a number; allowed is a whole number from 0 to 53",
        "write line = 17",
        id="a point where a whole number stands",
    ),
    pytest.param(
        "line = 17",
        "line = 54",
        14,
        "loads.pump.line",
        "line is 54; allowed is a whole number from 0 to 53",
        "write it like line = 17",
        id="a line that no board has",
    ),
    pytest.param(
        "line = 17",
        "lin = 17",
        14,
        "loads.pump.lin",
        "[loads.pump] has no key named lin; its keys are kind, line, active, contact, mains, "
        "watts, longest_on, shortest_on, shortest_off, when_stopped, without_clock, contact_life, "
        "level, flow, flow_within, lift, reservoir, spans, variants, limits",
        "did you mean line?",
        id="a misspelt key told once, not also as missing",
    ),
    pytest.param(
        "line = 17",
        "line = 27",
        64,
        "loads.lamp.line",
        "lamp hangs on line 27 like pump; allowed is one load a line",
        "give it a free line, such as line = 17",
        id="two loads on one line",
    ),
    pytest.param(
        "watts = 22",
        'watts = "22 W"',
        16,
        "loads.pump.watts",
        'watts is "22 W", a text; allowed is a number from 0 to 20,000',
        "write watts = 22",
        id="a number with its unit",
    ),
    pytest.param(
        "watts = 22",
        "latitude = 22",
        16,
        "loads.pump.latitude",
        "[loads.pump] has no key named latitude; its keys are kind, line, active, contact, "
        "mains, watts, longest_on, shortest_on, shortest_off, when_stopped, without_clock, "
        "contact_life, level, flow, flow_within, lift, reservoir, spans, variants, limits",
        "latitude belongs in [site]",
        id="a key of another table",
    ),
    pytest.param(
        "watts = 22",
        "wibble = 22",
        16,
        "loads.pump.wibble",
        "[loads.pump] has no key named wibble; its keys are kind, line, active, contact, "
        "mains, watts, longest_on, shortest_on, shortest_off, when_stopped, without_clock, "
        "contact_life, level, flow, flow_within, lift, reservoir, spans, variants, limits",
        "delete wibble, or write the key that was meant",
        id="a key of no table",
    ),
    pytest.param(
        'longest_on = "45m"',
        "longest_on = 45",
        17,
        "loads.pump.longest_on",
        'longest_on is 45, a whole number; allowed is a duration in quotes like "1h30m", "15m" '
        'or "90s"',
        'write longest_on = "45m", or "45s" for seconds',
        id="a duration without unit",
    ),
    pytest.param(
        'longest_on = "45m"',
        'longest_on = "45 minutes"',
        17,
        "loads.pump.longest_on",
        "longest_on: '45 minutes' is not a duration: write hours, minutes and seconds like "
        "1h30m, 15m or 90s",
        'write longest_on = "45m"',
        id="a unit in full",
    ),
    pytest.param(
        'longest_on = "45m"',
        'longest_on = "soon"',
        17,
        "loads.pump.longest_on",
        "longest_on: 'soon' is not a duration: write hours, minutes and seconds like 1h30m, 15m "
        "or 90s",
        'write it like longest_on = "45m"',
        id="no duration",
    ),
    pytest.param(
        'longest_on = "45m"',
        "longest_on = 00:45:00",
        17,
        "loads.pump.longest_on",
        "longest_on is 00:45:00, a time without quotes; allowed is a duration in quotes like "
        '"1h30m", "15m" or "90s"',
        'write longest_on = "45m"',
        id="a clock time for a length",
    ),
    pytest.param(
        'level = "float"',
        'level = "my float"',
        22,
        "loads.pump.level",
        'level is "my float"; allowed is a name in quotes: a letter, then letters, digits, - and '
        "_, at most 40 characters together",
        'write level = "my_float"',
        id="a blank in a name",
    ),
    pytest.param(
        'level = "float"',
        'level = "flaot"',
        22,
        "loads.pump.level",
        "level names the sensor flaot, and the plan has no [sensors.flaot]; its sensors are air, "
        "float, meter, drip, stop: nothing would stop pump when the water is low",
        "did you mean float?",
        id="a misspelt sensor",
    ),
    pytest.param(
        'level = "float"',
        'level = "meter"',
        22,
        "loads.pump.level",
        "level names the sensor meter, which measures flow; allowed is one that measures level",
        'write level = "float"',
        id="a sensor of something else",
    ),
    pytest.param(
        'flow = "meter"',
        'flow = "none"',
        23,
        "loads.pump.flow",
        "flow names the sensor none, and the plan has no [sensors.none]; its sensors are air, "
        "float, meter, drip, stop: nothing would see that pump moves no water",
        'add [sensors.none] with measures = "flow"',
        id="a sensor that is not there",
    ),
    pytest.param(
        'cycle = "15m on, 45m off"',
        'cycle = "15/45"',
        35,
        "loads.pump.spans.1.cycle",
        "cycle: step 1, '15/45', is not a duration and a state: write steps like 15m on, 15m "
        "off, or only on or off",
        'write cycle = "15m on, 45m off"',
        id="as plug-in timers write it",
    ),
    pytest.param(
        'cycle = "15m on, 45m off"',
        'cycle = "15m on, then rest"',
        35,
        "loads.pump.spans.1.cycle",
        "cycle: step 2, 'then rest', is not a duration and a state: write steps like 15m on, 15m "
        "off, or only on or off",
        'write it like cycle = "15m on, 15m off"',
        id="a step that is none",
    ),
    pytest.param(
        'cycle = "15m on, 45m off"',
        "cycle = true",
        35,
        "loads.pump.spans.1.cycle",
        'cycle is true, a truth value; allowed is a cycle in quotes like "15m on, 15m off", "on" '
        'or "off", or "demand"',
        'write cycle = "on"',
        id="a truth value for a state",
    ),
    pytest.param(
        'cycle = "15m on, 45m off"',
        'cycle = "50m on, 10m off"',
        35,
        "loads.pump.spans.1.cycle",
        '"50m on, 10m off" keeps pump on for 50m; longest_on allows 45m at a stretch',
        'write something like cycle = "40m on, 10m off", or leave longest_on out',
        id="longer than longest_on",
    ),
    pytest.param(
        'cycle = "15m on, 45m off"',
        'cycle = "on"',
        35,
        "loads.pump.spans.1.cycle",
        '"on" keeps pump on without an end; longest_on allows 45m at a stretch',
        'write something like cycle = "40m on, 5m off", or leave longest_on out',
        id="steady under a longest_on",
    ),
    pytest.param(
        'cycle = "15m on, 45m off"',
        'cycle = "2s on, 45m off"',
        35,
        "loads.pump.spans.1.cycle",
        '"2s on, 45m off" switches pump on for 2s; shortest_on asks for at least 5s',
        "make that step 5s or longer, or lower shortest_on",
        id="shorter than shortest_on",
    ),
    pytest.param(
        'cycle = "15m on, 45m off"',
        'cycle = "15m on, 2s off"',
        35,
        "loads.pump.spans.1.cycle",
        '"15m on, 2s off" switches pump off for 2s; shortest_off asks for at least 5s',
        "make that step 5s or longer, or lower shortest_off",
        id="shorter than shortest_off",
    ),
    pytest.param(
        'from = "sunset + 1h"',
        'from = "6:30 pm"',
        34,
        "loads.pump.spans.1.from",
        "from: '6:30 pm' is not a moment of the day: write a time like 06:30, sunrise, sunset, "
        "dawn, dusk, or a load's change like lamp on, each also with an offset like sunrise - 30m",
        'write from = "18:30"',
        id="a time of the day in English",
    ),
    pytest.param(
        'from = "sunset + 1h"',
        'from = "sunset + 13h"',
        34,
        "loads.pump.spans.1.from",
        "from: 'sunset + 13h' is more than 12h from its anchor: choose a nearer anchor",
        'write it like from = "sunrise - 30m"',
        id="too far from its anchor",
    ),
    pytest.param(
        'from = "sunset + 1h"',
        "from = 19:30:00",
        34,
        "loads.pump.spans.1.from",
        "from is 19:30:00, a time without quotes; allowed is a moment of the day in quotes like "
        '"06:30", "sunrise - 30m" or "lamp on"',
        'write from = "19:30"',
        id="a time without quotes",
    ),
    pytest.param(
        'from = "sunset + 1h"',
        'from_ = "sunset + 1h"',
        34,
        "loads.pump.spans.1.from_",
        "[[loads.pump.spans]] number 2 has no key named from_; its keys are from, cycle, "
        "fixed, longest_rest, shortest_rest, shortest_watering, longest_watering",
        "did you mean from?",
        id="the name that Python needs and the file does not",
    ),
    pytest.param(
        'from = "sunset + 1h"',
        'from = "lmap on"',
        34,
        "loads.pump.spans.1.from",
        '"lmap on" follows lmap, and the plan has no [loads.lmap]; its loads are pump, lamp, fan',
        "did you mean lamp?",
        id="a misspelt load",
    ),
    pytest.param(
        'from = "sunset + 1h"',
        'from = "pump on"',
        34,
        "loads.pump.spans.1.from",
        '"pump on" follows pump itself; an anchor may follow another load only',
        "write a time, a sun event, or another load's change",
        id="a load that follows itself",
    ),
    pytest.param(
        'from = "04:00"',
        'from = "fan on"',
        69,
        "loads.lamp.spans.0.from",
        "lamp follows fan follows lamp: in such a ring no load knows when to start",
        "give one of them a time or a sun event",
        id="a ring of two",
    ),
    pytest.param(
        'sensor = "air"\n',
        "",
        37,
        "loads.pump.variants.0",
        'nothing switches the variant "hot"; allowed is a sensor, or by_hand',
        'add sensor = "air" with above = 32.0 and until = 29.0, or by_hand = true',
        id="nothing switches the variant",
    ),
    pytest.param(
        "until = 29.0",
        "until = 33",
        41,
        "loads.pump.variants.0.until",
        "until is 33 and above is 32; allowed is an until not higher than above",
        "write until = 29, or what suits the place",
        id="left before it is entered",
    ),
    pytest.param(
        "until = 29.0\n",
        "",
        37,
        "loads.pump.variants.0",
        'the variant "hot" has no until, so nothing says when it is left',
        "add until = 29, or what suits the place",
        id="never left",
    ),
    pytest.param(
        "above = 32.0",
        "above = 32.0\nbelow = 3",
        37,
        "loads.pump.variants.0",
        'the variant "hot" has both above and below; allowed is exactly one of the two',
        "write above = 32.0 for hot spells, or below = 5.0 for cold ones",
        id="both thresholds",
    ),
    pytest.param(
        "above = 32.0\n",
        "",
        37,
        "loads.pump.variants.0",
        'the variant "hot" has neither above nor below; allowed is exactly one of the two',
        "write above = 32.0 for hot spells, or below = 5.0 for cold ones",
        id="no threshold",
    ),
    pytest.param(
        "by_hand = true",
        'by_hand = "yes"',
        55,
        "loads.pump.variants.1.by_hand",
        'by_hand is "yes", a text; allowed is true or false',
        "write by_hand = true",
        id="a truth value in words",
    ),
    pytest.param(
        "by_hand = true",
        "by_hand = true\nabove = 3",
        56,
        "loads.pump.variants.1.above",
        'the variant "seedlings" is switched by hand, and has above; allowed are thresholds with '
        "a sensor only",
        "delete above, or write a sensor in place of by_hand",
        id="a threshold for a person",
    ),
    pytest.param(
        'name = "seedlings"',
        'name = "hot"',
        54,
        "loads.pump.variants.1.name",
        'two variants of pump are called "hot"; allowed is one of a name',
        "give this one another name",
        id="two variants of one name",
    ),
    pytest.param(
        'name = "seedlings"',
        'name = "on"',
        54,
        "loads.pump.variants.1.name",
        'a variant may not be called "on": a hold would take that for a cycle',
        'write another name, such as name = "hot"',
        id="a name that reads as a cycle",
    ),
    pytest.param(
        'spans = [{ from = "00:00", cycle = "5m on, 10m off" }]',
        "spans = []",
        56,
        "loads.pump.variants.1.spans",
        "spans is empty; allowed is a list of 1 to 100 tables",
        'add [[loads.pump.variants.spans]] with from = "sunrise - 30m", cycle = "15m on, 15m off"',
        id="an empty list",
    ),
    pytest.param(
        'spans = [{ from = "00:00", cycle = "5m on, 10m off" }]',
        'spans = { from = "00:00", cycle = "on" }',
        56,
        "loads.pump.variants.1.spans",
        "spans is a table; allowed is a list of 1 to 100 tables",
        "write [[loads.pump.variants.spans]], with double brackets",
        id="a table for a list",
    ),
    pytest.param(
        '{ from = "04:00", cycle = "on" }',
        '"04:00"',
        69,
        "loads.lamp.spans.0",
        'item 1 is "04:00", a text; allowed is a table',
        "write [[loads.lamp.spans]] and its keys below",
        id="a text for a table",
    ),
    pytest.param(
        "[loads.lamp]",
        "[[loads.lamp]]",
        62,
        "loads.lamp",
        "lamp is a list of 1; allowed is a table",
        "write [loads.lamp] and its keys below",
        id="a list for a table",
    ),
    pytest.param(
        "[loads.lamp]",
        "[lamp]",
        62,
        "lamp",
        "the plan has no key named lamp; its keys are format, site, loads, sensors, stands, "
        "reservoirs, guards, energy, limits",
        "write [loads.lamp]",
        id="a load at the top, told once",
    ),
    pytest.param(
        "[guards]",
        "[gaurds]",
        90,
        "gaurds",
        "the plan has no key named gaurds; its keys are format, site, loads, sensors, stands, "
        "reservoirs, guards, energy, limits",
        "did you mean guards?",
        id="a misspelt table",
    ),
    pytest.param(
        'drip = { measures = "leak", line = 21 }',
        "drip = { line = 21 }",
        87,
        "sensors.drip.measures",
        "[sensors.drip] has no measures (the quantity that the sensor reads); it needs one of "
        '"air_temperature", "humidity", "water_temperature", "light", "level", "flow", "leak", '
        '"stop"',
        'add measures = "air_temperature"',
        id="nothing in a table that needs something",
    ),
    pytest.param(
        "watts_at_once = 400",
        "watts_at_once = 40",
        92,
        "guards.watts_at_once",
        "watts_at_once is 40 and lamp alone takes 60.5 W: it could never start",
        "write watts_at_once = 60.5 or more, as far as the supply allows",
        id="less than one load takes",
    ),
    pytest.param(
        "watts_at_once = 400",
        "watts_at_once = 0",
        92,
        "guards.watts_at_once",
        "watts_at_once is 0; allowed is a number above 0 and up to 100,000",
        "write it like watts_at_once = 400",
        id="zero where it may not be",
    ),
]


@pytest.mark.parametrize(("old", "new", "line", "where", "message", "mend"), BROKEN)
def test_a_mistake_is_told_once_with_line_place_and_mend(
    old: str, new: str, line: int, where: str, message: str, mend: str
) -> None:
    """One mistake in a sound plan is one error, and nothing else is found."""
    assert findings_in(changed(old, new)) == [Finding("error", where, message, mend, line)]


_TO_DO = {"write", "add", "did", "give", "exchange", "delete", "make", "belongs"}


@pytest.mark.parametrize(("old", "new", "line", "where", "message", "mend"), BROKEN)
def test_a_mend_is_something_to_do_in_plain_words(
    old: str, new: str, line: int, where: str, message: str, mend: str
) -> None:
    """Each mend begins with what to do; no sentence speaks a library's language."""
    assert set(mend.split()[:2]) & _TO_DO
    for jargon in ("pydantic", "Input should", "https", "validation", "instance", "Error"):
        assert jargon not in message + mend


def test_all_mistakes_are_told_at_once_in_file_order() -> None:
    """Ten mistakes in all stages of reading come in one answer, by line."""
    text = PLAN
    for old, new in (
        ("latitude = 47.1", "latitude = 471"),
        ('timezone = "Europe/Zurich"', "timezone = Europe/Zurich"),
        ("line = 17 ", "lin = 17 "),
        ('longest_on = "45m"', "longest_on = 45m"),
        ('level = "float"', 'level = "flaot"'),
        ('cycle = "15m on, 45m off"', 'cycle = "15/45"'),
        ("until = 29.0", "until = 33"),
        ('from = "lamp on + 5m"', 'from = "lmap on"'),
        ('measures = "leak"', 'measures = "water"'),
        ("price_per_kwh = 0.28", "price_per_kwh = 0,28"),
    ):
        text = changed(old, new, text=text)
    assert [(f.level, f.line, f.where) for f in findings_in(text)] == [
        ("error", 5, "site.latitude"),
        ("error", 7, "site.timezone"),
        ("error", 14, "loads.pump.lin"),
        ("error", 17, "loads.pump.longest_on"),
        ("error", 22, "loads.pump.level"),
        ("error", 35, "loads.pump.spans.1.cycle"),
        ("error", 41, "loads.pump.variants.0.until"),
        ("error", 77, "loads.fan.spans.0.from"),
        ("error", 87, "sensors.drip.measures"),
        ("error", 97, "energy.price_per_kwh"),
    ]


def test_what_rests_on_a_mistake_is_not_told_as_another() -> None:
    """A load at the top is one mistake, though two anchors follow it."""
    assert [f.where for f in findings_in(changed("[loads.lamp]", "[lamp]"))] == ["lamp"]


def test_a_limit_that_cannot_be_read_is_not_judged_by() -> None:
    """With an unreadable longest_on nobody knows whether fifty minutes are too long."""
    text = changed('cycle = "15m on, 45m off"', 'cycle = "50m on, 10m off"')
    text = changed('longest_on = "45m"', 'longest_on = "soon"', text=text)
    assert [f.where for f in findings_in(text)] == ["loads.pump.longest_on"]


def test_each_cycle_under_a_wrong_bound_is_named() -> None:
    """A bound above the greatest is told, and each of the cycles that break it."""
    text = changed('shortest_on = "5s"', 'shortest_on = "50m"')
    assert [(f.line, f.where) for f in findings_in(text)] == [
        (18, "loads.pump.shortest_on"),
        (21, "loads.pump.without_clock"),
        (29, "loads.pump.spans.0.cycle"),
        (35, "loads.pump.spans.1.cycle"),
        (47, "loads.pump.variants.0.spans.0.cycle"),
        (51, "loads.pump.variants.0.spans.1.cycle"),
        (56, "loads.pump.variants.1.spans.0.cycle"),
    ]


def test_warnings_come_along_with_errors_where_the_form_is_sound() -> None:
    """A rule's error does not hide the warnings of other rules."""
    text = changed('timezone = "Europe/Zurich"', 'timezone = "Mars/Olympus"')
    text = changed('when_stopped = "off"', 'when_stopped = "on"', text=text)
    assert [(f.level, f.where) for f in findings_in(text)] == [
        ("error", "site.timezone"),
        ("warning", "loads.pump.when_stopped"),
    ]


def test_after_a_hundred_the_rest_is_counted() -> None:
    """Of 150 unknown keys the first 100 are told, and how many more there are."""
    text = changed("[guards]", "[guards]\n" + "".join(f"k{n} = {n}\n" for n in range(150)))
    findings = findings_in(text)
    assert [f.where for f in findings[:-1]] == [f"guards.k{n}" for n in range(100)]
    assert findings[-1] == Finding(
        "note",
        "",
        "50 more findings are not shown",
        "mend the ones above, then check the plan again",
    )


def test_the_smallest_plan_misses_nothing() -> None:
    """Six keys make a plan."""
    assert findings_in(SMALLEST) == []


@pytest.mark.parametrize(
    ("old", "new", "where", "mend"),
    [
        pytest.param(
            "[loads.lamp]", "[load.lamp]", "load", "did you mean loads?", id="a family misspelt"
        ),
        pytest.param(
            "[loads.lamp]",
            '[loads."my lamp"]',
            'loads."my lamp"',
            "write [loads.my_lamp]",
            id="a name with a blank",
        ),
        pytest.param(
            "format = 1\n",
            "format = 1\nloads = 5\n[x]\n",
            "loads",
            'write [loads.pump] with kind = "pump", line = 17, active = "low"',
            id="a number for the loads",
        ),
        pytest.param(
            "[loads.lamp]",
            "[sensor.air]\nmeasures = 3\n[loads.lamp]",
            "sensor",
            "did you mean sensors?",
            id="sensors misspelt",
        ),
    ],
)
def test_tables_under_wrong_names_are_recognised(old: str, new: str, where: str, mend: str) -> None:
    """The mend names the table that was meant."""
    text = changed(old, new, text=SMALLEST)
    if "loads = 5" in new:
        text = text.replace("[loads.lamp]\n", "")
    told = [(f.where, f.mend) for f in findings_in(text)]
    assert (where, mend) in told


def test_a_load_with_an_anchor_s_name_is_refused() -> None:
    """Its name would be read as a sun event, and what followed it under its old name is told."""
    text = changed("[loads.lamp]", "[loads.sunset]")
    assert [(f.line, f.where, f.message, f.mend) for f in findings_in(text)][:1] == [
        (
            62,
            "loads.sunset",
            "a load may not be called sunset: anchors and cycles use that word",
            "give it another name, such as [loads.sunset_load]",
        )
    ]


def test_a_plan_beyond_salvage_is_told_by_its_form_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where stand-ins do not make a plan in the passes allowed, its rules are not judged."""
    text = SMALLEST.replace("[loads.lamp]", '[loads."my lamp"]').replace("Zurich", "Zurisch")
    wheres = ["site.timezone", 'loads."my lamp"']
    assert [f.where for f in findings_in(text)] == wheres
    monkeypatch.setattr(plan_salvage, "_PASSES_MAX", 1)
    assert [f.where for f in findings_in(text)] == wheres[1:]
