"""Real processes upon a chip of pretence: what the kernel is asked, and what a kill leaves."""

from __future__ import annotations

import os
import random
import subprocess
from pathlib import Path

import pytest

from tests.stage.chip import LINES, Chip, Line, compiled, new_chip, why_no_chip

SEED = 20_240_611
# 3 take a second; a long run (ROOTCLOCK_EXAMPLES=10000) kills 100.
KILLS = max(3, int(os.environ.get("ROOTCLOCK_EXAMPLES", "0")) // 100)


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The chip of pretence, compiled."""
    if why := why_no_chip():
        pytest.skip(why)
    return compiled(tmp_path_factory.mktemp("chip"))


@pytest.fixture
def chip(library: Path, tmp_path: Path) -> Chip:
    """A chip whose lines are all low and free."""
    return new_chip(library, tmp_path)


def test_the_kernel_sees_one_request_a_line_and_one_a_switching(chip: Chip) -> None:
    """And no line is ever asked for as an input."""
    told = chip.run(
        """
print(*board.chip)
print(board.relays.rewire([pump, fan], {"pump": False, "fan": False}))
print(board.relays.switch("pump", is_on=True), board.relays.disobedient())
print(board.relays.rewire([pump._replace(line=22)], {"pump": True}))
board.relays.release()
print(board.relays.disobedient(), board.relays.faults())
"""
    )
    assert told == ["/dev/gpiochip0 chip of pretence 54", "()", "True ()", "()", "() {}"]
    assert chip.told() == [
        "output 17 1",
        "output 18 1",
        "set 17 0",
        "set 17 1",  # the pump leaves its line, the fan leaves the plan
        "set 18 0",
        "free 17 1",
        "free 18 0",
        "output 22 0",
        "set 22 1",
        "free 22 1",
    ]


def test_nothing_touches_the_lines_between_release_and_the_end(chip: Chip) -> None:
    """Neither gpiozero's clean-up at exit nor Python's own."""
    chip.run('board.relays.rewire([pump], {"pump": True}); board.relays.release(); sys.exit(0)')
    assert chip.told() == ["output 17 0", "set 17 1", "free 17 1"]
    assert chip.line(17) == Line(is_output=True, level=True, debounce_us=0, bias=0)


def test_a_board_that_is_open_leaves_everything_else_as_it_was(chip: Chip, tmp_path: Path) -> None:
    """No thread that would wake up without a cause, no file, no other directory."""
    here = tmp_path / "here"
    here.mkdir()
    told = chip.run(
        """
os.chdir(sys.argv[2])
board.relays.rewire([pump, fan], {"pump": True, "fan": False})
board.relays.switch("pump", is_on=False)
print(os.listdir("/proc/self/task") == [str(os.getpid())], os.getcwd())
""",
        here,
    )
    assert told == [f"True {here}"]
    assert list(here.iterdir()) == []


def test_descriptors_are_given_back(chip: Chip) -> None:
    """Those of lines that left, and at the end all (two a line on this chip, one for itself)."""
    told = chip.run(
        """
count = lambda: len(os.listdir("/proc/self/fd"))
begun = count()
for load, lines in (("pump", range(2, 20)), ("lamp", range(10, 28)), ("fan", [5])):
    wires = [Wire(f"{load} {line}", line, True, False, False, True) for line in lines]
    board.relays.rewire(wires, {wire.load: False for wire in wires})
    print(count() - begun)
board.close()
print(count() - begun)
"""
    )
    assert told == ["36", "36", "2", "-1"]


def test_after_a_kill_the_way_out_makes_the_lines_safe(chip: Chip) -> None:
    """The lines keep their levels, as on the board; the next start claims each by one request."""
    running = (
        'board.relays.rewire([pump, fan], {"pump": True, "fan": False})\nprint()\nsignal.pause()'
    )
    with chip.start(running) as process:
        assert process.stdout is not None
        process.stdout.readline()
        process.kill()
    assert (chip.line(17).level, chip.line(18).level) == (False, True)
    chip.told()
    assert chip.way_out() == (0, "relay lines: 2 at their safe level\n")
    assert chip.told() == ["output 17 1", "output 18 0"]
    assert (chip.line(17).level, chip.line(18).level) == (True, False)
    chip.run('board.relays.rewire([pump, fan], {"pump": True, "fan": True})')
    assert chip.told() == ["output 17 0", "output 18 0"]


def test_the_way_out_leaves_another_chip_alone(chip: Chip) -> None:
    """The numbers of chips may change from one boot to the next; its label tells which it is."""
    chip.run('board.relays.rewire([pump], {"pump": True})')
    chip.note.write_text(chip.note.read_text().replace("pretence", "yesterday"))
    chip.told()
    assert chip.way_out() == (
        1,
        "relay lines: /dev/gpiochip0 is 'chip of pretence', "
        "but the lines are those of 'chip of yesterday'\n",
    )
    assert chip.told() == []


def test_a_kill_at_any_moment_leaves_nothing_on(chip: Chip) -> None:
    """While lines come, go and swap as fast as they can; takes a second for three processes."""
    moments = random.Random(SEED)
    code = """
print(flush=True)
choices = random.Random(int(sys.argv[2]))
while True:
    lines = choices.sample(range(2, 28), 6)
    wires = [Wire(f"load{n}", line, True, False, False, True) for n, line in enumerate(lines)]
    board.relays.rewire(wires, {wire.load: True for wire in wires})
    board.relays.switch("load0", is_on=False)
"""
    for turn in range(KILLS):
        with chip.start(code, str(turn)) as process:
            assert process.stdout is not None
            process.stdout.readline()
            with pytest.raises(subprocess.TimeoutExpired):
                process.wait(moments.uniform(0.0, 0.05))
            process.kill()
        code_told, words = chip.way_out()
        assert code_told == 0, words
        used = [number for number in range(LINES) if chip.line(number).is_output]
        assert used
        assert [number for number in used if not chip.line(number).level] == []


def test_a_line_in_use_is_told_by_its_user(chip: Chip) -> None:
    """Another process has it; the kernel knows the name."""
    holding = 'board.relays.rewire([pump], {"pump": False}); print(flush=True); signal.pause()'
    with chip.start(holding) as process:
        assert process.stdout is not None
        process.stdout.readline()
        told = chip.run(
            'board.relays.rewire([pump], {"pump": True}); print(board.relays.faults()["pump"])\n'
            'try: board.inputs.watch(17, pull="up", debounce_ms=0, on_change=print)\n'
            "except OSError as error: print(error)"
        )
        process.kill()
    assert told == [
        "line 17 is in use by another program, which calls itself 'rootclock'",
        "line 17 as an input: in use by another program, which calls itself 'rootclock'",
    ]


def test_contacts_and_pulses_come_as_the_kernel_writes_them(chip: Chip) -> None:
    """Levels in order, ticks of the monotonic clock, all pulses; pull and rest as asked for."""
    told = chip.run(
        """
import queue
told = queue.Queue()
now = lambda: time.clock_gettime_ns(time.CLOCK_BOOTTIME) // 1_000_000
before = now()
print(board.inputs.watch(25, pull="up", debounce_ms=50, on_change=lambda *what: told.put(what)))
for level in (1, 0, 1):
    press(25, level)
got = [told.get(timeout=5) for _ in range(3)]
print([level for level, _ in got], before <= got[0][1] <= got[2][1] <= now())
counter = board.inputs.count(24, pull="down")
for _ in range(1000):
    press(24, 1)
    press(24, 0)
print(counter.read().total, board.inputs.read(25))
board.close()
"""
    )
    assert told == ["False", "[True, False, True] True", "1000 True"]
    assert chip.line(25) == Line(is_output=False, level=True, debounce_us=50_000, bias=1)
    assert chip.line(24) == Line(is_output=False, level=False, debounce_us=0, bias=2)
    assert chip.told() == ["input 25 0", "input 24 0", "free 25 1", "free 24 0"]
