"""What loads did, from entries: states, stretches on, and when no controller ran."""

from __future__ import annotations

import pytest

from controller.core.journal_history import History, State, Told, history_of, on_stretches


def _told(at: int, what: str, load: str = "pump", why: str = "plan") -> Told:
    return Told(what, load, at, why)


def _history(entries: list[Told], until: int = 100) -> History:
    return history_of(entries, until=until)


@pytest.mark.parametrize(
    ("entries", "on", "away"),
    [
        pytest.param([], [], [], id="nothing is known"),
        pytest.param([_told(5, "on"), _told(20, "off")], [(5, 20)], [], id="once"),
        pytest.param([_told(90, "on")], [(90, 100)], [], id="still on"),
        pytest.param(
            [_told(5, "on"), _told(8, "on", why="hold"), _told(9, "off")], [(5, 9)], [],
            id="told on again for another reason",
        ),
        pytest.param([_told(5, "on"), _told(5, "off")], [], [], id="an instant is no time"),
        pytest.param(
            [_told(0, "on"), _told(7, "alarm", "float"), _told(40, "controller started", ""),
             _told(40, "on"), _told(45, "off")],
            [(0, 7), (40, 45)], [(7, 40)], id="a death without a word ends it with the last entry",
        ),
        pytest.param(
            [_told(0, "on"), _told(10, "controller ended", ""),
             _told(12, "controller started", ""), _told(12, "on")],
            [(0, 10), (12, 100)], [(10, 12)], id="an orderly end",
        ),
        pytest.param(
            [_told(0, "on"), _told(10, "controller ended", "")], [(0, 10)], [(10, 100)],
            id="ended, and not started since",
        ),
        pytest.param(
            [_told(30, "on"), _told(10, "off"), _told(40, "on"), _told(50, "off")], [(40, 50)], [],
            id="a clock that was put back makes no time negative",
        ),
    ],
)  # fmt: skip
def test_what_a_load_did(
    entries: list[Told], on: list[tuple[int, int]], away: list[tuple[int, int]]
) -> None:
    """Half open; nothing is claimed of times that nobody saw."""
    history = _history(entries)
    assert on_stretches(history.states.get("pump", ())) == on
    assert list(history.away) == away


def test_states_keep_the_rule_that_decided() -> None:
    """By load, off as well as on."""
    history = _history([_told(5, "off", why="leak"), _told(20, "on"), _told(6, "on", "lamp")], 30)
    assert history.states == {
        "pump": (State(5, 20, False, "leak"), State(20, 30, True, "plan")),
        "lamp": (State(6, 30, True, "plan"),),
    }
