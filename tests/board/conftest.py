"""The virtual board's tests run only when they are named: `pytest tests/board`.

They need an emulator, a minute or two to build the board's disk the first time, and some
minutes to run.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Protocol

import pytest

from tests.board.installed_disk import Installed, installed
from tests.board.scenario import Relay, Scenario
from tests.board.timeline_text import timeline_text

if TYPE_CHECKING:
    from collections.abc import Iterator

HERE = Path(__file__).parent
_told = pytest.StashKey[list[tuple[str, str]]]()
_made = pytest.StashKey[list[Scenario]]()


class NewScenario(Protocol):
    """Makes the test's board."""

    def __call__(self, *relays: Relay, plan: str, inputs: dict[int, str] | None = None) -> Scenario:
        """A board with these relays, and this plan on its disk."""


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Leaves this folder out unless it, or something in it, was asked for."""
    asked = (Path(config.invocation_params.dir, word.partition("::")[0]) for word in config.args)
    is_asked = any(HERE in (path.resolve(), *path.resolve().parents) for path in asked)
    return None if is_asked else True


@pytest.fixture(scope="session")
def board() -> Installed:
    """The installed board that every scenario starts from."""
    return installed()


@pytest.fixture
def new_scenario(
    request: pytest.FixtureRequest, board: Installed, tmp_path: Path
) -> Iterator[NewScenario]:
    """Makes boards; at the end of the test their power is off and their story is told."""
    made: list[Scenario] = request.node.stash.setdefault(_made, [])

    def make(*relays: Relay, plan: str, inputs: dict[int, str] | None = None) -> Scenario:
        folder = tmp_path / f"board-{len(made) + 1}"
        folder.mkdir()
        made.append(Scenario(request.node.name, folder, board, relays, plan=plan, inputs=inputs))
        return made[-1]

    yield make
    for scenario in made:
        scenario.close()
        story = timeline_text(scenario)
        request.config.stash.setdefault(_told, []).append((scenario.name, story))


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> None:
    """A scenario that fails shows the last that its board said."""
    if call.when == "call" and call.excinfo is not None:
        for scenario in item.stash.get(_made, []):
            if scenario.machines:
                item.add_report_section("call", "console", scenario.machine.console_tail(120))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Tells every scenario's story, whether it went well or not."""
    for name, story in terminalreporter.config.stash.get(_told, []):
        terminalreporter.section(name, sep="-")
        terminalreporter.write_line(story)
