"""README keeps its word: every output in it is real."""

from __future__ import annotations

import re
import tomllib

import pytest

from tests.readme import README, ROOT, Shown, output_of, shown_in

_TEXT = README.read_text(encoding="utf-8")
_SHOWN = shown_in(_TEXT)


@pytest.mark.parametrize("shown", _SHOWN, ids=lambda shown: shown.words)
def test_every_output_is_what_the_command_prints(shown: Shown) -> None:
    """The text below each command is the command's output, to the letter."""
    assert shown.output == output_of(shown.words)


def test_every_example_plan_is_shown_at_work() -> None:
    """Each plan in the examples folder is given to a command in the README."""
    examples = sorted(path.name for path in (ROOT / "controller" / "examples").glob("*.toml"))
    run = [
        name for name in examples if any(f"controller/examples/{name}" in s.words for s in _SHOWN)
    ]
    assert run == examples
    assert len(examples) >= 5


def test_the_two_commands_stand_in_it_as_the_scripts_know_them() -> None:
    """README's set-up commands name files that exist, and the CI runs the second of them."""
    first, second = re.findall(r"^```\n(.*?)\n```$", _TEXT, re.M | re.S)[:2]
    assert first == "bash systemd/try start"
    assert (ROOT / "systemd" / "try").is_file()
    assert second == "bash tests/run"
    assert "exec bash tests/run\n" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_the_toml_in_it_is_toml() -> None:
    """Whatever a reader copies out of the README can be read."""
    blocks = re.findall(r"```toml\n(.*?)```", _TEXT, re.S)
    assert blocks
    for block in blocks:
        assert tomllib.loads(block)


def test_the_cautions_stand_in_it() -> None:
    """Water, mains and pumps can hurt, and README says how not to be hurt."""
    for word in ("low voltage", "GFCI", "RCD", "drip loop", "enclosure", "Unplug", "Local codes",
                 "licensed people"):  # fmt: skip
        assert word in _TEXT
