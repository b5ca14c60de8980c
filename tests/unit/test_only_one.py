"""One controller a state folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from controller.core.errors import AnotherControllerError
from controller.shell.only_one import only_one


def test_a_second_controller_is_refused_and_told_what_to_do(tmp_path: Path) -> None:
    """The text names the folder and the ways out."""
    with only_one(tmp_path):
        with pytest.raises(AnotherControllerError, match="rootclock status") as caught:
            only_one(tmp_path).__enter__()
        assert str(tmp_path) in str(caught.value)


def test_when_the_first_has_ended_the_next_may_run(tmp_path: Path) -> None:
    """Nothing is left behind that could be in the way."""
    with only_one(tmp_path):
        pass
    with only_one(tmp_path):
        pass


def test_a_folder_that_cannot_be_written_to_is_not_held(tmp_path: Path) -> None:
    """Watering goes first."""
    with only_one(tmp_path / "missing"), only_one(tmp_path / "missing"):
        pass
