"""A GPIO chip of pretence beneath the C library, for real processes that switch real lines.

`/dev/gpiochip0`, its ioctls and the board's revision are answered by a small library that is
loaded before all others; levels and owners live in a file, so they outlive a process as those of
a real chip do. It is compiled against <linux/gpio.h>, so the kernel's own declarations read what
we write.
"""

from __future__ import annotations

import os
import shutil
import struct
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

from controller.shell.board import emergency

ROOT = Path(__file__).resolve().parents[2]

_LIBRARY = r"""
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
            [sys.executable, "-W", "error", "-c", _PREAMBLE + code, self.note, *arguments],
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
_PREAMBLE = """
import ctypes, os, random, signal, sys, time
from pathlib import Path
from controller.core.wiring import Wire
from controller.shell.board.board import open_board
board = open_board(is_mock=False, safe_lines=Path(sys.argv[1]))
pump = Wire("pump", 17, True, False, False, True)
fan = Wire("fan", 18, True, False, True, True)
press = ctypes.CDLL(None).press
"""


def why_no_chip() -> str:
    """Why there can be no chip of pretence on this computer; empty where there can."""
    if shutil.which("gcc") is None or not Path("/usr/include/linux/gpio.h").exists():
        return "there is no C compiler, or no <linux/gpio.h>"
    return ""


def compiled(folder: Path) -> Path:
    """The library, made in that folder; takes a sixth of a second."""
    compiler = shutil.which("gcc")
    assert compiler is not None, why_no_chip()
    source, built = folder / "chip.c", folder / "chip.so"
    source.write_text(_LIBRARY)
    flags = ["-shared", "-fPIC", "-Wall", "-Wextra", "-Werror"]
    subprocess.run(  # noqa: S603 - our own text
        [compiler, *flags, "-o", built, source, "-ldl"], check=True
    )
    return built


def new_chip(library: Path, folder: Path) -> Chip:
    """A chip whose lines are all low and free; what it is and has been lies in that folder."""
    state, story = folder / "state", folder / "story"
    state.write_bytes(bytes(LINES * _LINE.size))
    story.write_text("")
    environment = {
        **os.environ,
        "LD_PRELOAD": str(library),
        "CHIP_STATE": str(state),
        "CHIP_LOG": str(story),
        "PYTHONPATH": str(ROOT),
    }
    return Chip(environment, state, folder / "safe-lines", story)
