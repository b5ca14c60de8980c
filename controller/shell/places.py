"""Where the daemon keeps its things, and where its clients look for it.

Sources: the Filesystem Hierarchy Standard 3.0 for `/run` and `/var/lib`, the XDG Base
Directory Specification 0.8 for a person's own.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from controller.core.errors import UnusableFileError

if TYPE_CHECKING:
    from collections.abc import Mapping

SOCKET_NAME: Final = "control.sock"
# What the units under systemd/ set up (RuntimeDirectory, StateDirectory).
SERVICE_RUNTIME: Final = Path("/run/rootclock")
SERVICE_STATE: Final = Path("/var/lib/rootclock")
SERVICE_PAGE_STATE: Final = Path("/var/lib/rootclock-page")
_OURS_ALONE: Final = 0o700


def socket_path(
    environment: Mapping[str, str],
    *,
    service_runtime: Path = SERVICE_RUNTIME,
    service_state: Path = SERVICE_STATE,
) -> Path:
    """Where daemon and clients meet unless they are told otherwise.

    `ROOTCLOCK_SOCKET`, else the service's where it is set up, else a person's own runtime
    folder, else the state folder. The same answer for both sides, so that they meet.

    Raises:
        UnusableFileError: nothing tells where a person's own folders are.
    """
    told = environment.get("ROOTCLOCK_SOCKET")
    if told:
        return Path(told).absolute()
    if service_runtime.is_dir():
        return service_runtime / SOCKET_NAME
    runtime = _folder_of(environment, "XDG_RUNTIME_DIR")
    if runtime is not None:
        return runtime / "rootclock" / SOCKET_NAME
    return state_folder(environment, service_state=service_state) / SOCKET_NAME


def state_folder(environment: Mapping[str, str], *, service_state: Path = SERVICE_STATE) -> Path:
    """Where journal and plans are kept unless somebody says otherwise.

    `ROOTCLOCK_STATE`, else the service's where there is one that this process may write to,
    else a person's own.

    Raises:
        UnusableFileError: nothing tells where a person's own folders are.
    """
    told = environment.get("ROOTCLOCK_STATE")
    if told:
        return Path(told).absolute()
    if service_state.is_dir() and os.access(service_state, os.W_OK | os.X_OK):
        return service_state
    state = _folder_of(environment, "XDG_STATE_HOME")
    if state is not None:
        return state / "rootclock"
    home = _folder_of(environment, "HOME")
    if home is None:
        raise UnusableFileError(
            "HOME is not set, so nothing tells where to keep journal and plans: "
            "say where with --state, or set ROOTCLOCK_STATE"
        )
    return home / ".local" / "state" / "rootclock"


def page_state_folder(
    environment: Mapping[str, str], *, service_page_state: Path = SERVICE_PAGE_STATE
) -> Path:
    """Where the page keeps its passcode unless somebody says otherwise.

    What the service manager names, else `ROOTCLOCK_STATE`, else the service's where there is one
    that this process may write to (so that root sets the service's passcode), else a person's own.

    Raises:
        UnusableFileError: nothing tells where a person's own folders are.
    """
    told = environment.get("STATE_DIRECTORY", "").partition(":")[0]
    if told:
        return Path(told)
    is_said = bool(environment.get("ROOTCLOCK_STATE"))
    is_there = service_page_state.is_dir() and os.access(service_page_state, os.W_OK | os.X_OK)
    if is_there and not is_said:
        return service_page_state
    return state_folder(environment)


def made_folder(folder: Path) -> Path:
    """The folder, made with all above it if it is not there; what is made is its owner's alone.

    Raises:
        UnusableFileError: it cannot be made, or is no folder.
    """
    try:
        for missing in reversed([one for one in (folder, *folder.parents) if not one.exists()]):
            missing.mkdir(mode=_OURS_ALONE, exist_ok=True)
    except OSError as error:
        reason = error.strerror or str(error)
        raise UnusableFileError(f"folder {folder}: {reason[0].lower()}{reason[1:]}") from None
    if not folder.is_dir():
        raise UnusableFileError(f"{folder} is no folder")
    return folder


def _folder_of(environment: Mapping[str, str], name: str) -> Path | None:
    """The absolute path that a variable holds; the XDG specification has others ignored."""
    path = Path(environment.get(name) or ".")
    return path if path.is_absolute() else None
