"""The cautions: one text, shown once, and noted as read."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from controller.core.cautions import CAUTIONS, TITLE, cautions_text
from controller.core.units import parse_rfc3339
from controller.shell.cautions_read import NAME, cautions_due, note_cautions_read
from tests.readme import README

_NOW = parse_rfc3339("2026-05-01T06:00:00Z")


def test_readme_quotes_them_to_the_letter() -> None:
    """Whoever reads README has read what the installer asks about."""
    text = README.read_text(encoding="utf-8")
    listed = "\n".join(f"- {caution}" for caution in CAUTIONS)
    assert f"## {TITLE}\n\n{listed}\n" in text


def test_they_are_one_a_line_under_a_title() -> None:
    """As a terminal shows them."""
    assert cautions_text().split("\n") == [TITLE, *(f"- {caution}" for caution in CAUTIONS)]


def test_they_are_due_until_it_is_noted_that_they_were_read(tmp_path: Path) -> None:
    """Once is enough, and the note says when."""
    assert cautions_due(tmp_path)
    assert note_cautions_read(tmp_path, _NOW)
    assert not cautions_due(tmp_path)
    assert (tmp_path / NAME).read_text("utf-8") == "2026-05-01T06:00:00Z\n"
    assert [file.name for file in tmp_path.iterdir()] == [NAME]


@pytest.mark.parametrize(
    "left",
    [
        pytest.param(b"", id="a power cut in the middle of writing leaves nothing in the file"),
        pytest.param(b"\n", id="or a blank line"),
    ],
)
def test_a_note_without_a_word_is_none(tmp_path: Path, left: bytes) -> None:
    """They are shown once more."""
    (tmp_path / NAME).write_bytes(left)
    assert cautions_due(tmp_path)


def test_a_note_full_of_rubbish_is_a_note(tmp_path: Path) -> None:
    """Somebody put it there; nothing is read into memory without bound."""
    (tmp_path / NAME).write_bytes(b"\xff" * 1_000_000)
    assert not cautions_due(tmp_path)


def test_a_folder_in_which_nothing_can_be_noted_stops_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Missing, a file, or on a read-only disk: they stay due, and nobody is hindered."""
    (tmp_path / "file").touch()
    for folder in (tmp_path / "missing", tmp_path / "file"):
        assert not note_cautions_read(folder, _NOW)
        assert cautions_due(folder)

    def refused(*_words: object, **_options: object) -> int:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    monkeypatch.setattr("tempfile.mkstemp", refused)
    assert not note_cautions_read(tmp_path, _NOW)
    assert cautions_due(tmp_path)
