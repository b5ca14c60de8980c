"""Lines of a plan's places in the ways that people write TOML; all ways are held by the
property test."""

from __future__ import annotations

import pytest

from controller.core.errors import BadRequestError
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.scan import scan
from tests.plan_texts import PLAN

_LINES = Lines(PLAN)


@pytest.mark.parametrize(
    ("where", "line"),
    [
        pytest.param("format", 2, id="a pair at the top"),
        pytest.param("site", 4, id="a table"),
        pytest.param("site.typical_day.warmest_c", 9, id="within braces"),
        pytest.param("loads", 12, id="a table that only others imply"),
        pytest.param("loads.pump", 12, id="a table of two names"),
        pytest.param("loads.pump.spans", 27, id="a list of headers: its first"),
        pytest.param("loads.pump.spans.1", 33, id="an item"),
        pytest.param("loads.pump.spans.1.cycle", 35, id="a key of an item"),
        pytest.param("loads.pump.variants.0.spans.1.from", 50, id="an item of an item"),
        pytest.param("loads.pump.variants.1.spans.0.cycle", 56, id="braces within brackets"),
        pytest.param("loads.lamp.spans", 67, id="a list over several lines"),
        pytest.param("loads.lamp.spans.1.cycle", 70, id="an item on a line of its own"),
        pytest.param("sensors.air", 80, id="a table that dotted keys imply"),
        pytest.param("sensors.float.measures", 84, id="a dotted key"),
        pytest.param("sensors.meter.measures", 86, id="a key in braces in a table"),
        pytest.param("loads.lamp.longest_on", 62, id="missing from a table"),
        pytest.param("loads.lamp.spans.7.cycle", 67, id="missing from a list"),
        pytest.param("sensors.air.unit", 80, id="missing from a dotted table"),
        pytest.param("nowhere.at.all", 1, id="missing from the plan"),
        pytest.param("", 1, id="the plan itself"),
    ],
)
def test_a_place_has_the_line_that_a_person_looks_for(where: str, line: int) -> None:
    """Values have their key's line, missing things that of what they are missing from."""
    assert _LINES.of(where) == line


def test_the_lines_of_a_place_that_is_none_are_refused() -> None:
    """A badly written place is said to be one."""
    with pytest.raises(BadRequestError):
        _LINES.of("loads..pump")


def test_comments_and_texts_may_hold_any_sign() -> None:
    """Brackets, equals signs, marks and line breaks in comments and texts count for nothing."""
    text = (
        '# [a] x = 1 """\n'
        'a = "] # = [b]\\" {"  # "\n'
        "b = '\\'\n"
        'c = """\n[c]\nd = 1 \\"""\n""""" # two marks more\n'
        "e = '''\n[e]''''\n"
        "f = 1979-05-27 07:32:00.5Z\n"
        "\"g = 1\".'h' = 2\n"
    )
    lines = Lines(text)
    wheres = ("a", "b", "c", "e", "f", '"g = 1".h')
    assert [lines.of(where) for where in wheres] == [2, 3, 4, 8, 10, 11]


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("a = [", 1),
        ("a = [1, 2", 3),
        ("a = {", 1),
        ("a = { b", 1),
        ("a = [{ b = 1", 3),
        ("[a", 1),
        ("a =", 1),
        ("a", 0),
        ("]", 0),
        ("= 1", 1),
        (r'"\q" = 1', 1),
        ("a = [=", 2),
        ('a = "b', 1),
        ("a = '''b\n\n", 1),
        ('a = """\\', 1),
    ],
)
def test_a_text_that_breaks_off_is_scanned_up_to_there(text: str, count: int) -> None:
    """Half a plan has the marks of its half; what lies before a syntax error is half a plan."""
    assert len(scan(text)) == count
