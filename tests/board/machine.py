"""One emulated single-board computer, from power on to power off."""

from __future__ import annotations

import json
import shutil
import socket
import subprocess
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from tests.board.boot_parts import MACHINE, BootParts, packed
from tests.board.lines import LINES, Lines
from tests.board.outside_shell import CommandError, OutsideShell

if TYPE_CHECKING:
    from collections.abc import Mapping
    from types import TracebackType

_PORT_NAME = "rootclock.tests"
# Page tables of the kernel are not kept apart: this processor needs no such care (it is not
# open to Meltdown), and in the emulator it takes a fifth of the time.
_COMMAND_LINE = (
    "console=ttyAMA0 root=/dev/vda rw panic=-1 quiet systemd.show_status=no nokaslr kpti=off"
)


class Setup(NamedTuple):
    """How the board is wired and what it finds when it is switched on.

    `clock` is what its battery-backed clock shows (`2001-01-01T00:00:00`), or None for a
    board that has none. `pulls` has the lines with a resistor to the supply. `files` is a
    folder laid over the disk before systemd starts.
    """

    clock: str | None = None
    pulls: frozenset[int] = frozenset()
    files: Path | None = None


class Machine:
    """A running board. Power is on from the constructor to `pull_plug` or `power_off`."""

    def __init__(self, disk: Path, parts: BootParts, setup: Setup, folder: Path) -> None:
        folder.mkdir()
        self.console = folder / "console.log"
        self.setup = setup
        self.powered_on = time.time()
        self._has_power = True
        tests = {name: socket.socketpair() for name in ("qmp", "qtest", "shell")}
        try:
            self._process = subprocess.Popen(  # noqa: S603 - our own words
                _words(disk, parts, setup, folder, {n: p[1].fileno() for n, p in tests.items()}),
                stderr=subprocess.PIPE,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                text=True,
                pass_fds=[pair[1].fileno() for pair in tests.values()],
            )
        finally:
            for pair in tests.values():
                pair[1].close()
        assert self._process.stderr is not None
        self._log = (folder / "emulator.log").open("w", encoding="utf-8")
        self._sockets = [pair[0] for pair in tests.values()]
        self.lines = Lines(self._process.stderr, let_go=self._fall_back, log=self._log)
        self.shell = OutsideShell(tests["shell"][0])
        try:
            self._wiring = _Wiring(tests["qtest"][0], _pl061(tests["qmp"][0]))
            for line in setup.pulls:
                self._wiring.set(line, is_high=True)
            self.lines.begin(setup.pulls)
            _Monitor(tests["qmp"][0]).ask("cont")
        except BaseException:
            self.pull_plug()
            raise

    def _fall_back(self, line: int) -> None:
        try:
            self._wiring.set(line, is_high=line in self.setup.pulls)
        except (OSError, CommandError):
            if self._has_power:
                raise

    def press(self, line: int, *, is_high: bool) -> float:
        """Puts a level on a line from outside; when that was."""
        at = time.time()
        self._wiring.set(line, is_high=is_high)
        return at

    def wait_booted(self, *, within_s: float = 120.0) -> float:
        """Returns when the board takes commands; seconds since power on.

        Raises:
            CommandError: it does not; has the last that it said.
        """
        try:
            self.shell.run("true", within_s=within_s)
        except CommandError as silent:
            raise CommandError(f"the board does not boot:\n{self.console_tail()}") from silent
        return time.time() - self.powered_on

    def console_tail(self, lines: int = 60) -> str:
        """The last that kernel, systemd and services said."""
        text = self.console.read_bytes().decode("utf-8", "replace")
        return "\n".join(text.splitlines()[-lines:])

    def power_off(self, *, within_s: float = 60.0) -> None:
        """Shuts the board down as its owner would, and waits for it."""
        try:
            self.shell.run("systemctl poweroff --no-block", within_s=within_s)
            self._process.wait(within_s)
        except subprocess.TimeoutExpired as slow:
            raise CommandError(f"the board is not off after {within_s:g} s") from slow
        finally:
            self.pull_plug()

    def pull_plug(self) -> float:
        """No power from now on; what was not on the disk is gone. When that was; repeatable."""
        at = time.time()
        self._has_power = False
        self._process.kill()
        self._process.wait()
        self.lines.close()
        for end in (*self._sockets, self._process.stderr, self._log):
            if end is not None:
                end.close()
        return at

    def __enter__(self) -> Machine:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.pull_plug()


