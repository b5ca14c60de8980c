"""What importing the drivers costs and leaves behind; each in a process of its own."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
needs_lgpio = pytest.mark.skipif(
    importlib.util.find_spec("_lgpio") is None, reason="lgpio is not installed"
)


def told_by(code: str, folder: Path | str, environment: dict[str, str] | None = None) -> list[str]:
    """The lines that some Python prints when it runs in a folder."""
    done = subprocess.run(  # noqa: S603 - our own text
        [sys.executable, "-W", "error", "-c", code],
        cwd=folder,
        env={"PYTHONPATH": str(ROOT), **(environment or {})},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout.splitlines()


IMPORTING = """
import os, sys
from pathlib import Path
from controller.shell.board.lgpio_import import import_lgpio
lgpio = import_lgpio(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
assert lgpio is import_lgpio() and callable(lgpio.gpio_claim_output)
print(os.getcwd(), os.environ.get("LG_WD"))
"""


@needs_lgpio
@pytest.mark.parametrize("environment", [{}, {"LG_WD": "/nowhere"}])
def test_the_import_leaves_nothing_behind(tmp_path: Path, environment: dict[str, str]) -> None:
    """No FIFO in any directory, and the process's directory and environment as before."""
    here = tmp_path / "here"
    passing = tmp_path / "passing"
    here.mkdir()
    passing.mkdir()
    code = f"import sys; sys.argv.append({str(passing)!r}){IMPORTING}"
    assert told_by(code, here, environment) == [f"{here} {environment.get('LG_WD')}"]
    assert sorted(tmp_path.rglob("*")) == [here, passing]


@needs_lgpio
def test_a_directory_that_cannot_be_written_does_not_matter(tmp_path: Path) -> None:
    """Not even root can write to /proc; lgpio's own import would fail there."""
    assert told_by(IMPORTING, "/proc", {"TMPDIR": str(tmp_path)}) == ["/proc None"]
    assert list(tmp_path.iterdir()) == []


def test_without_any_directory_to_write_it_is_told(tmp_path: Path) -> None:
    """Where a directory was named that cannot be written."""
    code = (
        "from pathlib import Path\n"
        "from controller.core.errors import UnusableBoardError\n"
        "from controller.shell.board.board import open_board\n"
        "try:\n    open_board(is_mock=False, work_dir=Path('/proc'))\n"
        "except UnusableBoardError as error:\n    print(error)"
    )
    (told,) = told_by(code, tmp_path)
    assert told.startswith("the GPIO driver needs a directory that can be written, for a moment: ")


def test_a_directory_with_too_long_a_name_is_told(tmp_path: Path) -> None:
    """The driver would silently use another one."""
    deep = tmp_path
    for _ in range(5):
        deep /= "d" * 250
    deep.mkdir(parents=True)
    code = (
        "from pathlib import Path\n"
        "from controller.core.errors import UnusableBoardError\n"
        "from controller.shell.board.lgpio_import import import_lgpio\n"
        f"try:\n    import_lgpio(Path({str(deep)!r}))\n"
        "except UnusableBoardError as error:\n    print(error)"
    )
    (told,) = told_by(code, tmp_path)
    assert told.startswith("the GPIO driver cannot use a directory with a name as long as ")
    assert list(deep.iterdir()) == []


def test_a_missing_driver_is_told(tmp_path: Path) -> None:
    """With what to install."""
    code = (
        "import sys; sys.modules['_lgpio'] = None\n"
        "from controller.core.errors import UnusableBoardError\n"
        "from controller.shell.board.board import open_board\n"
        "try:\n    open_board(is_mock=False)\n"
        "except UnusableBoardError as error:\n    print(error)"
    )
    (told,) = told_by(code, tmp_path)
    assert told.startswith("the GPIO driver cannot be loaded (")
    assert told.endswith("install lgpio 0.2.2 or later")
    assert list(tmp_path.iterdir()) == []


def test_gpiozero_is_imported_only_when_a_board_is_opened(tmp_path: Path) -> None:
    """And lgpio only for a real one."""
    code = (
        "import sys\n"
        "from controller.shell.board import board, chips, inputs, relays\n"
        "chips.why_no_gpio()\n"
        "print('gpiozero' in sys.modules, 'lgpio' in sys.modules)\n"
        "board.open_board(is_mock=True).close()\n"
        "print('gpiozero' in sys.modules, 'lgpio' in sys.modules)"
    )
    assert told_by(code, tmp_path) == ["False False", "True False"]
