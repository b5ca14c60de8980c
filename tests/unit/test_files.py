"""Files read whole and written whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from controller.core.errors import UnusableFileError
from controller.shell.files import read_bytes, written_whole


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
