"""A preview's shares: what each worker made of it, and the whole that they make together.

All of it is JSON text already; the page's process, which has other things to do than to read it,
only puts it together.
"""

from __future__ import annotations

from itertools import chain, zip_longest
from typing import TYPE_CHECKING, NamedTuple

from web.paper.frames import Texts

if TYPE_CHECKING:
    from collections.abc import Sequence


class Share(NamedTuple):
    """What one worker made: the members before `days` (the first worker alone has them), and
    its days; those of the plan in force are None without one."""

    head: bytes
    days: list[bytes]
    running: list[bytes] | None

    def as_texts(self) -> Texts:
        """The share as it travels."""
        note = {"days": len(self.days), "has_running": self.running is not None}
        return Texts(note, [self.head, *self.days, *(self.running or [])])


def share_of(told: Texts) -> Share:
    """The share that travelled."""
    head, *texts = told.texts
    count = told.note["days"]
    return Share(head, texts[:count], texts[count:] if told.note["has_running"] else None)


def whole(shares: Sequence[Share]) -> bytes:
    """The answer, from every worker's share in their order."""
    days = _in_turn([share.days for share in shares])
    running = b"null"
    if all(share.running is not None for share in shares):
        of_running = _in_turn([share.running or [] for share in shares])
        running = b'{"days":[%b]}' % b",".join(of_running)
    return b'{%b,"days":[%b],"running":%b}' % (shares[0].head, b",".join(days), running)


def _in_turn(lists: Sequence[list[bytes]]) -> list[bytes]:
    return [one for one in chain.from_iterable(zip_longest(*lists)) if one is not None]
