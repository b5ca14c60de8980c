"""Plans in which a few values are none that anybody sane would write, each made from one number.

A value is mostly replaced by another of its kind, so that many of these plans are allowed, and
what carries them out meets the ends of every range; else by anything at all, and now and then a
line is lost, doubled or lands elsewhere.
"""

from __future__ import annotations

import re
from random import Random

from controller.shell.examples import example_names, example_text
from tests.plan_texts import COLUMNS, PLAN, SMALLEST

_NUMBERS = (
    *("0", "-0.0", "5e-324", "1e-300", "1e-9", "1e-5", "0.05", "0.1", "0.5", "0.9", "1", "2", "5"),
    *("20", "30", "45", "50", "53", "60", "90", "-90", "100", "120", "180", "-180", "400", "-500"),
    *("1000", "2500", "5000", "6000", "10000", "20000", "100000", "1e6", "1e9", "1e308", "1e400"),
)
_FACTORS = (1e-300, 1e-6, 1e-3, 0.1, 0.5, 0.999, 1, 1.001, 2, 3, 10, 100)
_LENGTHS = ("0s", "0.001s", "0.1s", "1s", "5s", "30s", "1m", "15m", "45m", "1h", "24h", "168h")
_CYCLES = (
    *("on", "off", "0.1s on, 0.1s off", "5s on, 168h off", "168h on, 5s off", "15m off, 15m on"),
    *("15m on", "1s on, 1s on, 1s off", "5s on, 5s off, 7m on, 33s off", "demand"),
)
_ANCHORS = (
    *("00:00", "23:59:59", "02:30", "sunrise", "sunset", "dawn - 12h", "dusk + 12h"),
    *("sunset + 24h", "sunrise - 24h", "lamp on", "lamp off + 1h", "00:00 - 5m", "23:59 + 5m"),
)
_ZONES = ("Etc/UTC", "Pacific/Apia", "Antarctica/Troll", "Asia/Kathmandu", "Etc/GMT-14")
_ANYTHING = (
    *("nan", "-inf", "9" * 5_000, "0x" + "f" * 5_000, "true", "[]", "{}", '""', '"\\u0000"'),
    *('"\\uFFFF"', "1979-05-27T07:32:00Z", "07:32:00", "2199-12-30", '"../../x"', "[[0, 0]]"),
)
_KINDS = (
    (re.compile(r"-?[0-9.]+"), _NUMBERS),
    (re.compile(r'"(?:[0-9.]+[hms])+"'), tuple(f'"{one}"' for one in _LENGTHS)),
    (re.compile(r'"(?:on|off|demand|.* (?:on|off))"'), tuple(f'"{one}"' for one in _CYCLES)),
    (re.compile(r'"(?:[0-9:]+|sun|dawn|dusk).*"'), tuple(f'"{one}"' for one in _ANCHORS)),
    (re.compile(r'"[A-Z]\w+/\w+"'), tuple(f'"{one}"' for one in _ZONES)),
)
_VALUE = re.compile(r'(\w+) = ("[^"]*"|-?[0-9][0-9.]*|true|false)')
_EXAMPLES = [text for text in map(example_text, example_names()) if "[site]" in text]
BASES = (*_EXAMPLES, PLAN, COLUMNS, SMALLEST)
_ELSEWHERE = sorted(set(_VALUE.findall("\n".join(BASES))))  # keys with values of theirs


def hostile_plan(seed: int) -> str:
    """The plan of that number, as text."""
    dice = Random(f"values {seed}")
    lines = dice.choice(BASES).splitlines()
    for _ in range(dice.choice((1, 1, 1, 2, 3))):
        place = dice.randrange(len(lines))
        deed = dice.random()
        if deed < 0.9:
            with_values = [number for number, line in enumerate(lines) if _VALUE.search(line)]
            place = dice.choice(with_values)
            lines[place] = _other_value(dice, lines[place])
        elif deed < 0.94:
            del lines[place]
        elif deed < 0.97:
            lines.insert(dice.randrange(len(lines)), lines[place])
        else:
            other = dice.randrange(len(lines))
            lines[place], lines[other] = lines[other], lines[place]
    return "\n".join([*lines, ""])


def _other_value(dice: Random, line: str) -> str:
    """The line with one of its values replaced."""
    found = dice.choice(list(_VALUE.finditer(line)))
    key, value = found.groups()
    kinds = [pool for pattern, pool in _KINDS if pattern.fullmatch(value)]
    chance = dice.random()
    if chance < 0.05:
        value = dice.choice(_ANYTHING)
    elif chance < 0.5 and _KINDS[0][0].fullmatch(value):
        value = f"{float(value) * dice.choice(_FACTORS):.6g}"
    elif chance < 0.8 and kinds:
        value = dice.choice(kinds[0])
    else:
        value = dice.choice([other for name, other in _ELSEWHERE if name == key])
    return line[: found.start(2)] + value + line[found.end(2) :]
