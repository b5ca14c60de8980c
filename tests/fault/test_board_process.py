"""Real processes upon a chip of pretence beneath the C library.

`/dev/gpiochip0`, its ioctls and the board's revision are answered by a small library that is
loaded before all others; levels and owners live in a file, so they outlive a process as those of
a real chip do. It is compiled against <linux/gpio.h>, so the kernel's own declarations read what
we write.
"""

from __future__ import annotations

import os
import random
import shutil
import struct
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from controller.shell.board import emergency

ROOT = Path(__file__).resolve().parents[2]
SEED = 20_240_611
# 3 take a second; a long run (ROOTCLOCK_EXAMPLES=10000) kills 100.
KILLS = max(3, int(os.environ.get("ROOTCLOCK_EXAMPLES", "0")) // 100)

CHIP = r"""
#define _GNU_SOURCE
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <linux/gpio.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <time.h>
#include <unistd.h>

#define LINES 54
#define HANDLES 4096
enum { CHIP = -1 };

struct line { int owner, is_output, level, debounce_us, bias; char user[32]; };
static struct line *lines;
static int log_handle, kind[HANDLES], press_handle[LINES], edges[LINES], seqno[LINES];
static DIR *devices;

static DIR *(*real_opendir)(const char *);
static struct dirent64 *(*real_readdir)(DIR *);
static int (*real_close)(int);
static int (*real_ioctl)(int, unsigned long, void *);
static int (*real_open)(const char *, int, ...);

__attribute__((constructor)) static void begin(void)
{
   real_close = dlsym(RTLD_NEXT, "close");
   real_ioctl = dlsym(RTLD_NEXT, "ioctl");
   real_open = dlsym(RTLD_NEXT, "open");
   real_opendir = dlsym(RTLD_NEXT, "opendir");
   real_readdir = dlsym(RTLD_NEXT, "readdir64");
   int state = real_open(getenv("CHIP_STATE"), O_RDWR | O_CLOEXEC);
   log_handle = real_open(getenv("CHIP_LOG"), O_WRONLY | O_APPEND | O_CLOEXEC);
   lines = mmap(0, LINES * sizeof *lines, PROT_READ | PROT_WRITE, MAP_SHARED, state, 0);
   if (lines == MAP_FAILED || log_handle < 0) abort();
   real_close(state);
}

static void note(const char *what, int line, int level)
{
   char text[64];
   int length = snprintf(text, sizeof text, "%s %d %d\n", what, line, level);
   if (write(log_handle, text, length) != length) abort();
}

static int is_busy(int line)
{
   return lines[line].owner && (kill(lines[line].owner, 0) == 0 || errno != ESRCH);
}

static int open_chip(void)
{
   int handle = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
   kind[handle] = CHIP;
   return handle;
}

/* As the device tree of the virtual board has it: a Pi 4B. */
static int open_revision(void)
{
   int handle = memfd_create("revision", MFD_CLOEXEC);
   if (write(handle, "\x00\xc0\x31\x11", 4) != 4 || lseek(handle, 0, SEEK_SET)) abort();
   return handle;
}

static int claim(struct gpio_v2_line_request *request)
{
   unsigned line = request->offsets[0];
   int ends[2];
   if (request->num_lines != 1 || line >= LINES) { errno = EINVAL; return -1; }
   if (is_busy(line)) { errno = EBUSY; return -1; }
   if (pipe2(ends, O_CLOEXEC)) return -1;
   struct gpio_v2_line_config *config = &request->config;
   struct line *one = &lines[line];
   one->owner = getpid();
   one->is_output = !!(config->flags & GPIO_V2_LINE_FLAG_OUTPUT);
   one->bias = (config->flags >> 8) & 7;
   edges[line] = (config->flags >> 4) & 3;
   one->debounce_us = 0;
   memcpy(one->user, request->consumer, sizeof one->user);
   for (unsigned i = 0; i < config->num_attrs; i++) {
      struct gpio_v2_line_attribute *attribute = &config->attrs[i].attr;
      if (attribute->id == GPIO_V2_LINE_ATTR_ID_OUTPUT_VALUES)
         one->level = attribute->values & 1;
      if (attribute->id == GPIO_V2_LINE_ATTR_ID_DEBOUNCE)
         one->debounce_us = attribute->debounce_period_us;
   }
   note(one->is_output ? "output" : "input", line, one->level);
   press_handle[line] = ends[1];
   seqno[line] = 0;
   kind[ends[0]] = line + 1;
   request->fd = ends[0];
   return 0;
}

static int ask_chip(unsigned long number, void *data)
{
   if (number == GPIO_GET_CHIPINFO_IOCTL) {
      struct gpiochip_info *info = data;
      memset(info, 0, sizeof *info);
      strcpy(info->name, "gpiochip0");
      strcpy(info->label, "chip of pretence");
      info->lines = LINES;
      return 0;
   }
   if (number == GPIO_V2_GET_LINE_IOCTL) return claim(data);
   if (number == GPIO_V2_GET_LINEINFO_IOCTL) {
      struct gpio_v2_line_info *info = data;
      struct line *one = &lines[info->offset];
      info->flags = (is_busy(info->offset) ? GPIO_V2_LINE_FLAG_USED : 0)
         | (one->is_output ? GPIO_V2_LINE_FLAG_OUTPUT : GPIO_V2_LINE_FLAG_INPUT);
      memcpy(info->consumer, one->user, sizeof info->consumer);
      return 0;
   }
   errno = EINVAL;
   return -1;
}

static int ask_line(int line, unsigned long number, void *data)
{
   struct gpio_v2_line_values *values = data;
   if (number == GPIO_V2_LINE_GET_VALUES_IOCTL) { values->bits = lines[line].level; return 0; }
   if (number == GPIO_V2_LINE_SET_VALUES_IOCTL && lines[line].is_output) {
      lines[line].level = values->bits & 1;
      note("set", line, lines[line].level);
      return 0;
   }
   errno = EPERM;
   return -1;
}

/* What a contact at an input does; called from within the process, by ctypes. */
void press(int line, int level)
{
   struct gpio_v2_line_event event = {0};
   if (lines[line].level == level) return;
   lines[line].level = level;
   if (!(edges[line] & (level ? 1 : 2))) return;
   struct timespec now;
   clock_gettime(CLOCK_MONOTONIC, &now);
   event.timestamp_ns = now.tv_sec * 1000000000ULL + now.tv_nsec;
   event.id = level ? GPIO_V2_LINE_EVENT_RISING_EDGE : GPIO_V2_LINE_EVENT_FALLING_EDGE;
   event.offset = line;
   event.seqno = event.line_seqno = ++seqno[line];
   if (write(press_handle[line], &event, sizeof event) != sizeof event) abort();
}

int ioctl(int handle, unsigned long number, ...)
{
   va_list rest;
   va_start(rest, number);
   void *data = va_arg(rest, void *);
   va_end(rest);
   int is_ours = handle >= 0 && handle < HANDLES && kind[handle] && _IOC_TYPE(number) == 0xB4;
   if (!is_ours) return real_ioctl(handle, number, data);
   if (kind[handle] == CHIP) return ask_chip(number, data);
   return ask_line(kind[handle] - 1, number, data);
}

int close(int handle)
{
   if (handle >= 0 && handle < HANDLES && kind[handle]) {
      int line = kind[handle] - 1;
      if (kind[handle] != CHIP) {
         note("free", line, lines[line].level);
         lines[line].owner = 0;
         real_close(press_handle[line]);
      }
      kind[handle] = 0;
   }
   return real_close(handle);
}

/* The directory of devices has one more than the computer has. */
DIR *opendir(const char *path)
{
   DIR *opened = real_opendir(path);
   if (opened && !strcmp(path, "/dev")) devices = opened;
   return opened;
}

struct dirent64 *readdir64(DIR *directory)
{
   static struct dirent64 ours = {.d_type = DT_CHR, .d_name = "gpiochip0"};
   struct dirent64 *found = real_readdir(directory);
   if (found || directory != devices) return found;
   devices = NULL;
   return &ours;
}

#define OPEN(name) \
   int name(const char *path, int flags, ...) \
   { \
      va_list rest; \
      va_start(rest, flags); \
      int mode = va_arg(rest, int); \
      va_end(rest); \
      if (!strcmp(path, "/dev/gpiochip0")) return open_chip(); \
      if (!strcmp(path, "/proc/device-tree/system/linux,revision")) return open_revision(); \
      return real_open(path, flags, mode); \
   }
OPEN(open)
OPEN(open64)
"""

_LINE = struct.Struct("=5i32s")  # struct line, above
LINES = 54


class Line(NamedTuple):
    """A line as the chip has it."""

    is_output: bool
    level: bool
    debounce_us: int
    bias: int  # 1 up, 2 down, 4 none


class Chip(NamedTuple):
    """The chip of pretence: how to run something upon it, and what it went through."""

    environment: dict[str, str]
    state: Path
    note: Path
    story: Path

    def start(self, code: str, *arguments: str | Path) -> subprocess.Popen[str]:
        """Starts Python code in a process that has this chip."""
        return subprocess.Popen(  # noqa: S603 - our own text
            [sys.executable, "-W", "error", "-c", PREAMBLE + code, self.note, *arguments],
            env=self.environment,
            stdout=subprocess.PIPE,
            text=True,
        )

    def run(self, code: str, *arguments: str | Path) -> list[str]:
        """The lines that the code prints; it must end well."""
        with self.start(code, *arguments) as process:
            assert process.stdout is not None
            told = process.stdout.read().splitlines()
        assert process.returncode == 0
        return told

    def way_out(self) -> tuple[int, str]:
        """Runs the emergency program as systemd does; its exit code and what it told."""
        done = subprocess.run(  # noqa: S603 - our own program
            [sys.executable, "-I", "-S", emergency.__file__, self.note],
            env=self.environment,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
        return done.returncode, done.stderr

    def told(self) -> list[str]:
        """What the kernel has been asked since the last time: what, line, level."""
        lines = self.story.read_text().splitlines()
        self.story.write_text("")
        return lines

    def line(self, number: int) -> Line:
        """One line now."""
        _, is_output, level, debounce_us, bias, _ = list(
            _LINE.iter_unpack(self.state.read_bytes())
        )[number]
        return Line(bool(is_output), bool(level), debounce_us, bias)


# What each process begins with: a board, and a pump and a fan to switch.
PREAMBLE = """
import ctypes, os, random, signal, sys, time
from pathlib import Path
from controller.core.wiring import Wire
from controller.shell.board.board import open_board
board = open_board(is_mock=False, safe_lines=Path(sys.argv[1]))
pump = Wire("pump", 17, True, False, False, True)
fan = Wire("fan", 18, True, False, True, True)
press = ctypes.CDLL(None).press
"""


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The chip of pretence, compiled."""
    compiler = shutil.which("gcc")
    if compiler is None or not Path("/usr/include/linux/gpio.h").exists():
        pytest.skip("there is no C compiler, or no <linux/gpio.h>")
    folder = tmp_path_factory.mktemp("chip")
    (folder / "chip.c").write_text(CHIP)
    built = folder / "chip.so"
    flags = ["-shared", "-fPIC", "-Wall", "-Wextra", "-Werror"]
    subprocess.run(  # noqa: S603 - our own text
        [compiler, *flags, "-o", built, folder / "chip.c", "-ldl"], check=True
    )
    return built


@pytest.fixture
def chip(library: Path, tmp_path: Path) -> Chip:
    """A chip whose lines are all low and free."""
    state, story = tmp_path / "state", tmp_path / "story"
    state.write_bytes(bytes(LINES * _LINE.size))
    story.write_text("")
    environment = {
        **os.environ,
        "LD_PRELOAD": str(library),
        "CHIP_STATE": str(state),
        "CHIP_LOG": str(story),
        "PYTHONPATH": str(ROOT),
    }
    return Chip(environment, state, tmp_path / "safe-lines", story)


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
