"""The socket's file: who may open it, who was there before, and where it cannot be."""

from __future__ import annotations

import grp
import os
import socket
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from controller.core.errors import UnusableSocketError
from controller.shell.control_socket.door import PATH_BYTES_MAX, Door
from tests.socket_clients import short_folder


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder with a short path."""
    with short_folder() as made:
        yield made


def _mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_the_socket_is_for_its_owner_and_the_group(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At no instant for others, whatever the umask; which is afterwards as it was."""
    modes = []
    real_chmod = Path.chmod

    def seen_chmod(path: Path, mode: int) -> None:
        modes.append(_mode(path))
        real_chmod(path, mode)

    monkeypatch.setattr(Path, "chmod", seen_chmod)
    before = os.umask(0)
    try:
        door = Door(folder / "s")
        assert os.umask(0) == 0
    finally:
        os.umask(before)
    assert (modes, _mode(folder / "s"), _mode(folder / "s.lock")) == ([0o600], 0o660, 0o600)
    door.close()


def test_the_group_is_set_by_name(folder: Path) -> None:
    """Any group that this process is in."""
    name = grp.getgrgid(os.getgroups()[-1] if os.getgroups() else os.getgid()).gr_name
    door = Door(folder / "s", group=name)
    assert (folder / "s").stat().st_gid == grp.getgrnam(name).gr_gid
    door.close()


def test_a_group_that_is_not_there_is_named(folder: Path) -> None:
    """With how to make it; and nothing is left behind."""
    with pytest.raises(UnusableSocketError, match="there is no group nobodies-own"):
        Door(folder / "s", group="nobodies-own")
    assert list(folder.iterdir()) == []


def test_a_group_that_the_daemon_is_not_in_is_refused(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The kernel's no (chown(2): EPERM) is put into words, and no socket is left that is open
    to another group than was asked for."""

    def no(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "chown", no)
    name = grp.getgrgid(os.getgid()).gr_name
    with pytest.raises(UnusableSocketError, match=f"the daemon is not in the group {name}"):
        Door(folder / "s", group=name)
    assert not (folder / "s").exists()


def test_what_a_dead_daemon_left_is_replaced(folder: Path) -> None:
    """A socket's file outlives its process; nobody answers there."""
    with socket.socket(socket.AF_UNIX) as dead:
        dead.bind(str(folder / "s"))
    door = Door(folder / "s")
    with socket.socket(socket.AF_UNIX) as client:
        client.connect(str(folder / "s"))
    door.close()
    assert not (folder / "s").exists()


def test_a_living_daemon_keeps_its_socket(folder: Path) -> None:
    """Whether it holds the lock, or only answers there."""
    door = Door(folder / "s")
    with pytest.raises(UnusableSocketError, match="a daemon is running there already"):
        Door(folder / "s")
    door.close()
    with socket.socket(socket.AF_UNIX) as other:
        other.bind(str(folder / "t"))
        other.listen()
        with pytest.raises(UnusableSocketError, match="a daemon is running there already"):
            Door(folder / "t")
        assert (folder / "t").exists()


def test_a_living_daemon_with_a_full_queue_keeps_its_socket(folder: Path) -> None:
    """It is too busy to answer, and alive (unix(7): EAGAIN)."""
    with socket.socket(socket.AF_UNIX) as other, socket.socket(socket.AF_UNIX) as waiting:
        other.bind(str(folder / "s"))
        other.listen(0)
        waiting.connect(str(folder / "s"))
        with pytest.raises(UnusableSocketError, match="a daemon is running there already"):
            Door(folder / "s")


def test_a_lock_ends_with_its_process(folder: Path) -> None:
    """However that ended."""
    code = (
        "import os, sys; from pathlib import Path\n"
        "from controller.shell.control_socket.door import Door\n"
        "door = Door(Path(sys.argv[1])); os.kill(os.getpid(), 9)"
    )
    died = subprocess.run([sys.executable, "-c", code, str(folder / "s")], check=False)  # noqa: S603
    assert (died.returncode, (folder / "s").exists()) == (-9, True)
    Door(folder / "s").close()


@pytest.mark.parametrize("kind", ["file", "folder", "link"])
def test_what_is_no_socket_is_never_removed(folder: Path, kind: str) -> None:
    """Somebody's file of that name is theirs."""
    path = folder / "s"
    if kind == "file":
        path.write_text("mine", encoding="ascii")
    elif kind == "folder":
        path.mkdir()
    else:
        path.symlink_to(folder / "elsewhere")
    with pytest.raises(UnusableSocketError, match="something else has this name"):
        Door(path)
    assert path.is_symlink() or path.exists()


def test_a_path_of_the_longest_length_works_and_one_byte_more_does_not(folder: Path) -> None:
    """Bytes count, not characters."""
    room = PATH_BYTES_MAX - len(os.fsencode(folder)) - 1
    Door(folder / ("x" * room)).close()
    with pytest.raises(UnusableSocketError, match="its path has 108 bytes, and a socket's has at"):
        Door(folder / ("x" * (room - 1) + "é"))


def test_a_folder_that_is_not_there_is_named(folder: Path) -> None:
    """With what to do."""
    with pytest.raises(UnusableSocketError, match=rf"there is no folder {folder}/gone: make it"):
        Door(folder / "gone" / "s")


def test_a_path_through_a_file_is_an_error_in_words(folder: Path) -> None:
    """Whatever the kernel says, it is told with the path."""
    (folder / "f").write_text("", encoding="ascii")
    with pytest.raises(UnusableSocketError, match=rf"control socket {folder}/f/s: not a directory"):
        Door(folder / "f" / "s")


def test_close_is_repeatable_and_leaves_another_s_socket_alone(folder: Path) -> None:
    """Only what is still this daemon's own is removed."""
    path = folder / "s"
    door = Door(path)
    path.unlink()
    with socket.socket(socket.AF_UNIX) as other:
        other.bind(str(path))
        door.close()
        door.close()
        assert path.exists()
