"""Files read whole and written whole."""

from __future__ import annotations

import errno
import os
import socket
from pathlib import Path
from typing import Any

import pytest

from controller.core.errors import (
    BadFaultScriptError,
    RootclockError,
    UnusableFileError,
    UnusableSocketError,
)
from controller.shell.files import read_bytes, write_durably, written_whole


def test_reading_stops_one_byte_beyond_the_size(tmp_path: Path) -> None:
    """A file that is too large shows, and does not fill the memory."""
    path = tmp_path / "file"
    path.write_bytes(b"0123456789")
    assert read_bytes(path, what="plan", size_max=20) == b"0123456789"
    assert read_bytes(path, what="plan", size_max=4) == b"01234"


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("missing", "no such file or directory"),
        (".", "is a directory"),
        ("a\0b", "null byte"),
        ("x" * 300, "file name too long"),
    ],
)
def test_a_file_that_cannot_be_read_is_told_with_the_reason(
    tmp_path: Path, name: str, says: str
) -> None:
    """The error names what was to be read, the path and why not."""
    with pytest.raises(UnusableFileError) as caught:
        read_bytes(tmp_path / name, what="plan", size_max=10)
    assert str(caught.value).startswith("plan ")
    assert says in str(caught.value)


def test_a_file_appears_only_when_it_is_whole(tmp_path: Path) -> None:
    """While it is written the old one stands; afterwards the new one, and nothing else."""
    path = tmp_path / "file"
    path.write_text("old", "utf-8")
    with written_whole(path, what="picture") as stream:
        stream.write("new")
        assert path.read_text("utf-8") == "old"
    assert path.read_text("utf-8") == "new"
    assert [item.name for item in tmp_path.iterdir()] == ["file"]


def test_an_interrupted_write_leaves_the_old_file_and_no_litter(tmp_path: Path) -> None:
    """An error halfway loses nothing."""
    path = tmp_path / "file"
    path.write_text("old", "utf-8")

    def write_half() -> None:
        with written_whole(path, what="picture") as stream:
            stream.write("half")
            raise KeyError

    with pytest.raises(KeyError):
        write_half()
    assert path.read_text("utf-8") == "old"
    assert [item.name for item in tmp_path.iterdir()] == ["file"]


@pytest.mark.parametrize("path", ["file", "/dev/null"], ids=["a file", "a device"])
@pytest.mark.parametrize(
    "error", [UnusableSocketError("the socket"), BadFaultScriptError([("", "the script")])]
)
def test_what_goes_wrong_elsewhere_meanwhile_is_not_told_of_the_file(
    tmp_path: Path, path: str, error: RootclockError
) -> None:
    """Whatever kind of error it is besides: it passes as it is."""

    def write_half() -> None:
        with written_whole(tmp_path / path, what="events file") as stream:
            stream.write("half")
            raise error

    with pytest.raises(RootclockError) as caught:
        write_half()
    assert caught.value is error
    assert list(tmp_path.iterdir()) == []


def test_the_rights_of_a_new_file_are_the_usual_ones(tmp_path: Path) -> None:
    """Others may read it as far as the umask lets them."""
    usual = tmp_path / "usual"
    usual.touch()
    path = tmp_path / "file"
    with written_whole(path, what="picture") as stream:
        stream.write("x")
    assert path.stat().st_mode == usual.stat().st_mode


def test_a_folder_cannot_be_written_over(tmp_path: Path) -> None:
    """What is there and is no file is told."""
    with pytest.raises(UnusableFileError), written_whole(tmp_path, what="picture") as stream:
        stream.write("x")
    with (
        pytest.raises(UnusableFileError),
        written_whole(tmp_path / "a\0b", what="picture") as stream,
    ):
        stream.write("x")


# Ordinary files only


@pytest.mark.parametrize("kind", ["pipe", "device", "link to a device", "socket", "folder"])
def test_what_could_keep_a_reader_waiting_is_refused(tmp_path: Path, kind: str) -> None:
    """A pipe without a writer, an endless device: told at once where only a file will do."""
    path = tmp_path / "plan.toml"
    listener = socket.socket(socket.AF_UNIX)
    match kind:
        case "pipe":
            os.mkfifo(path)
        case "device":
            path = Path("/dev/zero")
        case "link to a device":
            path.symlink_to("/dev/zero")
        case "socket":
            listener.bind(str(path))
        case _:
            path.mkdir()
    with listener, pytest.raises(UnusableFileError) as caught:
        read_bytes(path, what="plan", size_max=10, must_be_ordinary=True)
    told = {"folder": "is a directory", "socket": "no such device or address"}
    assert str(caught.value) == (
        f"plan {path}: {told.get(kind, 'is no ordinary file but a pipe, device or the like')}"
    )


# Written for good


def test_a_durable_write_replaces_the_file_and_leaves_no_litter(tmp_path: Path) -> None:
    """The new bytes are there under the old name, and nothing beside them."""
    path = tmp_path / "plan.toml"
    path.write_bytes(b"old")
    write_durably(path, b"new", what="plan")
    assert path.read_bytes() == b"new"
    assert [item.name for item in tmp_path.iterdir()] == ["plan.toml"]


def test_a_durable_write_makes_a_new_file_with_the_usual_rights(tmp_path: Path) -> None:
    """As far as the umask lets others read it."""
    usual = tmp_path / "usual"
    usual.touch()
    write_durably(tmp_path / "new", b"x", what="plan")
    assert (tmp_path / "new").stat().st_mode == usual.stat().st_mode


