"""What stood at a moment, from the entries before it."""

from __future__ import annotations

import pytest

from controller.core.journal_entry import Entry, Numbered
from controller.core.standing import alarm_code, standing


def _line(number: int, what: str, subject: str = "", detail: str = "") -> Numbered:
    return Numbered(number, Entry(number, number, True, what, subject, "", detail))


@pytest.mark.parametrize(
    ("told", "stands"),
    [
        pytest.param([("alarm", "floor", "leak")], [0], id="an alarm"),
        pytest.param(
            [("alarm", "floor", "leak"), ("alarm acknowledged", "floor", "leak, by Wren")], [0],
            id="seen, and its cause not over",
        ),
        pytest.param(
            [("alarm", "floor", "leak: wet"), ("alarm over", "floor", "leak, by Wren")], [],
            id="over",
        ),
        pytest.param(
            [("alarm", "floor", "leak"), ("alarm over", "attic", "leak")], [0],
            id="another's is over",
        ),
        pytest.param(
            [("alarm", "pump", "no flow"), ("alarm", "pump", "kept waiting: watts at once"),
             ("alarm over", "pump", "kept waiting")], [0], id="two of one load",
        ),
        pytest.param(
            [("alarm", "floor", "leak"), ("alarm", "floor", "leak")], [0],
            id="raised again, since the first time",
        ),
        pytest.param(
            [("hold began", "fan", "on"), ("hold began", "fan", "off")], [1],
            id="a hold in place of another",
        ),
        pytest.param([("hold began", "fan", "on"), ("hold ended", "fan", "")], [], id="held"),
        pytest.param(
            [("everything stopped", "button", ""), ("stop released", "", "")], [], id="a stop",
        ),
        pytest.param(
            [("clock not trusted", "", ""), ("variant entered", "pump", "hot")], [0, 1],
            id="in the order in which they began",
        ),
        pytest.param([("on", "pump", ""), ("plan taken", "", "")], [], id="what does not stand"),
    ],
)  # fmt: skip
def test_what_began_and_did_not_end_stands(
    told: list[tuple[str, str, str]], stands: list[int]
) -> None:
    """Told by the entry that began it."""
    lines = [_line(number, *one) for number, one in enumerate(told)]
    assert [line.number for line in standing(lines)] == stands


def test_an_alarms_code_is_read_from_its_entry() -> None:
    """Whatever else it says; none where it says none."""
    assert alarm_code(_line(1, "alarm", "pump", "roots left dry: for 5 h").entry) == (
        "roots left dry"
    )
    assert alarm_code(_line(1, "alarm", "pump", "rain").entry) == ""
