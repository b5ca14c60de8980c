"""What is known of the controller, and its text, which is made once and told to many."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.messages.json_text import json_bytes

if TYPE_CHECKING:
    from collections.abc import Mapping


class StatusText:
    """A status and its JSON text."""

    def __init__(self, status: Mapping[str, Any]) -> None:
        self.status = status

    @cached_property
    def text(self) -> bytes:
        """The status as JSON."""
        return json_bytes(self.status)


class Picture(NamedTuple):
    """The last status, how old it is, and why there is no newer one."""

    kept: StatusText | None
    age_s: float | None
    reason: str | None

    @property
    def status(self) -> Mapping[str, Any] | None:
        """The last status, if there ever was one."""
        return None if self.kept is None else self.kept.status

    def as_text(self) -> bytes:
        """The picture as the API tells it, in JSON."""
        members = {
            "is_connected": self.reason is None,
            "reason": self.reason,
            "age_s": None if self.age_s is None else round(self.age_s, 3),
        }
        status = b"null" if self.kept is None else self.kept.text
        return b'%b,"status":%b}' % (json_bytes(members)[:-1], status)
