"""What importing the board costs and leaves behind; in a process of its own."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_gpiozero_is_imported_only_when_a_board_is_opened(tmp_path: Path) -> None:
    """Never by asking whether there is one; and no driver of its own ever."""
    code = (
        "import sys\n"
        "from controller.shell.board import board, chips, inputs, relays\n"
        "chips.why_no_gpio()\n"
        "print('gpiozero' in sys.modules)\n"
        "board.open_board(is_mock=True).close()\n"
        "import controller.shell.board.kernel_pins\n"
        "drivers = {'lgpio', 'RPi', 'pigpio', 'gpiozero.pins.native'}\n"
        "print('gpiozero' in sys.modules, sorted(drivers.intersection(sys.modules)))"
    )
    done = subprocess.run(  # noqa: S603 - our own text
        [sys.executable, "-W", "error", "-c", code],
        cwd=tmp_path,
        env={"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == ["False", "True []"]
    assert list(tmp_path.iterdir()) == []
