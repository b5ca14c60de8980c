"""README keeps its word: every output in it is real."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from controller.cli.main import main
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


def test_the_outage_is_as_long_as_it_says(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """README's fault script, tried on the porch plan that it tells to begin with."""
    (script,) = re.findall(r"```toml\n# outage\.toml\n(.*?)```", _TEXT, re.S)
    outage = tmp_path / "outage.toml"
    outage.write_text(script, encoding="utf-8")
    words = "--from 2026-07-12 --days 1 --faults"
    assert f"rootclock dry-run plan.toml {words} outage.toml" in _TEXT
    porch = ROOT / "controller" / "examples" / "porch.toml"
    assert main(["dry-run", str(porch), *words.split(), str(outage)]) == 1
    told = capsys.readouterr().out
    for figure in ("dry for 3 h 31 min", "the limit is 50 min"):
        assert figure in told
    assert "were dry for 3 h 31 min" in _TEXT