def test_a_durable_write_keeps_mode_owner_and_group(tmp_path: Path) -> None:
    """The grower's file stays the grower's."""
    path = tmp_path / "plan.toml"
    path.write_bytes(b"old")
    path.chmod(0o640)
    if os.geteuid() == 0:
        os.chown(path, 1234, 4321)
    before = path.stat()
    write_durably(path, b"new", what="plan")
    after = path.stat()
    assert (after.st_mode, after.st_uid, after.st_gid) == (
        before.st_mode,
        before.st_uid,
        before.st_gid,
    )
    assert after.st_ino != before.st_ino


def test_a_file_that_cannot_be_given_back_to_its_owner_is_written_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only root gives files away; the group is kept where it can be."""
    tried: list[tuple[int, int]] = []

    def refuse(handle: int, user: int, group: int) -> None:
        tried.append((user, group))
        raise PermissionError(errno.EPERM, "Operation not permitted")

    path = tmp_path / "plan.toml"
    path.write_bytes(b"old")
    status = path.stat()
    monkeypatch.setattr(os, "fchown", refuse)
    write_durably(path, b"new", what="plan")
    assert path.read_bytes() == b"new"
    assert tried == [(status.st_uid, status.st_gid), (-1, status.st_gid)]


def test_a_durable_write_goes_through_links(tmp_path: Path) -> None:
    """The link stays a link, also one to a link in another folder."""
    real = tmp_path / "real"
    real.mkdir()
    (real / "plan.toml").write_bytes(b"old")
    (tmp_path / "middle").symlink_to(real / "plan.toml")
    link = tmp_path / "plan.toml"
    link.symlink_to("middle")
    write_durably(link, b"new", what="plan")
    assert link.is_symlink()
    assert (tmp_path / "middle").is_symlink()
    assert (real / "plan.toml").read_bytes() == b"new"


def test_what_a_process_that_died_left_is_replaced(tmp_path: Path) -> None:
    """There is one unfinished file at most, and whatever it is it is not written through."""
    path = tmp_path / "plan.toml"
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_bytes(b"mine")
    (tmp_path / ".plan.toml.rootclock").symlink_to(elsewhere)
    write_durably(path, b"new", what="plan")
    assert elsewhere.read_bytes() == b"mine"
    assert sorted(item.name for item in tmp_path.iterdir()) == ["elsewhere", "plan.toml"]


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("folder", "is a directory"),  # a slip of the finger
        ("pipe", "is no ordinary file but a pipe, device or the like"),  # would be replaced
        ("loop", "too many levels of symbolic links"),
        ("nowhere/plan.toml", "no such file or directory"),
        ("file/plan.toml", "not a directory"),
        ("a\0b", "null byte"),
        ("x" * 300, "file name too long"),
    ],
)
def test_a_place_that_cannot_be_written_is_told(tmp_path: Path, name: str, says: str) -> None:
    """The error names what was to be written, where, and why not; nothing is replaced."""
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "loop").symlink_to("loop")
    (tmp_path / "file").touch()
    before = sorted(tmp_path.iterdir())
    with pytest.raises(UnusableFileError) as caught:
        write_durably(tmp_path / name, b"new", what="plan")
    assert str(caught.value).startswith("plan ")
    assert says in str(caught.value)
    assert sorted(tmp_path.iterdir()) == before


def test_a_name_as_long_as_names_can_be_is_written(tmp_path: Path) -> None:
    """The unfinished file's name is shortened, so that it fits as well."""
    path = tmp_path / ("x" * 255)
    write_durably(path, b"new", what="plan")
    assert [item.name for item in tmp_path.iterdir()] == ["x" * 255]


class RecordingOs:
    """The `os` module; what changes the disk is written down, with the name of the file."""

    def __init__(self) -> None:
        self.calls: list[tuple[str, str]] = []
        self._names: dict[int, str] = {}

    def __getattr__(self, name: str) -> Any:
        real = getattr(os, name)
        if name not in {"open", "unlink", "write", "fsync", "close", "replace", "fchmod"}:
            return real

        def recorded(*words: Any, **more: Any) -> Any:
            file = words[0]
            path = self._names[file] if isinstance(file, int) else Path(file).name
            is_new = name == "open" and words[1] & os.O_EXCL
            self.calls.append(("make" if is_new else name, path))
            made = real(*words, **more)
            if name == "open":
                self._names[made] = path
            return made

        return recorded


def test_bytes_are_on_the_disk_before_they_have_the_name_and_then_the_name_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In this order a power cut leaves the old or the new: fsync(2), "Notes", says that the
    folder needs one of its own. The unfinished file is one that was not there before."""
    folder = tmp_path / "folder"
    folder.mkdir()
    (folder / "plan.toml").write_bytes(b"old")
    recording = RecordingOs()
    monkeypatch.setattr("controller.shell.files.os", recording)
    write_durably(folder / "plan.toml", b"new", what="plan")
    part = ".plan.toml.rootclock"
    assert recording.calls == [
        ("unlink", part),
        ("make", part),
        ("write", part),
        ("fchmod", part),
        ("fsync", part),
        ("close", part),
        ("replace", part),
        ("open", "folder"),
        ("fsync", "folder"),
        ("close", "folder"),
    ]
