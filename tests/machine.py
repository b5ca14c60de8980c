"""A machine to install on: a copy of this system under an overlay, which vanishes with it.

The copy lives in a mount namespace of its own. Users, Python environments and files are made
for real and touch nothing of the system underneath. `Machine` has no systemd, only a stand-in
that writes down what systemctl is told; `Booted` starts the real one in a container
(systemd-nspawn, Debian package systemd-container). Both need root.
"""

from __future__ import annotations

import os
import select
import shutil
import signal
import socket
import subprocess
import time
from functools import cache
from pathlib import Path
from uuid import uuid4

from tests.readme import ROOT

_BOOT_S_MAX = 120  # a busy machine; two seconds are usual

_SYSTEMCTL = """\
#!/bin/sh
# Stands in for systemctl: notes what it is told, and remembers which units are up.
case "$1" in is-active)
    cat "/run/up/$2" 2>/dev/null || { echo inactive; exit 3; }
    exit ;;
esac
echo "$*" >>/run/told
for unit in "$@"; do :; done
case "$*" in
*disable*--now*) rm -f "/run/up/$unit" ;;
*enable*--now*) echo active >"/run/up/$unit" ;;
*restart*)
    [ ! -e /run/hangs-up ] || { rm /run/hangs-up; kill -HUP $PPID; }
    [ ! -e /run/starts-fail ] || { rm /run/starts-fail; exit 1; } ;;
esac
"""

# $1 is an empty folder, $2 the checkout.
_COPY = """\
set -e
mount -t tmpfs -o mode=755 tmpfs "$1"
cd "$1"
mkdir upper work root
mount -t overlay overlay -o lowerdir=/,upperdir=upper,workdir=work root
mkdir -p root/srv/checkout
"""

_WITHOUT_SYSTEMD = """\
mount --rbind "$2" root/srv/checkout
mount -t proc proc root/proc
for folder in run tmp dev; do mount -t tmpfs -o mode=755 tmpfs root/$folder; done
for node in null:3 zero:5 random:8 urandom:9; do
    mknod -m 666 "root/dev/${node%:*}" c 1 "${node#*:}"
done
mkdir -p root/run/systemd/system root/run/up
touch root/dev/gpiochip0
cp "$3" root/usr/local/sbin/systemctl
chmod 755 root/usr/local/sbin/systemctl
exec chroot root cat
"""

# Nothing of this system's own services is started: only what a unit needs that starts early.
# The kernel's synchronisation may be asked about, which containers usually may not; setting
# the clock needs a right that this one does not have.
_WITH_SYSTEMD = """\
printf '[Unit]\\nRequires=sysinit.target\\nAfter=sysinit.target\\n' \
    >root/etc/systemd/system/bare.target
rm -f root/etc/machine-id
: >root/etc/machine-id
mount -t tmpfs tmpfs /run
exec systemd-nspawn --quiet --register=no --keep-unit --notify-ready=yes --directory=root \
    --machine=board --bind-ro="$2:/srv/checkout" --bind=/dev/null:/dev/gpiochip0 \
    --system-call-filter=@clock --console=pipe --boot systemd.unit=bare.target
"""


