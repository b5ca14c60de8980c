"""What a page is started with, and every number that bounds its visitors."""

from __future__ import annotations

from dataclasses import dataclass, field
from ipaddress import ip_address
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import PageNotSafeError

if TYPE_CHECKING:
    from pathlib import Path

    from web.security.passcode import StoredPasscode

LOOPBACK_NAMES = ("localhost", "127.0.0.1", "::1")


class Limits(NamedTuple):
    """Bounds over all visitors and over each. A household needs a tenth of them."""

    connections_max: int = 160
    connections_of_one_address_max: int = 96
    head_s: float = 10.0  # from the first silence to the end of a request's head
    keep_alive_s: int = 15  # between two requests of one connection
    body_s: float = 30.0  # from a request's head to the end of its body
    unread_s: float = 20.0  # an answer must be read at all within
    head_bytes_max: int = 16 * 1024
    target_bytes_max: int = 4 * 1024
    body_bytes_max: int = 256 * 1024
    plan_body_bytes_max: int = 1024 * 1024  # a plan of 256 KiB, with line ends escaped
    dry_run_body_bytes_max: int = 6 * 1024 * 1024  # a year of hours as TMY3, and two plans
    streams_max: int = 90
    streams_of_one_address_max: int = 60
    calls_at_once_max: int = 6  # of the 8 that the controller takes from one client
    calls_waiting_max: int = 64
    farewell_s: int = 1  # for what is still being answered when the page ends


@dataclass(frozen=True, slots=True)
class Settings:
    """Where the page is, where its controller is, and whom it lets in.

    `names` are host names by which browsers may call it besides its own and plain addresses.
    Without a `passcode` whoever reaches it is its owner; with one, others are nobody, or may
    look and order nothing where `guests_may_read`. `ended_path` keeps the sessions that were
    logged out of; without it they are ended until the page is.
    """

    socket_path: Path
    host: str = "127.0.0.1"
    port: int = 8080
    names: tuple[str, ...] = ()
    passcode: StoredPasscode | None = None
    ended_path: Path | None = None
    guests_may_read: bool = False
    limits: Limits = field(default_factory=Limits)

    def refuse_unless_safe(self) -> None:
        """Others than this machine reach the page only by a passcode.

        Raises:
            PageNotSafeError: it would be open to whoever is in the network.
        """
        if self.passcode is None and not is_loopback(self.host):
            raise PageNotSafeError(
                f"--host {self.host} lets others in, and there is no passcode: whoever reaches "
                "the page could stop the pump. Set one with `rootclock web --set-passcode`, or "
                "leave --host out to be reached from this machine alone"
            )


def is_loopback(host: str) -> bool:
    """Whether a host to listen on is this machine alone."""
    if host == "localhost":
        return True
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False
