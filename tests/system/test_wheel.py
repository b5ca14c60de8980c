"""The wheel that people install works with its run-time dependencies alone."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from controller import __version__
from tests.readme import ROOT

_PLAN = "plan.toml"


def _run(*words: str | Path, cwd: Path) -> str:
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    done = subprocess.run(  # noqa: S603 - our own words
        [str(word) for word in words],
        cwd=cwd, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_built_wheel_checks_and_dry_runs_a_plan(tmp_path: Path) -> None:
    """Built from this folder, installed alone, used from another folder."""
    environment = tmp_path / "environment"
    _run(sys.executable, "-m", "venv", environment, cwd=tmp_path)
    pip = (environment / "bin" / "pip", "--disable-pip-version-check", "--quiet")
    _run(*pip, "wheel", "--no-deps", "--wheel-dir", tmp_path, ROOT, cwd=tmp_path)
    (wheel,) = tmp_path.glob("rootclock-*.whl")
    assert __version__ in wheel.name
    _run(*pip, "install", wheel, cwd=tmp_path)

    rootclock = environment / "bin" / "rootclock"
    (tmp_path / _PLAN).write_text(_run(rootclock, "example", "porch", cwd=tmp_path), "utf-8")
    assert "Fit to run" in _run(rootclock, "check", _PLAN, cwd=tmp_path)
    assert "sunrise" in _run(rootclock, "day", _PLAN, "--on", "2026-07-01", cwd=tmp_path)
    picture = tmp_path / "week.svg"
    words = ("dry-run", _PLAN, "--from", "2026-07-01", "--days", "7", "--picture", picture)
    assert "longest dry gap" in _run(rootclock, *words, cwd=tmp_path)
    assert picture.read_text("utf-8").rstrip().endswith("</svg>")

    installed = _run(*pip, "list", "--format=freeze", cwd=tmp_path)
    assert "pytest" not in installed
    assert "numpy" not in installed