@cache
def why_no_machine() -> str | None:
    """Why no machine can be made here, in words; None where one can.

    It takes root, and a system that is not itself a container or a chroot of a kind that
    forbids mounts.
    """
    if os.geteuid() != 0:
        return "only root can make a machine"
    try_out = "mount -t tmpfs tmpfs /mnt && cd /mnt && mkdir u w r && mount -t overlay overlay "
    try_out += "-o lowerdir=/,upperdir=u,workdir=w r"
    done = subprocess.run(  # noqa: S603 - our own words
        ["unshare", "--mount", "--propagation", "private", "sh", "-c", try_out],  # noqa: S607
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    return None if done.returncode == 0 else f"mounts are not allowed here: {done.stderr.strip()}"


def run(*words: str | Path, expected: int = 0) -> tuple[str, str]:
    """Runs a command without a terminal; what it said on either stream."""
    done = subprocess.run(  # noqa: S603 - our own words
        [str(word) for word in words],
        env={**os.environ, "LC_ALL": "C.UTF-8", "SYSTEMD_COLORS": "0"},
        capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    assert done.returncode == expected, done.stdout + done.stderr
    return done.stdout, done.stderr


class _Copy:
    """What both kinds of machine share. `pid` is a process inside."""

    pid: int
    namespaces: tuple[str, ...] = ("--mount", "--root")

    def words(self, *words: str, **variables: str) -> list[str]:
        """The words that run something on the machine."""
        path = "/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin"
        given = [f"{name}={value}" for name, value in variables.items()]
        inside = ["nsenter", f"--target={self.pid}", *self.namespaces]
        return [*inside, "env", "--chdir=/", f"PATH={path}", "HOME=/root", *given, *words]

    def run(self, *words: str, expected: int = 0, **variables: str) -> tuple[str, str]:
        """Runs something on the machine; what it said on either stream."""
        return run(*self.words(*words, **variables), expected=expected)

    def install(self, *words: str, expected: int = 0, **variables: str) -> tuple[str, str]:
        """Runs the installer of the checkout there."""
        script = ("bash", "/srv/checkout/systemd/install")
        return self.run(*script, *words, expected=expected, **variables)

    @property
    def root(self) -> Path:
        """The machine's root as seen from here."""
        return Path(f"/proc/{self.pid}/root")


class Machine(_Copy):
    """A copy without systemd, and with GPIO lines, as the installer sees it."""

    def __init__(self, folder: Path) -> None:
        script = folder / "systemctl"
        script.write_text(_SYSTEMCTL, "utf-8")
        stage = folder / "stage"
        stage.mkdir()
        self._life = subprocess.Popen(  # noqa: S603 - our own words
            ["unshare", "--mount", "--propagation", "private", "bash", "-c",  # noqa: S607
             _COPY + _WITHOUT_SYSTEMD, "bash", stage, ROOT, script],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip
        assert self._life.stdin is not None
        assert self._life.stdout is not None
        self._life.stdin.write(b"made\n")
        self._life.stdin.flush()
        assert self._life.stdout.readline() == b"made\n", "the copy could not be made"
        self.pid = self._life.pid

    def close(self) -> None:
        """Ends the namespace, and with it everything in it."""
        self._life.communicate()

    def told(self) -> list[str]:
        """What systemctl was told since the last time."""
        log = self.root / "run/told"
        lines = log.read_text("utf-8").splitlines() if log.exists() else []
        log.unlink(missing_ok=True)
        return lines

    def assert_untouched(self) -> None:
        """Nothing of ours is there."""
        assert self.told() == []
        for name in ("opt/rootclock", "var/lib/rootclock", "usr/local/bin/rootclock",
                     "usr/local/lib/systemd"):  # fmt: skip
            assert not (self.root / name).exists()
        assert "rootclock" not in (self.root / "etc/passwd").read_text("utf-8")


class Booted(_Copy):
    """A copy in which systemd runs as on a board. GPIO lines it has only for the installer."""

    namespaces = ("--mount", "--root", "--uts", "--ipc", "--pid")

    def __init__(self, folder: Path) -> None:
        assert shutil.which("systemd-nspawn"), "missing: apt-get install systemd-container"
        stage = folder / "stage"
        stage.mkdir()
        address = f"@rootclock-{uuid4()}"
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as ear:
            ear.settimeout(_BOOT_S_MAX)
            ear.bind(address.replace("@", "\0", 1))
            with (folder / "console").open("wb") as console:
                self._life = subprocess.Popen(  # noqa: S603 - our own words
                    ["unshare", "--mount", "--propagation", "private", "bash", "-c",  # noqa: S607
                     _COPY + _WITH_SYSTEMD, "bash", stage, ROOT],
                    stdin=subprocess.DEVNULL, stdout=console, stderr=console,
                    env={**os.environ, "NOTIFY_SOCKET": address},
                )  # fmt: skip
            self.pid = _leader(ear, self._life, folder / "console")

    def close(self) -> None:
        """Pulls the plug: the kernel ends whatever a container's first process leaves."""
        os.kill(self.pid, signal.SIGKILL)
        self._life.wait()


def _leader(ear: socket.socket, life: subprocess.Popen[bytes], console: Path) -> int:
    """The process that the container's manager is here, told when the boot is over
    (systemd-nspawn(1), --notify-ready=)."""
    told: dict[str, str] = {}
    end = os.pidfd_open(life.pid)
    ends: list[socket.socket | int] = [ear, end]
    while not {"READY", "X_NSPAWN_LEADER_PID"} <= told.keys():
        heard, _, _ = select.select(ends, [], [], _BOOT_S_MAX)
        assert ear in heard, f"the machine does not boot: {console.read_text(errors='replace')}"
        lines = ear.recv(4_096).decode().splitlines()
        told.update(line.partition("=")[::2] for line in lines)
    os.close(end)
    return int(told["X_NSPAWN_LEADER_PID"])


class Following:
    """A command that goes on telling, read line by line as they come."""

    def __init__(self, words: list[str]) -> None:
        self._process = subprocess.Popen(  # noqa: S603 - our own words
            words,
            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
            start_new_session=True,
        )  # fmt: skip
        self._unread = b""

    def until(self, text: str, *, within_s: float) -> list[str]:
        """The lines up to the first that holds the text."""
        assert self._process.stdout is not None
        deadline = time.monotonic() + within_s
        lines: list[str] = []
        while True:
            line, end, rest = self._unread.partition(b"\n")
            if end:
                self._unread = rest
                lines.append(line.decode())
                if text in lines[-1]:
                    return lines
                continue
            left = max(0.0, deadline - time.monotonic())
            assert select.select([self._process.stdout], [], [], left)[0], (text, lines)
            piece = os.read(self._process.stdout.fileno(), 65_536)
            assert piece, (text, lines)
            self._unread += piece

    def close(self) -> None:
        """Ends the command and whatever it was started by."""
        os.killpg(self._process.pid, signal.SIGTERM)
        self._process.communicate()
