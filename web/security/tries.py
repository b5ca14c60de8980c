"""How often one address may try a passcode.

Of IPv6 a whole /64 counts as one address: whoever has one of it has all (RFC 4291, 2.5.4).
"""

from __future__ import annotations

from collections import OrderedDict
from ipaddress import IPv6Address, ip_address, ip_network
from typing import NamedTuple

_AT_ONCE = 5.0
_PER_S = 1 / 30
_ADDRESSES_MAX = 1_000


def visitor_of(address: str) -> str:
    """By what a visitor is counted."""
    try:
        given = ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if isinstance(given, IPv6Address):
        if given.ipv4_mapped is not None:
            return str(given.ipv4_mapped)
        return str(ip_network((given, 64), strict=False))
    return str(given)


class _Bucket(NamedTuple):
    tries: float
    filled_s: float


class Tries:
    """Five tries at once, then one each 30 s, for each address."""

    def __init__(self) -> None:
        self._buckets: OrderedDict[str, _Bucket] = OrderedDict()

    def wait_s(self, visitor: str, now_s: float) -> float:
        """Takes one try and answers 0, or says how long until there is one."""
        bucket = self._buckets.pop(visitor, _Bucket(_AT_ONCE, now_s))
        tries = min(_AT_ONCE, bucket.tries + (now_s - bucket.filled_s) * _PER_S)
        is_left = tries >= 1
        self._buckets[visitor] = _Bucket(tries - 1 if is_left else tries, now_s)
        if len(self._buckets) > _ADDRESSES_MAX:
            self._buckets.popitem(last=False)
        return 0.0 if is_left else (1 - tries) / _PER_S

    def forgive(self, visitor: str) -> None:
        """The right passcode makes up for the wrong ones before it."""
        self._buckets.pop(visitor, None)
