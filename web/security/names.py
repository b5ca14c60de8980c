"""By which names the page may be called, and from which pages it may be told something.

DNS rebinding makes a name of the attacker's point here; a browser then takes this page for the
attacker's own. It gives itself away by `Host`, which holds that name. A plain address is always
let in: no name was looked up for it. `Origin` must equal `Host` where something is to be done;
`Sec-Fetch-Site`, which browsers send to secure origins only, is one more look.
Sources: RFC 6454; RFC 9110, section 7.2; Fetch Metadata Request Headers.
"""

from __future__ import annotations

import re
import socket
from ipaddress import ip_address
from typing import TYPE_CHECKING

from controller.core.units import shown
from web.problems import Problem

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from starlette.types import ASGIApp, Receive, Scope, Send

_HOST = re.compile(r"(?P<name>\[[0-9a-f:.]+\]|[a-z0-9._-]+)(?::(?P<port>[0-9]{1,5}))?", re.A)
_ENDS_AT_HOME = ("local", "home.arpa", "lan", "home", "internal")
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_FRIENDLY = (None, "same-origin", "none")


def machine_names(extra: Sequence[str]) -> frozenset[str]:
    """The names by which browsers may call this machine, in lower case.

    Its own host name, alone and under the ends that nobody can own on the internet: of
    multicast DNS (RFC 6762), of homes (RFC 8375), and those that routers give out (common
    practice, no source); and what is added.
    """
    own = socket.gethostname().lower()
    plain = own.partition(".")[0]
    at_home = {f"{plain}.{end}" for end in _ENDS_AT_HOME}
    return frozenset({"localhost", own, plain, *at_home, *(name.lower() for name in extra)})


class Names:
    """Lets through what calls the page by one of its names, from its own pages."""

    def __init__(self, app: ASGIApp, names: frozenset[str]) -> None:
        self._app = app
        self._names = names

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes a request on, or answers why not."""
        if scope["type"] == "http":
            try:
                self._look(scope)
            except Problem as problem:
                await problem.response()(scope, receive, send)
                return
        await self._app(scope, receive, send)

    def _look(self, scope: Scope) -> None:
        hosts = [value for name, value in scope["headers"] if name == b"host"]
        if len(hosts) != 1:
            raise Problem("malformed", f"there is to be one Host, and there are {len(hosts)}")
        host = hosts[0].decode("latin-1").lower()
        if not self._is_ours(host):
            raise Problem(
                "other-host",
                f"the page is not called {shown(host)}: use its address or one of its names, or "
                "start it with --name",
            )
        if scope["method"] not in _SAFE:
            refuse_other_origins(_single(scope["headers"]), host)

    def _is_ours(self, host: str) -> bool:
        found = _HOST.fullmatch(host)
        if found is None:
            return False
        name = found["name"].removesuffix(".")
        if name in self._names:
            return True
        try:
            ip_address(name.strip("[]"))
        except ValueError:
            return False
        return True


def _single(headers: Sequence[tuple[bytes, bytes]]) -> Mapping[bytes, str]:
    """Headers by name; one that is given twice is the text of both, which equals nothing."""
    found: dict[bytes, str] = {}
    for name, value in headers:
        text = value.decode("latin-1")
        found[name] = f"{found[name]}, {text}" if name in found else text
    return found


def refuse_other_origins(headers: Mapping[bytes, str], host: str) -> None:
    """Whatever does something must come from a page of this very address.

    Raises:
        Problem: it comes from elsewhere, or does not say whence.
    """
    origin = headers.get(b"origin")
    if origin is None or origin.lower() not in {f"http://{host}", f"https://{host}"}:
        said = "does not say whence it comes" if origin is None else f"comes from {shown(origin)}"
        raise Problem(
            "other-origin",
            f"the request {said}, and only pages of http://{host} may order something: send "
            f"Origin: http://{host}",
        )
    site = headers.get(b"sec-fetch-site")
    if site not in _FRIENDLY:
        raise Problem("other-origin", f"the request comes from a page that is {shown(site)}")