def _words(
    disk: Path, parts: BootParts, setup: Setup, folder: Path, ends: Mapping[str, int]
) -> list[str]:
    """The emulator's command line; it waits for `cont` before the first instruction."""
    first_stage = parts.first_stage
    if setup.files is not None:
        first_stage = folder / "first-stage.gz"
        first_stage.write_bytes(parts.first_stage.read_bytes() + _laid_over(setup.files, folder))
    tree = parts.device_tree_without_clock if setup.clock is None else parts.device_tree
    channels = [
        word for name, end in ends.items() for word in ("-chardev", f"socket,id={name},fd={end}")
    ]
    return [
        # Whatever ends the tests ends the emulator too.
        "setpriv", "--pdeathsig", "KILL",
        "qemu-system-aarch64", *MACHINE, "-S", "-no-reboot", "-display", "none",
        "-kernel", str(parts.kernel), "-initrd", str(first_stage), "-dtb", str(tree),
        "-append", _COMMAND_LINE,
        "-rtc", f"base={setup.clock or 'utc'},clock=vm",
        "-drive", f"file={disk},format=raw,if=none,id=disk",
        "-device", "virtio-blk-device,drive=disk",
        "-serial", f"file:{folder / 'console.log'}",
        *channels,
        "-mon", "chardev=qmp,mode=control", "-qtest", "chardev:qtest", "-qtest-log", "none",
        "-device", "virtio-serial-device",
        "-device", f"virtserialport,chardev=shell,name={_PORT_NAME}",
        "-trace", "pl061_update", "-msg", "timestamp=on",
    ]  # fmt: skip


def _laid_over(files: Path, folder: Path) -> bytes:
    """The files below /files, as one more archive for the first stage."""
    stage = folder / "overlay"
    stage.mkdir()
    shutil.copytree(files, stage / "files", symlinks=True)
    return packed(stage)


class _Monitor:
    """The emulator's monitor: QMP, one JSON object a line."""

    def __init__(self, end: socket.socket) -> None:
        self._end = end

    def ask(self, command: str, **arguments: str) -> Any:
        stream = self._end.makefile("rw", encoding="utf-8", newline="\n")
        with stream:
            stream.write(json.dumps({"execute": command, "arguments": arguments}) + "\n")
            stream.flush()
            for line in stream:
                answer = json.loads(line)
                if "error" in answer:
                    raise CommandError(f"{command}: {answer['error']['desc']}")
                if "return" in answer:
                    return answer["return"]
        raise CommandError(f"the emulator ended before it answered to {command}")


def _pl061(end: socket.socket) -> str:
    """Where the GPIO controller stands in the emulator's tree of devices."""
    monitor = _Monitor(end)
    monitor.ask("qmp_capabilities")
    devices = monitor.ask("qom-list", path="/machine/unattached")
    return next(
        f"/machine/unattached/{device['name']}"
        for device in devices
        if device["type"] == "child<pl061>"
    )


class _Wiring:
    """Levels put on lines from outside, through the emulator's test protocol."""

    def __init__(self, end: socket.socket, controller: str) -> None:
        self._stream = end.makefile("rw", encoding="ascii", newline="\n")
        self._controller = controller
        self._lock = threading.Lock()

    def set(self, line: int, *, is_high: bool) -> None:
        assert line in LINES
        with self._lock:
            self._stream.write(
                f"set_irq_in {self._controller} unnamed-gpio-in {line} {int(is_high)}\n"
            )
            self._stream.flush()
            answer = self._stream.readline()
        if answer.strip() != "OK":
            raise CommandError(f"line {line} cannot be set: {answer.strip() or 'no answer'}")
