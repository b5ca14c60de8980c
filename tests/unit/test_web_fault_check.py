"""A fault script looked at before anything is run: POST /dry-run/faults, as its worker answers."""

from __future__ import annotations

import json
from typing import Any

import pytest

from controller.shell.examples import example_text
from web.paper.jobs import answer

PLAN = example_text("hot-afternoon")
FROM, UNTIL = 'from = "2026-07-12T13:00"', 'until = "2026-07-12T16:30"'
POWER_OUT = f'[[faults]]\nkind = "power_out"\n{FROM}\n{UNTIL}\n'


def _checked(text: str, plan: str | None = PLAN) -> Any:
    told = answer({"job": "faults", "text": text, "plan": plan})["result"]
    json.dumps(told, allow_nan=False)  # it travels as JSON
    assert told["is_fit"] is not bool(told["complaints"])
    return told


def _complaints(text: str, plan: str | None = PLAN) -> list[tuple[str, str]]:
    return [(one["where"], one["message"]) for one in _checked(text, plan)["complaints"]]


def test_a_script_that_fits_is_told_as_json() -> None:
    """So that a form can show it; the same with a plan and without."""
    hold = '[[faults]]\nkind = "hold"\nload = "pump"\norder = "hot"\nfor = "20m"\n'
    text = POWER_OUT + hold + "at = 2026-07-12T08:00:00\n"
    told = _checked(text)
    assert told["complaints"] == []
    assert told["document"] == {
        "faults": [
            {"kind": "power_out", "from": "2026-07-12T13:00", "until": "2026-07-12T16:30"},
            {
                "kind": "hold", "load": "pump", "order": "hot", "for": "20m",
                "at": "2026-07-12 08:00:00",
            },
        ]
    }  # fmt: skip
    assert _checked(text, None) == told


def test_a_script_without_faults_says_so() -> None:
    """What is missing is told as its name; a list that is there may be empty."""
    wanted = 'each fault is a table [[faults]] with a kind, like kind = "power_out"'
    assert _complaints("# nothing yet\r\n") == [("faults", f"is missing; {wanted}")]
    assert _checked("faults = []\n")["is_fit"]


@pytest.mark.parametrize("text", ["", " \r\n\n"])
def test_an_empty_script_is_told_of_as_a_script(text: str) -> None:
    """Not as a plan, which it was not meant to be."""
    (complaint,) = _complaints(text)
    assert "[[faults]]" in complaint[1]
    assert "[site]" not in complaint[1]


@pytest.mark.parametrize(
    ("text", "where", "message"),
    [
        ("[[faults]\n", "", "not TOML"),
        ("a = " + "[" * 5_000, "", "more than 16 deep"),
        ("faults = []\nfault = 5\n", "fault", "did you mean faults?"),
        ("faults = 5\n", "faults", "a list of tables [[faults]] is wanted"),
        ('[[faults]]\nkind = "power_uot"\n', "faults.0", "did you mean power_out?"),
        (POWER_OUT.replace(UNTIL, ""), "faults.0.until", "is missing"),
        (POWER_OUT.replace(FROM, 'from = "noon"'), "faults.0.from", "'noon' is not a time"),
        (POWER_OUT.replace(FROM, "from = 5"), "faults.0.from", "5 is not a time"),
        (POWER_OUT + 'clock_unknown_for = "3 min"\n', "faults.0.clock_unknown_for", "3 min"),
        (POWER_OUT + POWER_OUT + 'lood = "x"\n', "faults.1.lood", "there is no such key"),
    ],
)
def test_what_is_no_script_is_told_with_its_place(text: str, where: str, message: str) -> None:
    """By the place at which a form has its field; the plan does not matter to that."""
    (complaint,) = _complaints(text)
    assert complaint[0] == where
    assert message in complaint[1]
    assert _complaints(text, None) == [complaint]


def _of_sensor(name: str, value: str) -> str:
    return (
        f'[[faults]]\nkind = "sensor_reads"\nsensor = "{name}"\nvalue = {value}\n{FROM}\n{UNTIL}\n'
    )


@pytest.mark.parametrize("value", ["inf", "nan", '"hot"', "true", "[1]"])
def test_a_reading_that_is_no_number_is_refused(value: str) -> None:
    """No sensor tells such a thing, and no JSON could; the document has it as text."""
    told = _checked(_of_sensor("air", value))
    assert [one["where"] for one in told["complaints"]] == ["faults.0.value"]
    assert told["document"]["faults"][0]["sensor"] == "air"


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        (_of_sensor("soil", "1"), "sensor_reads", "sensor 'soil'"),
        (
            f'[[faults]]\nkind = "pump_fails"\nload = "pmup"\n{FROM}\n{UNTIL}\n',
            "pump_fails",
            "there is no load 'pmup'; the plan has pump",
        ),
        (POWER_OUT.replace("16:30", "12:30"), "power_out", "not after its start"),
        (POWER_OUT.replace("16:30", "13:00"), "power_out", "not after its start"),
        (
            '[[faults]]\nkind = "hold"\nload = "pump"\norder = "warm"\nfor = "20m"\n'
            'at = "2026-07-12T08:00"\n',
            "hold",
            "'warm'",
        ),
    ],
)
def test_what_does_not_fit_the_plan_is_told_of_the_fault(
    text: str, kind: str, message: str
) -> None:
    """Not of a field of it; without a plan nobody can know."""
    (complaint,) = _complaints(POWER_OUT + text)
    assert complaint[0] == f"faults.1 ({kind})"
    assert message in complaint[1]
    assert _checked(POWER_OUT + text, None)["is_fit"]


def test_the_site_s_clock_tells_what_is_later() -> None:
    """On the night on which the clocks go back, half past two comes twice, and 02:30 is the first
    of both; on the one on which they go forward it does not come, and is 03:00 (design, rule 2).
    Source of both dates: Directive 2000/84/EC."""
    back = POWER_OUT.replace("2026-07-12T13:00", "2026-10-25T02:30")
    first, second = "2026-10-25T02:30:00+02:00", "2026-10-25T02:30:00+01:00"
    assert _complaints(back.replace("2026-07-12T16:30", first)) != []
    assert _complaints(back.replace("2026-07-12T16:30", second)) == []
    forward = POWER_OUT.replace("2026-07-12T13:00", "2026-03-29T02:30")
    assert _complaints(forward.replace("2026-07-12T16:30", "2026-03-29T03:00")) != []
    assert _complaints(forward.replace("2026-07-12T16:30", "2026-03-29T03:01")) == []


def test_a_plan_that_cannot_be_read_is_told_elsewhere() -> None:
    """Where it is chosen; here the script alone is judged."""
    assert _checked(_of_sensor("soil", "1"), "?") == _checked(_of_sensor("soil", "1"), None)
    assert _complaints("?", "?") == _complaints("?", None) != []


def test_very_many_mistakes_are_told_in_part() -> None:
    """Fifty, and how many there are more."""
    complaints = _complaints('[[faults]]\nkind = "stop"\n' * 60)
    assert [where for where, _ in complaints[:50]] == [f"faults.{n}.at" for n in range(50)]
    assert complaints[50:] == [("", "and 10 mistakes more")]


def test_too_many_faults_are_refused() -> None:
    """A script is bounded; the message says by how much."""
    text = '[[faults]]\nkind = "stop"\nat = "2026-07-12T08:00"\n'
    assert _checked(text * 2_000)["is_fit"]
    (complaint,) = _complaints(text * 2_001)
    assert complaint[0] == "faults"
    assert "2000" in complaint[1]
