"""The mark that tells when the controller was last alive."""

from __future__ import annotations

from pathlib import Path

import pytest

from controller.shell.alive_mark import AliveMark, LastAlive


def test_the_next_start_reads_what_the_last_one_set(tmp_path: Path) -> None:
    """Both clocks are kept."""
    path = tmp_path / "alive"
    mark = AliveMark(path, kernel_boot="boot-1")
    assert mark.last() is None
    mark.set(1_000, 50)
    mark.set(2_000, 1_050)
    assert AliveMark(path, kernel_boot="boot-1").last() == LastAlive(2_000, 1_050)


def test_a_mark_of_another_boot_says_nothing(tmp_path: Path) -> None:
    """Its ticks count from elsewhere."""
    path = tmp_path / "alive"
    AliveMark(path, kernel_boot="boot-1").set(1_000, 50)
    assert AliveMark(path, kernel_boot="boot-2").last() is None


@pytest.mark.parametrize(
    "data",
    [
        pytest.param(b"", id="empty"),
        pytest.param(b"boot-1 12", id="half written"),
        pytest.param(b"boot-1 12 x", id="no number"),
        pytest.param(b"\xff" * 500, id="no text"),
        pytest.param(b"boot-1 " + b"9" * 10_000, id="endless"),
    ],
)
def test_a_damaged_mark_says_nothing(tmp_path: Path, data: bytes) -> None:
    """It never stops a start."""
    path = tmp_path / "alive"
    path.write_bytes(data)
    assert AliveMark(path, kernel_boot="boot-1").last() is None


def test_a_folder_that_cannot_be_written_is_as_good_as_none(tmp_path: Path) -> None:
    """The controller goes on without."""
    mark = AliveMark(tmp_path / "missing" / "alive", kernel_boot="boot-1")
    mark.set(1_000, 50)
    mark.set(2_000, 60)
    assert mark.last() is None
