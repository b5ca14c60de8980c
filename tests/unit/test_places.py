"""Where socket and state are unless somebody says otherwise."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest

from controller.core.errors import UnusableFileError
from controller.shell.places import (
    made_folder,
    page_state_folder,
    socket_path,
    state_folder,
)

NOWHERE = Path("/nowhere/at/all")


@pytest.mark.parametrize(
    ("environment", "there", "found"),
    [
        # What somebody says counts, whatever there is.
        ({"ROOTCLOCK_SOCKET": "/a/s", "XDG_RUNTIME_DIR": "/u"}, True, "/a/s"),
        ({"ROOTCLOCK_SOCKET": "", "XDG_RUNTIME_DIR": "/u"}, False, "/u/rootclock/control.sock"),
        # The service's, where it is set up.
        ({"XDG_RUNTIME_DIR": "/u"}, True, "SERVICE/control.sock"),
        # A person's own.
        ({"XDG_RUNTIME_DIR": "/u", "HOME": "/h"}, False, "/u/rootclock/control.sock"),
        ({"HOME": "/h"}, False, "/h/.local/state/rootclock/control.sock"),
        ({"HOME": "/h", "XDG_STATE_HOME": "/s"}, False, "/s/rootclock/control.sock"),
        ({"HOME": "/h", "ROOTCLOCK_STATE": "/b"}, False, "/b/control.sock"),
        # A relative path in an XDG variable is to be ignored, says the specification.
        ({"XDG_RUNTIME_DIR": "u", "HOME": "/h"}, False, "/h/.local/state/rootclock/control.sock"),
    ],
)
def test_where_the_socket_is(
    tmp_path: Path, environment: dict[str, str], there: bool, found: str
) -> None:
    """The same for daemon and clients."""
    service = tmp_path if there else NOWHERE
    path = socket_path(environment, service_runtime=service, service_state=NOWHERE)
    assert path == Path(found.replace("SERVICE", str(tmp_path)))


@pytest.mark.parametrize(
    ("environment", "there", "found"),
    [
        ({"ROOTCLOCK_STATE": "/b", "HOME": "/h"}, True, "/b"),
        ({"HOME": "/h"}, True, "SERVICE"),
        ({"HOME": "/h"}, False, "/h/.local/state/rootclock"),
        ({"HOME": "/h", "XDG_STATE_HOME": "/s"}, False, "/s/rootclock"),
        ({"HOME": "/h", "XDG_STATE_HOME": "s"}, False, "/h/.local/state/rootclock"),
    ],
)
def test_where_the_state_is(
    tmp_path: Path, environment: dict[str, str], there: bool, found: str
) -> None:
    """What somebody says, the service's, a person's own."""
    folder = state_folder(environment, service_state=tmp_path if there else NOWHERE)
    assert folder == Path(found.replace("SERVICE", str(tmp_path)))


@pytest.mark.parametrize(
    ("environment", "there", "found"),
    [
        ({"STATE_DIRECTORY": "/p:/q", "HOME": "/h"}, True, "/p"),  # systemd.exec(5)
        ({"ROOTCLOCK_STATE": "/b", "HOME": "/h"}, True, "/b"),
        ({"HOME": "/h"}, True, "SERVICE"),
        ({"HOME": "/h", "XDG_STATE_HOME": "/s", "ROOTCLOCK_STATE": ""}, False, "/s/rootclock"),
    ],
)
def test_where_the_page_s_state_is(
    tmp_path: Path, environment: dict[str, str], there: bool, found: str
) -> None:
    """What the service manager says, or somebody; the service's; a person's own."""
    folder = page_state_folder(environment, service_page_state=tmp_path if there else NOWHERE)
    assert folder == Path(found.replace("SERVICE", str(tmp_path)))


def test_a_relative_path_that_somebody_says_is_from_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As it would be anywhere on a command line."""
    monkeypatch.chdir(tmp_path)
    assert socket_path({"ROOTCLOCK_SOCKET": "s"}) == tmp_path / "s"
    assert state_folder({"ROOTCLOCK_STATE": "b"}) == tmp_path / "b"


def test_without_a_home_somebody_must_say_where() -> None:
    """And is told how."""
    with pytest.raises(UnusableFileError, match=r"HOME is not set.*or set ROOTCLOCK_STATE"):
        state_folder({}, service_state=NOWHERE)


def test_folders_that_are_made_are_their_owner_s_alone(tmp_path: Path) -> None:
    """All of those that are made; what is there stays as it is."""
    tmp_path.chmod(0o755)
    assert made_folder(tmp_path / "a" / "b") == tmp_path / "a" / "b"
    modes = [stat.S_IMODE((tmp_path / part).stat().st_mode) for part in (".", "a", "a/b")]
    assert modes == [0o755, 0o700, 0o700]
    made_folder(tmp_path / "a" / "b")


def test_a_folder_that_cannot_be_is_named(tmp_path: Path) -> None:
    """A file of its name, or above it."""
    (tmp_path / "f").write_text("", encoding="ascii")
    with pytest.raises(UnusableFileError, match=f"{tmp_path}/f is no folder"):
        made_folder(tmp_path / "f")
    with pytest.raises(UnusableFileError, match=f"folder {tmp_path}/f/a: not a directory"):
        made_folder(tmp_path / "f" / "a")
